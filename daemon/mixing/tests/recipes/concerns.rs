//! What speaks against a procedure on a scale.

use tarehand_mixing::concern::{Concern, Outfit, concerns};
use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::recipe::{Settings, check};
use tarehand_mixing::sizing::{Goal, size};
use tarehand_mixing::weighing::Scale;
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
        fine: None,
    }
}

#[test]
fn a_fine_scale_and_a_fitting_jar_draw_no_word() {
    assert_eq!(said(100, scale(10, 1_000)), "");
}

#[test]
fn a_coarse_scale_widens_the_tolerance_and_ways_round_are_offered() {
    insta::assert_snapshot!(said(100, scale(1_000, 3_000)), @r"
    5 g of tint within 0.2 g is finer than this scale can tell: within 0.816 g is in force, and so accurately it weighs from 20.4 g up
      - make at least 409 g
      - dilute it 5 times first, with something the recipe holds anyway
      - weigh this step on a scale of 0.2 g or finer
    ");
}

#[test]
fn a_finer_scale_on_the_bench_takes_the_word_back_where_it_carries_the_step() {
    let fine = |capacity: i64| Outfit {
        fine: Some(Scale {
            division: Some(Mass::from_milligrams(10)),
            capacity: Some(Mass::from_grams(capacity)),
        }),
        ..scale(1_000, 3_000)
    };
    assert_eq!(said(100, fine(100)), "");
    assert!(said(100, fine(20)).contains("finer than this scale"));
}

#[test]
fn what_is_below_the_uncertainty_cannot_be_weighed() {
    insta::assert_snapshot!(said(15, scale(1_000, 3_000)), @r"
    0.75 g of tint cannot be weighed here: the scale itself is uncertain by 0.816 g
      - make at least 409 g
      - count drops: weigh twenty once, put `drop` on the shelf and give the amount in drops
      - dilute it 28 times first, with something the recipe holds anyway
      - weigh this step on a scale of 0.02 g or finer
    14.2 g of base within 0.284 g is finer than this scale can tell: within 0.816 g is in force, and so accurately it weighs from 40.8 g up
      - make at least 44 g
      - weigh this step on a scale of 0.2 g or finer
    about 2 drops of tint is 33 % more than the recipe's share
      - make 20 g, and the count comes out even
    ");
}

#[test]
fn jar_stock_and_capacity_are_looked_at() {
    let outfit = Outfit {
        tare: Some(Mass::from_grams(120)),
        ..scale(10, 500)
    };
    insta::assert_snapshot!(said(400, outfit), @r#"
    the jar with 120 g and up to 400 g in it is more than the 500 g this scale weighs
      - make at most 380 g
      - take a jar of at most 100 g
      - weigh out of the bottle: it stands on the scale and the jar beside it (weigh = "bottle", or `tarehand bottle` while mixing)
    up to 336.9 ml go into a jar of 90 ml
      - make at most 106.8 g
      - take a jar of 336.9 ml or more
    up to 378 g of base are needed and 300 g are on the shelf
      - get 78.4 g more
      - make at most 317.1 g
    "#);
}

#[test]
fn an_unknown_jar_on_a_small_scale_is_mentioned() {
    insta::assert_snapshot!(said(100, scale(10, 150)), @"up to 100 g go in and this scale weighs 150 g: the empty jar may weigh 50 g at most, or weigh out of the bottle");
}
