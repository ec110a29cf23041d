mod choosing;

use super::*;
use crate::document::{Source, Sources};
use crate::recipe::Settings;

fn sources() -> Sources {
    Sources::new()
        .with_shelf(Source::new(
            "shelf.toml",
            "[ingredient.binder]\ndensity = \"1.06 g/ml\"\n",
        ))
        .with_recipe(
            "base",
            Source::new(
                "base.toml",
                "[recipe]\nname = \"Base\"\n[[step]]\nadd = \"binder\"\namount = \"1 part\"\n",
            ),
        )
        .with_recipe(
            "tint",
            Source::new(
                "tint.toml",
                "[recipe]\nname = \"Tint\"\n[[step]]\nadd = \"paste\"\namount = \"1 part\"\n",
            ),
        )
        .with_recipe(
            "round",
            Source::new(
                "round.toml",
                "[recipe]\nname = \"Round\"\n[[step]]\nadd = \"about\"\namount = \"1 part\"\n",
            ),
        )
        .with_recipe(
            "about",
            Source::new(
                "about.toml",
                "[recipe]\nname = \"About\"\n[[step]]\nadd = \"round\"\namount = \"1 part\"\n",
            ),
        )
}

const HEAD: &str = "[set]\nname = \"Two rounds\"\n[[surface]]\ndiameter = \"30 cm\"\n";

/// Checks what is said about a set that follows the usual head: line, message and remedy.
#[track_caller]
fn says(rest: &str, line: usize, message: &str, help: &str) {
    let source = Source::new("set.toml", format!("{HEAD}{rest}"));
    let checked = check(&source, &sources(), &Settings::default());
    assert_eq!(checked.set, None);
    let errors: Vec<_> = checked
        .diagnostics
        .iter()
        .filter(|d| d.is_error())
        .collect();
    let [only] = errors.as_slice() else {
        panic!("one message, not {errors:#?}");
    };
    assert_eq!((only.line, only.message.as_str()), (line, message));
    let said = only.help.as_deref().unwrap_or_default();
    assert!(said.contains(help), "`{said}` does not say `{help}`");
}

fn jar(rest: &str) -> String {
    format!("[[jar]]\nrecipe = \"base\"\n{rest}\n")
}

#[test]
fn a_good_set_is_read_whole() {
    let text = format!(
        "{HEAD}edge = \"2 cm\"\ncount = 8\n{}{}",
        jar("share = \"60 %\"\njar = \"300 ml\""),
        jar("share = \"1 part\"")
    );
    let checked = check(
        &Source::new("set.toml", text),
        &sources(),
        &Settings::default(),
    );
    let set = checked.set.unwrap();
    assert_eq!(set.surfaces[0].count, 8);
    let portions: Vec<&Portion> = set.jars.iter().map(|jar| &jar.portion).collect();
    let share = |hundredths| Portion::Share(crate::ratio::Ratio::new(hundredths, 100));
    assert_eq!(portions, [&share(60), &share(40)]);
    assert_eq!(set.cover.basis, CoverBasis::CommonPractice);
}

#[test]
fn shares_that_come_to_ninety_nine_are_said() {
    let text = jar("share = \"60 %\"") + &jar("share = \"39 %\"");
    says(
        &text,
        10,
        "the shares of the jars come to 99 %, not to 100 %",
        "1 part",
    );
}

#[test]
fn percentages_that_leave_nothing_for_the_parts_are_said() {
    let text = jar("share = \"100 %\"") + &jar("share = \"1 part\"");
    says(
        &text,
        10,
        "the percentages come to 100 % and leave nothing for the parts",
        "all of them as parts",
    );
}

#[test]
fn an_unknown_recipe_is_named_with_what_was_meant() {
    says(
        "[[jar]]\nrecipe = \"bsae\"\nshare = \"1 part\"\n",
        6,
        "there is no recipe `bsae` beside the set",
        "did you mean `base`?",
    );
}

#[test]
fn a_missing_density_is_named_with_how_to_measure_it() {
    says(
        "[[jar]]\nrecipe = \"tint\"\nshare = \"1 part\"\n",
        5,
        "how much of `tint` the surface takes needs its density: the density of `paste` is missing",
        "weigh a full 10 ml syringe of it",
    );
}

