//! What batches took from the shelf since a moment.

use rusqlite::{Connection, Row};

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

/// Returns what batches took from the shelf at or after a moment, in order; rehearsals take nothing.
///
/// What comes to nothing within an entry is left out.
pub(super) fn since(conn: &Connection, since: Option<&str>) -> Result<Vec<Drawn>, Fault> {
    // Without their `Z` texts sort as the moments do, whether or not they have a fraction.
    let mut statement = conn.prepare_cached(
        "SELECT v.key, e.at, b.mark,
                sum(CASE t.from_vessel WHEN v.id THEN t.mass_ug ELSE -t.mass_ug END) AS mass_ug
         FROM transfer t
         JOIN batch b ON b.id = t.batch AND b.rehearsal = 0
         JOIN entry e ON e.batch = t.batch AND e.seq = t.entry
         JOIN vessel v ON v.kind = 'shelf' AND v.id IN (t.from_vessel, t.to_vessel)
         WHERE ?1 IS NULL OR rtrim(?1, 'Z') <= rtrim(e.at, 'Z')
         GROUP BY v.key, t.batch, t.entry
         HAVING sum(CASE t.from_vessel WHEN v.id THEN t.mass_ug ELSE -t.mass_ug END) <> 0
         ORDER BY v.key, rtrim(e.at, 'Z'), rtrim(b.opened, 'Z'), b.mark, t.entry",
    )?;
    let drawn = statement.query_map([since], row)?;
    Ok(drawn.collect::<Result<_, _>>()?)
}

/// Returns what batches took of one ingredient at or after a moment, in order, as [`since`] does for all of them.
///
/// It looks only at the transfers of that pack: a record asks for a few ingredients of a long log.
pub(super) fn of(
    conn: &Connection,
    ingredient: &str,
    since: Option<&str>,
) -> Result<Vec<Drawn>, Fault> {
    let mut statement = conn.prepare_cached(
        "WITH pack (id) AS (SELECT id FROM vessel WHERE kind = 'shelf' AND key = ?1 AND by_mark = 0),
              moved (batch, entry, mass_ug) AS (
                  SELECT batch, entry, mass_ug FROM transfer WHERE from_vessel = (SELECT id FROM pack)
                  UNION ALL
                  SELECT batch, entry, -mass_ug FROM transfer WHERE to_vessel = (SELECT id FROM pack)
              )
         SELECT ?1, e.at, b.mark, sum(moved.mass_ug)
         FROM moved
         JOIN batch b ON b.id = moved.batch AND b.rehearsal = 0
         JOIN entry e ON e.batch = moved.batch AND e.seq = moved.entry
         WHERE ?2 IS NULL OR rtrim(?2, 'Z') <= rtrim(e.at, 'Z')
         GROUP BY moved.batch, moved.entry
         HAVING sum(moved.mass_ug) <> 0
         ORDER BY rtrim(e.at, 'Z'), rtrim(b.opened, 'Z'), b.mark, moved.entry",
    )?;
    let drawn = statement.query_map(rusqlite::params![ingredient, since], row)?;
    Ok(drawn.collect::<Result<_, _>>()?)
}

fn row(row: &Row<'_>) -> rusqlite::Result<Drawn> {
    let mark: String = row.get(2)?;
    Ok(Drawn {
        ingredient: row.get(0)?,
        at: row.get(1)?,
        batch: mark.parse().map_err(|error| {
            rusqlite::Error::FromSqlConversionFailure(
                2,
                rusqlite::types::Type::Text,
                Box::new(error),
            )
        })?,
        mass_ug: row.get(3)?,
    })
}
