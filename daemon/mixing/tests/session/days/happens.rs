//! What happens on a random day, and what the person does about it at once.

use std::time::Duration;

use tarehand_mixing::procedure::StepKind;
use tarehand_mixing::session::{BatchState, Command, JarPlace};
use tarehand_mixing::settler::Reports;
use tarehand_protocol::Mass;

use super::Day;
use crate::bench::Link;
use crate::scenes::Scene;
use crate::world::World;

impl Day {
    pub(super) fn play(&mut self, scene: &Scene) {
        let grams = |mg: &i64| Mass::from_milligrams(*mg);
        match scene {
            Scene::Pour { percent, .. } if self.may_pour_out() => {
                self.out(Mass::from_micrograms(
                    self.missing().micrograms() / 100 * percent,
                ));
            }
            Scene::Slip { mg } if self.may_pour_out() => self.out(grams(mg)),
            Scene::Pour { .. } if self.is_taking_out() => self.scoop(),
            Scene::Pour { .. } if self.bottle_now().is_some() => {
                self.attend();
            }
            Scene::Cup { heel_mg } => self.cup(grams(heel_mg)),
            Scene::OtherBottle { more_g } => {
                if self.may_pour_out() && self.bench.in_cup().is_none() {
                    self.bench.thing_off();
                    self.bench.rest();
                    if let Some((_, gross)) = &mut self.bench.vessels.thing {
                        *gross += Mass::from_grams(*more_g);
                    }
                    self.bench.thing_on();
                }
            }
            Scene::Lid { mg } => {
                if self.may_pour_out() {
                    self.bench.world.other = grams(mg);
                    self.bench.rest();
                    self.bench.world.other = Mass::ZERO;
                }
            }
            Scene::Pour { percent, mg_per_s } if self.may_pour() => {
                let mass = Mass::from_micrograms(self.missing().micrograms() / 100 * percent);
                self.bench.pour(mass, *mg_per_s);
            }
            Scene::Drip(count) if self.may_pour() => {
                for _ in 0..*count {
                    if self.may_pour() {
                        self.bench.pour(Mass::from_milligrams(60), 1_000);
                        // A drip may come when the step is done already: then it counts for the next one.
                        self.loose += Mass::from_milligrams(60);
                    }
                    self.bench.run(Duration::from_millis(1_300));
                }
            }
            Scene::Slip { mg } if self.may_pour() => self.bench.pour(grams(mg), 8_000),
            Scene::Pour { .. } | Scene::Drip(_) | Scene::Slip { .. } => {}
            Scene::Lift => self.lifted(|_| {}),
            Scene::LiftAndAdd { mg } => {
                if self.may_pour() {
                    self.lifted(|day| day.bench.pour(grams(mg), 5_000));
                }
            }
            Scene::Stick { mg } => self.lifted(|day| {
                day.bench.world.mix -= if day.bench.world.mix < grams(mg) {
                    Mass::ZERO
                } else {
                    grams(mg)
                };
                day.loose += grams(mg);
            }),
            // Anything heavier than the empty jar may be the jar with some of the mix taken out, as it was asked for.
            Scene::Another { .. } if self.is_taking_out() => {}
            Scene::Another { mg } => self.lifted(|day| {
                day.bench.world.other = grams(mg);
                day.bench.rest();
                day.answer();
                day.bench.world.other = Mass::ZERO;
                day.bench.rest();
            }),
            Scene::TareKey { says_so } => self.tare_key(*says_so),
            Scene::Silence { s, mg } => self.unwatched(Link::Silent, *s, grams(mg), false),
            Scene::Unplugged { s, mg, power } => self.unwatched(Link::Gone, *s, grams(mg), *power),
            Scene::Spike { mg } => self.spike(grams(mg)),
            Scene::NoWeight(why, count) => {
                for _ in 0..*count {
                    self.bench.hear(World::no_weight(*why));
                }
                self.bench.world.speak_again();
            }
            Scene::Drift(divisions) => {
                for _ in 0..divisions.unsigned_abs() {
                    self.bench.world.drift(f64::from(divisions.signum()));
                    self.bench.rest();
                    self.loose += self.bench.world.division();
                }
            }
            Scene::Pause { mg } => {
                let (pours, out) = (self.may_pour(), self.may_pour_out());
                self.bench.say(Command::Pause);
                if pours {
                    self.bench.pour(grams(mg), 5_000);
                }
                if out {
                    self.out(grams(mg));
                }
                self.bench.rest();
                self.bench.say(Command::Resume);
            }
            Scene::RanOut => self.bench.say(Command::RanOut),
            Scene::WasOther(key) => self.bench.say(Command::WasOther((*key).to_owned())),
            // The jar is never said to be the bottle.
            Scene::Say(Command::WeighOut)
                if self.bottle_now().is_some() && self.bench.world.jar_is_on => {}
            Scene::TooMuchThinner { splashes, seconds } => self.thin_too_far(*splashes, *seconds),
            Scene::Say(command) => self.bench.say(command.clone()),
            Scene::Wait(seconds) => self.bench.run(Duration::from_secs(*seconds)),
            Scene::Restart { mg, lifted } => {
                self.explain_tare();
                let pours = self.may_pour();
                let there = self.bench.world.jar_is_on;
                if *lifted {
                    self.bench.lift();
                    self.bench.rest();
                }
                self.bench.restart();
                if pours && !lifted {
                    // Before the first weight has settled again.
                    self.bench.pour(grams(mg), 20_000);
                }
                self.bench.rest();
                if there {
                    self.bench.set_back();
                }
            }
        }
        self.bench.rest();
    }

