//! The simulated person at the bench.

use std::ops::Range;
use std::time::Duration;

use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg32;
use tarehand_protocol::Mass;

use super::addition::{Addition, share};
use super::plan::{Habits, Liquid};
use super::pour::Pour;
use super::wish::Wish;
use super::world::JarAt;

/// From a cue to the first movement, in seconds: simple reactions to a sound or a light take about
/// a quarter of a second, somewhat more with something in the hand (common practice).
pub(super) const REACTION_S: Range<f64> = 0.25..0.40;

/// Moving a jar on or off the pan, in seconds: our own choice.
const CARRY_S: Range<f64> = 0.8..1.6;

/// A look at the display until it stands, before pouring on, in seconds: our own choice.
const LOOK_S: Range<f64> = 2.0..3.5;

/// From drop to drop, in seconds: our own choice.
const DROP_S: Range<f64> = 0.6..1.1;

/// Standard deviation of a drop's mass, as a share of it: our own choice.
const DROP_SPREAD: f64 = 0.05;

/// Which share of what is missing a person dares to add by feel: our own choice.
const DARE: Range<f64> = 0.7..1.0;

/// Which share of what is missing a short pour pours: our own choice.
const SHORT: Range<f64> = 0.6..0.9;

/// How hard the stick pushes the jar down or up while stirring, in grams, one standard deviation: our own choice.
const STIR_G: f64 = 12.0;

/// How long the stick pushes the same way, in seconds: our own choice.
const STROKE_S: Range<f64> = 0.2..0.5;

/// What the hand did in a step of time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Deed {
    /// Something left the bottle.
    Released(Mass),
    /// A fresh, empty jar stands on the pan.
    PutFreshJar,
    /// The same jar stands on the pan again.
    PutJarBack,
    /// The jar is off the pan.
    LiftedJar,
    /// The stick pushes the jar down, or up where negative, as this mass would.
    Pushed(Mass),
}

/// A simulated person: told what is wanted, they react, carry, pour, stir and count drops.
#[derive(Clone, Debug)]
pub struct Hand {
    habits: Habits,
    chance: Pcg32,
    /// What the person acts on; a newer wish of the same deed only brings newer numbers.
    wish: Wish,
    /// How long until a new wish is acted on.
    reacting: Option<Duration>,
    doing: Doing,
    jar: JarAt,
    jar_used: bool,
    addition: Option<Addition>,
    pours_begun: u32,
}

#[derive(Clone, Debug)]
enum Doing {
    /// Hands free: what next?
    Looking,
    Putting {
        left: Duration,
        jar: Jar,
    },
    Lifting {
        left: Duration,
    },
    Pouring(Pour),
    /// Waiting for the display to stand before pouring on.
    Pausing {
        left: Duration,
    },
    Dripping {
        next: Duration,
    },
    Stirring {
        stroke: Duration,
        push: Mass,
    },
}

#[derive(Clone, Copy, Debug)]
enum Jar {
    Fresh,
    Same,
}

impl Hand {
    /// Makes a person whose hands are free and whose jar is not on the pan.
    #[must_use]
    pub fn new(habits: Habits, seed: u64) -> Self {
        Self {
            habits,
            chance: Pcg32::seed_from_u64(seed),
            wish: Wish::Idle,
            reacting: None,
            doing: Doing::Looking,
            jar: JarAt::Hand,
            jar_used: false,
            addition: None,
            pours_begun: 0,
        }
    }

