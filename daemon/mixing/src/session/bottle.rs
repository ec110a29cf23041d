//! Weighing out of the bottle: it stands on the scale and grows lighter, and the jar stands beside it.
//!
//! For jars too big for the scale, and scales that carry too little. What the jar received is the difference of two
//! settled weights of the bottle, the one booked last and the one now. On a second, finer scale the same happens while
//! the jar stays where it is; the numbers are those of the scale that counts. A bottle is usually lifted, poured out of in the
//! hand and set back; it may also stay, with a tap or a pump. A small cup that is filled on the pan and then emptied
//! into the jar is weighed the same way, and what stays in it is known.

use tarehand_protocol::Mass;

use crate::settler::{Change, Zero};

use super::book::{Bottle, BottlePlace, JarPlace};
use super::entry::{Entry, Seen, ZeroCause};
use super::input::{Command, Effect};
use super::question::Question;
use super::{Session, Turn};

/// What weighing out of a bottle waits for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BottleNow {
    /// The jar still stands on the pan: it goes beside the scale.
    SetJarAside,
    /// A bottle of a step before still stands on the pan: it goes away.
    TakeAway,
    /// The bottle is to be put on the pan.
    Put,
    /// The bottle stands on the pan: pour out of it, in the hand or where it stands.
    Pour,
    /// The bottle is in the hand: what left it is known when it is set back.
    InHand,
}

/// Whose weight the pan shows.
pub(super) enum Holder {
    Jar,
    /// Nobody's yet: the bottle of the current step is to come.
    BottleAwaited,
    Bottle(Bottle),
    /// A bottle of a step before stands there.
    LeftOver(Bottle),
}

impl Session {
    /// Returns what weighing out of a bottle waits for; `None` where the jar is what counts.
    #[must_use]
    pub fn bottle_now(&self) -> Option<BottleNow> {
        match self.holder() {
            Holder::Jar => None,
            Holder::LeftOver(_) => Some(BottleNow::TakeAway),
            Holder::BottleAwaited if self.jar_stands_in_the_way() => Some(BottleNow::SetJarAside),
            Holder::BottleAwaited => Some(BottleNow::Put),
            // The cup is back, and the jar is not: it comes first.
            Holder::Bottle(bottle) if self.jar_is_missed(&bottle) => None,
            Holder::Bottle(bottle) => Some(match bottle.place {
                BottlePlace::OnPan => BottleNow::Pour,
                BottlePlace::Lifted { .. } => BottleNow::InHand,
            }),
        }
    }

    fn jar_is_missed(&self, bottle: &Bottle) -> bool {
        let gone = matches!(self.book.jar(), JarPlace::Gone { .. });
        self.book.on_fine() && gone && bottle.place == BottlePlace::OnPan
    }

    /// Returns whether the jar stands where the bottle is to come; on the finer scale it never does.
    fn jar_stands_in_the_way(&self) -> bool {
        !self.book.on_fine() && self.book.jar() == JarPlace::OnPan
    }

    pub(super) fn holder(&self) -> Holder {
        // A difference of the jar that is asked about comes first, whatever is on the pan.
        let jar_asked = self.book.question().and_then(Question::waiting_for_jar);
        match (
            jar_asked,
            self.book.bottle_in_use(),
            self.book.bottle(),
            self.book.weighs_out(),
        ) {
            (Some(_), ..) => Holder::Jar,
            (None, Some(bottle), ..) => Holder::Bottle(bottle.clone()),
            (None, None, Some(bottle), _) => Holder::LeftOver(bottle.clone()),
            (None, None, None, true) => Holder::BottleAwaited,
            (None, None, None, false) => Holder::Jar,
        }
    }

    /// Returns the bottle that is weighed, when it stands on the pan.
    pub(super) fn bottle_on_pan(&self) -> Option<&Bottle> {
        let bottle = self.book.bottle_in_use()?;
        (bottle.place == BottlePlace::OnPan).then_some(bottle)
    }

    /// Returns what is leaving a bottle at this moment; a bottle in the hand says nothing of it.
    pub(super) fn leaving(&self, bottle: &Bottle, gross: Mass) -> Mass {
        let out = bottle.gross - gross;
        let half = Mass::from_micrograms((bottle.gross - self.book.empty_here()).micrograms() / 2);
        if bottle.place == BottlePlace::OnPan && out <= half {
            out.max(Mass::ZERO)
        } else {
            Mass::ZERO
        }
    }

