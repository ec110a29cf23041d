//! What went into a jar through whichever vessels, and into which jars it went on.

use std::num::NonZeroU64;
use std::str::FromStr as _;

use rusqlite::types::Type;
use rusqlite::{Connection, Row};

use super::batch::{BatchHead, BatchId};
use super::error::Fault;
use super::ledger::{NewTransfer, Seen};
use super::mark::Mark;
use super::register::{self, HEAD, HEADS, as_opened};
use super::vessel::Vessel;

/// A transfer with its moment, its jars by their marks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Flow {
    /// The batch in whose journal it is.
    pub batch: Mark,
    /// The kind of the entry it belongs to.
    pub kind: String,
    /// When it was booked: RFC 3339, UTC.
    pub at: String,
    /// What was booked.
    pub booked: NewTransfer,
}

/// Returns every transfer of a batch's jar and of all that was poured into it, in the order of time.
pub(super) fn upstream(conn: &Connection, id: BatchId) -> Result<Vec<Flow>, Fault> {
    register::must_exist(conn, id)?;
    // A clock that was set back must not turn the entries of a journal round: each is as late as the latest before it. What
    // was booked at one moment has the order in which its batches were opened, not the one in which they came into this log.
    let as_opened = as_opened();
    // The cross joins keep the order of the tables: a jar has few transfers, the log has very many.
    let sql = format!(
        "WITH RECURSIVE into_it (vessel) AS (
             SELECT id FROM vessel WHERE batch = ?1
             UNION
             SELECT t.from_vessel FROM into_it
             CROSS JOIN transfer t ON t.to_vessel = into_it.vessel
             JOIN vessel v ON v.id = t.from_vessel AND v.kind = 'jar'
         ),
         moved (batch, entry, nth) AS (
             SELECT t.batch, t.entry, t.nth FROM into_it CROSS JOIN transfer t ON t.to_vessel = into_it.vessel
             UNION
             SELECT t.batch, t.entry, t.nth FROM into_it CROSS JOIN transfer t ON t.from_vessel = into_it.vessel
         ),
         opening (batch, place) AS MATERIALIZED (
             SELECT id, row_number() OVER (ORDER BY {as_opened}) FROM batch WHERE id IN (SELECT batch FROM moved)
         )
         SELECT b.mark, e.kind, e.at, t.substance, t.mass_ug, t.seen,
                f.kind, f.key, f.batch, f.by_mark, g.kind, g.key, g.batch, g.by_mark
         FROM moved
         CROSS JOIN transfer t ON t.batch = moved.batch AND t.entry = moved.entry AND t.nth = moved.nth
         JOIN batch b ON b.id = t.batch
         JOIN opening o ON o.batch = t.batch
         JOIN entry e ON e.batch = t.batch AND e.seq = t.entry
         JOIN vessel f ON f.id = t.from_vessel
         JOIN vessel g ON g.id = t.to_vessel
         ORDER BY max(rtrim(e.at, 'Z')) OVER (PARTITION BY t.batch ORDER BY t.entry, t.nth),
                  o.place, t.entry, t.nth"
    );
    let mut statement = conn.prepare_cached(&sql)?;
    let flows = statement.query_map([id.number()], flow)?;
    Ok(flows.collect::<Result<_, _>>()?)
}

/// Returns the batches of these jars and of those into which some of them went, in the order they were opened.
pub(super) fn downstream(conn: &Connection, jars: &[Mark]) -> Result<Vec<BatchHead>, Fault> {
    let marks: Vec<&str> = jars.iter().map(Mark::as_str).collect();
    let marks = serde_json::Value::from(marks).to_string();
    let as_opened = as_opened();
    let sql = format!(
        "WITH RECURSIVE out_of_it (vessel) AS (
             SELECT id FROM vessel WHERE kind = 'jar' AND by_mark = 1 AND key IN (SELECT value FROM json_each(?1))
             UNION
             SELECT t.to_vessel FROM out_of_it
             CROSS JOIN transfer t ON t.from_vessel = out_of_it.vessel
             JOIN vessel v ON v.id = t.to_vessel AND v.kind = 'jar'
         )
         SELECT {HEAD}
         FROM (SELECT v.batch AS made FROM out_of_it CROSS JOIN vessel v ON v.id = out_of_it.vessel WHERE v.batch IS NOT NULL)
         CROSS JOIN {HEADS} ON id = made
         ORDER BY {as_opened}"
    );
    let mut statement = conn.prepare_cached(&sql)?;
    let heads = statement.query_map([marks], register::head)?;
    Ok(heads.collect::<Result<_, _>>()?)
}

fn flow(row: &Row<'_>) -> rusqlite::Result<Flow> {
    let mark: String = row.get(0)?;
    let mass_ug: i64 = row.get(4)?;
    Ok(Flow {
        batch: Mark::from_str(&mark).map_err(|error| {
            rusqlite::Error::FromSqlConversionFailure(0, Type::Text, error.into())
        })?,
        kind: row.get(1)?,
        at: row.get(2)?,
        booked: NewTransfer {
            from: vessel(row, 6)?,
            to: vessel(row, 10)?,
            substance: row.get(3)?,
            mass_ug: NonZeroU64::new(mass_ug.unsigned_abs())
                .ok_or(rusqlite::Error::IntegralValueOutOfRange(4, mass_ug))?,
            seen: Seen::from_word(row.get_ref(5)?.as_str()?),
        },
    })
}

/// Reads a vessel as [`from_row`](super::vessel::from_row) does, a jar by its mark.
fn vessel(row: &Row<'_>, first: usize) -> rusqlite::Result<Vessel> {
    let vessel = super::vessel::from_row(row, first)?;
    Ok(match vessel {
        Vessel::Jar(_) => Vessel::JarOf(row.get(first + 1)?),
        other => other,
    })
}
