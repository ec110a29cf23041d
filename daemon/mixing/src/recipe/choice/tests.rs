use proptest::prelude::*;
use tarehand_protocol::Mass;

use crate::choice::Choices;
use crate::document::{Source, Sources};
use crate::ratio::Ratio;
use crate::recipe::{Checked, Settings, ask_each, check, check_every_option};
use crate::sizing::{Goal, size};

const SHELF: &str = "[ingredient.matt-medium]\nname = \"Matt medium\"\ndensity = \"1.08 g/ml\"\n\
    [ingredient.gloss-medium]\nname = \"Gloss medium\"\ndensity = \"1.02 g/ml\"\n\
    [ingredient.matt-gel]\ndrop = \"30 mg\"\n[ingredient.gloss-gel]\n[ingredient.binder]\n[ingredient.water]\n";

const FINISH: &str =
    "[choice.finish]\nmatt = { base = \"matt-medium\" }\nglossy = { base = \"gloss-medium\" }\n";

fn recipe(choices: &str, steps: &[(&str, &str)]) -> String {
    let mut text = format!("[recipe]\nname = \"Some mix\"\nmakes = \"100 g\"\n{choices}");
    for (add, amount) in steps {
        text += &format!("[[step]]\nadd = \"{add}\"\namount = \"{amount}\"\n");
    }
    text
}

fn sources(text: String) -> Sources {
    Sources::new()
        .with_shelf(Source::new("shelf.toml", SHELF))
        .with_recipe("mix", Source::new("mix.toml", text))
}

fn chosen(choices: &[(&str, &str)]) -> Settings {
    let choices = choices.iter();
    Settings {
        choices: choices
            .map(|(name, option)| ((*name).to_owned(), (*option).to_owned()))
            .collect(),
        ..Settings::default()
    }
}

fn shares(checked: &Checked) -> Vec<(String, Ratio)> {
    let recipe = checked
        .recipe
        .as_ref()
        .unwrap_or_else(|| panic!("{:#?}", checked.diagnostics));
    let shares = recipe.shares();
    shares
        .map(|(ingredient, share)| (ingredient.key.clone(), share.clone()))
        .collect()
}

fn share(key: &str, parts: i64, of: i64) -> (String, Ratio) {
    (key.to_owned(), Ratio::new(parts, of))
}

#[test]
fn every_step_follows_what_was_chosen_and_the_first_option_is_taken_where_nobody_chooses() {
    let steps = [
        ("base", "40 parts"),
        ("water", "50 % of base"),
        ("base", "40 parts"),
    ];
    let sources = sources(recipe(FINISH, &steps));
    let checked = check(&sources, "mix", &Settings::default());
    assert_eq!(checked.diagnostics, []);
    // By hand: half of both bases is half as much water as base, so the bases are a third each.
    let of = |base: &str| [share(base, 1, 3), share("water", 1, 3), share(base, 1, 3)];
    assert_eq!(shares(&checked), of("matt-medium"));
    let said = checked.recipe.unwrap().choices()[0].to_string();
    assert_eq!(said, "finish: matt (or glossy)");
    let checked = check(&sources, "mix", &chosen(&[("finish", "glossy")]));
    assert_eq!(shares(&checked), of("gloss-medium"));
    let sizing = size(&checked.recipe.unwrap(), &Goal::Make(Mass::from_grams(30))).unwrap();
    assert_eq!(
        sizing.procedure.choices[0].to_string(),
        "finish: glossy (or matt)"
    );
    assert_eq!(sizing.notes(), []);
}

// By hand: 60 g of base and 40 g of top, of which glossy takes 0.5 g a gram: 60 and 20 of 80.
#[test]
fn an_option_has_a_ratio_of_its_own_and_the_batch_keeps_its_size() {
    let choices = "[choice.finish]\nmatt = { base = \"matt-medium\", top = \"matt-gel\" }\n\
        glossy = { base = \"gloss-medium\", top = { add = \"gloss-gel\", ratio = \"0.5\" } }\n";
    let steps = [("base", "60 g"), ("top", "40 g")];
    let sources = sources(recipe(choices, &steps));
    let checked = check(&sources, "mix", &chosen(&[("finish", "glossy")]));
    assert_eq!(
        shares(&checked),
        [share("gloss-medium", 3, 4), share("gloss-gel", 1, 4)]
    );
    assert_eq!(checked.recipe.unwrap().makes(), Some(Mass::from_grams(100)));
}

