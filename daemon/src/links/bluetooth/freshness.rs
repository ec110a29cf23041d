//! Which values are news, and when silence means that the scale is gone.

use std::time::Duration;

/// How the values of a scale come, as far as silence and repetition are judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Rhythm {
    /// All the time: silence means that it is gone.
    Steady,
    /// Now and then: silence means nothing.
    Seldom,
}

/// What one value is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Piece {
    /// A whole report, so that the same one at the same moment is the same notification.
    Packet,
    /// Some of a stream, such as text; the same bytes may well follow each other.
    Stream,
}

/// What is done with a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Verdict {
    /// It goes on to the bench.
    News,
    /// The system repeated what it had kept from before.
    Stale,
    /// It is the one before, seen twice.
    Double,
}

/// Silence that no steady scale ever keeps.
const SILENCE: Duration = Duration::from_secs(4);
/// So many periods of it, for a slow one.
const PERIODS: u32 = 10;
/// What the system replays it replays at once; a scale that repeats a weight later means it.
const REPLAY: Duration = Duration::from_secs(2);
/// Two events of a connection are at least 7.5 ms apart: Bluetooth Core Specification, Vol 6, Part B, 4.5.1.
const SAME_MOMENT: Duration = Duration::from_millis(5);
/// The longest period that is learnt; a longer pause is a gap.
const LONGEST_PERIOD: Duration = Duration::from_secs(3);

/// Judges the values of one scale through all its connections.
///
/// Moments are durations on one clock of the wall.
#[derive(Clone, Debug)]
pub(super) struct Freshness {
    rhythm: Rhythm,
    piece: Piece,
    period: Option<Duration>,
    /// The newest value of all connections, and when it came.
    last: Option<(Vec<u8>, Duration)>,
    /// When this connection began to listen.
    since: Duration,
    /// Whether a value of this connection has been judged.
    begun: Begun,
}

/// How far a connection has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Begun {
    /// The very first connection: nothing is known of the scale.
    First,
    /// A later one, of which nothing was heard yet.
    Again,
    /// One that is heard.
    Heard,
}

impl Freshness {
    pub(super) const fn new(rhythm: Rhythm, piece: Piece) -> Self {
        Self {
            rhythm,
            piece,
            period: None,
            last: None,
            since: Duration::ZERO,
            begun: Begun::First,
        }
    }

    /// Returns how the values come.
    pub(super) const fn rhythm(&self) -> Rhythm {
        self.rhythm
    }

    /// Takes note that a connection begins to listen.
    pub(super) fn listen(&mut self, now: Duration) {
        self.since = now;
        self.begun = match self.last {
            Some(_) => Begun::Again,
            None => Begun::First,
        };
    }

    /// Judges a value.
    pub(super) fn judge(&mut self, now: Duration, value: &[u8]) -> Verdict {
        let verdict = match self.begun {
            Begun::First => Verdict::News,
            Begun::Again => self.after_a_gap(now, value),
            Begun::Heard => self.among_others(now, value),
        };
        if verdict == Verdict::Double {
            return verdict;
        }
        if let (Begun::Heard, Some((_, before))) = (self.begun, &self.last) {
            let gap = now.saturating_sub(*before);
            if gap <= LONGEST_PERIOD {
                self.period = Some(match self.period {
                    Some(period) => (period * 7 + gap) / 8,
                    None => gap,
                });
            }
        }
        self.begun = Begun::Heard;
        self.last = Some((value.to_vec(), now));
        verdict
    }

    fn after_a_gap(&self, now: Duration, value: &[u8]) -> Verdict {
        let after = now.saturating_sub(self.since);
        let same = self.last.as_ref().is_some_and(|(last, _)| last == value);
        let too_soon =
            self.rhythm == Rhythm::Steady && self.period.is_some_and(|period| after < period);
        if too_soon || (same && after < REPLAY) {
            return Verdict::Stale;
        }
        Verdict::News
    }

    fn among_others(&self, now: Duration, value: &[u8]) -> Verdict {
        let twice = self
            .last
            .as_ref()
            .is_some_and(|(last, at)| last == value && now.saturating_sub(*at) < SAME_MOMENT);
        match (self.piece, twice) {
            (Piece::Packet, true) => Verdict::Double,
            (Piece::Packet, false) | (Piece::Stream, _) => Verdict::News,
        }
    }

