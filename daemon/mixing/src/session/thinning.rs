//! Trails, and how much thinner comes next: thinning as a measured loop.
//!
//! Splash, trail, splash: every trail is kept with what the jar held, and the next splash is worked out from
//! them. Nothing here stops a person; what is advised is only said.

use tarehand_protocol::Mass;

use crate::flow_cup::FlowTime;
use crate::procedure::StepKind;
use crate::trail::{Advice, Allowance, Reason, Trail, Unthinned, earlier_slope, next_splash};

use super::book::Book;
use super::entry::{By, Entry, JarThen, Record, Taken, Verdict};
use super::input::Refusal;
use super::question::Answer;
use super::{Session, Turn};

/// A slope steeper than this is none: a millionth of thinner would take the trail away (our own choice).
const STEEPEST: f64 = 1e6;

/// What to do next in a thinning step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ThinNow {
    /// Pour until this task has received so much, then measure.
    Splash {
        /// What this task has received then.
        until: Mass,
        /// Why so much.
        reason: Reason,
    },
    /// The splash is in: measure the trail.
    Measure,
    /// The trail is right.
    Right,
    /// The mix is too thin.
    TooThin {
        /// How much of the same mix without thinner brings it back.
        unthinned: Unthinned,
    },
    /// All that the recipe allows is in.
    AtMost,
}

/// Returns how fast the trail fell with thinner in a batch, for those after it: in the last of its mixes whose trails
/// tell it.
///
/// What is poured as planned after the thinning makes another mix, and the book forgets the trails of the one before;
/// the journal has them still.
#[must_use]
pub fn thinning_slope(journal: &[Record]) -> Option<f64> {
    let (first, rest) = journal.split_first()?;
    let mut book = Book::rebuild(std::slice::from_ref(first))?;
    let mut slope = None;
    for record in rest {
        if matches!(record.entry, Entry::Poured { .. }) {
            slope = earlier_slope(book.trails()).or(slope);
        }
        book.fold(record);
    }
    earlier_slope(book.trails()).or(slope)
}

impl Session {
    /// Returns what to do next in the current step, where it is a thinning.
    #[must_use]
    pub fn thin_now(&self) -> Option<ThinNow> {
        let task = self.book.current()?;
        let StepKind::Thin { by, wanted_s, .. } = self.book.step(task) else {
            return None;
        };
        let wanted = wanted_s.and_then(|seconds| Trail::from_seconds(seconds).ok());
        let since = match self.book.trails().last() {
            Some(last) => self.book.thinner() - last.thinner,
            None => task.poured,
        };
        let before = task.poured - since.max(Mass::ZERO);
        let allowance = Allowance {
            by: *by,
            left: self
                .book
                .most_thinner(task)
                .map(|most| (most - before).max(Mass::ZERO)),
        };
        let advice = next_splash(
            self.book.trails(),
            wanted,
            allowance,
            self.book.earlier_slopes(),
        );
        if self.has_grown() {
            // The trail was that of another jar: it is measured before anything is splashed into this one.
            return Some(ThinNow::Measure);
        }
        let advice = self.within_water(advice, since.max(Mass::ZERO));
        let measured = since.abs() <= self.noticeable();
        Some(match advice {
            Advice::Splash { grams, reason } if measured || since + self.noticeable() < grams => {
                ThinNow::Splash {
                    until: before + grams,
                    reason,
                }
            }
            Advice::Right if measured => ThinNow::Right,
            Advice::TooThin { unthinned } if measured => ThinNow::TooThin { unthinned },
            Advice::AtMost if measured => ThinNow::AtMost,
            Advice::Splash { .. } | Advice::Right | Advice::TooThin { .. } | Advice::AtMost => {
                ThinNow::Measure
            }
        })
    }

    /// A splash that would pass the limit of added water ends there; where the limit is passed already, it is warned of
    /// and nothing else.
    fn within_water(&self, advice: Advice, since: Mass) -> Advice {
        match (advice, self.water_room(since)) {
            (Advice::Splash { grams, .. }, Some(room)) if room < grams => Advice::Splash {
                grams: room,
                reason: Reason::WaterLimit,
            },
            (advice, _) => advice,
        }
    }