#[test]
fn an_amount_is_worked_out_with_what_was_chosen() {
    let steps = [("base", "50 ml"), ("binder", "10 g")];
    let sources = sources(recipe(FINISH, &steps).replace("makes = \"100 g\"\n", ""));
    let makes = |settings: &Settings| check(&sources, "mix", settings).recipe.unwrap().makes();
    assert_eq!(
        makes(&Settings::default()),
        Some("64 g".parse::<Mass>().unwrap())
    );
    assert_eq!(
        makes(&chosen(&[("finish", "glossy")])),
        Some("61 g".parse::<Mass>().unwrap())
    );
}

#[test]
fn none_leaves_out_the_steps_that_say_it_and_percentages_of_them() {
    let choices = "[choice.finish]\nmatt = { top = \"matt-gel\" }\nglossy = { top = \"none\" }\n";
    let steps = [
        ("binder", "60 parts"),
        ("top", "30 parts"),
        ("water", "10 % of top"),
    ];
    let sources = sources(recipe(choices, &steps));
    let checked = check(&sources, "mix", &chosen(&[("finish", "glossy")]));
    assert_eq!(shares(&checked), [share("binder", 1, 1)]);
    assert_eq!(
        shares(&check(&sources, "mix", &Settings::default())).len(),
        3
    );
}

#[test]
fn thinning_follows_a_choice_too() {
    let choices = "[choice.speed]\nquick = { thinner = \"water\" }\nslow = { thinner = { add = \"binder\", ratio = \"2\" } }\n";
    let text = recipe(choices, &[("matt-gel", "1 part")])
        + "[[step]]\nthin = \"thinner\"\nby = \"1 g\"\nat_most = \"4 g\"\n";
    let checked = check(&sources(text), "mix", &chosen(&[("speed", "slow")]));
    let extras: Vec<_> = checked.recipe.as_ref().unwrap().extras().collect();
    assert_eq!(extras[0].0.key, "binder");
    assert_eq!(*extras[0].1, Ratio::new(8, 100));
}

#[test]
fn what_was_chosen_and_is_not_to_be_had_has_its_stand_in() {
    let shelf = format!(
        "{SHELF}[ingredient.empty-gloss]\nstock = \"0 g\"\n[[ingredient.empty-gloss.stand_in]]\nuse = \"binder\"\nratio = \"2\"\n"
    );
    let choices = "[choice.finish]\nmatt = { base = \"matt-medium\" }\n\
        glossy = { base = { add = \"empty-gloss\", ratio = \"0.5\" } }\n";
    let text = recipe(choices, &[("base", "1 part"), ("water", "1 part")]);
    let sources = sources(text).with_shelf(Source::new("shelf.toml", shelf));
    let checked = check(&sources, "mix", &chosen(&[("finish", "glossy")]));
    assert_eq!(
        shares(&checked),
        [share("binder", 1, 2), share("water", 1, 2)]
    );
    let said = &checked.diagnostics[0];
    assert_eq!(
        (said.line, said.message.as_str()),
        (6, "empty-gloss is not to be had: binder stands in for it")
    );
}

fn with_premix(premix_choice: &str) -> Sources {
    let premix = format!(
        "[recipe]\nname = \"Premix\"\n{premix_choice}[[step]]\nadd = \"base\"\namount = \"1 part\"\n"
    );
    let inner =
        "[choice.finish]\nmatt = { top = \"matt-gel\" }\nglossy = { top = \"gloss-gel\" }\n";
    sources(recipe(inner, &[("premix", "1 part"), ("top", "1 part")]))
        .with_recipe("premix", Source::new("premix.toml", premix))
}

#[test]
fn a_premix_follows_the_recipe_it_goes_into() {
    // Its own first option is the other one.
    let other = "[choice.finish]\nglossy = { base = \"gloss-medium\" }\nmatt = { base = \"matt-medium\" }\n";
    let sources = with_premix(other);
    for (option, base) in [("matt", "matt-medium"), ("glossy", "gloss-medium")] {
        let checked = check(&sources, "mix", &chosen(&[("finish", option)]));
        let recipe = checked.recipe.unwrap();
        let (_, premix) = recipe.premixes().next().unwrap();
        assert_eq!(premix.shares().next().unwrap().0.key, base);
    }
    let checked = check(&sources, "mix", &Settings::default());
    let recipe = checked.recipe.unwrap();
    let (_, premix) = recipe.premixes().next().unwrap();
    assert_eq!(premix.shares().next().unwrap().0.key, "matt-medium");
    assert_eq!(recipe.choices().len(), 1);
}

#[test]
fn a_premix_that_cannot_follow_says_so_in_its_own_file() {
    let other = "[choice.finish]\ndull = { base = \"matt-medium\" }\nbright = { base = \"gloss-medium\" }\n";
    let checked = check(&with_premix(other), "mix", &Settings::default());
    let said = checked
        .diagnostics
        .iter()
        .find(|said| said.is_error())
        .unwrap();
    assert_eq!(
        (said.file.as_str(), said.line, said.column),
        ("premix.toml", 3, 9)
    );
    assert_eq!(
        said.message,
        "`finish` has no option `matt`, which is what the mix it goes into was chosen to be"
    );
}

