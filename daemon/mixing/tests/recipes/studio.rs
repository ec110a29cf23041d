//! The demonstration folder: every file of it checks clean and can be sized.

use std::collections::BTreeSet;

use tarehand_mixing::StepKind;
use tarehand_mixing::diagnostic::{Paint, render};
use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::recipe::{Recipe, Settings, WrittenAmount, check, check_every_option};
use tarehand_mixing::sizing::{Goal, listing, size};
use tarehand_protocol::Mass;

use crate::support::folder;

fn recipe(stem: &str) -> std::sync::Arc<Recipe> {
    let sources = folder("studio");
    let checked = check(&sources, stem, &Settings::default());
    let said = render(&checked.diagnostics, &sources, Paint::Plain);
    assert!(checked.diagnostics.is_empty(), "{stem}:\n{said}");
    checked.recipe.unwrap()
}

#[test]
fn every_recipe_of_the_studio_checks_without_a_word() {
    let sources = folder("studio");
    let stems: Vec<&str> = sources.stems().collect();
    assert_eq!(stems.len(), 9);
    for stem in stems {
        let recipe = recipe(stem);
        let planned = recipe.makes().unwrap();
        let sizing = size(&recipe, &Goal::Make(planned)).unwrap();
        assert_eq!(sizing.assumed, Vec::<String>::new());
        let shares = recipe.shares().map(|(_, share)| share.clone());
        assert_eq!(shares.sum::<Ratio>(), Ratio::one());
    }
}

#[test]
fn every_choice_of_the_glaze_can_be_made() {
    let sources = folder("studio");
    let checked = check_every_option(&sources, "shore-glaze", &Settings::default());
    assert_eq!(checked.diagnostics, []);
    let mut made = Vec::new();
    for (finish, body) in [
        ("glossy", "fluid"),
        ("glossy", "thick"),
        ("matt", "fluid"),
        ("matt", "thick"),
    ] {
        let chosen = [("finish", finish), ("body", body)];
        let chosen = chosen.map(|(name, option)| (name.to_owned(), option.to_owned()));
        let settings = Settings {
            choices: chosen.into(),
            ..Settings::default()
        };
        let recipe = check(&sources, "shore-glaze", &settings).recipe.unwrap();
        let shares = recipe.shares().map(|(_, share)| share.clone());
        assert_eq!(shares.sum::<Ratio>(), Ratio::one());
        let sizing = size(&recipe, &Goal::Make(Mass::from_grams(160))).unwrap();
        let lines = listing(&sizing.procedure);
        let grams = lines
            .iter()
            .map(|line| format!("{} {:.2}", line.ingredient, line.target_g.unwrap()));
        made.push(format!(
            "{finish}, {body}: {}",
            grams.collect::<Vec<_>>().join(", ")
        ));
    }
    insta::assert_snapshot!(made.join("\n"), @r"
    glossy, fluid: clear-binder 121.62, slow-medium 38.22, glide-drops 0.16
    glossy, thick: open-gel 118.46, slow-medium 41.37, glide-drops 0.18
    matt, fluid: clear-binder 117.16, slow-medium 36.82, hush-powder 5.86, glide-drops 0.16
    matt, thick: open-gel 113.77, slow-medium 39.73, hush-powder 6.32, glide-drops 0.17
    ");
}

#[test]
fn the_show_piece_is_short_and_small() {
    let recipe = recipe("lagoon-round");
    let sizing = size(&recipe, &Goal::Make(Mass::from_grams(150))).unwrap();
    let lines: Vec<String> = listing(&sizing.procedure)
        .iter()
        .map(|line| {
            format!(
                "{} {} {:.3} {}",
                line.step,
                line.ingredient,
                line.target_g.unwrap(),
                line.count.as_deref().unwrap_or("-")
            )
        })
        .collect();
    insta::assert_snapshot!(lines.join("\n"), @r"
    1 lagoon-paste 21.000 -
    2 soft-water 9.000 -
    4 slow-medium 82.764 -
    5 pearl-medium 31.393 -
    8 linen-white 5.708 -
    9 glide-drops 0.135 5 drops
    ");
}

/// Returns the first field of a value's debug text: the name of its variant.
fn variant(value: &impl std::fmt::Debug) -> String {
    let text = format!("{value:?}");
    text.split([' ', '(', '{']).next().unwrap().to_owned()
}

#[test]
fn the_studio_uses_every_kind_of_step_and_of_amount() {
    let sources = folder("studio");
    let (mut steps, mut sized, mut written) = (BTreeSet::new(), BTreeSet::new(), BTreeSet::new());
    for stem in sources.stems() {
        let recipe = recipe(stem);
        let goal = Goal::Make(recipe.makes().unwrap());
        for step in size(&recipe, &goal).unwrap().procedure.steps {
            steps.insert(variant(&step.kind));
            if let StepKind::Add(addition) = &step.kind {
                sized.insert(variant(&addition.amount));
            }
        }
        let lines = sources.recipe(stem).unwrap().text().lines();
        let amounts = lines.filter_map(|line| line.strip_prefix("amount")?.split('"').nth(1));
        written.extend(amounts.map(|amount| variant(&amount.parse::<WrittenAmount>().unwrap())));
    }
    let names = |set: BTreeSet<String>| set.into_iter().collect::<Vec<_>>().join(" ");
    assert_eq!(names(steps), "Add Look Note Rest Stir Strain Thin Trail");
    assert_eq!(names(sized), "ByEye Counted Range Weighed Whole");
    assert_eq!(
        names(written),
        "ByEye Parts Percent PercentOf Quantity Range Whole"
    );
}

#[test]
fn a_line_for_programs_names_its_units() {
    let recipe = recipe("lagoon-round");
    let sizing = size(&recipe, &Goal::Make(Mass::from_grams(300))).unwrap();
    let lines = listing(&sizing.procedure);
    let json = serde_json::to_string_pretty(lines.last().unwrap()).unwrap();
    insta::assert_snapshot!(json, @r#"
    {
      "step": 9,
      "ingredient": "glide-drops",
      "name": "Glide additive",
      "target_g": 0.27,
      "least_g": null,
      "at_most_g": null,
      "splash_g": null,
      "share": "9/10000",
      "percent": 0.09,
      "count": "10 drops",
      "within_g": null,
      "amount": null
    }
    "#);
}
