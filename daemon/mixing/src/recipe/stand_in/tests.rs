use proptest::prelude::*;

use crate::diagnostic::Finding;
use crate::document::{Source, Sources};
use crate::ratio::Ratio;
use crate::recipe::{Checked, Settings, check};
use crate::sizing::{Goal, size};
use tarehand_protocol::Mass;

/// Checks a recipe of `gel`, `binder` and `water` with a shelf that has no gel.
fn checked(steps: &[(&str, &str)], stand_in: &str) -> Checked {
    let shelf = format!(
        "[ingredient.gel]\nname = \"Open gel\"\nstock = \"0 g\"\ndrop = \"30 mg\"\n{stand_in}\n\
         [ingredient.syrup]\nname = \"Slow syrup\"\n[ingredient.binder]\n[ingredient.water]\n"
    );
    let mut text = "[recipe]\nname = \"Some mix\"\nmakes = \"100 g\"\n".to_owned();
    for (add, amount) in steps {
        text += &format!("[[step]]\nadd = \"{add}\"\namount = \"{amount}\"\n");
    }
    let sources = Sources::new()
        .with_shelf(Source::new("shelf.toml", shelf))
        .with_recipe("mix", Source::new("mix.toml", text));
    check(&sources, "mix", &Settings::default())
}

fn shares(checked: &Checked) -> Vec<(String, Ratio)> {
    let recipe = checked
        .recipe
        .as_ref()
        .unwrap_or_else(|| panic!("{:#?}", checked.diagnostics));
    recipe
        .shares()
        .map(|(ingredient, share)| (ingredient.key.clone(), share.clone()))
        .collect()
}

const SYRUP: &str = "[[ingredient.gel.stand_in]]\nuse = \"syrup\"\nratio = \"0.5\"\nalso = { water = \"+0.25\" }\nnote = \"it dries slower\"";

// By hand: 50 g of gel become 25 g of syrup and 12.5 g of water beside 50 g of binder: 87.5 g in all.
fn texts(findings: &[Finding]) -> Vec<String> {
    findings.iter().map(ToString::to_string).collect()
}

#[test]
fn what_is_not_to_be_had_is_replaced_and_the_batch_keeps_its_size() {
    let checked = checked(&[("gel", "50 parts"), ("binder", "50 parts")], SYRUP);
    let share = |key: &str, sevenths| (key.to_owned(), Ratio::new(sevenths, 7));
    assert_eq!(
        shares(&checked),
        [share("syrup", 2), share("water", 1), share("binder", 4)]
    );
    let said = &checked.diagnostics[0];
    assert_eq!(
        said.message,
        "Open gel is not to be had: Slow syrup stands in for it"
    );
    assert_eq!(said.help.as_deref(), Some("it dries slower"));
    let sizing = size(&checked.recipe.unwrap(), &Goal::Make(Mass::from_grams(100))).unwrap();
    assert_eq!(
        texts(&sizing.notes()),
        [
            "with stand-ins: binder 57.14 g (57.14 %) instead of 50.00 g (50 %)",
            "with stand-ins: Open gel 0.00 g (0 %) instead of 50.00 g (50 %)",
            "with stand-ins: Slow syrup 28.57 g (28.57 %) instead of 0.00 g (0 %)",
            "with stand-ins: water 14.29 g (14.29 %) instead of 0.00 g (0 %)",
        ]
    );
}

#[test]
fn drops_of_the_one_are_weighed_of_the_other() {
    let checked = checked(
        &[("gel", "100 drops"), ("binder", "1 part")],
        "[[ingredient.gel.stand_in]]\nuse = \"syrup\"",
    );
    let recipe = checked.recipe.clone().unwrap();
    let sizing = size(&recipe, &Goal::Make(Mass::from_grams(100))).unwrap();
    let target = sizing.procedure.steps[0].kind.target();
    assert_eq!(target, Some(Mass::from_grams(3)));
}

