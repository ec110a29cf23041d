//! How far the session may go without asking.

use std::time::Duration;

use serde::{Deserialize, Serialize};

use crate::ratio::Ratio;

/// The limits a person has set.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Limits {
    /// A rescue that makes the batch grow by at most this fraction is taken without asking (one tenth by default).
    pub grow_by: Ratio,
    /// How long a weight must stay inside its tolerance before the next step begins.
    pub dwell: Duration,
    /// How long the person takes to stop a pour once told (0.3 s by default: simple reaction plus tilting the bottle back,
    /// our own choice).
    pub reaction: Duration,
    /// How long what has left the bottle is in the air (0.18 s: a fall of 15 cm, t = √(2h/g)).
    pub fall: Duration,
    /// How far the scale's display lags behind what is on the pan (0.4 s unless its profile says).
    pub lag: Duration,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            grow_by: Ratio::new(1, 10),
            dwell: Duration::from_millis(800),
            reaction: Duration::from_millis(300),
            fall: Duration::from_millis(180),
            lag: Duration::from_millis(400),
        }
    }
}