    /// Measures, splashes far too much, and finds the trail too short.
    pub(super) fn thin_too_far(&mut self, splashes: i64, seconds: f64) {
        let by = match self.bench.witness.book().current() {
            Some(task) => match self.bench.witness.book().step(task) {
                StepKind::Thin { by, .. } => *by,
                _ => return,
            },
            None => return,
        };
        self.bench.say(Command::Trail(20.0));
        self.bench.rest();
        if self.may_pour() {
            self.bench
                .pour(Mass::from_micrograms(by.micrograms() * splashes), 5_000);
        }
        self.bench.rest();
        self.bench.say(Command::Trail(seconds));
    }

    pub(super) fn lifted(&mut self, meanwhile: impl FnOnce(&mut Self)) {
        let out = self.bottle_now().is_some();
        if out
            || !self.bench.world.jar_is_on
            || self.bench.witness.book().jar() == JarPlace::Awaited
        {
            return;
        }
        self.explain_tare();
        self.bench.lift();
        self.bench.rest();
        meanwhile(self);
        self.bench.set_back();
    }

    /// The bench says that the load is gone, and it stands there: an attentive person explains it before touching anything.
    pub(super) fn explain_tare(&mut self) {
        let gone = matches!(self.bench.witness.book().jar(), JarPlace::Gone { .. });
        if gone && self.bench.world.jar_is_on {
            self.bench.say(Command::Tared);
            self.bench.rest();
        }
    }

    fn tare_key(&mut self, says_so: bool) {
        self.bench.rest();
        self.answer();
        if self.bottle_now().is_some() {
            self.tare_key_under_bottle();
            return;
        }
        // From below zero up to zero looks exactly like a pour: nobody could tell, and it is not tried here.
        let below = self.bench.witness.book().last() < Mass::ZERO;
        if below || self.bench.witness.book().is_over() || !self.bench.world.jar_is_on {
            return;
        }
        let flicker = self.press_tare();
        // A pour that ends just where the jar stood looks like the jar set back: then it must be said.
        let stood = self.bench.witness.book().last();
        let alike = (self.missing() - stood).abs() <= flicker + flicker;
        if says_so || alike || !self.bench.is_fast() {
            self.bench.say(Command::Tared);
        } else {
            // On a fast scale the next pour explains it.
            let missing = self.missing();
            let running = self.bench.witness.book().state() == BatchState::Running;
            let plenty = Mass::from_milligrams(self.bench.world.make.division_mg * 40);
            if running && plenty < missing {
                // Two seconds: anything faster could as well be something put down.
                self.bench.pour(missing, missing.micrograms() / 2_000);
            }
        }
    }

    /// Presses the tare key, which books no gram; returns what may go to zero with it unnoticed.
    fn press_tare(&mut self) -> Mass {
        let entry = self.bench.witness.journal.len();
        self.bench.world.take_zero();
        self.bench.rest();
        let booked = self.bench.booked_since(entry);
        let flicker =
            self.bench.world.division() + self.bench.world.division() + self.bench.world.fuzz();
        assert!(
            booked <= flicker,
            "the tare key books no gram, not {booked}"
        );
        // A load too small to be missed goes to zero unnoticed.
        self.loose += flicker;
        flicker
    }

    /// The same with a bottle on the pan: then it must be said.
    fn tare_key_under_bottle(&mut self) {
        // Down to zero from where it stands: a bottle that shows next to nothing already is not missed.
        let stands = self
            .bench
            .witness
            .book()
            .bottle()
            .map(|bottle| bottle.gross);
        let plenty = Mass::from_grams(20);
        if !self.may_pour_out() || stands.is_none_or(|gross| gross < plenty) {
            return;
        }
        self.press_tare();
        self.bench.say(Command::Tared);
    }

    fn unwatched(&mut self, link: Link, seconds: u64, mass: Mass, power: bool) {
        self.bench.rest();
        self.explain_tare();
        let (pours, out) = (self.may_pour(), self.may_pour_out());
        self.bench.cut(link);
        self.bench.run(Duration::from_secs(seconds));
        if pours {
            self.bench.pour(mass, 10_000);
        }
        if out && !power {
            self.out(mass);
        }
        self.bench.run(Duration::from_secs(1));
        if power {
            self.bench.world.take_zero();
            // With the zero lost, what was poured meanwhile is unknown.
            self.unknown |= pours && !mass.is_zero();
            self.loose += self.bench.world.fuzz();
        }
        self.bench.open_again();
    }

    fn spike(&mut self, mass: Mass) {
        if self.bench.world.make.reports != Reports::Stream {
            return;
        }
        self.bench.rest();
        let entry = self.bench.witness.journal.len();
        let wild = self.bench.world.spike(mass);
        self.bench
            .run(Duration::from_millis(self.bench.world.make.period_ms));
        self.bench.hear(wild);
        self.bench.rest();
        let booked = self.bench.booked_since(entry);
        let flicker =
            self.bench.world.division() + self.bench.world.division() + self.bench.world.fuzz();
        assert!(booked <= flicker, "a spike books no gram, not {booked}");
    }
}
