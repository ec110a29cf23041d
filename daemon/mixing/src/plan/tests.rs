use std::collections::BTreeMap;

use proptest::prelude::*;

use super::*;
use crate::document::{Source, Sources};
use crate::recipe::Settings;
use crate::set::check;

/// A shelf of five raw ingredients, `r0` to `r4`, of different densities.
const SHELF: &str = "
[ingredient.r0]
density = \"1.06 g/ml\"
stock   = \"20 g\"
price   = \"8 EUR per 250 g\"
[ingredient.r1]
density = \"0.9982 g/ml\"
water   = \"100 %\"
[ingredient.r2]
density = \"1.38 g/ml\"
[ingredient.r3]
density = \"4.2 g/ml\"
form    = \"powder\"
[ingredient.r4]
density = \"0.97 g/ml\"
";

fn sources(recipes: &[(&str, String)]) -> Sources {
    let mut sources = Sources::new().with_shelf(Source::new("shelf.toml", SHELF));
    for (stem, text) in recipes {
        sources = sources.with_recipe(*stem, Source::new(format!("{stem}.toml"), text.clone()));
    }
    sources
}

fn planned(set: &str, recipes: &[(&str, String)]) -> Plan {
    let source = Source::new("set.toml", set);
    let checked = check(&source, &sources(recipes), &Settings::default());
    let set = checked
        .set
        .unwrap_or_else(|| panic!("{:#?}", checked.diagnostics));
    plan(&set, &checked.shelf).unwrap()
}

/// Writes a recipe of parts.
fn recipe(parts: &[(&str, u32)]) -> String {
    let mut text = "[recipe]\nname = \"Some mix\"\n".to_owned();
    for (add, amount) in parts {
        text += &format!("[[step]]\nadd = \"{add}\"\namount = \"{amount} parts\"\n");
    }
    text
}

// Computed: 4 : 1 by volume of 1.06 and 0.9982 is 4.248 : 1 by weight.
#[test]
fn shares_by_volume_are_weighed_by_density() {
    let recipes = [("a", recipe(&[("r0", 1)])), ("b", recipe(&[("r1", 1)]))];
    let set = |basis: &str| {
        planned(
            &format!(
                "[set]\nname = \"S\"\nbasis = \"{basis}\"\nyield = \"1 mm\"\n\
                 [[surface]]\narea = \"1000 cm2\"\n\
                 [[jar]]\nrecipe = \"a\"\nshare = \"4 parts\"\n[[jar]]\nrecipe = \"b\"\nshare = \"1 part\"\n"
            ),
            &recipes,
        )
    };
    let by_volume = set("volume");
    let ratio = by_volume.jars[0]
        .exact
        .checked_div(&by_volume.jars[1].exact)
        .unwrap();
    assert_eq!(format!("{:.3}", ratio.to_f64()), "4.248");
    let by_weight = set("weight");
    assert_eq!(
        by_weight.jars[0]
            .exact
            .checked_div(&by_weight.jars[1].exact),
        Some(Ratio::new(4, 1))
    );
    for plan in [by_volume, by_weight] {
        let volume: Ratio = plan
            .jars
            .iter()
            .map(|jar| jar.volume.clone().unwrap().microlitres().clone())
            .sum();
        assert_eq!(volume, Ratio::new(100_000, 1), "the jars fill the pour");
        let covers = plan.jars.iter().filter_map(|jar| jar.covers.as_ref());
        let square_mm: Ratio = covers.map(|covers| covers.square_mm.clone()).sum();
        assert_eq!(square_mm, plan.square_mm, "and cover the surface together");
    }
}