    /// Returns whether the pan waits for what is to stand on it first: the empty jar, the first bottle, or the jar that
    /// was filled beside the scale and never weighed.
    pub(super) fn awaits_first(&self) -> bool {
        let jar = self.book.jar() == JarPlace::Awaited && self.book.bottle().is_none();
        jar && (self.book.current().is_none() || self.wants_jar() && self.book.question().is_none())
    }

    /// The lightest thing that may stand on the pan first.
    pub(super) fn least_first(&self) -> Mass {
        if self.book.weighs_out() {
            self.least_bottle()
        } else {
            self.least_jar()
        }
    }

    /// Takes a settled weight where a bottle is what is weighed; `false` when the jar is.
    pub(super) fn bottle_settled(&mut self, turn: &mut Turn, gross: Mass, change: Change) -> bool {
        match self.holder() {
            Holder::Jar => return false,
            Holder::LeftOver(bottle) => self.left_over(turn, gross, &bottle),
            Holder::BottleAwaited => self.await_bottle(turn, gross, change),
            Holder::Bottle(bottle) => self.with_bottle(turn, gross, change, &bottle),
        }
        true
    }

    /// The load went away while a bottle is what is weighed; `false` when the jar is.
    pub(super) fn bottle_unloaded(&mut self, turn: &mut Turn, gross: Mass) -> bool {
        match self.holder() {
            Holder::Jar => false,
            Holder::LeftOver(_) | Holder::Bottle(_) => {
                let here =
                    self.book.bottle().map(|bottle| bottle.place) == Some(BottlePlace::OnPan);
                if here && self.here().gap.is_none() {
                    self.record(turn, Entry::BottleLifted { gross });
                }
                true
            }
            Holder::BottleAwaited => {
                if self.jar_stands_in_the_way() && self.here().gap.is_none() {
                    self.record(turn, Entry::JarSetAside { gross });
                }
                true
            }
        }
    }

    /// The lightest thing that may be a bottle: a gram, and far more than flicker (our own choice; a dosing cup weighs 2 g).
    pub(super) fn least_bottle(&self) -> Mass {
        let twice = self.noticeable_here() + self.noticeable_here();
        Mass::from_grams(1).max(twice)
    }

    /// Another step is worked at now, and what stands on the pan already may be its own.
    pub(super) fn look_again(&mut self, turn: &mut Turn) {
        if self.book.on_fine() {
            return self.look_at_fine(turn);
        }
        let Some(gross) = self.here().settled.filter(|_| self.here().gap.is_none()) else {
            return;
        };
        let beside = matches!(self.book.jar(), JarPlace::Beside { .. });
        if beside && !self.book.weighs_out() && self.book.bottle().is_none() {
            // It may have come back while the finer scale was what counted.
            return self.while_beside(turn, gross);
        }
        match self.bottle_on_pan() {
            Some(bottle) if bottle.gross != gross => {
                self.bottle_settled(turn, gross, Change::Unclear);
            }
            None if self.is_load_there() && !self.is_near(gross, self.book.last()) => {
                // While a bottle was awaited nobody asked what stands there: it may be no pour at all.
                self.here_mut().gap = Some(Zero::Trusted);
                self.settled(turn, gross, Change::Unclear);
            }
            Some(_) | None => {}
        }
    }

    /// A bottle of a step before must leave the pan; nothing is booked of it any more.
    fn left_over(&mut self, turn: &mut Turn, gross: Mass, bottle: &Bottle) {
        self.here_mut().gap = None;
        if self.is_near(gross, bottle.gross) {
            return;
        }
        let gone = self.is_bare(gross) || self.is_nothing(gross);
        if gone {
            self.record(turn, Entry::BottleLifted { gross });
            if gross < self.book.empty_here() - self.noticeable_here() {
                self.empty_pan_is(turn, gross);
            }
        } else if self.is_jar_from_beside(gross) {
            self.record(turn, Entry::BottleLifted { gross });
            self.jar_returned(turn, gross);
        }
    }

    /// Waits for the bottle; the jar may still stand on the pan.
    fn await_bottle(&mut self, turn: &mut Turn, gross: Mass, change: Change) {
        if self.book.current().is_none() {
            self.await_first(turn, gross, self.least_bottle());
            return;
        }
        if self.jar_stands_in_the_way() {
            self.jar_still_there(turn, gross, change);
            return;
        }
        self.here_mut().gap = None;
        let empty = self.book.empty_here();
        let bare = self.is_bare(gross) && !self.is_near(gross, empty);
        if bare || gross < empty - self.noticeable_here() {
            // The scale's own zero is no bottle: it is what the pan shows now with nothing on it.
            self.empty_pan_is(turn, gross);
        } else if self.is_jar_from_beside(gross) {
            self.jar_returned(turn, gross);
        } else if self.least_bottle() <= gross - empty {
            self.place_bottle(turn, gross);
        }
    }

