//! How far the session may go without asking.

use std::time::Duration;

use serde::{Deserialize, Serialize};

use crate::learnt::StopLeads;
use crate::ratio::Ratio;
use crate::trail::usual_water_limit;

/// The limits a person has set.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Limits {
    /// A rescue that makes the batch grow by at most this fraction is taken without asking (one tenth by default).
    pub grow_by: Ratio,
    /// More added water than this fraction of the jar is warned of (30 % by default); it stops nothing.
    #[serde(default = "usual_water_limit")]
    pub water_warning: Ratio,
    /// How long a weight must stay inside its tolerance before the next step begins.
    pub dwell: Duration,
    /// How long the person takes to stop a pour once told (0.3 s by default: simple reaction plus tilting the bottle back,
    /// our own choice).
    pub reaction: Duration,
    /// How long what has left the bottle is in the air (0.18 s: a fall of 15 cm, t = √(2h/g)).
    pub fall: Duration,
    /// How far the scale's display lags behind what is on the pan (0.4 s unless its profile says).
    pub lag: Duration,
    /// Whose hand pours, where the person said it: what is learnt of pours is learnt of each hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand: Option<String>,
    /// By how much earlier than by the three times above stop is said, by the key of the ingredient: what earlier
    /// batches taught when this one was opened.
    #[serde(default, skip_serializing_if = "StopLeads::is_empty")]
    pub stop_leads: StopLeads,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            grow_by: Ratio::new(1, 10),
            water_warning: usual_water_limit(),
            dwell: Duration::from_millis(800),
            reaction: Duration::from_millis(300),
            fall: Duration::from_millis(180),
            lag: Duration::from_millis(400),
            hand: None,
            stop_leads: StopLeads::new(),
        }
    }
}
