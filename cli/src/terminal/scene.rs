//! Everything the screen is drawn from.

use std::time::Duration;

use tarehand_protocol::api::{View, WeightNow};

/// No scale is slower than this without being silent.
const SILENCE_MS: u64 = 1_500;

/// Everything the screen is drawn from.
#[derive(Clone, Debug)]
pub(crate) struct Scene<'a> {
    /// The newest view.
    pub(crate) view: &'a View,
    /// Bench time since that view was sent.
    pub(crate) since_view: Duration,
    /// The newest weight.
    pub(crate) weight: Option<Weight<'a>>,
    /// How the service is reached.
    pub(crate) link: Link,
    /// What the person is being asked by the screen itself.
    pub(crate) asking: &'a Asking,
    /// What the screen has to say.
    pub(crate) notice: Option<&'a str>,
}

/// A weight and how old it is by now.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Weight<'a> {
    /// The weight as it was sent.
    pub(crate) now: &'a WeightNow,
    /// Its age, in milliseconds.
    pub(crate) age_ms: u64,
}

/// How the service is reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Link {
    /// It answers.
    Live,
    /// It does not answer, for so long.
    Away(Duration),
}

/// What the person is being asked by the screen itself.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) enum Asking {
    /// Nothing.
    #[default]
    Nothing,
    /// The trail, with what has been typed so far.
    Trail(String),
    /// Whether the batch is really to be given up.
    GiveUp,
}

impl Weight<'_> {
    /// Returns whether it is too old to be shown as the weight.
    pub(crate) fn is_stale(&self, view: &View) -> bool {
        let rate = view.scale_in_use().and_then(|scale| scale.rate_hz);
        let three_periods = match rate {
            Some(rate) if 0.0 < rate => Duration::try_from_secs_f64(3.0 / rate),
            _ => Ok(Duration::ZERO),
        };
        let limit = three_periods.unwrap_or(Duration::MAX).as_millis();
        limit.max(u128::from(SILENCE_MS)) < u128::from(self.age_ms)
    }
}
