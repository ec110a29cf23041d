//! Listening to one scale for taps on its pan.

use tarehand_mixing::Tick;
use tarehand_mixing::tap::{Detector, Tap, most_under_taps};
use tarehand_mixing::weighing::Scale;
use tarehand_protocol::Mass;

use super::Feed;

/// Listens for taps: how hard this person taps is learnt for as long as the scale is read.
#[derive(Debug)]
pub(super) struct Ear {
    detector: Detector,
    /// Whether taps can be seen on this scale at all: one that is silent in between shows none.
    able: bool,
    /// Whether the person wants taps.
    wanted: bool,
    /// Whether what stood on the pan last leaves room for a push.
    room: bool,
}

impl Ear {
    /// An ear at a scale that streams.
    pub(super) fn new(wanted: bool) -> Self {
        Self {
            detector: Detector::default(),
            able: true,
            wanted,
            room: false,
        }
    }

    /// An ear at a scale on which no tap can be seen, or nobody taps.
    pub(super) fn deaf(wanted: bool) -> Self {
        Self {
            able: false,
            ..Self::new(wanted)
        }
    }

    /// Takes what the scale says, `None` where that is no weight, and returns the tap that it ends.
    ///
    /// `band` is within what the readings of the quiet pan lie.
    pub(super) fn hear(
        &mut self,
        at: Tick,
        gross: Option<Mass>,
        band: Mass,
        scale: Scale,
    ) -> Option<Tap> {
        let most = most_under_taps(scale.capacity, scale.division).filter(|_| self.able);
        let (Some(gross), Some(most)) = (gross, most) else {
            self.room = false;
            self.detector.forget();
            return None;
        };
        let rests = gross <= most;
        let tap = (rests || self.room)
            .then(|| self.detector.weight(at, gross, band))
            .flatten();
        // What rests on the pan must leave room for a push; the push itself may need it.
        self.room = rests || self.room && self.detector.is_pushed();
        if !self.room {
            self.detector.forget();
        }
        tap.filter(|_| self.wanted)
    }

    /// Returns whether a tap would be heard now.
    pub(super) const fn hears(&self) -> bool {
        self.wanted && self.room
    }

    /// Returns whether the person wants taps.
    pub(super) const fn is_wanted(&self) -> bool {
        self.wanted
    }

    /// Forgets a push that is under way, but not how hard this person taps.
    pub(super) fn forget(&mut self) {
        self.detector.forget();
    }

    /// Says whether the person wants taps.
    pub(super) const fn want(&mut self, wanted: bool) {
        self.wanted = wanted;
    }
}

impl Feed {
    /// Returns whether a tap on its pan would be heard now.
    pub(in crate::bench) const fn hears_taps(&self) -> bool {
        self.open && self.ear.hears()
    }

    /// A push that is under way answers nothing: it began before what is asked now.
    pub(in crate::bench) fn forget_taps(&mut self) {
        self.ear.forget();
    }

    /// Says whether the person wants taps on its pan to count.
    pub(in crate::bench) const fn want_taps(&mut self, wanted: bool) {
        self.ear.want(wanted);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BAND: Mass = Mass::from_milligrams(100);
    /// One push on a pan that is still, ten readings a second, in grams.
    const PUSH: [i64; 24] = [
        0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 40, 60, 40, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0,
    ];

    /// A scale of tenths of a gram that carries so much.
    fn scale(capacity_g: i64) -> Scale {
        Scale {
            division: Some(BAND),
            capacity: Some(Mass::from_grams(capacity_g)),
        }
    }

    /// Pushes once, on a jar that weighs so much.
    fn push(ear: &mut Ear, scale: Scale, jar_g: i64, from: u64) -> Vec<Tap> {
        let readings = (from..).zip(PUSH);
        readings
            .filter_map(|(place, push)| {
                let gross = Some(Mass::from_grams(jar_g + push));
                ear.hear(Tick::from_millis(100 * place), gross, BAND, scale)
            })
            .collect()
    }

    #[test]
    fn a_tap_is_heard_where_there_is_room_and_it_is_wanted() {
        let mut ear = Ear::new(true);
        assert!(!ear.hears());
        assert_eq!(push(&mut ear, scale(2_000), 150, 0), [Tap::Once]);
        assert!(ear.hears());
        ear.want(false);
        assert!(!ear.hears());
        assert_eq!(push(&mut ear, scale(2_000), 150, 100), []);
    }

    #[test]
    fn a_small_scale_and_a_full_one_hear_none() {
        let mut ear = Ear::new(true);
        assert_eq!(push(&mut ear, scale(600), 150, 0), []);
        assert!(!ear.hears());
        assert_eq!(push(&mut ear, scale(1_000), 520, 100), []);
        assert!(!ear.hears());
    }

    #[test]
    fn a_deaf_ear_hears_nothing() {
        let mut ear = Ear::deaf(true);
        assert_eq!(push(&mut ear, scale(2_000), 150, 0), []);
        assert!(!ear.hears() && ear.is_wanted());
    }

    #[test]
    fn a_push_past_the_most_is_heard_to_its_end() {
        let mut ear = Ear::new(true);
        assert_eq!(push(&mut ear, scale(1_000), 470, 0), [Tap::Once]);
    }

    #[test]
    fn a_push_that_overloads_the_scale_is_no_tap() {
        let mut ear = Ear::new(true);
        let (before, after) = PUSH.split_at(12);
        let weights = before.iter().map(|push| Some(Mass::from_grams(150 + push)));
        let over = std::iter::once(None);
        let back = after.iter().map(|_| Some(Mass::from_grams(150)));
        for (place, gross) in (0..).zip(weights.chain(over).chain(back)) {
            let at = Tick::from_millis(100 * place);
            assert_eq!(ear.hear(at, gross, BAND, scale(2_000)), None);
        }
    }

    #[test]
    fn how_hard_this_person_taps_is_not_forgotten_with_a_push() {
        let mut ear = Ear::new(true);
        let hard = |ear: &mut Ear, from: u64| {
            let readings = (from..).zip(PUSH);
            let heard = readings.filter_map(|(place, push)| {
                let gross = Some(Mass::from_grams(150 + 6 * push));
                ear.hear(Tick::from_millis(100 * place), gross, BAND, scale(2_000))
            });
            heard.count()
        };
        assert_eq!(hard(&mut ear, 0), 1);
        ear.forget();
        // A sixth of the usual push is none any more.
        assert_eq!(push(&mut ear, scale(2_000), 150, 100), []);
        assert_eq!(hard(&mut ear, 200), 1);
    }
}
