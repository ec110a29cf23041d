//! What speaks against a procedure on a scale.

use tarehand_mixing::concern::{Concern, Outfit, concerns};
use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::recipe::{Settings, check};
use tarehand_mixing::sizing::{Goal, size};
use tarehand_protocol::Mass;

const SHELF: &str = r#"
[ingredient.base]
density = "1.2 g/ml"
stock = "300 g"

[ingredient.tint]
drop = "40 mg"
density = "1 g/ml"
"#;

const RECIPE: &str = r#"
[recipe]
name = "Try"
makes = "100 g"
jar = "90 ml"

[[step]]
add = "base"
amount = "1 part"

[[step]]
add = "tint"
amount = "5 g"
within = "0.2 g"

[[step]]
add = "tint"
amount = "10 drops"
"#;

fn said(grams: i64, outfit: Outfit) -> String {
    let sources = Sources::new()
        .with_shelf(Source::new("shelf.toml", SHELF))
        .with_recipe("try", Source::new("try.toml", RECIPE));
    let recipe = check(&sources, "try", &Settings::default()).recipe.unwrap();
    let procedure = size(&recipe, &Goal::Make(Mass::from_grams(grams)))
        .unwrap()
        .procedure;
    let found = concerns(&procedure, &outfit);
    let lines = found.iter().map(|concern: &Concern| {
        let ways: String = concern
            .ways()
            .iter()
            .map(|way| format!("\n  - {way}"))
            .collect();
        format!("{concern}{ways}")
    });
    lines.collect::<Vec<_>>().join("\n")
}

fn scale(division_mg: i64, capacity_g: i64) -> Outfit {
    Outfit {
        division: Some(Mass::from_milligrams(division_mg)),
        capacity: Some(Mass::from_grams(capacity_g)),
        tare: None,
    }
}

#[test]
fn a_fine_scale_and_a_fitting_jar_draw_no_word() {
    assert_eq!(said(100, scale(10, 1_000)), "");
}

#[test]
fn a_coarse_scale_widens_the_tolerance_and_ways_round_are_offered() {
    insta::assert_snapshot!(said(100, scale(1_000, 3_000)), @"");
}

#[test]
fn what_is_below_the_uncertainty_cannot_be_weighed() {
    insta::assert_snapshot!(said(15, scale(1_000, 3_000)), @"");
}

#[test]
fn jar_stock_and_capacity_are_looked_at() {
    let outfit = Outfit {
        tare: Some(Mass::from_grams(120)),
        ..scale(10, 500)
    };
    insta::assert_snapshot!(said(400, outfit), @"");
}

#[test]
fn an_unknown_jar_on_a_small_scale_is_mentioned() {
    insta::assert_snapshot!(said(100, scale(10, 150)), @"");
}
