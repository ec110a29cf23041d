//! What a feed tells of its scale.

use std::time::Duration;

use tarehand_mixing::weighing::Scale;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{ScaleState, TroubleWord};
use tarehand_protocol::scale::Finding;

use super::Feed;

/// What is wrong with a scale, for a person and as a word.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Trouble {
    pub kind: TroubleWord,
    pub why: String,
    pub hint: Option<String>,
}

impl From<&Finding> for Trouble {
    fn from(finding: &Finding) -> Self {
        Self {
            kind: match finding {
                Finding::SevenBits(_) => TroubleWord::SevenBits,
                Finding::NeedsUnit => TroubleWord::NeedsUnit,
                Finding::NeedsField => TroubleWord::NeedsField,
                Finding::BitSlips { .. } => TroubleWord::BitSlips,
                Finding::Word(_) => TroubleWord::WordForWeight,
                Finding::ManyRejected { .. } => TroubleWord::BrokenLines,
            },
            why: finding.to_string(),
            hint: finding.hint().map(str::to_owned),
        }
    }
}

impl Feed {
    /// Returns what is known of the scale.
    pub(in crate::bench) fn scale(&self) -> Scale {
        Scale {
            division: self.settler.division(),
            capacity: self.capacity,
        }
    }

    /// Returns how far the display lags, where the profile says it.
    pub(in crate::bench) const fn lag(&self) -> Option<Duration> {
        self.lag
    }

    /// Returns the state of the scale for a person.
    pub(in crate::bench) fn state(&self) -> ScaleState {
        let trouble = self.trouble.as_ref().or(self.findings.as_ref());
        let period = self.settler.period().map(|period| period.as_secs_f64());
        ScaleState {
            device: self.device.clone(),
            read_as: self.read_as.clone(),
            open: self.open,
            trouble: trouble.map(|trouble| trouble.why.clone()),
            trouble_kind: trouble.map(|trouble| trouble.kind),
            hint: trouble.and_then(|trouble| trouble.hint.clone()),
            division_g: self.settler.division().map(Mass::grams),
            division_estimated: !self.division_told,
            capacity_g: self.capacity.map(Mass::grams),
            rate_hz: period
                .filter(|period| 0.0 < *period)
                .map(|period| 1.0 / period),
            battery_percent: self.battery_percent,
            remark: self.remark.clone(),
            taps: self.ear.is_wanted(),
        }
    }
}

#[cfg(test)]
mod tests {
    use tarehand_mixing::Tick;
    use tokio::sync::mpsc;
    use tokio_util::sync::CancellationToken;

    use super::*;
    use crate::clock::Clock;
    use crate::links::{Link, LinkEvent};

    /// A way to no scale at all.
    struct Idle;

    impl Link for Idle {
        fn run(self: Box<Self>, _: Clock, _: mpsc::Sender<LinkEvent>, _: CancellationToken) {}
    }

    #[test]
    fn settings_that_were_found_by_trying_are_told_with_where_they_belong() {
        let clock = Clock::starting_at(Tick::ZERO, 1.0);
        let mut feed = Feed::rehearsal(
            Box::new(Idle),
            clock,
            Mass::from_grams(1_000),
            Duration::ZERO,
        );
        let news = feed.take(LinkEvent::Tuned {
            usual: "9600 8N1".to_owned(),
            found: "2400 7E1".to_owned(),
        });
        assert!(news.changed);
        assert_eq!(
            feed.state().remark.as_deref(),
            Some(
                "nothing readable came at 9600 8N1; 2400 7E1 was found: write it under `[serial]` in a profile to have it at once"
            )
        );
    }
}
