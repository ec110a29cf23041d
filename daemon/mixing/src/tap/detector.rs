//! Finding taps among the readings of a stream.

use std::collections::VecDeque;
use std::time::Duration;

use tarehand_protocol::Mass;

use super::strength::Strength;
use crate::tick::Tick;

/// How long the pan must have been still before a push (our own choice, as are all figures here; the study of
/// `tests/taps` holds them).
const STILL: Duration = Duration::from_millis(350);
/// A push is all there so soon after it began; a scale that averages shows it rise.
const RISE: Duration = Duration::from_millis(320);
/// A bump is over sooner.
const SHORTEST: Duration = Duration::from_millis(240);
/// A hand that leans stays longer; a scale that averages makes a push a little longer than it was.
const LONGEST: Duration = Duration::from_millis(1_250);
/// A second push comes sooner after the first.
const PAIR: Duration = Duration::from_millis(700);
/// What was pushed must stay where it was for so long.
const STAYS: Duration = Duration::from_millis(300);
/// A scale that speaks more seldom cannot tell a push from a bump.
const SLOWEST: Duration = Duration::from_millis(260);

/// A tap that was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tap {
    /// One push: yes, go on.
    Once,
    /// Two: back.
    Twice,
}

/// Looks for taps in the readings of one scale.
#[derive(Clone, Debug, Default)]
pub struct Detector {
    strength: Strength,
    recent: VecDeque<Sample>,
    push: Option<Push>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Sample {
    at: Tick,
    gross: Mass,
}

/// A push that may become a tap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Push {
    /// Where the pan was before the first one.
    rest: Mass,
    /// How much of it is the same weight still.
    band: Mass,
    /// The least that counts.
    least: Mass,
    /// The softest peak so far.
    peak: Mass,
    /// How many are over.
    done: u8,
    phase: Phase,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Phase {
    /// Up since then; seen up so many times, the highest.
    Up { since: Tick, seen: u32, top: Mass },
    /// Coming back from a push that began then.
    Falling { since: Tick },
    /// Back since then, where it has been on average.
    Back { since: Tick, mean: Mean },
}

/// The mean of how far the readings are from where the pan was.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Mean {
    sum: Mass,
    count: i64,
}

impl Mean {
    fn with(self, up: Mass) -> Self {
        Self {
            sum: self.sum + up,
            count: self.count + 1,
        }
    }

    fn value(self) -> Mass {
        Mass::from_micrograms(self.sum.micrograms() / self.count.max(1))
    }
}

/// What a reading makes of a push.
enum Next {
    On(Push),
    Tapped(Tap, Mass),
    /// It was no tap.
    No,
}

impl Detector {
    /// Takes a weight, and returns the tap that it ends.
    ///
    /// `band` is within what the readings of the quiet pan lie. Moving and stable readings count alike.
    pub fn weight(&mut self, at: Tick, gross: Mass, band: Mass) -> Option<Tap> {
        let sample = Sample { at, gross };
        let Some(push) = self.push.take() else {
            self.push = self.begins(sample, band);
            if self.push.is_none() {
                self.remember(sample);
            }
            return None;
        };
        match push.next(sample) {
            Next::On(push) => self.push = Some(push),
            Next::No => self.recent.clear(),
            Next::Tapped(tap, peak) => {
                self.strength.learn(peak);
                self.recent.clear();
                return Some(tap);
            }
        }
        None
    }

    /// Returns whether something presses on the pan that may become a tap, or was just let go of.
    #[must_use]
    pub const fn is_pushed(&self) -> bool {
        self.push.is_some()
    }

    /// Forgets what was under way: no weight came, or nothing waits for an answer.
    pub fn forget(&mut self) {
        self.recent.clear();
        self.push = None;
    }

    fn remember(&mut self, sample: Sample) {
        self.recent.push_back(sample);
        while self
            .recent
            .front()
            .is_some_and(|first| STILL + RISE + SLOWEST < sample.at.since(first.at))
        {
            self.recent.pop_front();
        }
    }

