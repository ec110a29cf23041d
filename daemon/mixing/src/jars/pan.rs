//! What is set down, lifted, and poured into a jar whose turn it is not.

use tarehand_protocol::Mass;

use crate::procedure::StepKind;
use crate::session::{BatchState, Effect, Input, JarPlace, SettingDown};
use crate::settler::{Change, Fact, Zero};

use super::known::{Recognised, Stood, recognise};
use super::{Asks, Jars, Pan, Wishes};

/// Whether the pan was watched all the time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Seen {
    Watched,
    Unseen,
}

/// What may stand on the pan instead of the jar that was last seen there.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Instead {
    /// Nothing says that it is another one.
    Nothing,
    /// This jar.
    Jar(usize),
    /// One of these, the likeliest first.
    OneOf(Vec<usize>),
}

impl Jars {
    pub(super) fn fact(&mut self, wishes: &mut Wishes, fact: Fact) {
        if let Some(jar) = self.at_bottle() {
            self.asks = None;
            self.pass(wishes, jar, Input::Fact(fact));
            self.look_at_pan(jar);
            return;
        }
        match fact {
            Fact::Settled { gross, change } => self.settled(wishes, gross, change),
            Fact::Unloaded { gross } => self.unloaded(wishes, gross),
            Fact::Live(_) | Fact::Spike { .. } => self.hear(wishes, fact),
            Fact::NoWeight(_) | Fact::Lost => {
                self.asks = None;
                self.unwatched = true;
                self.hear(wishes, fact);
            }
            Fact::Back { zero } => {
                if zero == Zero::Suspect {
                    self.empty = None;
                }
                self.hear(wishes, fact);
            }
        }
    }

    /// Tells the one session that hears the scale.
    fn hear(&mut self, wishes: &mut Wishes, fact: Fact) {
        let here = self.here();
        let jar = if self.book(here).is_over() {
            self.wanted().unwrap_or(here)
        } else {
            here
        };
        self.pass(wishes, jar, Input::Fact(fact));
        self.look_at_pan(jar);
    }

    /// Takes in whether the jar that was just spoken to stands on the pan now.
    fn look_at_pan(&mut self, jar: usize) {
        match self.book(jar).jar() {
            JarPlace::OnPan => self.pan = Pan::Jar(jar),
            JarPlace::Gone { .. } | JarPlace::Beside { .. } if self.pan == Pan::Jar(jar) => {
                self.pan = Pan::Free { last: jar };
            }
            JarPlace::Gone { .. } | JarPlace::Beside { .. } | JarPlace::Awaited => {}
        }
    }

    /// Returns the jar for which a bottle is weighed and not itself, while the pan is free for it.
    pub(super) fn at_bottle(&self) -> Option<usize> {
        let jar = self.wanted()?;
        let free = match self.pan {
            Pan::Jar(here) => here == jar,
            Pan::Free { .. } => true,
        };
        let session = &self.sessions[jar];
        // On the finer scale the jar itself stays on this one, and is known by its weight.
        let here = session.bottle_now().is_some() && !session.book().on_fine();
        (free && here).then_some(jar)
    }

    fn unloaded(&mut self, wishes: &mut Wishes, gross: Mass) {
        self.load = None;
        self.proposed = match self.asks.take() {
            Some(Asks::Which { gross, jars }) => jars.first().map(|&jar| (gross, jar)),
            Some(Asks::OutOfTurn { .. }) | None => None,
        };
        match self.pan {
            Pan::Jar(jar) if self.book(jar).is_over() => self.pan = Pan::Free { last: jar },
            Pan::Jar(_) => self.hear(wishes, Fact::Unloaded { gross }),
            Pan::Free { .. } => {}
        }
    }

    fn settled(&mut self, wishes: &mut Wishes, gross: Mass, change: Change) {
        let seen = if std::mem::take(&mut self.unwatched) {
            Seen::Unseen
        } else {
            Seen::Watched
        };
        if let Pan::Jar(jar) = self.pan {
            match self.instead(jar, gross, change, seen) {
                Instead::Nothing => {}
                Instead::Jar(other) => return self.swap(wishes, jar, other, gross),
                Instead::OneOf(jars) => return self.which(wishes, gross, jars),
            }
        }
        match self.pan {
            Pan::Jar(jar) if self.book(jar).is_over() => self.on_finished(wishes, jar, gross),
            Pan::Jar(jar) => {
                if self.is_out_of_turn(jar, gross) {
                    self.asks = Some(Asks::OutOfTurn { jar, gross });
                    return;
                }
                self.asks = None;
                self.hear(wishes, Fact::Settled { gross, change });
                if self.is_empty_pan(gross) && self.pan == (Pan::Free { last: jar }) {
                    self.empty = Some(gross);
                }
            }
            Pan::Free { last } => self.without_jar(wishes, last, gross, change),
        }
    }

