//! A second, finer scale on the same bench: which steps are weighed out on it, and what it hears.
//!
//! Where the jar's own scale is too coarse for what a recipe allows, a small cup or the bottle is weighed on the finer
//! one while it grows lighter, as in [`bottle`](super::bottle), and the jar stays where it is.
//!
//! Numbers of the scale that counts for the current step come from `Book::scale_here`, `Book::empty_here` and `Session::here`:
//! nothing else asks which of the two it is.

use tarehand_protocol::Mass;

use crate::procedure::{Amount, Weigh};
use crate::settler::{Change, Fact, Zero};
use crate::weighing::Scale;

use super::book::{BatchState, Chosen, JarPlace, Task};
use super::cue::StopWatch;
use super::entry::{Entry, ZeroCause};
use super::input::{Cue, FineAt};
use super::{PanWatch, Session, Turn};

/// Whom the finer scale's weight is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Attention {
    /// This jar, if its step is weighed out there.
    Here,
    /// Not this one of several.
    Aside(FineAt),
}

impl Session {
    /// Takes what the settler made of the finer scale's readings.
    pub(super) fn fine_fact(&mut self, turn: &mut Turn, fact: Fact, attention: Attention) {
        let counts = attention == Attention::Here && self.book.on_fine();
        let watch = &mut self.watch.fine;
        match fact {
            Fact::Live(live) => {
                watch.no_weight = None;
                watch.live = Some(live);
                if !live.quiet {
                    watch.settled = None;
                }
                if counts {
                    if !live.quiet {
                        self.watch.inside_since = None;
                    }
                    self.say_stop_in_time(turn, live);
                }
            }
            Fact::Settled { gross, change } => {
                watch.no_weight = None;
                watch.settled = Some(gross);
                if self.book.state() == BatchState::Paused {
                    // What happens in a pause is looked at when the person is back.
                } else if counts {
                    self.bottle_settled(turn, gross, change);
                    self.carry_out_wanted(turn);
                } else {
                    self.beside_the_work(turn, gross, attention);
                }
            }
            Fact::Unloaded { .. } if self.book.state() == BatchState::Paused => {}
            Fact::Unloaded { gross } if counts => {
                self.bottle_unloaded(turn, gross);
            }
            Fact::Unloaded { gross } => self.beside_the_work(turn, gross, attention),
            Fact::Spike { .. } => {}
            Fact::NoWeight(why) => {
                watch.no_weight = Some(why);
                watch.blind();
                watch.gap.get_or_insert(Zero::Trusted);
                self.forget_dwell(counts);
            }
            Fact::Lost => {
                watch.blind();
                watch.gap.get_or_insert(Zero::Trusted);
                self.forget_dwell(counts);
                if counts {
                    self.watch.wanted = None;
                }
                if self.book.fine().scale.is_some() && !self.book.fine().lost {
                    self.record(turn, Entry::FineLost);
                    if counts {
                        turn.cue(Cue::FineLost);
                    }
                }
            }
            Fact::Back { zero } => {
                watch.back(zero);
                self.forget_dwell(counts);
                if self.book.fine().lost {
                    self.record(turn, Entry::FineBack);
                    if counts {
                        turn.cue(Cue::FineBack);
                    }
                }
            }
        }
    }

    /// More is known of the finer scale, or it was let go.
    pub(super) fn fine_known(&mut self, turn: &mut Turn, scale: Option<Scale>) {
        if scale == self.book.fine().scale {
            return;
        }
        let was_fine = self.book.on_fine();
        self.record(turn, Entry::FineKnown { scale });
        if scale.is_none() {
            self.watch.fine = PanWatch::after_gap();
        }
        if was_fine && scale.is_none() {
            let task = self.book.current().map(|task| task.id);
            if let Some(task) = task {
                let weigh = Weigh::Jar;
                self.record(turn, Entry::WeighFits { task, weigh });
                self.jar_counts_again(turn);
            }
            return;
        }
        self.choose_scale(turn);
    }

    /// The finer scale shows something while no step of this jar is weighed out on it: no gram of it is this batch's.
    ///
    /// Where nobody knows into which jar it went, it is looked at when the jar is back.
    fn beside_the_work(&mut self, turn: &mut Turn, gross: Mass, attention: Attention) {
        if attention == Attention::Aside(FineAt::Unknown) {
            self.watch.fine.gap.get_or_insert(Zero::Trusted);
            return;
        }
        self.watch.fine.gap = None;
        let fine = self.book.fine();
        let other = |stood: Mass| {
            let noticeable = super::noticeable(fine.scale.unwrap_or_default());
            noticeable < (stood - gross).abs()
        };
        if fine
            .bottle
            .as_ref()
            .is_some_and(|bottle| other(bottle.gross))
        {
            self.record(turn, Entry::FineCleared);
        }
        if attention == Attention::Here {
            self.choose_scale(turn);
        }
    }

