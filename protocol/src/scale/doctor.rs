//! Says in the person's words what is wrong with a scale's line.

use std::collections::VecDeque;
use std::fmt;

use super::decoded::{Decoded, Raw};
use super::line_settings::infer_parity;
use super::parity::Parity;
use super::why::Why;
use crate::mass::Mass;
use crate::reading::Reading;

/// How many outcomes are remembered.
const REMEMBERED: usize = 64;
/// How many readings are needed on each of two levels.
const LEVEL: usize = 3;

/// Watches what a decoder gives and keeps the recent part of it.
#[derive(Clone, Debug, Default)]
pub struct Doctor {
    recent: VecDeque<Outcome>,
    bytes: VecDeque<u8>,
}

#[derive(Clone, Debug)]
enum Outcome {
    Weight(Mass),
    NoWeight,
    Rejected(Why),
}

/// Something that is wrong, or may be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Finding {
    /// Eight bits are read where seven and a parity bit are sent.
    SevenBits(Parity),
    /// Numbers come, but nobody said of what.
    NeedsUnit,
    /// Several numbers come, and nobody said which is the weight.
    NeedsField,
    /// One weight seems to be sent as two, one double the other.
    BitSlips {
        /// The level nearer to zero.
        once: Mass,
        /// The level twice as far.
        twice: Mass,
    },
    /// The same word comes in place of a weight.
    Word(Box<str>),
    /// Much of what came could not be read.
    ManyRejected {
        /// How many frames.
        rejected: usize,
        /// Of how many.
        of: usize,
        /// The latest reason.
        why: Why,
    },
}

impl Doctor {
    /// Takes one outcome of a decoder.
    pub fn observe(&mut self, decoded: &Decoded) {
        let outcome = match decoded {
            Decoded::Reading(Reading::Weight(weighed)) => Outcome::Weight(weighed.gross),
            Decoded::Reading(Reading::NoWeight(_)) => Outcome::NoWeight,
            Decoded::Rejected(rejected) => {
                self.bytes.extend(rejected.raw.bytes());
                let surplus = self.bytes.len().saturating_sub(Raw::LIMIT);
                drop(self.bytes.drain(..surplus));
                Outcome::Rejected(rejected.why.clone())
            }
        };
        if self.recent.len() == REMEMBERED {
            drop(self.recent.pop_front());
        }
        self.recent.push_back(outcome);
    }

    /// Returns what seems to be wrong, the most telling first.
    #[must_use]
    pub fn findings(&self) -> Vec<Finding> {
        let whys: Vec<&Why> = self
            .recent
            .iter()
            .filter_map(|outcome| match outcome {
                Outcome::Rejected(why) => Some(why),
                Outcome::Weight(_) | Outcome::NoWeight => None,
            })
            .collect();
        let mut findings = Vec::new();
        let bytes: Vec<u8> = self.bytes.iter().copied().collect();
        if let Some(parity) = infer_parity(&bytes).filter(|_| !whys.is_empty()) {
            findings.push(Finding::SevenBits(parity));
        }
        let often = |is: fn(&Why) -> bool| {
            let count = whys.iter().filter(|why| is(why)).count();
            1 < count && self.recent.len() <= 2 * count
        };
        if often(|why| matches!(why, Why::MissingUnit(_))) {
            findings.push(Finding::NeedsUnit);
        }
        if often(|why| matches!(why, Why::SeveralNumbers(_))) {
            findings.push(Finding::NeedsField);
        }
        if let Some((once, twice)) = self.slip() {
            findings.push(Finding::BitSlips { once, twice });
        }
        if let [.., Why::Word(before), Why::Word(last)] = whys.as_slice()
            && before == last
        {
            findings.push(Finding::Word(last.clone()));
        }
        if let Some(&why) = whys.last()
            && findings.is_empty()
            && 4 <= whys.len()
            && self.recent.len() <= 5 * whys.len()
        {
            findings.push(Finding::ManyRejected {
                rejected: whys.len(),
                of: self.recent.len(),
                why: why.clone(),
            });
        }
        findings
    }

    /// Finds two clean levels, one double the other, with nothing between and changes both ways.
    ///
    /// A person who puts the same again on the pan goes from one level to the other once, and by
    /// way of readings between.
    fn slip(&self) -> Option<(Mass, Mass)> {
        let weights: Vec<i64> = self
            .recent
            .iter()
            .filter_map(|outcome| match outcome {
                Outcome::Weight(mass) => Some(mass.micrograms()),
                Outcome::NoWeight | Outcome::Rejected(_) => None,
            })
            .collect();
        let once = weights.iter().copied().min_by_key(|weight| weight.abs())?;
        if once == 0 {
            return None;
        }
        let near = |weight: i64, level: i64| (weight - level).abs() <= level.abs() / 32;
        let on_once = |weight: i64| near(weight, once);
        let on_twice = |weight: i64| near(weight, once.saturating_mul(2));
        let clean = weights
            .iter()
            .all(|&weight| on_once(weight) || on_twice(weight));
        let above = weights.iter().filter(|&&weight| on_twice(weight)).count();
        let changes = weights
            .windows(2)
            .filter(|pair| on_once(pair[0]) != on_once(pair[1]))
            .count();
        if clean && LEVEL <= above && LEVEL <= weights.len() - above && LEVEL <= changes {
            let twice = weights.iter().copied().find(|&weight| on_twice(weight))?;
            Some((Mass::from_micrograms(once), Mass::from_micrograms(twice)))
        } else {
            None
        }
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::SevenBits(parity) => {
                let parity = match parity {
                    Parity::Odd => "odd parity",
                    Parity::Even => "even parity",
                    Parity::None => "no parity",
                };
                write!(f, "these bytes fit 7 bits, {parity}")
            }
            Self::NeedsUnit => write!(f, "the scale sends numbers without a unit"),
            Self::NeedsField => write!(f, "the scale sends several numbers on a line"),
            Self::BitSlips { once, twice } => {
                write!(f, "two clean levels, {once} and {twice}: a bit slips")
            }
            Self::Word(word) => write!(f, "the scale sends `{word}` in place of a weight"),
            Self::ManyRejected { rejected, of, why } => {
                write!(f, "{rejected} of {of} frames could not be read: {why}")
            }
        }
    }
}

impl Finding {
    /// Returns what the person can do about it.
    #[must_use]
    pub const fn hint(&self) -> Option<&'static str> {
        Some(match self {
            Self::SevenBits(_) => "set `data = 7` and the parity under `[serial]` in the profile",
            Self::NeedsUnit => "tell the unit: `--unit g`, or `unit` in the profile",
            Self::NeedsField => "set `shape = \"numbers\"` and `field` in the profile",
            Self::BitSlips { .. } => {
                "the converter is read at a bad moment: check its clock wire and its code"
            }
            Self::Word(_) => "if the scale means a state by it, name it under `[states]`",
            Self::ManyRejected { why, .. } => return why.hint(),
        })
    }
}