    /// The jar is still on the pan: what is poured into it there is weighed as ever, and a swap is not mistaken for a pour.
    fn jar_still_there(&mut self, turn: &mut Turn, gross: Mass, change: Change) {
        let delta = gross - self.book.last();
        let quiet = delta.abs() <= self.noticeable_here();
        let poured = Mass::ZERO < delta && change == Change::Gradual;
        let asked = self.book.question().is_some() || self.here().gap.is_some();
        if asked || quiet || poured || self.is_load_gone(gross) {
            self.on_pan(turn, gross);
        }
    }

    /// Takes what is on the pan as the bottle of the current step, or of the first one that pours.
    pub(super) fn place_bottle(&mut self, turn: &mut Turn, gross: Mass) {
        let empty = match self.book.current() {
            Some(_) => self.book.empty_here(),
            None => self.known_empty().unwrap_or_default(),
        };
        let first = || {
            self.book
                .tasks()
                .find(|task| self.book.pours(task).is_some())
        };
        let Some(task) = self.book.current().or_else(first).map(|task| task.id) else {
            return;
        };
        self.record(turn, Entry::BottlePlaced { task, empty, gross });
        if self.book.current().is_none() {
            turn.effects.push(Effect::EmptyPan(empty));
            self.advance(turn);
        }
    }

    /// The bottle of the current step is known: lifted, set back, lighter, heavier.
    fn with_bottle(&mut self, turn: &mut Turn, gross: Mass, change: Change, bottle: &Bottle) {
        let gap = self.here_mut().gap.take();
        match (bottle.place, self.book.question().cloned()) {
            (_, Some(Question::BottleLighter { before, after })) => {
                self.while_bottle_asked(turn, gross, before, after);
            }
            (BottlePlace::Lifted { gross: gone }, _) => {
                if self.is_near(gross, bottle.gross) {
                    self.bottle_back(turn, gross);
                    self.bottle_unchanged(turn, gross);
                } else if self.is_still_off(gross, gone) {
                    self.still_lifted(turn, gross, gone);
                } else if self.is_bare(gone) && change == Change::Gradual && gross < gone {
                    // It never left: the scale's tare was pressed, and it goes on running out.
                    self.bottle_tared(turn, bottle, gone);
                    self.lighter(turn, gross, Seen::Watched);
                } else if gross < self.book.empty_here() {
                    if change == Change::Jump {
                        self.empty_pan_is(turn, gross);
                    }
                } else if self.is_nothing(gross) {
                    self.still_lifted(turn, gross, gone);
                } else {
                    self.bottle_back(turn, gross);
                    self.changed(turn, gross, bottle, Seen::InHand);
                }
            }
            (BottlePlace::OnPan, _) => {
                if self.is_near(gross, bottle.gross) {
                    self.lighter(turn, gross, Seen::Watched);
                } else if self.is_nothing(gross) || self.is_bare(gross) && change != Change::Gradual
                {
                    // Lifted, or tared: neither happens bit by bit.
                    self.record(turn, Entry::BottleLifted { gross });
                } else if gap.is_some() {
                    self.changed(turn, gross, bottle, Seen::Unseen);
                } else {
                    self.changed_in_place(turn, gross, change, bottle);
                }
            }
        }
    }

    /// Returns whether a bottle that left is not back yet. Once the pan was seen bare, the scale's own zero may as well
    /// be what the bottle shows now.
    fn is_still_off(&self, gross: Mass, gone: Mass) -> bool {
        let empty = self.book.empty_here();
        let at_zero = self.is_near(gross, Mass::ZERO) && !self.is_near(gone, empty);
        at_zero || self.is_near(gross, empty) || self.is_near(gross, gone)
    }

    fn still_lifted(&mut self, turn: &mut Turn, gross: Mass, gone: Mass) {
        if !self.is_near(gross, gone) {
            // It was still on its way out, or the scale still averaging, when it was missed.
            self.record(turn, Entry::BottleLifted { gross });
        }
    }

    pub(super) fn bottle_back(&mut self, turn: &mut Turn, gross: Mass) {
        self.record(turn, Entry::BottleBack { gross });
    }

    /// Lifting the bottle and setting it back as it was says yes where something waits for the person.
    fn bottle_unchanged(&mut self, turn: &mut Turn, gross: Mass) {
        if self.book.question().is_some() || self.waits_for_person() {
            self.command(turn, Command::Next);
        } else {
            self.lighter(turn, gross, Seen::InHand);
        }
    }