    /// Another jar's step has shown what the finer scale shows with nothing on it.
    pub(super) fn fine_empty_is(&mut self, turn: &mut Turn, after: Mass) {
        let before = self.book.fine().empty;
        if before != after {
            let cause = ZeroCause::EmptyPan;
            self.record(
                turn,
                Entry::FineZeroMoved {
                    before,
                    after,
                    cause,
                },
            );
        }
    }

    fn forget_dwell(&mut self, counts: bool) {
        if counts {
            self.watch.inside_since = None;
            self.watch.stop = StopWatch::default();
        }
    }

    /// A step has begun, or was gone back to: on which scale is it weighed?
    pub(super) fn scale_for_step(&mut self, turn: &mut Turn) {
        let Some(task) = self.book.current() else {
            return;
        };
        let (id, weigh, chosen) = (task.id, task.weigh, task.chosen);
        let by_scales = chosen != Chosen::Person;
        let task = match (weigh, self.is_for_fine(task)) {
            (Weigh::Jar, true) if by_scales => Entry::WeighFits {
                task: id,
                weigh: Weigh::Fine,
            },
            (Weigh::Fine, _) if !self.fits_fine(task) => Entry::WeighFits {
                task: id,
                weigh: Weigh::Jar,
            },
            (Weigh::Jar | Weigh::Bottle | Weigh::Fine, _) => return,
        };
        self.record(turn, task);
    }

    /// More is known of the scales: a step that nothing was poured for yet may be weighed out on the finer one.
    pub(super) fn choose_scale(&mut self, turn: &mut Turn) {
        let still = self
            .watch
            .main
            .settled
            .is_some_and(|gross| (gross - self.book.last()).abs() <= self.noticeable());
        let untouched = self.book.current().is_some_and(|task| {
            task.weigh == Weigh::Jar && task.poured.is_zero() && self.book.pours(task).is_some()
        });
        let running = self.book.state() == BatchState::Running && self.watch.wanted.is_none();
        if !(still && untouched && running && self.book.jar() == JarPlace::OnPan) {
            return;
        }
        self.scale_for_step(turn);
        if self.book.on_fine() {
            self.forget_dwell(true);
            self.look_at_fine(turn);
        }
    }

    /// The finer scale is what counts from now on: something may stand on it already.
    pub(super) fn look_at_fine(&mut self, turn: &mut Turn) {
        if let Some(bottle) = self.book.bottle_in_use() {
            let shown = self
                .watch
                .fine
                .settled
                .filter(|_| self.watch.fine.gap.is_none());
            let as_it_was = shown.is_some_and(|gross| self.is_near(gross, bottle.gross));
            if !as_it_was {
                // Nobody looked at what left it meanwhile: it counts from now on.
                self.record(turn, Entry::FineCleared);
            }
        }
        if let Some(gross) = self.watch.fine.settled {
            self.bottle_settled(turn, gross, Change::Unclear);
        }
    }

    /// The jar is what counts again: what came into it while the finer scale could not tell is a gap.
    pub(super) fn jar_counts_again(&mut self, turn: &mut Turn) {
        self.forget_dwell(true);
        self.watch.main.gap.get_or_insert(Zero::Trusted);
        if let Some(gross) = self.watch.main.settled {
            self.settled(turn, gross, Change::Unclear);
        }
    }

    /// Returns whether the jar's scale is too coarse for a task and the finer one is not.
    fn is_for_fine(&self, task: &Task) -> bool {
        self.fits_fine(task) && self.book.would_widen(task, self.book.scale())
    }

    /// Returns whether a task can be weighed out on the finer scale: it is there, it is finer, and it carries as much.
    pub(super) fn fits_fine(&self, task: &Task) -> bool {
        let watch = &self.watch.fine;
        let heard = watch.live.is_some() || watch.settled.is_some();
        let amount = self.book.addition(task).map(|addition| &addition.amount);
        let most = match amount {
            Some(Amount::Weighed { .. } | Amount::Counted { .. }) => task.target,
            Some(Amount::Range { high, .. }) => Some(*high),
            Some(Amount::ByEye | Amount::Whole { .. }) | None => None,
        };
        let (Some(scale), Some(most)) = (self.book.fine().scale, most) else {
            return false;
        };
        let left = (most - task.poured).max(Mass::ZERO);
        let finer = scale.weighs_finer(self.book.scale(), left);
        let jar_is_known = self.book.jar() != JarPlace::Awaited;
        heard && !self.book.fine().lost && finer && jar_is_known
    }
}
