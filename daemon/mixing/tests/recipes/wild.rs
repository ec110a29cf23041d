//! Whatever somebody writes, the check answers.

use proptest::prelude::*;
use tarehand_mixing::diagnostic::{Paint, render};
use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::recipe::{Settings, check};
use tarehand_mixing::sizing::{Goal, size};
use tarehand_protocol::Mass;

use crate::support::folder;

fn check_answers(sources: &Sources, stem: &str) {
    let checked = check(sources, stem, &Settings::default());
    let _plain = render(&checked.diagnostics, sources, Paint::Plain);
    let has_error = checked.diagnostics.iter().any(|said| said.is_error());
    assert_eq!(checked.recipe.is_none(), has_error);
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
        let sources = folder("studio").with_recipe("wild", Source::new("wild.toml", text.clone()));
        check_answers(&sources, "wild");
        let sources = sources.with_shelf(Source::new("wild-shelf.toml", text));
        check_answers(&sources, "wild");
    }

    #[test]
    fn sizing_is_linear(stem in prop::sample::select(vec!["lagoon-round", "linen-ground", "moss-round", "veil"]), grams in 1..5_000_i64, times in 2..50_i64) {
        let recipe = check(&folder("studio"), stem, &Settings::default()).recipe.unwrap();
        let sized = |grams| size(&recipe, &Goal::Make(Mass::from_grams(grams))).unwrap();
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
