//! Finding a batch by a part of any word that belongs to it: its mark, its recipe, what is in it, what was said of it.
//!
//! The table is derived from the rest of the log, and written in the same commit.

use rusqlite::{Connection, params};

use super::batch::{BatchId, NewBatch};
use super::error::Fault;
use super::journal::NewEntry;
use super::mark::Mark;

/// The shortest part of a word that the index finds; a shorter one is looked for in every line.
const TRIGRAM: usize = 3;

/// Writes what a batch can be found by from its opening on.
pub(super) fn add(
    conn: &Connection,
    id: BatchId,
    mark: &Mark,
    new: &NewBatch,
) -> Result<(), Fault> {
    let name = format!("{mark} {}", new.recipe);
    conn.prepare_cached("INSERT INTO found (rowid, name, things, words) VALUES (?1, ?2, ?3, '')")?
        .execute(params![id.number(), name, new.things])?;
    Ok(())
}

/// Adds the person's own words of new entries.
pub(super) fn hear(conn: &Connection, id: BatchId, entries: &[NewEntry]) -> Result<(), Fault> {
    for words in entries.iter().filter_map(|entry| entry.words.as_ref()) {
        conn.prepare_cached("UPDATE found SET words = words || char(10) || ?2 WHERE rowid = ?1")?
            .execute(params![id.number(), words])?;
    }
    Ok(())
}

/// Where a text is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Within {
    /// Anywhere.
    Everything,
    /// In what is in the jar: ingredients and lots.
    Things,
}

/// Returns the condition of a query that a text is found, and its parameter; `name` is that of the parameter.
pub(super) fn condition(text: &str, within: Within, name: &str) -> (String, String) {
    if TRIGRAM <= text.chars().count() {
        let column = match within {
            Within::Everything => "",
            Within::Things => "things : ",
        };
        // A phrase in quotes; a quote within is doubled (SQLite's FTS5, section 3.1).
        let phrase = format!("{column}\"{}\"", text.replace('"', "\"\""));
        let sql = format!("id IN (SELECT rowid FROM found WHERE found MATCH {name})");
        return (sql, phrase);
    }
    let line = match within {
        Within::Everything => "name || ' ' || things || ' ' || words",
        Within::Things => "things",
    };
    let sql = format!("id IN (SELECT rowid FROM found WHERE instr(lower({line}), {name}) > 0)");
    (sql, text.to_lowercase())
}
