//! What batches took from the shelf.

use rusqlite::types::Type;
use rusqlite::{Connection, Row, params};

use super::error::Fault;
use super::mark::Mark;

/// What an entry of a batch's journal took from an ingredient.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Drawn {
    /// The ingredient's key.
    pub ingredient: String,
    /// When it was booked: RFC 3339, UTC.
    pub at: String,
    /// The batch that took it.
    pub batch: Mark,
    /// How much, in micrograms; below zero where a booking was taken back.
    pub mass_ug: i64,
}

/// What a batch took from an ingredient, from its first draw to its last.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DrawnByBatch {
    /// The batch.
    pub batch: Mark,
    /// When it was opened: RFC 3339, UTC.
    pub opened: String,
    /// When the first of it was booked: RFC 3339, UTC.
    pub first: String,
    /// When the last of it was booked, or taken back.
    pub last: String,
    /// How much was taken in all, in micrograms.
    pub out_ug: i64,
    /// How much of it was taken back, in micrograms.
    pub back_ug: i64,
}

/// Returns what each batch took of an ingredient, of those that took or took back any at or after a moment.
pub(super) fn by_batch(
    conn: &Connection,
    ingredient: &str,
    since: Option<&str>,
) -> Result<Vec<DrawnByBatch>, Fault> {
    let mut statement = conn.prepare_cached(
        "SELECT b.mark, b.opened, s.first_at || 'Z', s.last_at || 'Z', s.out_ug, s.back_ug
         FROM vessel v
         CROSS JOIN stretch s ON s.vessel = v.id
         CROSS JOIN batch b ON b.id = s.batch
         WHERE v.kind = 'shelf' AND v.key = ?1 AND v.by_mark = 0 AND (?2 IS NULL OR rtrim(?2, 'Z') <= s.last_at)",
    )?;
    let stretches = statement.query_map(params![ingredient, since], |row| {
        Ok(DrawnByBatch {
            batch: mark(row, 0)?,
            opened: row.get(1)?,
            first: row.get(2)?,
            last: row.get(3)?,
            out_ug: row.get(4)?,
            back_ug: row.get(5)?,
        })
    })?;
    Ok(stretches.collect::<Result<_, _>>()?)
}

/// Returns what some batches took of an ingredient, batch by batch and in order; rehearsals take nothing.
///
/// What comes to nothing within an entry is left out.
pub(super) fn by_some(
    conn: &Connection,
    ingredient: &str,
    batches: &[Mark],
) -> Result<Vec<Drawn>, Fault> {
    let mut statement = conn.prepare_cached(
        "SELECT v.key, e.at, b.mark,
                sum(CASE t.from_vessel WHEN v.id THEN t.mass_ug ELSE -t.mass_ug END)
         FROM batch b
         JOIN vessel v ON v.kind = 'shelf' AND v.key = ?1 AND v.by_mark = 0
         CROSS JOIN transfer t ON t.batch = b.id AND v.id IN (t.from_vessel, t.to_vessel)
         JOIN entry e ON e.batch = t.batch AND e.seq = t.entry
         WHERE b.mark = ?2 AND b.rehearsal = 0
         GROUP BY t.entry
         HAVING sum(CASE t.from_vessel WHEN v.id THEN t.mass_ug ELSE -t.mass_ug END) <> 0
         ORDER BY rtrim(e.at, 'Z'), t.entry",
    )?;
    let mut drawn = Vec::new();
    for batch in batches {
        for row in statement.query_map(params![ingredient, batch.as_str()], row)? {
            drawn.push(row?);
        }
    }
    Ok(drawn)
}

fn row(row: &Row<'_>) -> rusqlite::Result<Drawn> {
    Ok(Drawn {
        ingredient: row.get(0)?,
        at: row.get(1)?,
        batch: mark(row, 2)?,
        mass_ug: row.get(3)?,
    })
}

fn mark(row: &Row<'_>, place: usize) -> rusqlite::Result<Mark> {
    let mark: String = row.get(place)?;
    mark.parse().map_err(|error| {
        rusqlite::Error::FromSqlConversionFailure(place, Type::Text, Box::new(error))
    })
}