    /// Lets a short time go by, in which at most one thing is done.
    ///
    /// Steps of some ten milliseconds are fine enough for a reaction.
    pub fn advance(&mut self, time: Duration, wish: Wish) -> Option<Deed> {
        self.notice(time, wish);
        match &mut self.doing {
            Doing::Looking => {
                self.look();
                None
            }
            Doing::Pausing { left } => {
                *left = left.saturating_sub(time);
                if left.is_zero() {
                    self.doing = Doing::Looking;
                }
                None
            }
            Doing::Putting { left, jar } => {
                *left = left.saturating_sub(time);
                let jar = left.is_zero().then_some(*jar)?;
                self.doing = Doing::Looking;
                Some(self.put_down(jar))
            }
            Doing::Lifting { left } => {
                *left = left.saturating_sub(time);
                if !left.is_zero() {
                    return None;
                }
                self.jar = JarAt::Hand;
                self.doing = Doing::Looking;
                Some(Deed::LiftedJar)
            }
            Doing::Pouring(_) => self.pour_on(time),
            Doing::Dripping { next } => {
                *next = next.saturating_sub(time);
                if next.is_zero() { self.drip() } else { None }
            }
            Doing::Stirring { stroke, push } => {
                *stroke = stroke.saturating_sub(time);
                let push = *push;
                if stroke.is_zero() {
                    self.begin_stroke();
                }
                Some(Deed::Pushed(push))
            }
        }
    }

    /// Takes in a wish: newer numbers at once, a new deed after the reaction.
    fn notice(&mut self, time: Duration, wish: Wish) {
        if wish.same_deed(self.wish) {
            self.wish = wish;
            self.reacting = None;
            return;
        }
        let left = match self.reacting {
            Some(left) => left.saturating_sub(time),
            None => self.draw(REACTION_S),
        };
        if !left.is_zero() {
            self.reacting = Some(left);
            return;
        }
        self.reacting = None;
        self.wish = wish;
        match &mut self.doing {
            // A jar in the air is put down first.
            Doing::Putting { .. } | Doing::Lifting { .. } => {}
            Doing::Pouring(pour) => pour.close(),
            Doing::Looking
            | Doing::Pausing { .. }
            | Doing::Dripping { .. }
            | Doing::Stirring { .. } => {
                self.doing = self.after_pour();
            }
        }
    }

    /// Decides what to do; doing what is done already is nothing to do.
    fn look(&mut self) {
        match (self.wish, self.jar) {
            (Wish::PutJar, JarAt::Hand) => self.put(Jar::Fresh),
            (Wish::PutJarBack, JarAt::Hand) => self.put(Jar::Same),
            (Wish::LiftJar, JarAt::Pan) => self.lift(),
            // The full jar makes room for a fresh one.
            (Wish::PutJar, JarAt::Pan) if self.jar_used => self.lift(),
            (
                Wish::Pour {
                    addition,
                    remaining,
                },
                JarAt::Pan,
            ) if Mass::ZERO < remaining => self.begin_pour(addition, remaining),
            (
                Wish::CountDrops {
                    addition, count, ..
                },
                JarAt::Pan,
            ) => {
                self.turn_to(addition, Mass::ZERO);
                if self
                    .addition
                    .as_ref()
                    .is_some_and(|now| now.drops() < count)
                {
                    let next = self.draw(DROP_S);
                    self.doing = Doing::Dripping { next };
                }
            }
            (Wish::Stir, JarAt::Pan) => self.begin_stroke(),
            (
                Wish::Pour { .. } | Wish::CountDrops { .. } | Wish::Stir | Wish::LiftJar,
                JarAt::Hand,
            )
            | (Wish::Pour { .. } | Wish::PutJar | Wish::PutJarBack, JarAt::Pan)
            | (Wish::Idle | Wish::StopNow | Wish::Wait, JarAt::Hand | JarAt::Pan) => {}
        }
    }

    fn put(&mut self, jar: Jar) {
        let left = self.draw(CARRY_S);
        self.doing = Doing::Putting { left, jar };
    }

    /// A fresh jar begins everything anew: what was added and counted belonged to the other one.
    fn put_down(&mut self, jar: Jar) -> Deed {
        self.jar = JarAt::Pan;
        match jar {
            Jar::Fresh => {
                self.jar_used = false;
                self.addition = None;
                self.pours_begun = 0;
                Deed::PutFreshJar
            }
            Jar::Same => Deed::PutJarBack,
        }
    }

