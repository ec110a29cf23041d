//! Mass that went from one vessel to another.

use std::num::NonZeroU64;

use rusqlite::{Connection, params};

use super::batch::BatchId;
use super::error::Fault;
use super::vessel::{self, Vessel};

/// Whether a transfer was seen on a scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Seen {
    /// Weighed while it was poured.
    Seen,
    /// Poured in a gap and found afterwards, or told by the person.
    Unseen,
}

impl Seen {
    pub(super) fn from_word(word: &str) -> Self {
        match word {
            "unseen" => Self::Unseen,
            // The schema admits no other.
            _ => Self::Seen,
        }
    }
}

/// A transfer that is to be booked.
///
/// Undoing or correcting one is booking another the other way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewTransfer {
    /// Where the mass was.
    pub from: Vessel,
    /// Where it went; never where it was.
    pub to: Vessel,
    /// The ingredient's key.
    pub substance: String,
    /// How much, in micrograms; a thousand tonnes at most.
    pub mass_ug: NonZeroU64,
    /// Whether a scale saw it.
    pub seen: Seen,
}

impl NewTransfer {
    /// Returns the transfer the other way, which takes this one back.
    #[must_use]
    pub fn reversed(self) -> Self {
        Self {
            from: self.to,
            to: self.from,
            ..self
        }
    }
}

/// A transfer that is booked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Transfer {
    /// The batch in whose journal it is.
    pub batch: BatchId,
    /// The journal's entry it belongs to.
    pub entry: i64,
    /// What was booked.
    pub booked: NewTransfer,
}

/// What a vessel holds of one substance.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Holding {
    /// The ingredient's key.
    pub substance: String,
    /// How much, in micrograms; below zero where more was taken than is known to have gone in.
    pub mass_ug: i64,
    /// How much of it no scale saw, in micrograms.
    pub unseen_ug: i64,
}

/// Books the transfers of an entry.
pub(super) fn book(
    conn: &Connection,
    batch: BatchId,
    entry: i64,
    transfers: &[NewTransfer],
) -> Result<(), Fault> {
    for (nth, transfer) in (0_i64..).zip(transfers) {
        let mass_ug = i64::try_from(transfer.mass_ug.get())
            .map_err(|_| Fault::refused("a transfer is at most a thousand tonnes"))?;
        let from = vessel::row_of(conn, &transfer.from)?;
        let to = vessel::row_of(conn, &transfer.to)?;
        let seen = match transfer.seen {
            Seen::Seen => "seen",
            Seen::Unseen => "unseen",
        };
        conn.prepare_cached(
            "INSERT INTO transfer (batch, entry, nth, from_vessel, to_vessel, substance, mass_ug, seen)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        )?
        .execute(params![
            batch.number(),
            entry,
            nth,
            from,
            to,
            transfer.substance,
            mass_ug,
            seen
        ])?;
    }
    Ok(())
}

/// Returns the transfers that went into or out of a batch's jar or stand in its journal, in order.
pub(super) fn transfers(conn: &Connection, id: BatchId) -> Result<Vec<Transfer>, Fault> {
    let jar = vessel::row_of(conn, &Vessel::Jar(id))?;
    let mut statement = conn.prepare_cached(
        "SELECT t.batch, t.entry, t.substance, t.mass_ug, t.seen,
                f.kind, f.key, f.batch, f.by_mark, g.kind, g.key, g.batch, g.by_mark
         FROM transfer t
         JOIN vessel f ON f.id = t.from_vessel
         JOIN vessel g ON g.id = t.to_vessel
         WHERE t.batch = ?1 OR t.from_vessel = ?2 OR t.to_vessel = ?2
         ORDER BY t.batch, t.entry, t.nth",
    )?;
    let transfers = statement.query_map([id.number(), jar], |row| {
        let mass_ug: i64 = row.get(3)?;
        Ok(Transfer {
            batch: BatchId::from_number(row.get(0)?),
            entry: row.get(1)?,
            booked: NewTransfer {
                from: vessel::from_row(row, 5)?,
                to: vessel::from_row(row, 9)?,
                substance: row.get(2)?,
                mass_ug: NonZeroU64::new(mass_ug.unsigned_abs())
                    .ok_or(rusqlite::Error::IntegralValueOutOfRange(3, mass_ug))?,
                seen: Seen::from_word(row.get_ref(4)?.as_str()?),
            },
        })
    })?;
    Ok(transfers.collect::<Result<_, _>>()?)
}

/// Returns what a batch's jar holds, by substance; what came in and went out again is left out.
pub(super) fn jar(conn: &Connection, id: BatchId) -> Result<Vec<Holding>, Fault> {
    let jar = vessel::row_of(conn, &Vessel::Jar(id))?;
    // Not through the view `ledger`, which SQLite would compute for all batches first.
    let mut statement = conn.prepare_cached(
        "SELECT substance, sum(mass_ug), sum(unseen_ug) FROM movement WHERE vessel = ?1
         GROUP BY substance HAVING sum(mass_ug) <> 0 OR sum(unseen_ug) <> 0 ORDER BY substance",
    )?;
    let holdings = statement.query_map([jar], |row| {
        Ok(Holding {
            substance: row.get(0)?,
            mass_ug: row.get(1)?,
            unseen_ug: row.get(2)?,
        })
    })?;
    Ok(holdings.collect::<Result<_, _>>()?)
}

/// Returns how many micrograms a batch's jar holds of everything together.
pub(super) fn in_jar(conn: &Connection, id: BatchId) -> Result<i64, Fault> {
    let jar = vessel::row_of(conn, &Vessel::Jar(id))?;
    let mut statement = conn.prepare_cached(
        "SELECT coalesce((SELECT sum(mass_ug) FROM transfer WHERE to_vessel = ?1), 0)
              - coalesce((SELECT sum(mass_ug) FROM transfer WHERE from_vessel = ?1), 0)",
    )?;
    Ok(statement.query_row([jar], |row| row.get(0))?)
}
