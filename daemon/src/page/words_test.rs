//! The tables of the page's words: the same names in each language, and a name for each word of the API.
//!
//! There is no engine for scripts here, so the tables are read as text, by their form.

use std::collections::BTreeSet;

use serde_json::Value;

use super::FILES;
use crate::api::document;

/// What the service says in English itself, and a table of that language says not again.
const NOT_IN_ENGLISH: [&str; 2] = ["trouble.", "reason."];

fn script(name: &str) -> &'static str {
    let file = FILES.iter().find(|file| file.name == name).unwrap();
    std::str::from_utf8(file.bytes).unwrap()
}

/// Returns the names of every object of a script, with those they stand in: `scale.noWeight.over`.
fn names(script: &str) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    // What is open, with the name it has; what was read since the last sign, and the name that a value is to follow.
    let mut open: Vec<(char, String)> = Vec::new();
    let (mut word, mut named, mut before) = (String::new(), String::new(), ' ');
    let mut rest = script;
    while let Some(sign) = rest.chars().next() {
        rest = &rest[sign.len_utf8()..];
        if sign.is_whitespace() {
            continue;
        }
        if sign == '/' && rest.starts_with('/') {
            rest = rest.split_once('\n').map_or("", |(_, next)| next);
            continue;
        }
        let name = std::mem::take(&mut named);
        match sign {
            '"' => {
                let (text, next) = rest.split_once('"').unwrap_or((rest, ""));
                text.clone_into(&mut word);
                rest = next;
                continue;
            }
            '`' => {
                rest = after_template(rest);
                continue;
            }
            _ if sign.is_alphanumeric() || sign == '_' => {
                word.push(sign);
                continue;
            }
            ':' if matches!(before, '{' | ',')
                && open.last().is_some_and(|(sign, _)| *sign == '{') =>
            {
                let path = open.iter().map(|(_, name)| name).chain([&word]);
                let path: Vec<&str> = path
                    .map(String::as_str)
                    .filter(|name| !name.is_empty())
                    .collect();
                names.insert(path.join("."));
                named.clone_from(&word);
            }
            '{' => open.push((sign, name)),
            '(' | '[' => open.push((sign, String::new())),
            '}' | ')' | ']' => drop(open.pop()),
            _ => {}
        }
        word.clear();
        before = sign;
    }
    names
}

/// Returns what follows a template whose first mark is read.
fn after_template(text: &str) -> &str {
    let mut rest = text;
    while let Some(at) = rest.find(['`', '$', '\\']) {
        let sign = rest.as_bytes()[at];
        rest = &rest[at + 1..];
        match sign {
            b'`' => return rest,
            b'\\' => rest = rest.get(1..).unwrap_or_default(),
            _ if rest.starts_with('{') => rest = after_hole(&rest[1..]),
            _ => {}
        }
    }
    ""
}

/// Returns what follows a hole of a template, which may hold templates itself.
fn after_hole(text: &str) -> &str {
    let mut rest = text;
    let mut open = 1_u32;
    while let Some(at) = rest.find(['`', '{', '}', '"']) {
        let sign = rest.as_bytes()[at];
        rest = &rest[at + 1..];
        match sign {
            b'`' => rest = after_template(rest),
            b'"' => rest = rest.split_once('"').map_or("", |(_, next)| next),
            b'{' => open += 1,
            _ => {
                open -= 1;
                if open == 0 {
                    return rest;
                }
            }
        }
    }
    ""
}

fn table(language: &str) -> BTreeSet<String> {
    ["", "-told"]
        .iter()
        .flat_map(|part| names(script(&format!("words/{language}{part}.js"))))
        .collect()
}

/// Returns the names of what the desk says, which stands in a table of its own.
fn desk(language: &str) -> BTreeSet<String> {
    names(script(&format!("words/desk-{language}.js")))
}

/// Returns the words of an enum in the API's own document: its values, or those that tell its variants apart.
fn words_of(document: &Value, name: &str) -> BTreeSet<String> {
    let schema = &document["components"]["schemas"][name];
    let variants = schema["oneOf"].as_array().into_iter().flatten();
    let tags = variants.flat_map(|variant| {
        let parts = variant["allOf"].as_array().cloned().unwrap_or_default();
        let parts = parts.into_iter().chain([variant.clone()]);
        parts.flat_map(|part| {
            part["properties"]["what"]["enum"]
                .as_array()
                .cloned()
                .unwrap_or_default()
        })
    });
    let values = schema["enum"].as_array().cloned().unwrap_or_default();
    let words = tags
        .chain(values)
        .map(|word| word.as_str().unwrap().to_owned());
    words.collect()
}

#[test]
fn each_language_has_a_word_for_the_same_things() {
    let said = |name: &String| !NOT_IN_ENGLISH.iter().any(|part| name.starts_with(part));
    let (english, german) = (table("en"), table("de"));
    let german: BTreeSet<String> = german.into_iter().filter(said).collect();
    assert!(
        english.contains("scale.noWeight.over") && english.contains("title.take-out"),
        "{english:?}"
    );
    assert_eq!(english, german);
}

#[test]
fn there_is_a_word_for_everything_that_the_service_can_tell() {
    let document = serde_json::to_value(document()).unwrap();
    let german = table("de");
    for (part, schema) in [
        ("doing", "Doing"),
        ("bottle", "BottleWord"),
        ("title", "StepAction"),
        ("whyNot", "ObstacleSaid"),
        ("advice", "Advised"),
        ("concern", "ConcernSaid"),
        ("round", "WayRound"),
        ("remark", "RemarkSaid"),
        ("trouble", "TroubleWord"),
        ("verdict", "VerdictWord"),
        ("status", "StepStatus"),
        ("state", "BatchStateWord"),
    ] {
        let within = format!("{part}.");
        let here = german.iter().filter_map(|name| name.strip_prefix(&within));
        let here: BTreeSet<String> = here.map(str::to_owned).collect();
        assert!(!here.is_empty(), "no words in {part}");
        assert_eq!(here, words_of(&document, schema), "{part} and {schema}");
    }
}

#[test]
fn the_desk_says_the_same_things_in_each_language_and_has_a_word_for_each_thing_that_it_shows() {
    let (english, german) = (desk("en"), desk("de"));
    assert!(english.contains("editor.severity.error"), "{english:?}");
    assert_eq!(english, german);
    let document = serde_json::to_value(document()).unwrap();
    for (part, schema) in [
        ("learning.kind", "LearntWord"),
        ("matter", "PlanSaid"),
        ("onShelf", "ShelfSaid"),
        ("happened", "EntrySaid"),
        ("labelled", "LabelSaid"),
    ] {
        let within = format!("{part}.");
        let here = english.iter().filter_map(|name| name.strip_prefix(&within));
        let here: BTreeSet<String> = here.map(str::to_owned).collect();
        assert_eq!(here, words_of(&document, schema), "{part} and {schema}");
    }
}