    /// Returns the push that this reading begins, where the pan was still before.
    fn begins(&self, sample: Sample, band: Mass) -> Option<Push> {
        let last = self.recent.back()?;
        if SLOWEST < sample.at.since(last.at) {
            return None;
        }
        // What came last may have been on its way up already.
        let before = self.recent.iter();
        let still: Vec<Sample> = before
            .filter(|before| RISE <= sample.at.since(before.at))
            .copied()
            .collect();
        let (first, last) = (still.first()?, still.last()?);
        let rest = median(still.iter().map(|sample| sample.gross));
        let strays = |sample: &Sample| band + band < (sample.gross - rest).abs();
        if last.at.since(first.at) + SLOWEST < STILL || still.iter().any(strays) {
            return None;
        }
        // A bump swings, and may swing down first.
        let swings = |sample: &Sample| sample.gross < rest - band - band;
        if self.recent.iter().any(swings) {
            return None;
        }
        let least = self.strength.least(band);
        (rest + least <= sample.gross).then_some(Push {
            rest,
            band,
            least,
            peak: Mass::LIMIT,
            done: 0,
            phase: Phase::Up {
                since: sample.at,
                seen: 1,
                top: sample.gross - rest,
            },
        })
    }
}

impl Push {
    fn next(self, sample: Sample) -> Next {
        let up = sample.gross - self.rest;
        // Below where it was: a bump swings through, and a jar that is lifted goes.
        if up < -self.loose() {
            return Next::No;
        }
        match self.phase {
            Phase::Up { since, seen, top } => self.pressed(sample.at, up, since, seen, top),
            Phase::Falling { since } => self.falling(sample.at, up, since),
            Phase::Back { since, mean } => self.back(sample.at, up, since, mean),
        }
    }

    fn pressed(self, at: Tick, up: Mass, since: Tick, seen: u32, top: Mass) -> Next {
        let top = top.max(up);
        let half = Mass::from_micrograms(top.micrograms() / 2);
        let lasted = at.since(since);
        if half < up {
            if LONGEST < lasted {
                return Next::No;
            }
            let seen = seen + 1;
            return self.on(Phase::Up { since, seen, top });
        }
        // Seen up once only, it may have been anything.
        if lasted < SHORTEST || seen < 2 || self.done == 2 {
            return Next::No;
        }
        let pushed = Self {
            peak: self.peak.min(top),
            done: self.done + 1,
            ..self
        };
        pushed.falling(at, up, since)
    }

    fn falling(self, at: Tick, up: Mass, since: Tick) -> Next {
        if LONGEST < at.since(since) {
            return Next::No;
        }
        if up <= self.loose() {
            let mean = Mean::default().with(up);
            return self.on(Phase::Back { since: at, mean });
        }
        self.on(Phase::Falling { since })
    }

    fn back(self, at: Tick, up: Mass, since: Tick, mean: Mean) -> Next {
        let rested = at.since(since);
        if self.least <= up {
            let pair = self.done == 1 && rested <= PAIR;
            let phase = Phase::Up {
                since: at,
                seen: 1,
                top: up,
            };
            return if pair { self.on(phase) } else { Next::No };
        }
        // A second push may be on its way up; a scale that averages shows it so.
        let rises = self.done == 1 && self.loose() < up && rested <= PAIR;
        if self.loose() < up.abs() && !rises {
            return Next::No;
        }
        let over = match self.done {
            1 => PAIR,
            _ => STAYS,
        };
        if rises || rested <= over {
            let mean = if rises { mean } else { mean.with(up) };
            return self.on(Phase::Back { since, mean });
        }
        // One reading may stray; all of them together tell whether something stayed.
        if self.band < mean.value().abs() {
            return Next::No;
        }
        let tap = if self.done == 1 {
            Tap::Once
        } else {
            Tap::Twice
        };
        Next::Tapped(tap, self.peak)
    }

