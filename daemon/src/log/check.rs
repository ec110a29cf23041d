//! What the doctor asks the log.

use rusqlite::Connection;

use super::error::Fault;
use super::schema;

/// What must hold in a whole log: a query that finds nothing, and what to say of a row it finds.
const LAWS: [&str; 3] = [
    "SELECT 'the journal of batch ' || batch || ' has a gap'
     FROM entry GROUP BY batch HAVING count(*) <> max(seq) + 1 OR min(seq) <> 0",
    "SELECT 'the ledger of ' || substance || ' is off by ' || sum(mass_ug) || ' µg'
     FROM movement GROUP BY substance HAVING sum(mass_ug) <> 0",
    "SELECT 'batch ' || id || ' has no jar'
     FROM batch WHERE NOT EXISTS (SELECT 1 FROM vessel WHERE vessel.batch = batch.id)",
];

/// The same of what is derived from the transfers since schema 3; an older log, such as a copy of years ago, has no such tables.
const DERIVED: [&str; 2] = [
    "SELECT 'what batch ' || batch || ' drew from the shelf is not what its transfers say'
     FROM (SELECT s.vessel, s.batch, s.out_ug, s.back_ug FROM stretch s
           UNION ALL
           SELECT v.id, t.batch, CASE t.from_vessel WHEN v.id THEN -t.mass_ug ELSE 0 END,
               CASE t.to_vessel WHEN v.id THEN -t.mass_ug ELSE 0 END
           FROM transfer t
           JOIN batch b ON b.id = t.batch AND b.rehearsal = 0
           JOIN vessel v ON v.kind = 'shelf' AND v.id IN (t.from_vessel, t.to_vessel))
     GROUP BY vessel, batch HAVING sum(out_ug) <> 0 OR sum(back_ug) <> 0",
    "SELECT 'what went through the cup `' || key || '` is not what the transfers say'
     FROM vessel WHERE by_mark = 0
         AND (kind = 'jar' OR (kind = 'shelf' AND EXISTS (SELECT 1 FROM transfer WHERE to_vessel = id AND substance = 'the mixture')))
         AND (SELECT count(*) FROM through_cup WHERE cup = id)
         <> (SELECT count(*) FROM transfer WHERE from_vessel = id) + (SELECT count(*) FROM transfer WHERE to_vessel = id)",
];

/// The schema that has them.
const DERIVES: u32 = 3;

/// Returns what is wrong in the log, a sentence each; nothing when it is whole.
///
/// The pages of the file (SQLite's `quick_check`), the references between the tables, the places
/// in every journal, and whether the ledger balances.
pub(super) fn check(conn: &Connection) -> Result<Vec<String>, Fault> {
    let mut found = sentences(conn, "PRAGMA quick_check(20)")?;
    found.retain(|line| line != "ok");
    if !found.is_empty() {
        // On damaged pages the questions below may find anything.
        return Ok(found);
    }
    let mut broken = conn.prepare("PRAGMA foreign_key_check")?;
    let references = broken.query_map([], |row| {
        let table: String = row.get(0)?;
        let target: String = row.get(2)?;
        Ok(format!("a row of `{table}` points at no row of `{target}`"))
    })?;
    for line in references {
        found.push(line?);
    }
    let derived: &[&str] = match DERIVES <= schema::version(conn)? {
        true => &DERIVED,
        false => &[],
    };
    for law in LAWS.iter().chain(derived) {
        found.extend(sentences(conn, law)?);
    }
    Ok(found)
}

fn sentences(conn: &Connection, sql: &str) -> Result<Vec<String>, Fault> {
    let mut statement = conn.prepare(sql)?;
    let lines = statement.query_map([], |row| row.get(0))?;
    Ok(lines.collect::<Result<_, _>>()?)
}
