//! What a shelf with packs means for a recipe.

use tarehand_mixing::diagnostic::{Paint, render};
use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::recipe::{Settings, check};
use tarehand_mixing::shelf::Shelf;
use tarehand_protocol::Mass;

const SHELF: &str = r#"
[ingredient.base]
family = "acrylic"
price  = "99 EUR per kg"
[[ingredient.base.pack]]
holds   = "500 g"
left    = "0 g"
weighed = "2026-11-02T10:15:00Z"
opened  = "2026-09-01"
price   = "1 EUR"
[[ingredient.base.pack]]
holds   = "1 kg"
left    = "40 g"
weighed = "2026-11-02T10:15:00Z"
opened  = "2026-10-02"
price   = "24.50 EUR"

[ingredient.amber]
family = "Oil"

[ingredient.grey]
made_of = { "base" = "30 g", "amber" = "10 g" }
"#;

const RECIPE: &str = r#"
[recipe]
name = "Try"
makes = "100 g"

[[step]]
add = "base"
amount = "1 part"

[[step]]
add = "amber"
amount = "1 part"
"#;

#[test]
fn stock_and_price_follow_from_the_packs() {
    let (shelf, problems) = Shelf::parse(
        &Source::new("shelf.toml", SHELF),
        &Settings::default().measures,
    );
    assert_eq!(problems, []);
    let base = shelf.get("base").unwrap();
    assert_eq!(base.stock, Some(Mass::from_grams(40)));
    // The oldest one with something left.
    assert_eq!(
        base.price.as_ref().unwrap().to_string(),
        "24.50 EUR per 1000 g"
    );
    let shares = shelf.get("grey").unwrap().made_of.clone().unwrap();
    let shares: Vec<(&str, f64)> = shares
        .iter()
        .map(|(key, share)| (key.as_str(), share.to_f64()))
        .collect();
    assert_eq!(shares, [("amber", 0.25), ("base", 0.75)]);
}

#[test]
fn too_little_in_the_packs_and_two_families_are_warned_of() {
    let sources = Sources::new()
        .with_recipe("try", Source::new("try.toml", RECIPE))
        .with_shelf(Source::new("shelf.toml", SHELF));
    let checked = check(&sources, "try", &Settings::default());
    assert!(checked.recipe.is_some());
    let warnings: Vec<_> = checked
        .diagnostics
        .into_iter()
        .filter(|said| said.severity == tarehand_mixing::diagnostic::Severity::Warning)
        .collect();
    insta::assert_snapshot!(render(&warnings, &sources, Paint::Plain), @r#"
    warning: up to 50 g of base are needed and 40 g are on the shelf
     --> try.toml:7:7
      |
    7 | add = "base"
      |       ^^^^^^
      |
      = help: get 10 g more, or make less; `stock` on the shelf says what there is

    warning: amber is oil and base is acrylic
      --> try.toml:11:7
       |
    11 | add = "amber"
       |       ^^^^^^^
       |
       = help: families that dry in different ways may curdle, crack or peel (common practice): keep to one, or make a dry test first
    "#);
}