    /// Within what single readings of the same weight may stray.
    fn loose(self) -> Mass {
        self.band + self.band
    }

    const fn on(self, phase: Phase) -> Next {
        Next::On(Self { phase, ..self })
    }
}

fn median(masses: impl Iterator<Item = Mass>) -> Mass {
    let mut masses: Vec<Mass> = masses.collect();
    masses.sort_unstable();
    masses.get(masses.len() / 2).copied().unwrap_or(Mass::ZERO)
}

#[cfg(test)]
mod tests {
    use super::*;

    const BAND: Mass = Mass::from_milligrams(100);

    /// Feeds readings of 10 a second in tenths of a gram, after a second of rest at 150 g.
    fn hear(tenths: &[i64]) -> Vec<Tap> {
        let mut detector = Detector::default();
        let rest = [1500; 10];
        let all = rest.iter().chain(tenths).enumerate();
        all.filter_map(|(place, &tenths)| {
            let at = Tick::from_millis(100 * u64::try_from(place).unwrap());
            detector.weight(at, Mass::from_milligrams(100 * tenths), BAND)
        })
        .collect()
    }

    const QUIET: [i64; 12] = [1500; 12];

    #[test]
    fn one_push_is_one_tap_and_two_are_two() {
        let one = [&[1580, 1620, 1600, 1501], &QUIET[..]].concat();
        assert_eq!(hear(&one), [Tap::Once]);
        let two = [
            &[1580, 1620, 1600, 1501, 1500, 1590, 1610, 1580],
            &QUIET[..],
        ]
        .concat();
        assert_eq!(hear(&two), [Tap::Twice]);
    }

    #[test]
    fn what_stays_is_no_tap() {
        assert_eq!(hear(&[&[1580, 1620], &[1620; 20][..]].concat()), []);
        // A drop of half a gram that landed hard.
        let drop = [&[1580, 1620, 1560], &[1505; 20][..]].concat();
        assert_eq!(hear(&drop), []);
    }

    #[test]
    fn a_bump_a_lean_and_a_lifted_jar_are_no_taps() {
        assert_eq!(hear(&[&[1650], &QUIET[..]].concat()), []);
        assert_eq!(hear(&[&[1650, 1600, 1380], &QUIET[..]].concat()), []);
        assert_eq!(hear(&[&[1600; 15][..], &QUIET[..]].concat()), []);
        assert_eq!(hear(&[&[1600, 1600, 0], &[0; 20][..]].concat()), []);
    }

    #[test]
    fn three_pushes_say_nothing() {
        let push = [1600, 1600, 1600, 1500, 1500];
        assert_eq!(hear(&[&push[..], &push, &push, &QUIET[..]].concat()), []);
    }

    #[test]
    fn after_a_tap_comes_a_second_of_silence() {
        let (mut detector, mut heard, mut now) = (Detector::default(), Vec::new(), 0);
        // Pushed again and again, with every pause up to three seconds.
        for pause in 1..30 {
            let pushed = [&[1500].repeat(pause)[..], &[1600; 3]].concat();
            for tenths in pushed.repeat(6) {
                now += 100;
                let (at, gross) = (Tick::from_millis(now), Mass::from_milligrams(100 * tenths));
                heard.extend(detector.weight(at, gross, BAND).map(|_| at));
            }
        }
        assert!(20 < heard.len(), "{heard:?}");
        let mut pairs = heard.windows(2);
        assert!(pairs.all(|pair| Duration::from_secs(1) < pair[1].since(pair[0])));
    }

    #[test]
    fn a_push_onto_a_pan_that_was_not_still_says_nothing() {
        let pouring: Vec<i64> = (0..20).map(|step| 1500 + 5 * step).collect();
        let last = pouring[19];
        let pushed = [last + 100, last + 100, last + 100, last, last, last];
        assert_eq!(hear(&[&pouring[..], &pushed].concat()), []);
    }
}
