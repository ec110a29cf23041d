//! Recipes that can be used, and what becomes of them.

use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::recipe::{Recipe, Settings, check};
use tarehand_mixing::sizing::{Goal, SizeError, needs, size};
use tarehand_mixing::units::{FluidOunce, Measures, Spoon, Volume};
use tarehand_mixing::{Amount, StepKind};
use tarehand_protocol::Mass;

use crate::support::folder;

fn settings() -> Settings {
    Settings {
        measures: Measures {
            spoon: Some(Spoon::Us),
            fluid_ounce: Some(FluidOunce::Us),
        },
        ..Settings::default()
    }
}

fn recipe(stem: &str) -> std::sync::Arc<Recipe> {
    let checked = check(&folder("recipes/good"), stem, &settings());
    assert!(
        !checked.diagnostics.iter().any(|said| said.is_error()),
        "{:?}",
        checked.diagnostics
    );
    checked.recipe.unwrap()
}

/// The targets in micrograms.
#[track_caller]
fn check_sizes(stem: &str, goal: &Goal, expect: &[i64]) {
    let procedure = size(&recipe(stem), goal).unwrap().procedure;
    let targets = procedure.steps.iter().filter_map(|step| step.kind.target());
    let targets: Vec<i64> = targets.map(Mass::micrograms).collect();
    assert_eq!(targets, expect);
}

#[test]
fn a_first_recipe_needs_neither_shelf_nor_total() {
    let recipe = recipe("first");
    assert_eq!(recipe.makes(), Some(Mass::from_grams(50)));
    check_sizes(
        "first",
        &Goal::Make(Mass::from_grams(100)),
        &[80_000_000, 20_000_000],
    );
}

#[test]
fn only_parts_fit_any_size_but_have_none_of_their_own() {
    assert_eq!(recipe("parts").makes(), None);
    check_sizes(
        "parts",
        &Goal::Make(Mass::from_grams(1)),
        &[800_000, 200_000],
    );
}

// 453.59237 g; 2 × 29.5735295625 ml and 14.78676478125 ml at 1.05 g/ml; 30 ml at 1.21 g/ml.
// Volumes: exact by definition, PyPI `pint`.
#[test]
fn volumes_and_spoons_become_weights_through_the_density() {
    let recipe = recipe("kitchen");
    let makes = recipe.makes().unwrap();
    check_sizes(
        "kitchen",
        &Goal::Make(makes),
        &[
            453_592_370,
            62_104_412,
            15_526_103,
            36_300_000,
            3_700_000,
            90_000,
        ],
    );
}

#[test]
fn what_there_is_of_one_ingredient_sets_the_size() {
    let have = Mass::from_grams(20);
    let goal = |ingredient: &str| Goal::From {
        ingredient: ingredient.to_owned(),
        have,
    };
    check_sizes("parts", &goal("thin-binder"), &[80_000_000, 20_000_000]);
    // In a premix with one fifth of it, 30 % of the jar: 6 % are 20 g.
    check_sizes("nested", &goal("thin-binder"), &[100_000_000, 233_333_333]);
    check_sizes("nested", &goal("parts"), &[20_000_000, 46_666_666]);
    let error = size(&recipe("parts"), &goal("thin-bindr")).unwrap_err();
    assert_eq!(
        error.to_string(),
        "`thin-bindr` has no share in `parts`; did you mean `thin-binder`?"
    );
}

// Ideal mixing: ρ = Σm/Σ(m/ρ). 4:1 of 1.21 and 1.05 is 1/(0.8/1.21 + 0.2/1.05) = 1.174214 g/ml.
#[test]
fn a_jar_is_filled_through_the_densities() {
    let goal = Goal::Jar(Volume::from_millilitres(100));
    let sizing = size(&recipe("parts"), &goal).unwrap();
    assert_eq!(sizing.procedure.planned, Mass::from_micrograms(117_421_441));
    assert_eq!(sizing.assumed, Vec::<String>::new());
    let sizing = size(&recipe("first"), &goal).unwrap();
    assert_eq!(sizing.procedure.planned, Mass::from_grams(100));
    assert_eq!(
        sizing
            .notes()
            .iter()
            .map(ToString::to_string)
            .collect::<Vec<_>>(),
        ["no density is known for paint, water: 1 g/ml is assumed"]
    );
}

#[test]
fn premixes_are_taken_apart_for_the_shelf() {
    let needs = needs(&recipe("nested"), Mass::from_grams(100));
    let needs: Vec<(&str, Mass)> = needs
        .iter()
        .map(|need| (need.ingredient.key.as_str(), need.most))
        .collect();
    // 70 g and four fifths of 30 g; one fifth of 30 g.
    assert_eq!(
        needs,
        [
            ("grey-base", Mass::from_grams(94)),
            ("thin-binder", Mass::from_grams(6))
        ]
    );
}

