//! Finding a batch by a part of any word that belongs to it: its mark, its recipe, what is in it, what was said of it.
//!
//! The table is derived from the rest of the log, and written in the same commit.

use rusqlite::functions::FunctionFlags;
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

/// Gives a connection the function that [`condition`] compares short texts with: SQLite's own knows no letter beyond ASCII.
pub(super) fn teach(conn: &Connection) -> rusqlite::Result<()> {
    let flags = FunctionFlags::SQLITE_UTF8
        | FunctionFlags::SQLITE_DETERMINISTIC
        | FunctionFlags::SQLITE_DIRECTONLY;
    conn.create_scalar_function("holds_folded", 2, flags, |given| {
        let line = given.get_raw(0).as_str()?;
        let part = given.get_raw(1).as_str()?;
        Ok(holds_folded(line, part))
    })
}

/// Returns whether a text that is folded already stands in a line, whatever its letters there; most lines are plain ASCII, and
/// those need no copy.
fn holds_folded(line: &str, part: &str) -> bool {
    if !line.is_ascii() {
        return folded(line).contains(part);
    }
    let (line, part) = (line.as_bytes(), part.as_bytes());
    part.is_empty()
        || line
            .windows(part.len())
            .any(|there| there.eq_ignore_ascii_case(part))
}

/// Returns a text without the difference of large and small letters, each by itself.
fn folded(text: &str) -> String {
    text.chars().flat_map(char::to_lowercase).collect()
}

/// Returns the condition of a query that a text is found, and its parameter; `name` is that of the parameter.
pub(super) fn condition(text: &str, within: Within, name: &str) -> (String, String) {
    // To the index a NUL is the end of what is asked, in the middle of its quotes.
    if TRIGRAM <= text.chars().count() && !text.contains('\0') {
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
    let sql = format!("id IN (SELECT rowid FROM found WHERE holds_folded({line}, {name}))");
    (sql, folded(text))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn a_line_without_a_copy_is_searched_as_one_with(line in "[a-cA-C \u{212a}kÖö]{0,12}", part in "[a-cA-CkKöÖ]{0,2}") {
            let part = folded(&part);
            prop_assert_eq!(holds_folded(&line, &part), folded(&line).contains(&part));
        }
    }
}