    /// A finished jar stands on the pan: what is poured out of it there is taken in.
    fn on_finished(&mut self, wishes: &mut Wishes, jar: usize, gross: Mass) {
        let empty = self.empty_pan().unwrap_or_default();
        if (gross - empty).abs() < self.least_jar(jar) {
            self.pan = Pan::Free { last: jar };
            self.pan_is_empty(wishes, gross);
        } else {
            self.finished[jar] = Some(gross - empty);
        }
    }

    /// Returns what a weight that does not fit the jar on the pan may be: slow scales, and eyes that were away, do not
    /// see the pan empty between two jars.
    fn instead(&self, jar: usize, gross: Mass, change: Change, seen: Seen) -> Instead {
        let stood = self.stood();
        let own = stood.iter().find(|own| own.jar == jar).copied();
        let (Some(own), Some(empty)) = (own, self.empty_pan()) else {
            return Instead::Nothing;
        };
        let fits = (gross - own.gross).abs() <= own.alike;
        let no_jar = gross - empty < self.least_jar(jar);
        let poured = seen == Seen::Watched && change != Change::Jump && own.gross < gross;
        let asks = self.book(jar).question().is_some();
        if fits || no_jar || poured || asks || self.is_taking_out(jar) {
            return Instead::Nothing;
        }
        let others: Vec<Stood> = stood
            .into_iter()
            .filter(|other| other.jar != jar)
            .map(|other| Stood {
                residue: other.alike,
                ..other
            })
            .collect();
        let wanted = self.wanted().filter(|&wanted| wanted != jar);
        let lighter = gross < own.gross - own.residue;
        match (recognise(&others, gross), wanted) {
            // Nothing is poured into a finished jar.
            (Recognised::One(other), _)
                if gross < own.gross || seen == Seen::Unseen || self.book(jar).is_over() =>
            {
                Instead::Jar(other)
            }
            // A pour that came at once may end where another jar stands.
            (Recognised::One(other), _) => Instead::OneOf(vec![other, jar]),
            (Recognised::Alike(jars), _) => Instead::OneOf(self.wanted_first(jars)),
            (Recognised::None, Some(wanted)) if lighter || seen == Seen::Unseen => {
                Instead::OneOf(vec![wanted, jar])
            }
            (Recognised::None, _) => Instead::Nothing,
        }
    }

    fn is_taking_out(&self, jar: usize) -> bool {
        let book = self.book(jar);
        let task = book.current();
        !book.is_over() && task.is_some_and(|task| book.step(task).lets_out())
    }

    /// Another jar stands on the pan than the one that was last seen there.
    pub(super) fn swap(&mut self, wishes: &mut Wishes, there: usize, jar: usize, gross: Mass) {
        self.empty = self.empty_pan();
        self.pass(wishes, there, Input::TakenAway);
        self.set_down(wishes, jar, gross, SettingDown::InItsTurn);
    }

    /// A weight settled while no jar that is known stands on the pan.
    fn without_jar(&mut self, wishes: &mut Wishes, last: usize, gross: Mass, change: Change) {
        self.load = Some(gross);
        let Some(empty) = self.empty_pan() else {
            // The first jar of all: its session asks for an empty pan or for the person's word.
            if self.least_jar(last) <= gross.abs() {
                self.hear(wishes, Fact::Settled { gross, change });
            } else {
                self.pan_is_empty(wishes, gross);
            }
            return;
        };
        if (gross - empty).abs() < self.least_jar(last) {
            self.pan_is_empty(wishes, gross);
            return;
        }
        let tared = change == Change::Gradual && self.may_be_tared(last, empty);
        match self.recognise(gross) {
            Recognised::One(jar) => match self.wanted() {
                // A jar that was never weighed may weigh anything, also what this one does; but the one that was
                // just lifted, and weighs what it did, is set back.
                Some(new)
                    if self.may_weigh_anything(new)
                        && (jar != last
                            || self.book(jar).is_over()
                            || !self.weighs_just(jar, gross)) =>
                {
                    self.which(wishes, gross, vec![jar, new]);
                }
                Some(wanted) if jar != wanted && self.may_have_grown(wanted, jar, gross) => {
                    self.which(wishes, gross, vec![wanted, jar]);
                }
                Some(_) | None => self.bring(wishes, jar, gross),
            },
            // The scale's own tare was pressed, and something is poured.
            Recognised::None | Recognised::Alike(_) if tared => {
                self.hear(wishes, Fact::Settled { gross, change });
            }
            Recognised::Alike(jars) => self.which(wishes, gross, self.wanted_first(jars)),
            Recognised::None => match self.wanted() {
                Some(jar) if self.may_weigh_anything(jar) => self.bring(wishes, jar, gross),
                // Lighter than the empty jar, it is not that one.
                Some(jar)
                    if jar == last
                        && !Self::is_awaited(&self.sessions[jar])
                        && self.may_be(jar, gross) =>
                {
                    self.hear(wishes, Fact::Settled { gross, change })
                }
                Some(_) => self.which(wishes, gross, self.wanted_first(self.open_jars())),
                None => {}
            },
        }
    }

