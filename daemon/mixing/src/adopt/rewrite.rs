//! A recipe's file with amounts changed and everything else kept as the person wrote it.

use std::fmt::Write as _;

use tarehand_protocol::Mass;
use toml_edit::{Decor, DocumentMut, Item, Table, TableLike, Value};

use super::AdoptError;
use super::inline;
use super::plan::{Fate, Plan};
use crate::provenance::{Provenance, Run};

/// What a step of thinning has that an addition has not.
const OF_THINNING: [&str; 4] = ["thin", "by", "at_most", "trail"];

/// Reads the file.
pub(super) fn parse(recipe: &str) -> Result<DocumentMut, AdoptError> {
    let text = recipe.strip_prefix('\u{feff}').unwrap_or(recipe);
    let mut document = text
        .parse::<DocumentMut>()
        .map_err(|error| AdoptError::Unreadable(error.message().to_owned()))?;
    inline::spread(&mut document);
    Ok(document)
}

/// Writes a plan into the file.
pub(super) fn write(document: &mut DocumentMut, plan: &Plan, origin: Provenance<'_>) {
    if let Some(makes) = plan.makes
        && let Some(head) = document.get_mut("recipe").and_then(Item::as_table_like_mut)
    {
        set(head, "makes", &makes.to_string());
    }
    let Some(tables) = document
        .get_mut("step")
        .and_then(Item::as_array_of_tables_mut)
    else {
        return;
    };
    for (table, fate) in tables.iter_mut().zip(&plan.steps) {
        match fate {
            Fate::Stays => {}
            Fate::InGrams(grams) => {
                let was = text_of(table, "amount");
                comment(table, "amount", &format!("as much as {was} was before"));
                set(table, "amount", &grams.to_string());
            }
            Fate::Becomes {
                grams,
                poured,
                trail_s,
            } => becomes(table, *grams, *poured, *trail_s, origin),
        }
    }
}

/// Returns the text of the file, with where it comes from above it.
pub(super) fn finish(document: &DocumentMut, origin: Provenance<'_>) -> String {
    let (mark, day) = (line(origin.mark), line(origin.day));
    let word = origin.run.word();
    let caveat = match origin.run {
        Run::Real => "",
        Run::Rehearsal => {
            "# A rehearsal: the hand was simulated, so these grams are no measurement.\n"
        }
    };
    format!(
        "# As judged in {word} {mark} of {day}: what was decided by eye there is in grams here.\n{caveat}{document}"
    )
}

fn becomes(
    table: &mut Table,
    grams: Mass,
    poured: Mass,
    trail_s: Option<f64>,
    origin: Provenance<'_>,
) {
    let batch = format!("{} {}", origin.run.word(), line(origin.mark));
    if table.contains_key("thin") {
        let by = text_of(table, "by");
        let mut said = format!("thinned by {by} at a time in {batch}: {poured} in all");
        if table.contains_key("trail") {
            // The step goes, so what it wanted is kept here.
            let _infallible = write!(said, ", wanted trail {}", text_of(table, "trail"));
        }
        if let Some(trail_s) = trail_s {
            let _infallible = write!(said, ", trail reached {trail_s} s");
        }
        thinned(table, grams, &said);
        return;
    }
    let was = text_of(table, "amount");
    let said = format!("was {was}; in {batch} {poured} were poured");
    comment(table, "amount", &said);
    set(table, "amount", &grams.to_string());
}

/// Makes an addition of a step of thinning; what else the step says stays, comments on what goes too.
fn thinned(table: &mut Table, grams: Mass, said: &str) {
    let with = text_of(table, "thin");
    let mut above = String::new();
    for key in OF_THINNING {
        above.push_str(&comments_of(table, key));
        table.remove(key);
    }
    let rest: Vec<(String, String, Item)> = ["note"]
        .into_iter()
        .filter_map(|key| {
            let before = comments_of(table, key);
            Some((key.to_owned(), before, table.remove(key)?))
        })
        .collect();
    for (key, value) in [("add", with), ("amount", grams.to_string())] {
        table.insert(key, toml_edit::value(value));
        pad(table, key);
    }
    prefix(table, "add", &format!("{above}# {}\n", line(said)));
    for (key, before, item) in rest {
        table.insert(&key, item);
        pad(table, &key);
        prefix(table, &key, &before);
    }
}

/// Sets a text, with what stands around the old one kept.
fn set(table: &mut dyn TableLike, key: &str, text: &str) {
    match table.get_mut(key).and_then(Item::as_value_mut) {
        Some(value) => {
            let decor = value.decor().clone();
            *value = Value::from(text);
            *value.decor_mut() = decor;
        }
        None => {
            table.insert(key, toml_edit::value(text));
            if let Some(mut key) = table.key_mut(key) {
                key.leaf_decor_mut().set_suffix("  ");
            }
        }
    }
}

/// Sets a field's equals sign where the others of a step stand.
fn pad(table: &mut Table, key: &str) {
    let room = " ".repeat(7_usize.saturating_sub(key.len()).max(1));
    if let Some(mut key) = table.key_mut(key) {
        key.leaf_decor_mut().set_suffix(room);
    }
}

/// Puts a comment on a line of its own above a field, below those that are there.
fn comment(table: &mut Table, key: &str, said: &str) {
    let before = table
        .key(key)
        .and_then(|key| raw(key.leaf_decor(), Decor::prefix))
        .unwrap_or_default();
    prefix(table, key, &format!("{before}# {}\n", line(said)));
}

fn prefix(table: &mut Table, key: &str, text: &str) {
    if let Some(mut key) = table.key_mut(key) {
        key.leaf_decor_mut().set_prefix(text);
    }
}

/// Returns the comments above and behind a field, each on a line of its own.
fn comments_of(table: &Table, key: &str) -> String {
    let above = table
        .key(key)
        .and_then(|key| raw(key.leaf_decor(), Decor::prefix));
    let behind = table
        .get(key)
        .and_then(Item::as_value)
        .and_then(|value| raw(value.decor(), Decor::suffix));
    let lines = [above, behind];
    lines
        .iter()
        .flatten()
        .flat_map(|text| text.lines())
        .map(str::trim)
        .filter(|line| line.starts_with('#'))
        .map(|line| format!("{line}\n"))
        .collect()
}

fn raw(decor: &Decor, which: fn(&Decor) -> Option<&toml_edit::RawString>) -> Option<String> {
    which(decor)
        .and_then(toml_edit::RawString::as_str)
        .map(str::to_owned)
}

fn text_of(table: &Table, key: &str) -> String {
    let text = table.get(key).and_then(Item::as_str);
    text.unwrap_or_default().to_owned()
}

/// Makes a text fit into a comment: control characters would end it.
fn line(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}