    /// The bottle is back with another weight, or was not seen for a while.
    fn changed(&mut self, turn: &mut Turn, gross: Mass, bottle: &Bottle, seen: Seen) {
        if bottle.gross < gross {
            // Heavier than it went: it is another one, and no gram of it is poured.
            self.place_bottle(turn, gross);
        } else {
            self.lighter(turn, gross, seen);
        }
    }

    /// The jar is back on the pan as it is known, with what was weighed into it beside the scale.
    pub(super) fn jar_returned(&mut self, turn: &mut Turn, gross: Mass) {
        self.record(turn, Entry::JarReturned { gross });
        let task = self.book.current().filter(|_| self.book.weighs_out());
        self.watch.jar_like = task.map(|task| task.id);
        self.judge(turn);
    }

    /// Takes a weight that settled while the jar stands beside the scale and is what is weighed next.
    pub(super) fn while_beside(&mut self, turn: &mut Turn, gross: Mass) {
        self.here_mut().gap = None;
        if self.is_jar_from_beside(gross) {
            self.jar_returned(turn, gross);
        } else if gross < self.book.empty_here() - self.noticeable_here() {
            self.empty_pan_is(turn, gross);
        } else if self.wants_jar() {
            self.other_jar_back(turn, gross);
        }
    }

    /// Returns whether the current step can only go on with the jar on the pan.
    #[must_use]
    pub fn wants_jar(&self) -> bool {
        self.is_taking_out() || self.is_pouring() && !self.book.weighs_out()
    }

    /// Every bottle that was weighed since adds its own uncertainty: twice as far as for a jar that only was lifted.
    fn is_jar_from_beside(&self, gross: Mass) -> bool {
        let near = self.noticeable_here() + self.noticeable_here();
        let known = match self.book.jar() {
            _ if self.book.on_fine() => false,
            JarPlace::Beside { .. } | JarPlace::Gone { .. } => true,
            JarPlace::Awaited | JarPlace::OnPan => false,
        };
        known && (gross - self.book.last()).abs() <= near && !self.is_bare(gross)
    }

    pub(super) fn is_near(&self, one: Mass, other: Mass) -> bool {
        (one - other).abs() <= self.noticeable_here()
    }

    /// Returns whether the pan shows what it shows with nothing on it, or the scale's own zero.
    pub(super) fn is_bare(&self, gross: Mass) -> bool {
        self.is_near(gross, self.book.empty_here()) || self.is_near(gross, Mass::ZERO)
    }

    /// Returns whether this is too little for any vessel: half a gram (our own choice), or what does not show.
    pub(super) fn is_nothing(&self, gross: Mass) -> bool {
        gross - self.book.empty_here() <= Mass::from_milligrams(500).max(self.noticeable_here())
    }

    /// Nothing weighs less than an empty pan: the scale counts from another zero now.
    fn empty_pan_is(&mut self, turn: &mut Turn, gross: Mass) {
        let by = gross - self.book.empty_here();
        self.move_all(turn, by, ZeroCause::EmptyPan);
    }

    fn bottle_tared(&mut self, turn: &mut Turn, bottle: &Bottle, gone: Mass) {
        self.move_all(turn, gone - bottle.gross, ZeroCause::TareKey);
    }

    fn move_all(&mut self, turn: &mut Turn, by: Mass, cause: ZeroCause) {
        if self.book.on_fine() {
            let before = self.book.fine().empty;
            let after = before + by;
            self.record(
                turn,
                Entry::FineZeroMoved {
                    before,
                    after,
                    cause,
                },
            );
            turn.effects.push(Effect::FineEmptyPan(after));
            return;
        }
        let before = self.book.last();
        let after = before + by;
        self.record(
            turn,
            Entry::ZeroMoved {
                before,
                after,
                cause,
            },
        );
        turn.effects.push(Effect::EmptyPan(self.book.empty()));
    }

    /// Says that the scale's own tare was pressed with the bottle on the pan; `None` when there is none that is missed.
    pub(super) fn bottle_was_tared(&mut self, turn: &mut Turn) -> Option<()> {
        let bottle = self.book.bottle_in_use()?.clone();
        let BottlePlace::Lifted { gross } = bottle.place else {
            return None;
        };
        self.bottle_tared(turn, &bottle, gross);
        if let Some(settled) = self.here().settled {
            if self.book.on_fine() {
                self.bottle_settled(turn, settled, Change::Unclear);
            } else {
                self.settled(turn, settled, Change::Unclear);
            }
        }
        Some(())
    }
}
