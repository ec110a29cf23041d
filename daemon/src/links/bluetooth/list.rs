//! The radio scales a person can choose from.

use std::time::Duration;

use tokio::runtime::Builder;

use super::pick::Seen;
use super::radio::{Bus, Found, Interest, Look, look_around};
use super::trouble::Trouble;

/// How long is listened; a scale that is awake calls out at least once in about two seconds (common practice).
const LISTEN: Duration = Duration::from_secs(4);

/// Looks around, and returns what is heard and what the system remembers; the loudest first.
///
/// Blocking, for about four seconds. A radio that is off stays off.
///
/// # Errors
/// When there is no radio that is on.
pub fn list() -> Result<Vec<Seen>, Trouble> {
    let runtime = Builder::new_current_thread()
        .enable_all()
        .build()
        .map_err(|error| Trouble::NoScan(error.to_string()))?;
    runtime.block_on(async {
        let bus = Bus::open().await?;
        let radios = bus.radios(None).await?;
        let found = look_around(&radios, LISTEN, Interest::All, |_| Look::On).await?;
        let mut seen: Vec<Seen> = found.into_iter().map(|Found { seen, .. }| seen).collect();
        seen.sort_by_key(|seen| std::cmp::Reverse((seen.connected, seen.signal)));
        Ok(seen)
    })
}