#[test]
fn a_premix_that_several_use_is_one_amount_with_one_heel() {
    let recipes = [
        ("medium", recipe(&[("r0", 4), ("r1", 1)])),
        ("pearl", recipe(&[("medium", 3), ("r3", 1)])),
        ("a", recipe(&[("medium", 1), ("pearl", 1)])),
        ("b", recipe(&[("pearl", 1), ("r2", 1)])),
    ];
    let plan = planned(
        "[set]\nname = \"S\"\nheel = \"2 g\"\n\
         [[jar]]\nrecipe = \"a\"\nmake = \"100 g\"\n[[jar]]\nrecipe = \"b\"\nmake = \"60 g\"\n",
        &recipes,
    );
    let premixes: Vec<(&str, String)> = plan
        .premixes
        .iter()
        .map(|premix| (premix.key.as_str(), premix.mass.to_string()))
        .collect();
    // pearl: 50 + 30 + 2; medium: 50 + 3/4 of 82 + 2.
    assert_eq!(
        premixes,
        [
            ("medium", "113.5 g".to_owned()),
            ("pearl", "82 g".to_owned())
        ]
    );
    let r0 = plan
        .raw
        .iter()
        .find(|need| need.ingredient.key == "r0")
        .unwrap();
    assert_eq!(r0.mass.to_string(), "90.8 g");
    let shortage = r0.shortage.as_ref().unwrap();
    assert_eq!(shortage.by.to_string(), "70.8 g");
    assert_eq!(shortage.packs.map(|(packs, _)| packs), Some(1));
    assert_eq!(
        plan.cost.money[&Some("EUR".to_owned())],
        Ratio::new(29_056, 10_000)
    );
    let about: Vec<&str> = plan
        .warnings
        .iter()
        .map(|warning| warning.about.as_str())
        .collect();
    assert_eq!(about, ["r0"]);
}

#[test]
fn water_inside_premixes_counts_towards_the_warning() {
    let recipes = [
        ("wash", recipe(&[("r0", 1), ("r1", 1)])),
        ("a", recipe(&[("wash", 4), ("r1", 1)])),
    ];
    let set = |limit: &str| {
        format!(
            "[set]\nname = \"S\"\nwater_warning = \"{limit}\"\n[[jar]]\nrecipe = \"a\"\nmake = \"40 g\"\n"
        )
    };
    assert_eq!(planned(&set("60 %"), &recipes).warnings, []);
    let warned = planned(&set("55 %"), &recipes).warnings;
    assert_eq!(
        warned[0].matter.to_string(),
        "Some mix, thinned at most: 60 % of the jar by weight is added water, thinner and premixes counted; more than \
         the limit of 55 % set for a warning; the film may not hold"
    );
}

#[test]
fn a_jar_thicker_than_one_before_it_is_named() {
    let with_trail = |trail: &str| {
        recipe(&[("r0", 1)]).replace(
            "name = \"Some mix\"",
            &format!("name = \"{trail} mix\"\ntrail = \"{trail}\""),
        )
    };
    let recipes = [
        ("base", with_trail("4 s")),
        ("thin", with_trail("none")),
        ("colour", with_trail("2 s")),
    ];
    let jar = |stem: &str| format!("[[jar]]\nrecipe = \"{stem}\"\nmake = \"50 g\"\n");
    let set = format!(
        "[set]\nname = \"S\"\n{}{}{}",
        jar("base"),
        jar("thin"),
        jar("colour")
    );
    let about: Vec<String> = planned(&set, &recipes)
        .warnings
        .into_iter()
        .map(|warning| warning.about)
        .collect();
    assert_eq!(about, ["colour", "r0"]);
}

type Parts = Vec<(u32, usize)>;

/// Premixes of four levels and jars that use everything below them.
fn nested() -> impl Strategy<Value = Vec<Parts>> {
    prop::collection::vec(prop::collection::vec((1_u32..50, 0_usize..20), 1..5), 5..9)
}

/// Names what a mix of a level may be made of: five raw ingredients and the mixes below it.
fn texts(mixes: &[Parts]) -> Vec<(String, String)> {
    let write = |(level, parts): (usize, &Parts)| {
        let below = level.min(4);
        let name = |choice: usize| match choice % (5 + below) {
            raw @ 0..5 => format!("r{raw}"),
            premix => format!("m{}", premix - 5),
        };
        let parts: Vec<(String, u32)> = parts
            .iter()
            .map(|&(amount, choice)| (name(choice), amount))
            .collect();
        let parts: Vec<(&str, u32)> = parts
            .iter()
            .map(|(name, amount)| (name.as_str(), *amount))
            .collect();
        (format!("m{level}"), recipe(&parts))
    };
    mixes.iter().enumerate().map(write).collect()
}

fn set_of(mixes: usize, area: u32, heel: Option<u32>) -> String {
    let mut text = "[set]\nname = \"S\"\nspare = \"7 %\"\n".to_owned();
    if let Some(heel) = heel {
        text += &format!("heel = \"{heel} g\"\n");
    }
    text += &format!("[[surface]]\narea = \"{area} cm2\"\n");
    for jar in 4..mixes {
        text += &format!(
            "[[jar]]\nrecipe = \"m{jar}\"\nshare = \"{} parts\"\n",
            jar - 3
        );
    }
    text
}