#[test]
fn what_is_there_is_not_replaced() {
    let shelf = "[ingredient.gel]\nstock = \"5 g\"\n[[ingredient.gel.stand_in]]\nuse = \"syrup\"\n[ingredient.syrup]\n";
    let sources = Sources::new()
        .with_shelf(Source::new("shelf.toml", shelf))
        .with_recipe(
            "mix",
            Source::new(
                "mix.toml",
                "[recipe]\nname = \"M\"\n[[step]]\nadd = \"gel\"\namount = \"1 part\"\n",
            ),
        );
    let recipe = check(&sources, "mix", &Settings::default()).recipe.unwrap();
    assert!(recipe.replaced().is_empty());
}

#[track_caller]
fn says(stand_in: &str, message: &str) {
    let checked = checked(
        &[
            ("gel", "50 parts"),
            ("water", "10 parts"),
            ("binder", "40 parts"),
        ],
        stand_in,
    );
    let errors: Vec<&str> = checked
        .diagnostics
        .iter()
        .filter(|diagnostic| diagnostic.is_error())
        .map(|diagnostic| diagnostic.message.as_str())
        .collect();
    assert_eq!(errors, [message]);
}

#[test]
fn a_stand_in_that_cannot_be_is_said() {
    let also = |grams: &str| {
        format!("[[ingredient.gel.stand_in]]\nuse = \"syrup\"\nalso = {{ water = \"{grams}\" }}")
    };
    says(
        &also("-0.3"),
        "`syrup` in place of `gel` takes away more `water` than the recipe has",
    );
    says(
        &also("much"),
        "what else changes is grams for each gram, more or less",
    );
    says(
        "[[ingredient.gel.stand_in]]\nuse = \"sirup\"",
        "`sirup` is not on the shelf",
    );
    says(
        "[[ingredient.gel.stand_in]]\nratio = \"1\"",
        "what stands in is not said",
    );
    says(
        "[[ingredient.gel.stand_in]]\nuse = \"syrup\"\nratio = \"0\"",
        "a stand-in's ratio is a number above zero",
    );
}

#[test]
fn water_that_a_stand_in_makes_superfluous_is_left_out() {
    let checked = checked(
        &[
            ("gel", "50 parts"),
            ("water", "10 parts"),
            ("binder", "40 parts"),
        ],
        "[[ingredient.gel.stand_in]]\nuse = \"syrup\"\nalso = { water = \"-0.2\" }",
    );
    let keys: Vec<String> = shares(&checked).into_iter().map(|(key, _)| key).collect();
    assert_eq!(keys, ["syrup", "binder"]);
}

proptest! {
    #[test]
    fn shares_stay_whole_and_what_is_untouched_keeps_its_ratio(
        gel in 1_u32..500, binder in 1_u32..500, water in 1_u32..500, ratio in 1_u32..300, also in 0_u32..100,
    ) {
        let parts = |parts: u32| format!("{parts} parts");
        let stand_in = format!(
            "[[ingredient.gel.stand_in]]\nuse = \"syrup\"\nratio = \"{}.{:02}\"\nalso = {{ water = \"0.{also:02}\" }}",
            ratio / 100,
            ratio % 100
        );
        let (gel_text, binder_text, water_text) = (parts(gel), parts(binder), parts(water));
        let checked = checked(&[("gel", &gel_text), ("binder", &binder_text), ("water", &water_text)], &stand_in);
        let shares = shares(&checked);
        prop_assert_eq!(shares.iter().map(|(_, share)| share.clone()).sum::<Ratio>(), Ratio::one());
        let share = |key: &str| shares.iter().find(|(of, _)| of == key).map(|(_, share)| share.clone()).unwrap();
        // Syrup to binder is as ratio × gel to binder, water to binder as water + also × gel to binder.
        let binder_share = share("binder");
        prop_assert_eq!(
            share("syrup").checked_div(&binder_share),
            Ratio::new(i64::from(gel) * i64::from(ratio), 100 * i64::from(binder)).checked_div(&Ratio::one())
        );
        prop_assert_eq!(
            share("water").checked_div(&binder_share),
            Ratio::new(100 * i64::from(water) + i64::from(also) * i64::from(gel), 100 * i64::from(binder)).checked_div(&Ratio::one())
        );
    }
}
