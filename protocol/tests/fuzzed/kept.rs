//! The inputs in `fixtures/fuzz`: a file of each property, an input a line, in hexadecimal digits; `#` begins a part.

use std::collections::BTreeSet;
use std::path::PathBuf;

use super::properties::ALL;

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../fixtures/fuzz")
}

fn bytes(line: &str) -> Vec<u8> {
    let digits: Vec<char> = line.chars().collect();
    let byte = |pair: &[char]| {
        let pair: String = pair.iter().collect();
        u8::from_str_radix(&pair, 16).unwrap_or_else(|error| panic!("{line}: {error}"))
    };
    digits.chunks(2).map(byte).collect()
}

/// Tries every input of a property again; what fails names itself.
fn hold(name: &str) {
    let property = ALL.iter().find(|property| property.name == name);
    let property = property.unwrap_or_else(|| panic!("no property is called {name}"));
    let path = folder().join(format!("{name}.hex"));
    let text = std::fs::read_to_string(&path)
        .unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    assert!(!text.is_empty());
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        let input = bytes(line);
        let held = std::panic::catch_unwind(|| (property.holds)(&input));
        assert!(held.is_ok(), "{name} does not hold of {line}");
    }
}

#[test]
fn lines_of_every_shape_are_read_alike_in_any_pieces() {
    hold("lines");
}

#[test]
fn any_expression_reads_lines_alike_in_any_pieces() {
    hold("patterns");
}

#[test]
fn no_line_with_a_changed_byte_under_its_check_is_a_number() {
    hold("checked-lines");
}

#[test]
fn any_layout_of_bits_reads_bytes_alike_in_any_pieces() {
    hold("layouts");
}

#[test]
fn no_frame_of_bits_that_is_changed_or_torn_is_a_number() {
    hold("frames");
}

#[test]
fn an_indication_is_read_as_the_standard_has_it() {
    hold("weight-service");
}

#[test]
fn no_report_that_is_cut_off_is_another_number() {
    hold("usb");
}

#[test]
fn any_text_is_a_profile_or_says_where_it_is_none() {
    hold("profile-text");
}

#[test]
fn any_text_is_a_capture_or_says_where_it_is_none() {
    hold("capture");
}

#[test]
fn no_lesson_is_learnt_wrong() {
    hold("teaching");
}

#[test]
fn every_property_has_its_inputs_and_all_inputs_a_property() {
    let entries = std::fs::read_dir(folder()).unwrap();
    let names = entries.map(|entry| entry.unwrap().path());
    let kept = names.filter(|path| path.extension().is_some_and(|end| end == "hex"));
    let kept: BTreeSet<String> = kept
        .map(|path| path.file_stem().unwrap().to_string_lossy().into_owned())
        .collect();
    let properties = ALL.iter().map(|property| property.name.to_owned());
    assert_eq!(kept, properties.collect());
}
