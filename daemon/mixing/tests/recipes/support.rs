//! Reads fixture folders into the value a check works on.

use std::fs;
use std::path::{Path, PathBuf};

use tarehand_mixing::document::{Source, Sources};

pub(crate) fn fixtures(folder: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../fixtures")
        .join(folder)
}

/// Reads every TOML file of a folder; `shelf.toml` is the shelf, the others are recipes.
pub(crate) fn folder(folder: &str) -> Sources {
    let mut sources = Sources::new();
    for entry in fs::read_dir(fixtures(folder)).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|extension| extension != "toml") {
            continue;
        }
        let stem = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let source = Source::from_bytes(format!("{stem}.toml"), &fs::read(&path).unwrap());
        sources = match stem.as_str() {
            "shelf" => sources.with_shelf(source),
            // A set stands beside its recipes and is none.
            "eight-rounds" => sources,
            _ => sources.with_recipe(stem, source),
        };
    }
    sources
}
