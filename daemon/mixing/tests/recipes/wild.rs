//! Whatever somebody writes, the check answers.

use std::sync::{Arc, LazyLock};

use proptest::prelude::*;
use tarehand_mixing::Procedure;
use tarehand_mixing::concern::{Outfit, concerns};
use tarehand_mixing::diagnostic::{Paint, render};
use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::recipe::{Recipe, Settings, check};
use tarehand_mixing::sizing::{Goal, contents, needs, size};
use tarehand_mixing::units::Volume;
use tarehand_protocol::Mass;

use crate::support::folder;

static STUDIO: LazyLock<Sources> = LazyLock::new(|| folder("studio"));

/// Recipes of the studio that hold whatever scales with the batch.
static SCALING: LazyLock<Vec<Arc<Recipe>>> = LazyLock::new(|| {
    let stems = ["lagoon-round", "linen-ground", "moss-round", "veil"];
    let recipe = |stem| check(&STUDIO, stem, &Settings::default()).recipe.unwrap();
    stems.map(recipe).to_vec()
});

fn check_answers(sources: &Sources, stem: &str) {
    let checked = check(sources, stem, &Settings::default());
    let _plain = render(&checked.diagnostics, sources, Paint::Plain);
    let has_error = checked.diagnostics.iter().any(|said| said.is_error());
    assert_eq!(checked.recipe.is_none(), has_error);
}

/// A recipe whose every line is in order; whether its amounts add up is another matter.
fn well_formed() -> impl Strategy<Value = String> {
    let names = [
        "slow-medium",
        "pearl-medium",
        "glide-drops",
        "moon-mica",
        "soft-water",
        "open-gel",
        "whatever",
    ];
    let name = prop::sample::select(names.to_vec());
    let number = (1..2_000_i64).prop_map(|tenths| format!("{}.{}", tenths / 10, tenths % 10));
    let unit = prop::sample::select(vec![
        "g",
        "mg",
        "oz",
        "ml",
        "drops",
        "tsp",
        "tbsp",
        "%",
        "parts",
        "% of soft-water",
        "% of slow-medium",
    ]);
    let amount = prop_oneof![
        8 => (number, unit).prop_map(|(number, unit)| format!("{number} {unit}")),
        1 => prop::sample::select(vec!["some", "all", "4..7 g", "2..3 drops"]).prop_map(str::to_owned),
    ];
    let within = prop::option::of(prop::sample::select(vec!["2 %", "0.1 g", "400 %"]));
    let add = (name.clone(), amount, within).prop_map(|(name, amount, within)| {
        let within = within.map_or_else(String::new, |within| format!("within = \"{within}\"\n"));
        format!("[[step]]\nadd = \"{name}\"\namount = \"{amount}\"\n{within}")
    });
    let thin = name
        .prop_map(|name| format!("[[step]]\nthin = \"{name}\"\nby = \"1 g\"\nat_most = \"3 %\"\n"));
    let makes = prop::option::of(prop::sample::select(vec!["150 g", "1 lb", "2 kg"]));
    let steps = prop::collection::vec(prop_oneof![9 => add, 1 => thin], 1..7);
    (makes, steps).prop_map(|(makes, steps)| {
        let makes = makes.map_or_else(String::new, |makes| format!("makes = \"{makes}\"\n"));
        format!(
            "[recipe]\nname = \"Wild\"\njar = \"200 ml\"\n{makes}{}",
            steps.concat()
        )
    })
}

/// Texts that are nearly recipes: lines of good and bad ones in any order, and noise between them.
fn nearly_a_recipe() -> impl Strategy<Value = String> {
    let folders = ["studio", "recipes/good", "recipes/bad"].map(folder);
    let texts = folders.iter().flat_map(|sources| {
        let stems: Vec<&str> = sources.stems().collect();
        stems
            .into_iter()
            .map(|stem| sources.recipe(stem).unwrap().text().to_owned())
            .collect::<Vec<_>>()
    });
    let lines: Vec<String> = texts
        .flat_map(|text| text.lines().map(str::to_owned).collect::<Vec<_>>())
        .collect();
    let line = prop_oneof![9 => prop::sample::select(lines), 1 => ".{0,30}"];
    prop::collection::vec(line, 0..40).prop_map(|lines| lines.join("\n"))
}

