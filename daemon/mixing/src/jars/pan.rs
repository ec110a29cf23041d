//! What is set down, lifted, and poured into a jar whose turn it is not.

use tarehand_protocol::Mass;

use crate::procedure::StepKind;
use crate::session::{BatchState, Effect, Input, JarPlace, SettingDown};
use crate::settler::{Change, Fact, Zero};

use super::known::{Recognised, Stood, recognise};
use super::{Asks, Jars, Pan, Wishes};

impl Jars {
    pub(super) fn fact(&mut self, wishes: &mut Wishes, fact: Fact) {
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
            JarPlace::Gone { .. } if self.pan == Pan::Jar(jar) => {
                self.pan = Pan::Free { last: jar };
            }
            JarPlace::Gone { .. } | JarPlace::Awaited => {}
        }
    }

    fn unloaded(&mut self, wishes: &mut Wishes, gross: Mass) {
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
        if let (Pan::Jar(jar), true) = (self.pan, std::mem::take(&mut self.unwatched))
            && let Recognised::One(other) = self.recognise(gross)
            && other != jar
        {
            // Another jar stands there than before: they were changed while nobody saw the pan.
            self.pass(wishes, jar, Input::TakenAway);
            self.set_down(wishes, other, gross, SettingDown::InItsTurn);
            return;
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

    /// A finished jar stands on the pan: what is taken from it is seen when it is set down elsewhere.
    fn on_finished(&mut self, wishes: &mut Wishes, jar: usize, gross: Mass) {
        let book = self.book(jar);
        let half = Mass::from_micrograms((book.last() - book.empty()).micrograms() / 2);
        let empty = self.empty_pan().unwrap_or_else(|| book.empty());
        if gross <= empty + half {
            self.pan = Pan::Free { last: jar };
            self.without_jar(wishes, jar, gross, Change::Jump);
        } else {
            self.finished[jar] = Some(gross - empty);
        }
    }

    /// A weight settled while no jar that is known stands on the pan.
    fn without_jar(&mut self, wishes: &mut Wishes, last: usize, gross: Mass, change: Change) {
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
        let tared = change == Change::Gradual
            && !self.book(last).is_over()
            && matches!(self.book(last).jar(), JarPlace::Gone { .. });
        match self.recognise(gross) {
            Recognised::One(jar) => match self.wanted() {
                // A jar that was never weighed may weigh anything, also what this one does.
                Some(new)
                    if Self::is_awaited(&self.sessions[new])
                        && (jar != last || self.book(jar).is_over()) =>
                {
                    self.which(wishes, gross, vec![jar, new]);
                }
                Some(_) | None => self.bring(wishes, jar, gross),
            },
            // The scale's own tare was pressed, and something is poured.
            Recognised::None | Recognised::Alike(_) if tared => {
                self.hear(wishes, Fact::Settled { gross, change });
            }
            Recognised::Alike(jars) => self.which(wishes, gross, self.wanted_first(jars)),
            Recognised::None => match self.wanted() {
                Some(jar) if Self::is_awaited(&self.sessions[jar]) => {
                    self.bring(wishes, jar, gross);
                }
                // It may have been changed in the hand, or be no jar at all.
                Some(jar) if jar == last => self.hear(wishes, Fact::Settled { gross, change }),
                Some(_) => self.which(wishes, gross, self.wanted_first(self.open_jars())),
                None => {}
            },
        }
    }

    fn pan_is_empty(&mut self, wishes: &mut Wishes, gross: Mass) {
        self.asks = None;
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

    fn recognise(&self, gross: Mass) -> Recognised {
        let Some(empty) = self.empty_pan() else {
            return Recognised::None;
        };
        let stood = |jar: usize| {
            let book = self.book(jar);
            let load = match self.finished[jar] {
                Some(load) if book.is_over() => load,
                _ => book.last() - book.empty(),
            };
            let mix = load - book.tare();
            let residue = Mass::from_micrograms(mix.micrograms().max(0) / 20);
            (book.jar() != JarPlace::Awaited).then(|| Stood {
                jar,
                gross: empty + load,
                alike: self.noticeable(jar),
                residue: residue.max(self.noticeable(jar)),
            })
        };
        let jars: Vec<Stood> = (0..self.sessions.len()).filter_map(stood).collect();
        recognise(&jars, gross)
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

    fn noticeable(&self, jar: usize) -> Mass {
        self.sessions[jar].noticeable()
    }

    fn least_jar(&self, jar: usize) -> Mass {
        self.sessions[jar].least_jar()
    }
}
