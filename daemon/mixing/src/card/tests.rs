//! Cards of the studio's recipes, in every form.

use std::fs;
use std::path::Path;

use tarehand_protocol::Mass;

use super::{Card, markdown, of_recipe, text};
use crate::document::{Source, Sources};
use crate::recipe::{Settings, check};
use crate::sizing::{Goal, size};

mod batch;
mod choices;
mod how_to;
mod pages;

pub(super) fn sources() -> Sources {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/studio");
    let mut sources = Sources::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|ending| ending != "toml") {
            continue;
        }
        let stem = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let source = Source::new(format!("{stem}.toml"), fs::read_to_string(&path).unwrap());
        sources = match stem.as_str() {
            "shelf" => sources.with_shelf(source),
            _ => sources.with_recipe(stem, source),
        };
    }
    sources
}

fn card_in(sources: &Sources, stem: &str) -> Card {
    let checked = check(sources, stem, &Settings::default());
    let recipe = checked.recipe.unwrap();
    let make = recipe.makes().unwrap_or(Mass::from_grams(100));
    let sizing = size(&recipe, &Goal::Make(make)).unwrap();
    of_recipe(&recipe, &sizing.procedure, &checked.shelf)
}

fn card(stem: &str) -> Card {
    card_in(&sources(), stem)
}

#[test]
fn a_caution_is_said_once_with_everything_it_is_about() {
    let card = card("lagoon-round");
    let ventilate: Vec<_> = card
        .cautions
        .iter()
        .filter(|caution| caution.text == "ventilate")
        .collect();
    assert_eq!(ventilate.len(), 1);
    assert_eq!(
        ventilate[0].about,
        ["Linen white", "Clear binder", "Open-time gel"]
    );
}

#[test]
fn what_is_outside_the_ratio_is_said_beside_it() {
    let card = card("leftover-grey");
    let outside: Vec<String> = card.outside().map(super::words::beside).collect();
    insta::assert_snapshot!(outside.join("\n"), @r"
    Lagoon round, pearl blue: all of the first panel's jar
    Ember round: all of the vessel of ember-round
    Soot black paste: some, by eye
    Soft water: 1.2 g at a time, at most 7.2 g, until the trail is right
    ");
}

#[test]
fn a_name_cannot_steer_a_terminal_or_a_page() {
    let sources = Sources::new().with_recipe(
        "a",
        Source::new(
            "a.toml",
            "[recipe]\nname = \"x\\u001b[2J | <b>\"\nmakes = \"10 g\"\n[[step]]\nadd = \"y\"\namount = \"1 part\"\nnote = \"- *z*\\nq\"\n",
        ),
    );
    let card = card_in(&sources, "a");
    assert!(!text(&card, None).contains('\u{1b}'));
    let page = markdown(&card, None);
    assert!(page.starts_with("# x \\[2J \\| \\<b\\>\n"), "{page}");
    assert!(page.contains("*\\- \\*z\\* q*"), "{page}");
}