/// Checks what is said of a recipe that uses `base` and `hue`: line, column, message and remedy.
#[track_caller]
fn says(choices: &str, asked: &[(&str, &str)], expect: (usize, usize, &str, &str)) {
    let text = recipe(choices, &[("base", "1 part"), ("hue", "1 part")]);
    let checked = check(&sources(text), "mix", &chosen(asked));
    assert_eq!(checked.recipe, None);
    let errors: Vec<_> = checked
        .diagnostics
        .iter()
        .filter(|said| said.is_error())
        .collect();
    let [only] = errors.as_slice() else {
        panic!("one message, not {errors:#?}");
    };
    let (line, column, message, help) = expect;
    assert_eq!(
        (only.line, only.column, only.message.as_str()),
        (line, column, message)
    );
    assert_eq!(only.help.as_deref(), Some(help));
}

const GOOD: &str = "[choice.finish]\nmatt = { base = \"matt-medium\" }\nglossy = { base = \"gloss-medium\" }\n\
    [choice.tone]\nwarm = { hue = \"binder\" }\ncold = { hue = \"water\" }\n";

#[test]
fn what_cannot_be_chosen_is_said_with_what_can() {
    says(
        GOOD,
        &[("finish", "glosy")],
        (
            4,
            9,
            "`finish` has no option `glosy`",
            "did you mean `glossy`?",
        ),
    );
    says(
        GOOD,
        &[("finish", "transparent")],
        (
            4,
            9,
            "`finish` has no option `transparent`",
            "choose matt or glossy",
        ),
    );
    says(
        GOOD,
        &[("fnish", "matt")],
        (
            1,
            1,
            "`mix` leaves no choice `fnish`",
            "did you mean `finish`?",
        ),
    );
    says(
        GOOD,
        &[("temperature", "hot")],
        (
            1,
            1,
            "`mix` leaves no choice `temperature`",
            "choose finish or tone",
        ),
    );
}

#[test]
fn choices_that_are_none_are_said_one_by_one() {
    let tone = "[choice.tone]\nwarm = { hue = \"binder\" }\ncold = { hue = \"water\" }\n";
    let table = [
        (
            "matt = { base = \"matt-medium\" }\nglossy = { base = \"gloss-medium\", hue = \"binder\" }\n",
            (
                5,
                1,
                "`matt` does not say what `hue` is, and `glossy` does",
                "write hue = \"…\" in it, or hue = \"none\" to leave out the steps that say it",
            ),
        ),
        (
            "matt = { base = \"matt-medium\", top = \"binder\" }\nglossy = { base = \"gloss-medium\", top = \"water\" }\n",
            (
                5,
                32,
                "no step says `top`",
                "write add = \"top\" in a step, or leave it out of every option",
            ),
        ),
        (
            "matt = { base = \"matt-medium\" }\ndull = { base = \"matt-medium\" }\n",
            (
                6,
                1,
                "`dull` means the same as `matt`",
                "leave one of them out, or change what it uses",
            ),
        ),
        (
            "matt = { base = \"matt-medium\" }\n",
            (
                4,
                9,
                "`finish` leaves nothing to choose",
                "give it a second option, or write the ingredient itself into the steps",
            ),
        ),
        (
            "matt = { base = { add = \"matt-medium\", ratio = \"0\" } }\nglossy = { base = \"gloss-medium\" }\n",
            (
                5,
                48,
                "a ratio is a number above zero",
                "write ratio = \"0.8\" for 0.8 g of it instead of each gram",
            ),
        ),
        (
            "matt = \"matt-medium\"\nglossy = { base = \"gloss-medium\" }\n",
            (
                5,
                8,
                "`matt` does not say what stands for what",
                "write matt = { base = \"matt-medium\" }: a name that steps say, and what it stands for",
            ),
        ),
    ];
    for (options, expect) in table {
        // Where `hue` belongs to the finish, the tone is left out: no name is said by two.
        let rest = if options.contains("hue") { "" } else { tone };
        says(&format!("[choice.finish]\n{options}{rest}"), &[], expect);
    }
    says(
        "[choice.finish]\nmatt = { binder = \"matt-medium\" }\nglossy = { binder = \"gloss-medium\" }\n",
        &[],
        (
            5,
            10,
            "`binder` is an ingredient of the shelf, so it cannot stand for a choice",
            "give it another name here and in the steps",
        ),
    );
    says(
        "[choice.finish]\nmatt = { bsae = \"matt-medium\" }\nglossy = { bsae = \"gloss-medium\" }\n",
        &[],
        (
            4,
            9,
            "no step uses the choice `finish`",
            "does the step that says `base` mean `bsae`?",
        ),
    );
    says(
        &format!(
            "{FINISH}[choice.tone]\nwarm = {{ base = \"binder\" }}\ncold = {{ base = \"water\" }}\n"
        ),
        &[],
        (
            8,
            10,
            "`base` is said by two choices, `finish` and `tone`",
            "give it another name in one of them",
        ),
    );
    says(
        "[choice.finish]\nmatt = { mix = \"matt-medium\", base = \"binder\" }\nglossy = { mix = \"gloss-medium\", base = \"water\" }\n",
        &[],
        (
            5,
            10,
            "`mix` is a recipe beside this one, so it cannot stand for a choice",
            "give it another name here and in the steps",
        ),
    );
}

