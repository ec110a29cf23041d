//! Every kind of mistake, and what is said about it.

use tarehand_mixing::diagnostic::{Paint, render};
use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::recipe::{Settings, check};
use tarehand_mixing::shelf::Shelf;

use crate::support::{fixtures, folder};

/// The bad recipes with the good shelf.
fn sources() -> Sources {
    let good = folder("recipes/good");
    folder("recipes/bad").with_shelf(good.shelf().unwrap().clone())
}

#[track_caller]
fn check_said(stem: &str, said: &str) {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path(fixtures("recipes/bad/said"));
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| insta::assert_snapshot!(stem, said));
}

#[test]
fn every_mistake_in_a_recipe_is_shown_where_it_stands() {
    let sources = sources();
    let stems = sources.stems().filter(|stem| !stem.starts_with("shelf-"));
    for stem in stems {
        let checked = check(&sources, stem, &Settings::default());
        let doubtful = stem.starts_with("doubtful-");
        assert_eq!(checked.recipe.is_some(), doubtful, "{stem}");
        assert!(!checked.is_clean(), "{stem}");
        check_said(stem, &render(&checked.diagnostics, &sources, Paint::Plain));
    }
}

#[test]
fn every_mistake_in_a_shelf_is_shown_where_it_stands() {
    let bad = folder("recipes/bad");
    for stem in bad.stems().filter(|stem| stem.starts_with("shelf-")) {
        let source = bad.recipe(stem).unwrap();
        let (_, problems) = Shelf::parse(source, &Settings::default().measures);
        check_said(stem, &render(&problems, &bad, Paint::Plain));
    }
}

#[test]
fn an_unknown_recipe_names_the_nearest() {
    let checked = check(&sources(), "circel-one", &Settings::default());
    let said = render(&checked.diagnostics, &sources(), Paint::Plain);
    insta::assert_snapshot!(said, @r"
    error: there is no recipe `circel-one`
     |
     = help: did you mean `circle-one`?
    ");
}

#[test]
fn bytes_that_are_no_text_are_pointed_at() {
    let sources = Sources::new().with_recipe(
        "odd",
        Source::from_bytes("odd.toml", b"[recipe]\nname = \"\xff\"\n"),
    );
    let checked = check(&sources, "odd", &Settings::default());
    let first = &checked.diagnostics[0];
    assert_eq!((first.line, first.column), (2, 9));
    assert_eq!(first.message, "the file is not UTF-8 text from here on");
    assert_eq!(checked.diagnostics.len(), 1);
}

#[test]
fn a_diagnostic_for_programs_carries_file_line_and_column() {
    let checked = check(&sources(), "doubtful-names", &Settings::default());
    let json = serde_json::to_string_pretty(&checked.diagnostics[0]).unwrap();
    insta::assert_snapshot!(json, @r#"
    {
      "severity": "warning",
      "file": "doubtful-names.toml",
      "line": 6,
      "column": 10,
      "range": {
        "start": 64,
        "end": 75
      },
      "message": "`gray-base` is not on the shelf and no recipe beside this one",
      "help": "did you mean `grey-base`?"
    }
    "#);
}

#[test]
fn colours_are_only_there_when_asked_for() {
    let checked = check(&sources(), "no-room", &Settings::default());
    let plain = render(&checked.diagnostics, &sources(), Paint::Plain);
    let colour = render(&checked.diagnostics, &sources(), Paint::Colour);
    assert!(!plain.contains('\u{1b}'));
    assert!(colour.contains("\u{1b}["));
}