    /// Returns whether the scale is silent for longer than it ever would be.
    pub(super) fn is_gone(&self, now: Duration) -> bool {
        let patience = match (self.rhythm, self.period) {
            (Rhythm::Seldom, _) => return false,
            (Rhythm::Steady, None) => SILENCE,
            (Rhythm::Steady, Some(period)) => SILENCE.max(period * PERIODS),
        };
        let heard = self.last.as_ref().map_or(self.since, |(_, at)| *at);
        patience < now.saturating_sub(heard.max(self.since))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn ms(ms: u64) -> Duration {
        Duration::from_millis(ms)
    }

    /// Runs 10 values a second for a second, and begins a new connection at 5 s.
    fn after_a_second(rhythm: Rhythm, piece: Piece) -> Freshness {
        let mut freshness = Freshness::new(rhythm, piece);
        freshness.listen(ms(0));
        for at in 1..=10_u8 {
            assert_eq!(
                freshness.judge(ms(u64::from(at) * 100), &[at]),
                Verdict::News
            );
        }
        freshness.listen(ms(5_000));
        freshness
    }

    #[test]
    fn the_first_value_of_all_is_news() {
        let mut freshness = Freshness::new(Rhythm::Steady, Piece::Packet);
        freshness.listen(ms(0));
        assert_eq!(freshness.judge(ms(1), b"12"), Verdict::News);
    }

    #[test]
    fn a_value_that_comes_back_with_the_connection_is_stale_and_the_next_one_news() {
        let mut freshness = after_a_second(Rhythm::Steady, Piece::Packet);
        assert_eq!(freshness.judge(ms(5_150), &[10]), Verdict::Stale);
        assert_eq!(freshness.judge(ms(5_250), &[10]), Verdict::News);
    }

    #[test]
    fn a_value_before_the_scale_can_have_spoken_is_stale() {
        let mut freshness = after_a_second(Rhythm::Steady, Piece::Packet);
        assert_eq!(freshness.judge(ms(5_020), &[77]), Verdict::Stale);
        assert_eq!(freshness.judge(ms(5_110), &[78]), Verdict::News);
    }

    #[test]
    fn a_scale_that_speaks_seldom_may_speak_at_once_and_repeat_itself_later() {
        let mut freshness = after_a_second(Rhythm::Seldom, Piece::Packet);
        assert_eq!(freshness.judge(ms(5_020), &[77]), Verdict::News);
        let mut freshness = after_a_second(Rhythm::Seldom, Piece::Packet);
        assert_eq!(freshness.judge(ms(5_020), &[10]), Verdict::Stale);
        let mut freshness = after_a_second(Rhythm::Seldom, Piece::Packet);
        assert_eq!(freshness.judge(ms(9_000), &[10]), Verdict::News);
    }

    #[test]
    fn only_the_same_packet_at_the_same_moment_is_a_double() {
        let mut freshness = after_a_second(Rhythm::Steady, Piece::Packet);
        freshness.judge(ms(5_500), &[1]);
        assert_eq!(freshness.judge(ms(5_501), &[1]), Verdict::Double);
        assert_eq!(freshness.judge(ms(5_502), &[2]), Verdict::News);
        assert_eq!(freshness.judge(ms(5_600), &[2]), Verdict::News);
    }

    #[test]
    fn the_same_characters_twice_are_text() {
        let mut freshness = after_a_second(Rhythm::Steady, Piece::Stream);
        freshness.judge(ms(5_500), b"00");
        assert_eq!(freshness.judge(ms(5_501), b"00"), Verdict::News);
    }

    #[test]
    fn silence_of_a_steady_scale_means_that_it_is_gone() {
        let mut freshness = after_a_second(Rhythm::Steady, Piece::Packet);
        assert!(!freshness.is_gone(ms(8_900)));
        assert!(freshness.is_gone(ms(9_100)));
        freshness.judge(ms(9_100), &[1]);
        assert!(!freshness.is_gone(ms(13_000)));
        assert!(!after_a_second(Rhythm::Seldom, Piece::Packet).is_gone(ms(99_000)));
    }
}
