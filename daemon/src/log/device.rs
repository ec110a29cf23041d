//! What the person told once about a scale.

use rusqlite::{Connection, OptionalExtension as _, Row, params};

use super::error::Fault;

/// The settings kept for one scale.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Device {
    /// What tells this scale from others: its link and its address or serial number.
    pub key: String,
    /// The unit the person told where the scale sends none, `g`.
    pub told_unit: Option<String>,
    /// The scale profile's text.
    pub profile: String,
    /// When it was last seen: RFC 3339, UTC.
    pub last_seen: String,
}

/// Writes the settings of a scale in place of the old ones.
pub(super) fn set(conn: &Connection, device: &Device) -> Result<(), Fault> {
    conn.prepare_cached(
        "INSERT INTO device (key, told_unit, profile, last_seen) VALUES (?1, ?2, ?3, ?4)
         ON CONFLICT (key) DO UPDATE SET
             told_unit = excluded.told_unit, profile = excluded.profile, last_seen = excluded.last_seen",
    )?
    .execute(params![device.key, device.told_unit, device.profile, device.last_seen])?;
    Ok(())
}

/// Returns the settings of a scale, where it was seen before.
pub(super) fn read(conn: &Connection, key: &str) -> Result<Option<Device>, Fault> {
    let device = conn
        .prepare_cached("SELECT key, told_unit, profile, last_seen FROM device WHERE key = ?1")?
        .query_row([key], from_row)
        .optional()?;
    Ok(device)
}

/// Returns the settings of all scales, by key.
pub(super) fn list(conn: &Connection) -> Result<Vec<Device>, Fault> {
    let mut statement =
        conn.prepare_cached("SELECT key, told_unit, profile, last_seen FROM device ORDER BY key")?;
    let devices = statement.query_map([], from_row)?;
    Ok(devices.collect::<Result<_, _>>()?)
}

fn from_row(row: &Row<'_>) -> rusqlite::Result<Device> {
    Ok(Device {
        key: row.get(0)?,
        told_unit: row.get(1)?,
        profile: row.get(2)?,
        last_seen: row.get(3)?,
    })
}
