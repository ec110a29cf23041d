//! Wrong recipes through the real command line: each is refused with words and a place, none with a panic.

use std::ffi::OsStr;
use std::fs;
use std::path::Path;

use tarehand_tests::binaries::{repository, tarehand};
use tarehand_tests::{Home, LIMIT, run};

/// Sees that `tarehand check` ends so, and that something of one of `severities` is said with file, line and column.
#[track_caller]
fn check(home: &Home, file: &Path, code: i32, severities: &[&str]) {
    let mut command = home.command(tarehand());
    let finished = run(command.arg("check").arg(file), "", LIMIT).with_code(code);
    let said = format!("{}{}", finished.stdout, finished.stderr);
    assert!(!said.contains("panicked"), "{}: {said}", file.display());
    let severe = severities.iter().any(|severity| said.contains(severity));
    assert!(severe, "{}: {said}", file.display());
    assert!(said.lines().any(is_place), "{}: {said}", file.display());
}

/// Returns whether a line is an arrow to `FILE:LINE:COLUMN`.
fn is_place(line: &str) -> bool {
    let Some(place) = line.trim_start().strip_prefix("--> ") else {
        return false;
    };
    let mut parts = place.rsplitn(3, ':');
    let (column, line, file) = (parts.next(), parts.next(), parts.next());
    let number = |text: Option<&str>| text.is_some_and(|text| text.parse::<u32>().is_ok());
    number(column) && number(line) && file.is_some_and(|file| file.ends_with(".toml"))
}

#[test]
fn every_bad_recipe_is_refused_with_a_place_and_every_doubtful_one_is_warned_of() {
    let home = Home::new();
    let mut seen = 0;
    for entry in fs::read_dir(repository().join("fixtures/recipes/bad")).unwrap() {
        let path = entry.unwrap().path();
        if path.extension() != Some(OsStr::new("toml")) {
            continue;
        }
        let name = path.file_name().unwrap().to_string_lossy();
        match name.starts_with("doubtful-") {
            true => check(&home, &path, 0, &["warning: ", "note: "]),
            false => check(&home, &path, 1, &["error: "]),
        }
        seen += 1;
    }
    assert!(30 < seen, "only {seen} files");
}
