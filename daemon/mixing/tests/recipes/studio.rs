//! The demonstration folder: every file of it checks clean and can be sized.

use tarehand_mixing::diagnostic::{Paint, render};
use tarehand_mixing::recipe::{Recipe, Settings, check};
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
    assert_eq!(stems.len(), 8);
    for stem in stems {
        let recipe = recipe(stem);
        let planned = recipe.makes().unwrap();
        let sizing = size(&recipe, &Goal::Make(planned)).unwrap();
        assert_eq!(sizing.assumed, Vec::<String>::new());
    }
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
                line.grams.unwrap(),
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