#[test]
fn a_recipe_inside_itself_is_said_once() {
    let source = Source::new(
        "set.toml",
        format!("{HEAD}[[jar]]\nrecipe = \"round\"\nshare = \"1 part\"\n"),
    );
    let checked = check(&source, &sources(), &Settings::default());
    let errors: Vec<_> = checked
        .diagnostics
        .iter()
        .filter(|d| d.is_error())
        .collect();
    assert_eq!(errors.len(), 1, "{errors:#?}");
    assert!(errors[0].message.contains("round"), "{errors:#?}");
}

#[test]
fn a_negative_share_a_share_in_grams_and_two_amounts_are_each_said() {
    says(
        &jar("share = \"-4 parts\""),
        7,
        "an amount must be more than nothing",
        "",
    );
    says(
        &jar("share = \"40 g\""),
        7,
        "`g` is no unit of a share",
        "make = \"40 g\"",
    );
    says(
        &jar("share = \"1 part\"\nmake = \"40 g\""),
        8,
        "a jar has a share or a make, not both",
        "keep one",
    );
    says(
        &jar(""),
        5,
        "how much of this jar is not said",
        "share = \"15 %\"",
    );
}

#[test]
fn an_ounce_nobody_said_which_is_not_guessed() {
    says(
        &jar("share = \"1 part\"\njar = \"8 fl-oz\""),
        8,
        "which fluid ounce is meant is not set",
        "imperial",
    );
    let text = "[set]\nname = \"S\"\nyield = \"1 fl-oz per 25 in2\"\n[[surface]]\narea = \"1 m2\"\n[[jar]]\nrecipe = \"base\"\nshare = \"1 part\"\n";
    let checked = check(
        &Source::new("set.toml", text),
        &sources(),
        &Settings::default(),
    );
    let first = &checked.diagnostics[0];
    assert_eq!(
        (first.line, first.message.as_str()),
        (3, "which fluid ounce is meant is not set")
    );
}

#[test]
fn a_shape_said_twice_and_an_edge_around_nothing_are_said() {
    says(
        &format!(
            "[[surface]]\nwidth = \"30 cm\"\n{}",
            jar("share = \"1 part\"")
        ),
        5,
        "what is the shape of this piece?",
        "width and height, or diameter, or area",
    );
    says(
        &format!(
            "[[surface]]\narea = \"3 m2\"\nedge = \"2 cm\"\n{}",
            jar("share = \"1 part\"")
        ),
        7,
        "an edge needs to know how far it is around the piece",
        "around",
    );
    says(
        &format!(
            "[[surface]]\ndiameter = \"3 cm\"\ncount = 0\n{}",
            jar("share = \"1 part\"")
        ),
        7,
        "how many pieces is a whole number from 1 to 10000",
        "count = 8",
    );
}

#[test]
fn a_set_without_jars_surface_or_name_says_so() {
    says("", 1, "the set has no jars", "[[jar]]");
    let no_surface = format!("[set]\nname = \"S\"\n{}", jar("share = \"1 part\""));
    let checked = check(
        &Source::new("set.toml", no_surface),
        &sources(),
        &Settings::default(),
    );
    assert_eq!(
        checked.diagnostics[0].message,
        "the set says no surface to share out"
    );
    let no_name = format!("[set]\n{}", jar("make = \"40 g\""));
    let checked = check(
        &Source::new("set.toml", no_name),
        &sources(),
        &Settings::default(),
    );
    assert_eq!(checked.diagnostics[0].message, "the set has no name");
}

#[test]
fn what_the_studio_weighed_replaces_the_rule_of_the_trade() {
    let measured = |after: &str| {
        format!(
            "{HEAD}{}[measured]\narea = \"500 cm2\"\nbefore = \"400 g\"\nafter = \"{after}\"\ndensity = \"1.09 g/ml\"\n",
            jar("share = \"1 part\"")
        )
    };
    let checked = check(
        &Source::new("set.toml", measured("509 g")),
        &sources(),
        &Settings::default(),
    );
    let cover = checked.set.unwrap().cover;
    assert_eq!(cover.thickness.mm(), &crate::ratio::Ratio::new(2, 1));
    assert_eq!(cover.basis, CoverBasis::Measured);
    let checked = check(
        &Source::new("set.toml", measured("399 g")),
        &sources(),
        &Settings::default(),
    );
    assert_eq!(
        checked.diagnostics[0].message,
        "the piece was not heavier after pouring"
    );
}

#[test]
fn a_misspelt_key_is_said_with_what_it_meant() {
    says(
        &jar("share = \"1 part\"\njra = \"300 ml\""),
        8,
        "a jar knows no `jra`",
        "did you mean `jar`?",
    );
}