#[test]
fn what_another_option_names_and_nobody_knows_is_warned_of_at_once() {
    let choices =
        "[choice.finish]\nmatt = { base = \"matt-medium\" }\nglossy = { base = \"glos-medium\" }\n";
    let checked = check(
        &sources(recipe(choices, &[("base", "1 part")])),
        "mix",
        &Settings::default(),
    );
    let said: Vec<_> = checked
        .diagnostics
        .iter()
        .map(|said| (said.line, said.message.as_str()))
        .collect();
    assert!(
        said.contains(&(
            6,
            "`glos-medium` is not on the shelf and no recipe beside this one"
        )),
        "{said:?}"
    );
}

proptest! {
    #[test]
    fn every_choice_leaves_shares_that_sum_to_one(
        amounts in prop::collection::vec((prop::sample::select(vec!["base", "top", "water"]), 1_u32..500), 1..6),
        ratio in 1_u32..400,
        picks in (0_usize..3, 0_usize..2),
    ) {
        let ratio = format!("{}.{:02}", ratio / 100, ratio % 100);
        let choices = format!(
            "[choice.finish]\nmatt = {{ base = \"matt-medium\" }}\nsatin = {{ base = {{ add = \"binder\", ratio = \"{ratio}\" }} }}\nglossy = {{ base = \"gloss-medium\" }}\n\
             [choice.top]\nthick = {{ top = {{ add = \"matt-gel\", ratio = \"{ratio}\" }} }}\nbare = {{ top = \"none\" }}\n",
        );
        let mut steps = vec![("base", "2 g".to_owned()), ("top", "1 g".to_owned())];
        steps.extend(amounts.iter().map(|(name, parts)| (*name, format!("{parts} parts"))));
        let steps: Vec<(&str, &str)> = steps.iter().map(|(name, amount)| (*name, amount.as_str())).collect();
        let sources = sources(recipe(&choices, &steps));
        let asked = [("finish", ["matt", "satin", "glossy"][picks.0]), ("top", ["thick", "bare"][picks.1])];
        let checked = check(&sources, "mix", &chosen(&asked));
        prop_assert!(checked.recipe.is_some(), "{:?}", checked.diagnostics);
        let sum: Ratio = shares(&checked).into_iter().map(|(_, share)| share).sum();
        prop_assert_eq!(sum, Ratio::one());
        let asked: Choices = chosen(&asked).choices;
        for choice in checked.recipe.unwrap().choices() {
            prop_assert_eq!(asked.get(&choice.name), Some(&choice.chosen));
        }
    }
}

#[test]
fn what_only_another_option_brings_up_says_with_which() {
    let choices =
        "[choice.finish]\nmatt = { base = \"matt-gel\" }\nglossy = { base = \"gloss-gel\" }\n";
    let sources = sources(recipe(choices, &[("base", "9 drops"), ("water", "1 part")]));
    assert!(
        check(&sources, "mix", &Settings::default())
            .recipe
            .is_some()
    );
    let checked = check_every_option(&sources, "mix", &Settings::default());
    assert_eq!(checked.recipe, None);
    let said: Vec<_> = checked
        .diagnostics
        .iter()
        .map(|said| said.message.as_str())
        .collect();
    assert_eq!(
        said,
        ["with finish=glossy: the weight of one drop of `gloss-gel` is missing"]
    );
}

#[test]
fn of_several_files_only_those_are_asked_that_leave_the_choice() {
    let settings = chosen(&[("finish", "matt"), ("tone", "warm")]);
    let asked = ask_each(&settings, &[vec!["finish".to_owned()], Vec::new()]);
    let names = |at: usize| asked[at].choices.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(0), ["finish", "tone"]);
    assert_eq!(names(1), ["tone"]);
}
