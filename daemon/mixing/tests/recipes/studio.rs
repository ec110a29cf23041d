//! The demonstration folder: every file of it checks clean and can be sized.

use std::collections::BTreeSet;

use tarehand_mixing::diagnostic::{Paint, render};
use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::recipe::{Recipe, Settings, WrittenAmount, check, check_every_option};
use tarehand_mixing::sizing::{Goal, count_text, size};
use tarehand_mixing::{Amount, Procedure, StepKind};
use tarehand_protocol::Mass;

use crate::support::folder;

/// What one step pours inside the ratio.
struct Pour {
    step: usize,
    ingredient: String,
    grams: f64,
    /// How many drops or spoons that is, `-` where it is not counted.
    count: String,
}

fn pours(procedure: &Procedure) -> Vec<Pour> {
    let pour = |(step, kind): (usize, &StepKind)| {
        let StepKind::Add(addition) = kind else {
            return None;
        };
        Some(Pour {
            step,
            ingredient: addition.ingredient.key.clone(),
            grams: addition.amount.target()?.grams(),
            count: match &addition.amount {
                Amount::Counted {
                    unit,
                    each,
                    expected,
                    ..
                } => count_text(*expected, *unit, *each),
                _ => "-".to_owned(),
            },
        })
    };
    let kinds = procedure.steps.iter().map(|step| &step.kind);
    (1..).zip(kinds).filter_map(pour).collect()
}

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
        let pours = pours(&sizing.procedure);
        let grams = pours
            .iter()
            .map(|pour| format!("{} {:.2}", pour.ingredient, pour.grams));
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
    let lines: Vec<String> = pours(&sizing.procedure)
        .iter()
        .map(|pour| {
            format!(
                "{} {} {:.3} {}",
                pour.step, pour.ingredient, pour.grams, pour.count
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
