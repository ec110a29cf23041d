//! The register of all batches: opened, moved from state to state, found again.

use std::collections::BTreeSet;
use std::str::FromStr as _;
use std::sync::Arc;

use rusqlite::types::{Type, Value};
use rusqlite::{Connection, OptionalExtension as _, Row, ToSql, params};

use super::batch::{
    Batch, BatchFilter, BatchHead, BatchId, BatchOrder, BatchRef, BatchState, Ending, LiveState,
    NewBatch, Opened, Reality, Reopening,
};
use super::error::{Fault, LogError};
use super::finding::{self, Within};
use super::mark::Mark;
use super::vessel;

/// What is read of a batch of [`HEADS`] for its line in a list. Of an amendment also what it did with a finished jar: only then
/// is the ledger asked by how much.
pub(super) const HEAD: &str = "id, mark, bench, recipe, rehearsal, state, planned_ug, opened, closed, in_jar_ug,
     iif(amends IS NULL, NULL, made_by) AS reopening,
     iif(amends IS NULL, NULL, (
         SELECT coalesce(sum(iif(to_vessel = v.id, mass_ug, -mass_ug)), 0)
         FROM vessel v CROSS JOIN transfer t ON t.batch = of_batch AND v.id IN (t.from_vessel, t.to_vessel)
         WHERE v.kind = 'jar' AND v.by_mark = 1 AND v.key = amends)) AS reopened_ug";

/// The batches with what each jar holds. Straight by the two indexes of the ledger: through its view, which is a union, SQLite
/// would sum up all batches first.
pub(super) const HEADS: &str = "(SELECT *, json_extract(made_by, '$.amends.mark') AS amends FROM (SELECT batch.*, batch.id AS of_batch, (
     SELECT coalesce((SELECT sum(mass_ug) FROM transfer WHERE to_vessel = vessel.id), 0)
          - coalesce((SELECT sum(mass_ug) FROM transfer WHERE from_vessel = vessel.id), 0)
     FROM vessel WHERE vessel.batch = batch.id) AS in_jar_ug,
     coalesce((SELECT json_extract(body, '$.procedure') FROM entry
         WHERE entry.batch = batch.id AND seq = 0 AND batch.procedure = 'null'), batch.procedure) AS made_by FROM batch))";

/// The procedure of a batch of [`HEADS`]: its own, or the one that its journal begins with.
const PROCEDURE: &str = "coalesce((SELECT json_extract(body, '$.procedure') FROM entry
     WHERE entry.batch = id AND seq = 0 AND procedure = 'null'), procedure)";

/// Returns the order in which batches of [`HEADS`] were opened, the same in every log they come into: by the moment, those of
/// one run by whose turn was first.
pub(super) fn as_opened() -> String {
    format!("rtrim(opened, 'Z'), json_extract({PROCEDURE}, '$.of_set.turns[0]'), mark")
}

/// Opens a batch: gives it a number, a mark that no other has, and a jar.
pub(super) fn open(conn: &Connection, new: &NewBatch) -> Result<BatchHead, Fault> {
    let mark = unused_mark(conn)?;
    let idle = BatchState::Live(LiveState::Idle);
    let id = insert(conn, &mark, new, idle, None)?;
    vessel::add_jar(conn, id, &mark)?;
    finding::add(conn, id, &mark, new)?;
    Ok(BatchHead {
        id,
        mark,
        bench: new.bench.clone(),
        recipe: new.recipe.clone(),
        reality: new.reality,
        state: BatchState::Live(LiveState::Idle),
        planned_ug: new.planned_ug,
        opened: new.opened.clone(),
        closed: None,
        in_jar_ug: 0,
        // Its journal says so, which is still empty.
        reopening: None,
    })
}

/// Writes the row of a batch.
pub(super) fn insert(
    conn: &Connection,
    mark: &Mark,
    new: &NewBatch,
    state: BatchState,
    closed: Option<&str>,
) -> Result<BatchId, Fault> {
    conn.prepare_cached(
        "INSERT INTO batch (mark, bench, recipe, rehearsal, state, planned_ug, opened, closed,
                            procedure, recipe_text, shelf_text, profile_text)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
    )?
    .execute(params![
        mark.as_str(),
        new.bench,
        new.recipe,
        new.reality == Reality::Rehearsal,
        state.as_str(),
        new.planned_ug,
        new.opened,
        closed,
        new.procedure,
        new.recipe_text,
        new.shelf_text,
        new.profile_text,
    ])?;
    Ok(BatchId::from_number(conn.last_insert_rowid()))
}