    /// Keeps how earlier batches answered to thinner, to a thousandth: exact in the journal's text.
    pub(super) fn thinning_known(&mut self, turn: &mut Turn, slopes: &[f64]) {
        let slopes: Vec<f64> = slopes
            .iter()
            .filter(|slope| (0.0..STEEPEST).contains(*slope))
            .map(|slope| (slope * 1_000.0).round() / 1_000.0)
            .collect();
        if !slopes.is_empty() {
            self.record(turn, Entry::ThinningKnown { slopes });
        }
    }

    /// Returns whether a trail is being timed by taps.
    #[must_use]
    pub const fn times_trail(&self) -> bool {
        self.watch.trail_since.is_some()
    }

    pub(super) fn trail_said(&mut self, turn: &mut Turn, seconds: f64) -> Result<(), Refusal> {
        let trail = Trail::from_seconds(seconds).map_err(|_| Refusal::NotATrail)?;
        self.trail(turn, trail, Taken::Said)
    }

    /// The line was drawn. Said again, it was drawn again.
    pub(super) fn trail_start(&mut self, turn: &Turn) -> Result<(), Refusal> {
        self.book.current().ok_or(Refusal::NoJar)?;
        self.watch.trail_since = Some(turn.now);
        Ok(())
    }

    /// The line has sunk back: the time between the two taps, to a tenth of a second, is the trail.
    pub(super) fn trail_stop(&mut self, turn: &mut Turn) -> Result<(), Refusal> {
        let since = self.watch.trail_since.take().ok_or(Refusal::NotTiming)?;
        let seconds = (turn.now.since(since).as_secs_f64() * 10.0).round() / 10.0;
        let trail = Trail::from_seconds(seconds).map_err(|_| Refusal::NotATrail)?;
        self.trail(turn, trail, Taken::Tapped)
    }

    /// Keeps a trail with what the jar holds, and ends the step where it is what the step was for.
    fn trail(&mut self, turn: &mut Turn, trail: Trail, taken: Taken) -> Result<(), Refusal> {
        let task = self.book.current().ok_or(Refusal::NoJar)?.id;
        self.watch.trail_since = None;
        // The last digit of the splash belongs to the jar that was measured.
        self.book_last_digit(turn);
        let jar = JarThen {
            thinner: self.book.thinner(),
            total: self.book.in_jar(),
        };
        self.record(
            turn,
            Entry::Trail {
                task,
                seconds: trail.seconds(),
                jar: Some(jar),
                taken,
            },
        );
        if self.is_asked_of_thinness() {
            // Measured again: the answer is no, and the new trail says what is asked now.
            self.record(
                turn,
                Entry::Answered {
                    answer: Answer::No,
                    by: By::Person,
                },
            );
        }
        let ends = match self.book.current().map(|task| self.book.step(task)) {
            Some(StepKind::Trail { .. }) => true,
            Some(StepKind::Thin { .. }) => self.thin_now() == Some(ThinNow::Right),
            Some(
                StepKind::Add(_)
                | StepKind::Stir { .. }
                | StepKind::Rest { .. }
                | StepKind::Strain { .. }
                | StepKind::Look { .. }
                | StepKind::TakeOut { .. }
                | StepKind::Decant { .. }
                | StepKind::Note { .. },
            )
            | None => false,
        };
        if self.book.question().is_some() {
            return Ok(());
        }
        if ends {
            self.finish(turn, Verdict::Recorded);
        } else {
            self.too_thin(turn);
        }
        Ok(())
    }

    /// Keeps what a flow cup says; it is no trail and ends nothing.
    pub(super) fn flow_timed(&mut self, turn: &mut Turn, time: FlowTime) -> Result<(), Refusal> {
        let task = self.book.current().ok_or(Refusal::NoJar)?.id;
        self.record(
            turn,
            Entry::FlowTimed {
                task,
                cup: time.cup(),
                seconds: time.seconds(),
                viscosity_mm2_s: time.viscosity_mm2_s(),
            },
        );
        Ok(())
    }
}
