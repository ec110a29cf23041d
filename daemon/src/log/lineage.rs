//! What went into a jar through whichever vessels, and into which jars it went on.

use std::collections::{BTreeSet, BinaryHeap};
use std::num::NonZeroU64;
use std::str::FromStr as _;

use rusqlite::types::Type;
use rusqlite::{Connection, Row, params};
use serde_json::Value;

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

/// Returns every transfer of a batch's jar, and of all that was poured into it those that can tell what was poured, in the
/// order of time.
pub(super) fn upstream(conn: &Connection, id: BatchId) -> Result<Vec<Flow>, Fault> {
    register::must_exist(conn, id)?;
    let reached: Vec<Value> = reached(conn, id)?.into_iter().map(Reached::said).collect();
    // A clock that was set back must not turn the entries of a journal round: each is as late as the latest before it. What
    // was booked at one moment has the order in which its batches were opened, not the one in which they came into this log.
    let as_opened = as_opened();
    // The cross joins keep the order of the tables: a jar has few transfers, the log has very many.
    let sql = format!(
        "WITH reached (vessel, by_mark, until) AS MATERIALIZED (
             SELECT value ->> 0, value ->> 1, value ->> 2 FROM json_each(?1)
         ),
         moved (batch, entry, nth) AS MATERIALIZED (
             SELECT t.batch, t.entry, t.nth FROM reached r CROSS JOIN transfer t ON t.to_vessel = r.vessel
             CROSS JOIN entry e ON e.batch = t.batch AND e.seq = t.entry
             WHERE r.by_mark = 1 AND rtrim(e.at, 'Z') <= r.until
             UNION
             SELECT t.batch, t.entry, t.nth FROM reached r CROSS JOIN transfer t ON t.from_vessel = r.vessel
             CROSS JOIN entry e ON e.batch = t.batch AND e.seq = t.entry
             WHERE r.by_mark = 1 AND rtrim(e.at, 'Z') <= r.until
             UNION
             SELECT c.batch, c.entry, c.nth FROM reached r CROSS JOIN through_cup c ON c.cup = r.vessel
             WHERE r.by_mark = 0 AND c.at <= r.until
         ),
         opening (batch, place) AS MATERIALIZED (
             SELECT id, row_number() OVER (ORDER BY {as_opened}) FROM batch WHERE id IN (SELECT batch FROM moved)
         ),
         booked (batch, entry, late) AS MATERIALIZED (
             SELECT e.batch, e.seq, max(rtrim(e.at, 'Z')) OVER (PARTITION BY e.batch ORDER BY e.seq)
             FROM opening o CROSS JOIN entry e ON e.batch = o.batch
         )
         SELECT b.mark, e.kind, e.at, t.substance, t.mass_ug, t.seen,
                f.kind, f.key, f.batch, f.by_mark, g.kind, g.key, g.batch, g.by_mark
         FROM moved
         CROSS JOIN transfer t ON t.batch = moved.batch AND t.entry = moved.entry AND t.nth = moved.nth
         JOIN batch b ON b.id = t.batch
         JOIN opening o ON o.batch = t.batch
         JOIN booked ON booked.batch = t.batch AND booked.entry = t.entry
         JOIN entry e ON e.batch = t.batch AND e.seq = t.entry
         JOIN vessel f ON f.id = t.from_vessel
         JOIN vessel g ON g.id = t.to_vessel
         ORDER BY booked.late, o.place, t.entry, t.nth"
    );
    let mut statement = conn.prepare_cached(&sql)?;
    let flows = statement.query_map([Value::from(reached).to_string()], flow)?;
    Ok(flows.collect::<Result<_, _>>()?)
}

/// Stands for a moment after all others.
const EVER: &str = "~";

/// A jar, a cup, or a place on the shelf with a mix on it, of which something came into a jar; ordered by when that was last.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Reached {
    /// The last moment, without its `Z`: what happened to the vessel later never came there.
    until: String,
    vessel: i64,
    /// Whether it is the jar of a batch, and none of the others.
    by_mark: bool,
}