/// Draws a mark. It is drawn, not counted, so that the jars of two logs rarely share one.
fn unused_mark(conn: &Connection) -> Result<Mark, Fault> {
    let mut draw = conn.prepare_cached("SELECT random() & 0x7FFFFFFFFFFFFFFF")?;
    unused(conn, |signs| {
        let number: i64 = draw.query_row([], |row| row.get(0))?;
        Ok(Mark::of_number(number.unsigned_abs(), signs))
    })
}

/// Returns the first mark of those drawn, of so many signs each, that no batch has, nor one that may be still to come.
pub(super) fn unused(
    conn: &Connection,
    mut draw: impl FnMut(usize) -> Result<Mark, Fault>,
) -> Result<Mark, Fault> {
    let mut taken = conn.prepare_cached(
        "SELECT 1 FROM batch WHERE mark = ?1
         UNION ALL SELECT 1 FROM vessel WHERE kind = 'jar' AND key = ?1 AND by_mark = 1",
    )?;
    // When most short marks are taken the next length has plenty.
    for signs in 5..=12 {
        for _ in 0..16 {
            let mark = draw(signs)?;
            if !taken.exists([mark.as_str()])? {
                return Ok(mark);
            }
        }
    }
    Err(Fault::refused("no mark is left"))
}

/// Moves a batch to a state that is not the end.
pub(super) fn enter(conn: &Connection, id: BatchId, state: LiveState) -> Result<(), Fault> {
    change(conn, id, BatchState::Live(state), None)
}

/// Ends a batch.
pub(super) fn close(
    conn: &Connection,
    id: BatchId,
    ending: Ending,
    closed: &str,
) -> Result<(), Fault> {
    change(conn, id, BatchState::Ended(ending), Some(closed))
}

/// Moves a batch to a state.
pub(super) fn change(
    conn: &Connection,
    id: BatchId,
    state: BatchState,
    closed: Option<&str>,
) -> Result<(), Fault> {
    let changed = conn
        // Most steps change nothing here: writing the same again would write, and sync, more pages.
        .prepare_cached(
            "UPDATE batch SET state = ?2, closed = ?3
             WHERE id = ?1 AND (state <> ?2 OR closed IS NOT ?3)",
        )?
        .execute(params![id.number(), state.as_str(), closed])?;
    match changed {
        0 => must_exist(conn, id),
        _ => Ok(()),
    }
}

/// Returns a batch with its snapshots.
pub(super) fn read(conn: &Connection, which: &BatchRef) -> Result<Batch, Fault> {
    let sql = format!(
        "SELECT {HEAD}, {PROCEDURE} AS procedure, recipe_text, shelf_text, profile_text
         FROM {HEADS} WHERE id = ?1 OR mark = ?2"
    );
    let (id, mark) = match which {
        BatchRef::Id(id) => (Some(id.number()), None),
        BatchRef::Mark(mark) => (None, Some(mark.as_str())),
    };
    conn.prepare_cached(&sql)?
        .query_row(params![id, mark], |row| {
            Ok(Batch {
                head: head(row)?,
                procedure: row.get("procedure")?,
                recipe_text: row.get("recipe_text")?,
                shelf_text: row.get("shelf_text")?,
                profile_text: row.get("profile_text")?,
            })
        })
        .optional()?
        .ok_or_else(|| missing(which))
}