    fn lift(&mut self) {
        let left = self.draw(CARRY_S);
        self.doing = Doing::Lifting { left };
    }

    /// Makes this addition the one at hand, if it is not already.
    fn turn_to(&mut self, number: u32, asked: Mass) {
        if self
            .addition
            .as_ref()
            .is_some_and(|now| now.number == number)
        {
            return;
        }
        let liquid = self.habits.liquid.unwrap_or_else(|| {
            if self.chance.random_bool(0.5) {
                Liquid::Thin
            } else {
                Liquid::Thick
            }
        });
        self.addition = Some(Addition::new(number, asked, liquid));
    }

    fn begin_pour(&mut self, number: u32, remaining: Mass) {
        let before = self.addition.as_ref().map(|now| now.number);
        self.turn_to(number, remaining);
        if before != Some(number) {
            self.pours_begun += 1;
        }
        let short = self.chance.random_bool(self.habits.short_pours);
        let short_share = self.chance.random_range(SHORT);
        let dare_share = self.chance.random_range(DARE);
        let slip = self
            .habits
            .slips
            .iter()
            .find(|slip| slip.pour.get() == self.pours_begun)
            .filter(|_| before != Some(number))
            .copied();
        let Some(addition) = &mut self.addition else {
            return;
        };
        if let Some(slip) = slip {
            addition.will_slip(slip);
        }
        let enough = if remaining < addition.flow.by_display() {
            share(remaining, dare_share)
        } else if short {
            share(remaining, short_share)
        } else {
            Mass::LIMIT
        };
        self.doing = Doing::Pouring(Pour::begin(addition.flow, remaining, enough));
    }

    fn pour_on(&mut self, time: Duration) -> Option<Deed> {
        let (Doing::Pouring(pour), Some(addition)) = (&mut self.doing, &mut self.addition) else {
            return None;
        };
        let missing = match self.wish {
            Wish::Pour { remaining, .. } => remaining,
            // Closing or slipping: the display no longer matters.
            Wish::Idle
            | Wish::PutJar
            | Wish::CountDrops { .. }
            | Wish::Stir
            | Wish::StopNow
            | Wish::Wait
            | Wish::LiftJar
            | Wish::PutJarBack => Mass::ZERO,
        };
        if let Some(left) = addition.slips_now(pour.is_closing()) {
            pour.slip(left);
        }
        let out = pour.advance(time, missing);
        addition.add(out);
        if !out.is_zero() {
            self.jar_used = true;
        }
        if pour.is_over() && !addition.is_to_slip() {
            self.doing = self.after_pour();
        }
        (!out.is_zero()).then_some(Deed::Released(out))
    }

    /// After something was poured into this addition, the person looks before pouring on.
    fn after_pour(&mut self) -> Doing {
        match (self.wish, &self.addition) {
            (Wish::Pour { addition, .. }, Some(now))
                if now.number == addition && now.has_begun() =>
            {
                Doing::Pausing {
                    left: self.draw(LOOK_S),
                }
            }
            _ => Doing::Looking,
        }
    }

    fn drip(&mut self) -> Option<Deed> {
        self.doing = Doing::Looking;
        let (Wish::CountDrops { drop, .. }, Some(addition)) = (self.wish, &mut self.addition)
        else {
            return None;
        };
        addition.count_drop();
        self.jar_used = true;
        let spread: f64 = self.chance.sample(StandardNormal);
        let drop = share(drop, 1.0 + DROP_SPREAD * spread.clamp(-3.0, 3.0));
        addition.add(drop);
        Some(Deed::Released(drop))
    }

    fn begin_stroke(&mut self) {
        let push: f64 = self.chance.sample(StandardNormal);
        self.doing = Doing::Stirring {
            stroke: self.draw(STROKE_S),
            push: Mass::from_estimated_grams(STIR_G * push),
        };
    }

    fn draw(&mut self, seconds: Range<f64>) -> Duration {
        Duration::from_secs_f64(self.chance.random_range(seconds))
    }
}