#[test]
fn tolerances_in_grams_and_splashes_scale_with_the_batch() {
    let checked = check(&folder("studio"), "linen-ground", &Settings::default());
    let recipe = checked.recipe.unwrap();
    let sized = |grams| {
        size(&recipe, &Goal::Make(Mass::from_grams(grams)))
            .unwrap()
            .procedure
    };
    let (one, three) = (sized(760), sized(2_280));
    for (small, large) in one.steps.iter().zip(&three.steps) {
        match (&small.kind, &large.kind) {
            (
                StepKind::Thin { by, at_most, .. },
                StepKind::Thin {
                    by: more,
                    at_most: most,
                    ..
                },
            ) => {
                assert_eq!(more.micrograms(), 3 * by.micrograms());
                assert_eq!(
                    most.unwrap().micrograms(),
                    3 * at_most.unwrap().micrograms()
                );
            }
            (StepKind::Add(small), StepKind::Add(large)) => {
                if let (
                    Amount::Range { low, high },
                    Amount::Range {
                        low: more,
                        high: most,
                    },
                ) = (&small.amount, &large.amount)
                {
                    assert_eq!(more.micrograms(), 3 * low.micrograms());
                    assert_eq!(most.micrograms(), 3 * high.micrograms());
                }
            }
            (small, large) => assert_eq!(small, large),
        }
    }
    let notes = three.steps.iter().filter_map(|step| step.note.as_deref());
    let counted: Vec<&str> = notes.filter(|note| note.contains("drops")).collect();
    assert_eq!(
        counted,
        ["from 12 drops to 27 drops; only until the white loses its glare"]
    );
}

#[test]
fn a_batch_of_nothing_or_of_everything_is_refused() {
    let recipe = recipe("parts");
    let make = |mass| size(&recipe, &Goal::Make(mass)).unwrap_err();
    assert_eq!(make(Mass::ZERO), SizeError::TooSmall(Mass::ZERO));
    assert_eq!(
        make(Mass::from_micrograms(2)),
        SizeError::TooSmall(Mass::from_micrograms(2))
    );
    assert_eq!(make(Mass::LIMIT + Mass::from_grams(1)), SizeError::TooLarge);
}

/// A recipe of a binder and water, and nothing else.
fn binder_and_water(binder: &str, water: &str) -> std::sync::Arc<Recipe> {
    let shelf = "[ingredient.binder]\ndensity = \"1.06 g/ml\"\n[ingredient.water]\ndensity = \"0.9982 g/ml\"\n";
    let text = format!(
        "[recipe]\nname = \"Both\"\n[[step]]\nadd = \"binder\"\namount = \"{binder}\"\n[[step]]\nadd = \"water\"\namount = \"{water}\"\n"
    );
    let sources = Sources::new()
        .with_shelf(Source::new("shelf.toml", shelf))
        .with_recipe("both", Source::new("both.toml", text));
    check(&sources, "both", &Settings::default())
        .recipe
        .unwrap()
}

// Computed: 4·1.06 / 0.9982 = 4.248.
#[test]
fn four_to_one_by_volume_is_another_ratio_by_weight() {
    let recipe = binder_and_water("80 ml", "20 ml");
    let shares: Vec<f64> = recipe.shares().map(|(_, share)| share.to_f64()).collect();
    assert!((shares[0] / shares[1] - 4.248).abs() < 0.000_5);
}

// Ideal mixing, ρ = Σm/Σ(m/ρ): 4:1 by weight of 1.06 and 0.9982 is 1.0470 (computed).
#[test]
fn the_density_of_a_premix_follows_from_its_parts() {
    let density = binder_and_water("4 parts", "1 part").density().unwrap();
    assert_eq!(density.ug_per_ml() / 100, 10_470);
    assert_eq!(recipe("first").density(), None);
}

#[test]
fn without_a_shelf_names_are_simply_names() {
    let good = folder("recipes/good");
    let sources = Sources::new().with_recipe("first", good.recipe("first").unwrap().clone());
    let checked = check(&sources, "first", &Settings::default());
    assert!(checked.is_clean());
    let said: Vec<&str> = checked
        .diagnostics
        .iter()
        .map(|said| said.message.as_str())
        .collect();
    assert_eq!(
        said,
        [
            "`paint` is taken as a name alone: there is no shelf",
            "`water` is taken as a name alone: there is no shelf",
        ]
    );
}
