//! How long each thing may take; all on the wall's clock.
//!
//! The system's own limits are far too long for a person who holds a jar: a connect may take 30 s and the
//! discovery after it 30 s more. Where no source is named the figure is our own choice.

use std::time::Duration;

/// A call that the service answers from what it knows.
pub(super) const CALL: Duration = Duration::from_secs(3);

/// One look around; scales call out at least once in about two seconds while awake (common practice).
pub(super) const SCAN: Duration = Duration::from_secs(8);

/// Between two looks at what was heard.
pub(super) const LOOK: Duration = Duration::from_millis(250);

/// Connecting to a scale that was heard a moment ago.
pub(super) const CONNECT: Duration = Duration::from_secs(10);

/// Finding its characteristics, subscribing, reading what it says of itself, one by one.
pub(super) const PREPARE: Duration = Duration::from_secs(5);

/// Asking whether the connection still stands: no event tells that the service, the bus or the device is gone.
pub(super) const PROBE: Duration = Duration::from_secs(1);

/// Letting go of the scale when the link ends.
pub(super) const FAREWELL: Duration = Duration::from_millis(500);