/// What a vessel holds, by raw ingredient.
type Holds = BTreeMap<String, Ratio>;

/// Mixes everything a plan says, premixes first, and returns what is in every vessel: only what is by ratio.
fn mixed_up(plan: &Plan) -> BTreeMap<Into, Holds> {
    let mut vessels: BTreeMap<Into, Holds> = BTreeMap::new();
    let order = plan
        .premixes
        .iter()
        .map(|premix| Into::Premix(premix.key.clone()))
        .chain((0..plan.jars.len()).map(Into::Jar));
    for vessel in order {
        let mut holds = Holds::new();
        for draw in plan.draws.iter().filter(|draw| draw.into == vessel) {
            let key = &draw.ingredient.key;
            match plan.premixes.iter().find(|premix| &premix.key == key) {
                None => {
                    let sum = holds.entry(key.clone()).or_insert_with(Ratio::zero);
                    *sum = &*sum + &draw.exact;
                }
                Some(premix) => {
                    for (raw, mass) in &vessels[&Into::Premix(key.clone())] {
                        let part = (mass * &draw.exact).checked_div(&premix.exact).unwrap();
                        let sum = holds.entry(raw.clone()).or_insert_with(Ratio::zero);
                        *sum = &*sum + &part;
                    }
                }
            }
        }
        vessels.insert(vessel, holds);
    }
    vessels
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn a_plan_mixed_up_again_is_every_jars_recipe_exactly(mixes in nested(), area in 1_u32..100_000, heel in prop::option::of(1_u32..50)) {
        let texts = texts(&mixes);
        let recipes: Vec<(&str, String)> = texts.iter().map(|(stem, text)| (stem.as_str(), text.clone())).collect();
        let plan = planned(&set_of(mixes.len(), area, heel), &recipes);
        let vessels = mixed_up(&plan);
        let source = Source::new("set.toml", set_of(mixes.len(), area, heel));
        let set = check(&source, &sources(&recipes), &Settings::default()).set.unwrap();
        for (place, (jar, planned)) in set.jars.iter().zip(&plan.jars).enumerate() {
            let holds = &vessels[&Into::Jar(place)];
            for need in crate::sizing::needs(&jar.recipe, tarehand_protocol::Mass::ZERO) {
                prop_assert_eq!(&holds[&need.ingredient.key], &(&need.share * &planned.exact));
            }
            prop_assert_eq!(holds.values().cloned().sum::<Ratio>(), planned.exact.clone());
        }
        // Shelf, jars and heels balance: whatever left the shelf is in a jar or stays in a vessel.
        let left: Ratio = plan.raw.iter().map(|need| need.exact.clone()).sum();
        let jars: Ratio = plan.jars.iter().map(|jar| jar.exact.clone()).sum();
        let heels: Ratio = plan.premixes.iter().map(|premix| Ratio::from_mass(premix.heel)).sum();
        prop_assert_eq!(left, &jars + &heels);
    }

    #[test]
    fn without_heels_a_plan_is_linear_in_its_area(mixes in nested(), area in 1_u32..10_000, times in 2_u32..9) {
        let texts = texts(&mixes);
        let recipes: Vec<(&str, String)> = texts.iter().map(|(stem, text)| (stem.as_str(), text.clone())).collect();
        let one = planned(&set_of(mixes.len(), area, None), &recipes);
        let many = planned(&set_of(mixes.len(), area * times, None), &recipes);
        for (one, many) in one.draws.iter().zip(&many.draws) {
            prop_assert_eq!(&(&one.exact * &Ratio::new(i64::from(times), 1)), &many.exact);
        }
        for (one, many) in one.raw.iter().zip(&many.raw) {
            prop_assert_eq!(&(&one.exact * &Ratio::new(i64::from(times), 1)), &many.exact);
        }
    }

    #[test]
    fn stock_never_falls_below_zero_without_being_said(mixes in nested(), area in 1_u32..10_000) {
        let texts = texts(&mixes);
        let recipes: Vec<(&str, String)> = texts.iter().map(|(stem, text)| (stem.as_str(), text.clone())).collect();
        let plan = planned(&set_of(mixes.len(), area, None), &recipes);
        for need in &plan.raw {
            if let Some(stock) = need.ingredient.stock {
                let short = stock < need.most;
                prop_assert_eq!(need.shortage.is_some(), short);
                let said = plan.warnings.iter().any(|warning| warning.about == need.ingredient.key);
                prop_assert_eq!(said, short);
            }
        }
    }
}