impl Reached {
    fn said(self) -> Value {
        Value::from(vec![
            Value::from(self.vessel),
            Value::from(u8::from(self.by_mark)),
            Value::from(self.until),
        ])
    }
}

/// Returns the jar of a batch, which counts for ever, and every jar and cup whose content came into it.
///
/// One cup may serve all batches of all years: it is followed back from the moment of its last pour into this jar, not from
/// today. The latest are followed first, so that each is followed once.
fn reached(conn: &Connection, id: BatchId) -> Result<Vec<Reached>, Fault> {
    let mut jar = conn.prepare_cached("SELECT id FROM vessel WHERE batch = ?1")?;
    let own = jar.query_map([id.number()], |row| {
        Ok(Reached {
            until: EVER.to_owned(),
            vessel: row.get(0)?,
            by_mark: true,
        })
    })?;
    let mut open: BinaryHeap<Reached> = own.collect::<Result<_, _>>()?;
    let mut known = BTreeSet::new();
    let mut found = Vec::new();
    while let Some(next) = open.pop() {
        if known.insert(next.vessel) {
            let into = poured_into(conn, &next)?;
            open.extend(
                into.into_iter()
                    .filter(|from| !known.contains(&from.vessel)),
            );
            found.push(next);
        }
    }
    Ok(found)
}

/// Returns the jars and cups that were poured into a vessel while that counted.
fn poured_into(conn: &Connection, into: &Reached) -> Result<Vec<Reached>, Fault> {
    let transfers = match into.by_mark {
        true => "transfer t CROSS JOIN entry e ON e.batch = t.batch AND e.seq = t.entry
             WHERE t.to_vessel = ?1 AND rtrim(e.at, 'Z') <= ?2",
        false => "through_cup c CROSS JOIN transfer t ON t.batch = c.batch AND t.entry = c.entry AND t.nth = c.nth
             WHERE c.cup = ?1 AND c.at <= ?2 AND t.to_vessel = ?1",
    };
    let sql = format!(
        "SELECT max(late), vessel, by_mark FROM (
             SELECT v.id AS vessel, v.by_mark,
                 (SELECT max(rtrim(at, 'Z')) FROM entry WHERE batch = moved.batch AND seq <= moved.entry) AS late
             FROM (SELECT t.batch, t.entry, t.from_vessel FROM {transfers}) AS moved
             CROSS JOIN vessel v ON v.id = moved.from_vessel
                 AND (v.kind = 'jar' OR EXISTS (SELECT 1 FROM through_cup WHERE cup = v.id))
         ) WHERE late <= ?2 GROUP BY vessel"
    );
    let mut statement = conn.prepare_cached(&sql)?;
    let from = statement.query_map(params![into.vessel, into.until], |row| {
        Ok(Reached {
            until: row.get(0)?,
            vessel: row.get(1)?,
            by_mark: row.get(2)?,
        })
    })?;
    Ok(from.collect::<Result<_, _>>()?)
}

/// Returns the batches of these jars and of those into which some of them went, in the order they were opened.
pub(super) fn downstream(conn: &Connection, jars: &[Mark]) -> Result<Vec<BatchHead>, Fault> {
    let marks: Vec<&str> = jars.iter().map(Mark::as_str).collect();
    let marks = Value::from(marks).to_string();
    let as_opened = as_opened();
    let sql = format!(
        "WITH RECURSIVE out_of_it (vessel) AS (
             SELECT id FROM vessel WHERE kind = 'jar' AND by_mark = 1 AND key IN (SELECT value FROM json_each(?1))
             UNION
             SELECT t.to_vessel FROM out_of_it
             CROSS JOIN transfer t ON t.from_vessel = out_of_it.vessel
             JOIN vessel v ON v.id = t.to_vessel
                 AND (v.kind = 'jar' OR (v.kind = 'shelf' AND t.substance = 'the mixture'))
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
