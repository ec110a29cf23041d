//! What the tests put in place of the program: its own reading of the line, and a tiny session.

use std::sync::LazyLock;

use regex::bytes::Regex;
use tarehand_protocol::Mass;

use crate::links::rehearsal::{Happening, Part, RehearsalPlan, Truth, Vessel, Wish, World};

/// The jar of a rehearsal that has but one.
pub(super) const JAR: Vessel = Vessel::Jar(0);

pub(super) const fn part(number: u32) -> Part {
    Part { jar: 0, number }
}

/// Pour into that jar.
pub(super) const fn pour(number: u32, remaining: Mass) -> Wish {
    Wish::Pour {
        part: part(number),
        from: None,
        remaining,
    }
}

/// The shape as wire.md describes it, written down anew: nothing of the program's own decoder.
static LINE: LazyLock<Regex> = LazyLock::new(|| {
    Regex::new(r"^(?:(ST|US),GS,([+-])(?P<number>[0-9.]{8}) g|OL,GS,[+-] {8} g)\r\n$").unwrap()
});

/// What a line says: a weight with its head, or overload.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Said {
    Weight { stable: bool, gross: Mass },
    Over,
}

#[track_caller]
pub(super) fn read(line: &[u8]) -> Said {
    let text = String::from_utf8_lossy(line);
    let Some(found) = LINE.captures(line) else {
        panic!("not a line of the scale: {text:?}");
    };
    let part = |index| {
        found
            .get(index)
            .map(|part| str::from_utf8(part.as_bytes()).unwrap())
    };
    match (part(1), part(2), part(3)) {
        (Some(head), Some(sign), Some(number)) => Said::Weight {
            stable: head == "ST",
            gross: format!("{sign}{number} g").parse().unwrap(),
        },
        _ => Said::Over,
    }
}

/// A bench that turns seconds into readings.
pub(super) struct Bench {
    world: World,
    per_second: u32,
    /// The newest weight.
    pub(super) gross: Mass,
    /// Every line so far.
    pub(super) bytes: Vec<u8>,
}

impl Bench {
    pub(super) fn new(plan: RehearsalPlan) -> Self {
        Self {
            per_second: plan.readings_per_second.get(),
            world: World::new(plan).unwrap(),
            gross: Mass::ZERO,
            bytes: Vec::new(),
        }
    }

    pub(super) fn truth(&self) -> Truth {
        self.world.truth()
    }

    /// One reading under a wish.
    pub(super) fn reading(&mut self, wish: Wish) -> Vec<Happening> {
        let happenings = self.world.advance(wish);
        for happening in &happenings {
            if let Happening::Bytes(line) = happening {
                self.bytes.extend_from_slice(line);
                if line != crate::links::rehearsal::BANNER
                    && let Said::Weight { gross, .. } = read(line)
                {
                    self.gross = gross;
                }
            }
        }
        happenings
    }

    /// So many seconds under a wish.
    pub(super) fn hold(&mut self, wish: Wish, seconds: u32) -> Vec<Happening> {
        (0..seconds * self.per_second)
            .flat_map(|_| self.reading(wish))
            .collect()
    }

    /// Puts a jar and waits until it stands; returns its gross.
    pub(super) fn put_jar(&mut self) -> Mass {
        self.hold(Wish::Put(JAR), 10);
        self.gross
    }

    /// Pours until the display has stood inside the tolerance for 3 s, or for 5 minutes at most.
    ///
    /// No cue is given: the hand is on its own. Returns what was really added.
    pub(super) fn pour(&mut self, addition: u32, target: Mass, within: Mass) -> Mass {
        let start = self.gross;
        let before = self.truth().in_jar(0);
        let mut inside = 0;
        for _ in 0..300 * self.per_second {
            let remaining = start + target - self.gross;
            self.reading(pour(addition, remaining));
            inside = if remaining.abs() <= within || remaining < Mass::ZERO {
                inside + 1
            } else {
                0
            };
            if 3 * self.per_second <= inside {
                break;
            }
        }
        self.hold(Wish::Wait, 5);
        self.truth().in_jar(0) - before
    }
}
