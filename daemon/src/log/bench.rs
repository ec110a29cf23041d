//! Which scale a bench reads.

use rusqlite::{Connection, OptionalExtension as _, params};

use super::error::Fault;

/// Writes which scale a bench reads, in place of the old one; `None` forgets it.
pub(super) fn set(conn: &Connection, name: &str, attachment: Option<&str>) -> Result<(), Fault> {
    match attachment {
        Some(attachment) => conn
            .prepare_cached(
                "INSERT INTO bench (name, attachment) VALUES (?1, ?2)
                 ON CONFLICT (name) DO UPDATE SET attachment = excluded.attachment",
            )?
            .execute(params![name, attachment])?,
        None => conn
            .prepare_cached("DELETE FROM bench WHERE name = ?1")?
            .execute([name])?,
    };
    Ok(())
}

/// Returns which scale a bench reads.
pub(super) fn read(conn: &Connection, name: &str) -> Result<Option<String>, Fault> {
    let attachment = conn
        .prepare_cached("SELECT attachment FROM bench WHERE name = ?1")?
        .query_row([name], |row| row.get(0))
        .optional()?;
    Ok(attachment)
}

/// Returns the benches that have a scale or a batch that has not ended, by name.
pub(super) fn names(conn: &Connection) -> Result<Vec<String>, Fault> {
    let mut statement = conn.prepare_cached(
        "SELECT name FROM bench UNION SELECT bench FROM batch WHERE closed IS NULL ORDER BY 1",
    )?;
    let names = statement.query_map([], |row| row.get(0))?;
    Ok(names.collect::<Result<_, _>>()?)
}