proptest! {
    #[test]
    fn any_bytes_are_answered(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let source = Source::from_bytes("wild.toml", &bytes);
        let sources = Sources::new().with_recipe("wild", source.clone()).with_shelf(source);
        check_answers(&sources, "wild");
    }

    #[test]
    fn anything_like_a_recipe_is_answered(text in nearly_a_recipe()) {
        let sources = STUDIO.clone().with_recipe("wild", Source::new("wild.toml", text.clone()));
        check_answers(&sources, "wild");
        let sources = sources.with_shelf(Source::new("wild-shelf.toml", text));
        check_answers(&sources, "wild");
    }

    #[test]
    fn whatever_passes_the_check_can_be_sized(text in well_formed(), grams in 1..3_000_i64) {
        let sources = STUDIO.clone().with_recipe("wild", Source::new("wild.toml", text));
        check_answers(&sources, "wild");
        let Some(recipe) = check(&sources, "wild", &Settings::default()).recipe else {
            return Ok(());
        };
        let shares = recipe.shares().map(|(_, share)| share.clone());
        prop_assert_eq!(shares.sum::<Ratio>(), Ratio::one());
        let inside: Ratio = needs(&recipe, Mass::ZERO).into_iter().map(|need| need.share).sum();
        prop_assert_eq!(inside, Ratio::one());

        let make = Goal::Make(Mass::from_grams(grams));
        let procedure = size(&recipe, &make).unwrap().procedure;
        let coarse = Outfit {
            division: Some(Mass::from_grams(1)),
            capacity: Some(Mass::from_grams(500)),
            tare: None,
        fine: None,
        };
        let said: Vec<String> = concerns(&procedure, &coarse).iter().map(ToString::to_string).collect();
        prop_assert!(said.iter().all(|text| !text.is_empty()));
        let json = serde_json::to_string(&procedure).unwrap();
        prop_assert_eq!(serde_json::from_str::<Procedure>(&json).unwrap(), procedure);

        // A jar filled to the brim takes no more than it holds.
        let jar = Volume::from_millilitres(grams);
        let filled = size(&recipe, &Goal::Jar(jar.clone())).unwrap().procedure;
        prop_assert!(contents(&recipe, filled.planned).volume <= jar);
    }

    #[test]
    fn sizing_is_linear(which in 0..4_usize, grams in 1..5_000_i64, times in 2..50_i64) {
        let recipe = &SCALING[which];
        let sized = |grams| size(recipe, &Goal::Make(Mass::from_grams(grams))).unwrap();
        let (small, large) = (sized(grams), sized(grams * times));
        for (small, large) in small.procedure.steps.iter().zip(&large.procedure.steps) {
            if let (Some(small), Some(large)) = (small.kind.target(), large.kind.target()) {
                // Each was rounded once, by half a microgram at most.
                let off = large.micrograms() - times * small.micrograms();
                prop_assert!(2 * off.abs() <= times + 1);
            }
        }
        let steps = i64::try_from(small.procedure.steps.len()).unwrap();
        prop_assert!(2 * (small.sum - small.procedure.planned).micrograms().abs() <= steps);
    }

    /// A graph of premixes, each made of the next ones: a circle is found exactly when there is one.
    #[test]
    fn circles_of_premixes_are_always_found(edges in prop::collection::vec((0..8_usize, 0..8_usize), 0..16)) {
        let mut sources = Sources::new();
        for node in 0..8 {
            let mut text = format!("[recipe]\nname = \"{node}\"\n[[step]]\nadd = \"base\"\namount = \"1 part\"\n");
            for &(_, to) in edges.iter().filter(|&&(from, _)| from == node) {
                text.push_str(&format!("[[step]]\nadd = \"r{to}\"\namount = \"1 part\"\n"));
            }
            sources = sources.with_recipe(format!("r{node}"), Source::new(format!("r{node}.toml"), text));
        }
        // Which nodes can be reached in one step or more.
        let mut reach = [[false; 8]; 8];
        edges.iter().for_each(|&(from, to)| reach[from][to] = true);
        for middle in 0..8 {
            for from in 0..8 {
                for to in 0..8 {
                    reach[from][to] |= reach[from][middle] && reach[middle][to];
                }
            }
        }
        let circle = (0..8).any(|node| (node == 0 || reach[0][node]) && reach[node][node]);
        let checked = check(&sources, "r0", &Settings::default());
        let found = checked.diagnostics.iter().any(|said| said.message.contains("is made of itself"));
        prop_assert_eq!(found, circle);
        prop_assert_eq!(checked.recipe.is_none(), circle);
    }
}

#[test]
fn premixes_may_not_stand_too_deep_inside_each_other() {
    let chain = |length: usize| {
        (0..length).fold(Sources::new(), |sources, node| {
            let next = if node + 1 == length {
                "base".to_owned()
            } else {
                format!("r{}", node + 1)
            };
            // The next one twice: the work must not double with every level.
            let step = format!("[[step]]\nadd = \"{next}\"\namount = \"1 part\"\n");
            let text = format!("[recipe]\nname = \"{node}\"\n{step}{step}");
            sources.with_recipe(
                format!("r{node}"),
                Source::new(format!("r{node}.toml"), text),
            )
        })
    };
    assert!(
        check(&chain(12), "r0", &Settings::default())
            .recipe
            .is_some()
    );
    let checked = check(&chain(13), "r0", &Settings::default());
    let errors: Vec<&str> = checked
        .diagnostics
        .iter()
        .filter(|said| said.is_error())
        .map(|said| said.message.as_str())
        .collect();
    assert_eq!(
        errors,
        ["premixes stand more than 12 deep inside each other"]
    );
}