/// Returns what was written when these batches were opened; what is not in this log is left out.
pub(super) fn opened(conn: &Connection, marks: &[Mark]) -> Result<Vec<Opened>, Fault> {
    let marks: Vec<&str> = marks.iter().map(Mark::as_str).collect();
    let marks = serde_json::Value::from(marks).to_string();
    let sql = format!(
        "SELECT mark, opened, recipe, {PROCEDURE} AS procedure, shelf_text FROM batch
         WHERE mark IN (SELECT value FROM json_each(?1))"
    );
    // A shelf stays the same for many batches.
    let mut shelves: BTreeSet<Arc<str>> = BTreeSet::new();
    let mut statement = conn.prepare_cached(&sql)?;
    let rows = statement.query_map([marks], |row| {
        let mark: String = row.get("mark")?;
        let text = row.get_ref("shelf_text")?.as_str()?;
        let known = shelves.get(text).cloned();
        let shelf_text = known.unwrap_or_else(|| Arc::from(text));
        shelves.insert(Arc::clone(&shelf_text));
        Ok(Opened {
            mark: Mark::from_str(&mark).map_err(|error| unreadable("mark", error))?,
            opened: row.get("opened")?,
            recipe: row.get("recipe")?,
            procedure: row.get("procedure")?,
            shelf_text,
        })
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// Says that there is no such batch, where there is none.
pub(super) fn must_exist(conn: &Connection, id: BatchId) -> Result<(), Fault> {
    match conn
        .prepare_cached("SELECT 1 FROM batch WHERE id = ?1")?
        .exists([id.number()])?
    {
        true => Ok(()),
        false => Err(missing(&id.into())),
    }
}

/// Says that there is no such batch.
pub(super) fn missing(which: &BatchRef) -> Fault {
    Fault::Said(LogError::NoBatch {
        batch: which.to_string(),
    })
}

/// Which batches fit: the end of a query, and what is bound to its names.
struct Fitting {
    sql: String,
    values: Vec<(&'static str, Value)>,
}

impl Fitting {
    fn named(&self) -> Vec<(&str, &dyn ToSql)> {
        let values = self.values.iter();
        values
            .map(|(name, value)| (*name, value as &dyn ToSql))
            .collect()
    }
}

/// Each condition stands only where something is wanted of it: one that may be anything uses no index.
fn fitting(filter: &BatchFilter) -> Fitting {
    let state = filter.state.map(|state| state.as_str().to_owned());
    let rehearsal = filter.reality.map(|reality| reality == Reality::Rehearsal);
    let wanted: [(&str, &'static str, Option<Value>); 6] = [
        (
            "bench = :bench",
            ":bench",
            filter.bench.clone().map(Value::from),
        ),
        (
            "recipe = :recipe",
            ":recipe",
            filter.recipe.clone().map(Value::from),
        ),
        ("state = :state", ":state", state.map(Value::from)),
        (
            "rehearsal = :rehearsal",
            ":rehearsal",
            rehearsal.map(Value::from),
        ),
        (
            ":above < in_jar_ug",
            ":above",
            filter.holds_above_ug.map(Value::from),
        ),
        (
            "id < :before",
            ":before",
            filter.before.map(BatchId::number).map(Value::from),
        ),
    ];
    let mut conditions: Vec<String> = Vec::new();
    // To SQLite a negative limit is none.
    let at_most = filter.at_most.map_or(-1, i64::from);
    let mut values: Vec<(&'static str, Value)> = vec![(":at_most", at_most.into())];
    for (condition, name, value) in wanted {
        if let Some(value) = value {
            conditions.push(condition.to_owned());
            values.push((name, value));
        }
    }
    // Without their `Z` texts sort as the moments do, whether or not they have a fraction.
    let opened = [
        (
            "rtrim(:from, 'Z') <= rtrim(opened, 'Z')",
            ":from",
            &filter.opened_from,
        ),
        (
            "rtrim(opened, 'Z') < rtrim(:until, 'Z')",
            ":until",
            &filter.opened_until,
        ),
    ];
    let mut within: Vec<&str> = Vec::new();
    for (condition, name, moment) in opened {
        if let Some(moment) = moment {
            within.push(condition);
            values.push((name, moment.clone().into()));
        }
    }
    if !within.is_empty() {
        // By its own index: a week of years ago is not looked for from today on.
        let within = within.join(" AND ");
        conditions.push(format!("id IN (SELECT id FROM batch WHERE {within})"));
    }
    let found = [
        (&filter.find, Within::Everything, ":find"),
        (&filter.with, Within::Things, ":with"),
    ];
    for (text, within, name) in found {
        if let Some(text) = text.as_deref().filter(|text| !text.is_empty()) {
            let (sql, value) = finding::condition(text, within, name);
            conditions.push(sql);
            values.push((name, value.into()));
        }
    }
    let conditions = match conditions.as_slice() {
        [] => String::new(),
        some => format!("WHERE {}", some.join(" AND ")),
    };
    let order = match filter.order {
        BatchOrder::CameLast => "id DESC",
        BatchOrder::OpenedLast => "rtrim(opened, 'Z') DESC, id DESC",
    };
    let sql = format!("{conditions} ORDER BY {order} LIMIT :at_most");
    Fitting { sql, values }
}

/// Returns the batches that fit, in the order of the filter.
pub(super) fn list(conn: &Connection, filter: &BatchFilter) -> Result<Vec<BatchHead>, Fault> {
    let fitting = fitting(filter);
    let sql = format!("SELECT {HEAD} FROM {HEADS} {}", fitting.sql);
    let mut statement = conn.prepare_cached(&sql)?;
    let heads = statement.query_map(&fitting.named()[..], head)?;
    Ok(heads.collect::<Result<_, _>>()?)
}

/// Returns how many batches fit; none of them is read for it.
pub(super) fn count(conn: &Connection, filter: &BatchFilter) -> Result<u32, Fault> {
    let fitting = fitting(filter);
    let sql = format!(
        "SELECT count(*) FROM (SELECT id FROM {HEADS} {})",
        fitting.sql
    );
    let mut statement = conn.prepare_cached(&sql)?;
    Ok(statement.query_row(&fitting.named()[..], |row| row.get(0))?)
}

/// Returns the batches that were opened in one run with this one, in the order they were opened.
pub(super) fn run_of(conn: &Connection, which: &BatchRef) -> Result<Vec<BatchHead>, Fault> {
    let Batch {
        head: one,
        procedure,
        ..
    } = read(conn, which)?;
    // The jars of a run are opened at one moment; that tells the run from others without reading every procedure.
    let sql = format!(
        "SELECT {HEAD} FROM {HEADS} WHERE bench = ?1 AND rtrim(opened, 'Z') = rtrim(?2, 'Z')
           AND json_extract({PROCEDURE}, '$.of_set.run') = json_extract(?3, '$.of_set.run') ORDER BY {}",
        as_opened()
    );
    let mut statement = conn.prepare_cached(&sql)?;
    let heads: Vec<BatchHead> = statement
        .query_map(params![one.bench, one.opened, procedure], head)?
        .collect::<Result<_, _>>()?;
    // A jar that was made alone is a run of one.
    Ok(if heads.is_empty() { vec![one] } else { heads })
}

/// Returns the batches of a bench that have not ended, the newest first.
pub(super) fn unfinished(conn: &Connection, bench: &str) -> Result<Vec<BatchHead>, Fault> {
    let sql =
        format!("SELECT {HEAD} FROM {HEADS} WHERE bench = ?1 AND closed IS NULL ORDER BY id DESC");
    let mut statement = conn.prepare_cached(&sql)?;
    let heads = statement.query_map([bench], head)?;
    Ok(heads.collect::<Result<_, _>>()?)
}

pub(super) fn head(row: &Row<'_>) -> rusqlite::Result<BatchHead> {
    let mark: String = row.get("mark")?;
    let state: String = row.get("state")?;
    Ok(BatchHead {
        id: BatchId::from_number(row.get("id")?),
        mark: Mark::from_str(&mark).map_err(|error| unreadable("mark", error))?,
        bench: row.get("bench")?,
        recipe: row.get("recipe")?,
        reality: match row.get("rehearsal")? {
            true => Reality::Rehearsal,
            false => Reality::Real,
        },
        state: BatchState::from_word(&state)
            .ok_or_else(|| unreadable("state", UnknownState(state)))?,
        planned_ug: row.get("planned_ug")?,
        opened: row.get("opened")?,
        closed: row.get("closed")?,
        in_jar_ug: row.get("in_jar_ug")?,
        reopening: match row.get("reopening")? {
            Some(procedure) => Some(Reopening {
                procedure,
                mass_ug: row.get("reopened_ug")?,
            }),
            None => None,
        },
    })
}

#[derive(Debug, thiserror::Error)]
#[error("`{0}` is no state of a batch")]
struct UnknownState(String);

fn unreadable<E>(column: &'static str, error: E) -> rusqlite::Error
where
    E: std::error::Error + Send + Sync + 'static,
{
    let at = HEAD
        .split(", ")
        .position(|name| name == column)
        .unwrap_or(0);
    rusqlite::Error::FromSqlConversionFailure(at, Type::Text, Box::new(error))
}