    /// Returns whether the load of a jar may have gone away by the scale's own tare: then the scale showed nothing, not
    /// already the next jar.
    fn may_be_tared(&self, jar: usize, empty: Mass) -> bool {
        let JarPlace::Gone { gross } = self.book(jar).jar() else {
            return false;
        };
        let shows_nothing = |nothing: Mass| (gross - nothing).abs() < self.least_jar(jar);
        !self.book(jar).is_over() && (shows_nothing(empty) || shows_nothing(Mass::ZERO))
    }

    /// Returns whether this may be a jar that was changed in the hand.
    fn may_be(&self, jar: usize, gross: Mass) -> bool {
        let book = self.book(jar);
        let jar_alone = self.empty_pan().unwrap_or_default() + book.jar_alone();
        jar_alone - self.noticeable(jar) <= gross
    }

    fn pan_is_empty(&mut self, wishes: &mut Wishes, gross: Mass) {
        self.asks = None;
        self.load = None;
        self.empty = Some(gross);
        self.hear(
            wishes,
            Fact::Settled {
                gross,
                change: Change::Jump,
            },
        );
        wishes.add(self.here(), Effect::EmptyPan(gross));
    }

    /// The jar is known: it is this one.
    pub(super) fn bring(&mut self, wishes: &mut Wishes, jar: usize, gross: Mass) {
        let setting_down = if jar == self.here() {
            SettingDown::AfterLifting
        } else {
            SettingDown::InItsTurn
        };
        self.set_down(wishes, jar, gross, setting_down);
    }

    pub(super) fn set_down(
        &mut self,
        wishes: &mut Wishes,
        jar: usize,
        gross: Mass,
        setting_down: SettingDown,
    ) {
        self.asks = None;
        self.load = None;
        self.proposed = None;
        let empty = self.empty_pan().unwrap_or_default();
        self.pan = Pan::Jar(jar);
        if self.book(jar).is_over() {
            self.finished[jar] = Some(gross - empty);
            return;
        }
        let input = Input::Brought {
            empty,
            gross,
            setting_down,
        };
        self.pass(wishes, jar, input);
        if !self.book(jar).is_over() && self.book(jar).jar() != JarPlace::OnPan {
            self.pan = Pan::Free { last: jar };
        }
    }

    /// Several jars may be this one, or none: the person is asked, the likeliest first.
    fn which(&mut self, wishes: &mut Wishes, gross: Mass, jars: Vec<usize>) {
        if let Some((asked, jar)) = self.proposed.take() {
            // Lifted and set back, the load that was asked about is what was proposed.
            if (gross - asked).abs() <= self.noticeable(jar) {
                self.bring(wishes, jar, gross);
                return;
            }
        }
        self.asks = Some(Asks::Which { gross, jars });
    }

    fn wanted_first(&self, mut jars: Vec<usize>) -> Vec<usize> {
        let wanted = self.wanted();
        jars.sort_by_key(|&jar| (Some(jar) != wanted, jar));
        jars
    }

    fn open_jars(&self) -> Vec<usize> {
        let jars = 0..self.sessions.len();
        jars.filter(|&jar| !self.book(jar).is_over()).collect()
    }

    /// Returns whether this weight means that something came into a jar whose turn it is not.
    fn is_out_of_turn(&self, jar: usize, gross: Mass) -> bool {
        let book = self.book(jar);
        let Some(task) = book.current() else {
            return false;
        };
        let pours = matches!(
            book.step(task),
            StepKind::Add(_) | StepKind::Thin { .. } | StepKind::Rest { .. }
        );
        pours
            && book.state() == BatchState::Running
            && self.wanted().is_some_and(|wanted| wanted != jar)
            && self.noticeable(jar) < gross - book.last()
    }

    fn is_empty_pan(&self, gross: Mass) -> bool {
        self.empty_pan()
            .is_some_and(|empty| (gross - empty).abs() < self.least_jar(self.here()))
    }

    pub(super) fn noticeable(&self, jar: usize) -> Mass {
        self.sessions[jar].noticeable()
    }

    fn least_jar(&self, jar: usize) -> Mass {
        self.sessions[jar].least_jar()
    }
}
