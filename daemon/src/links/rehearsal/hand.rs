//! The simulated person at the bench.

mod pouring;

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::time::Duration;

use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg32;
use tarehand_protocol::Mass;

use super::addition::Addition;
use super::plan::Habits;
use super::wish::{Part, Vessel, Wish};
use pouring::Tilt;

/// From a cue to the first movement, in seconds: simple reactions to a sound or a light take about
/// a quarter of a second, somewhat more with something in the hand (common practice).
pub(super) const REACTION_S: Range<f64> = 0.25..0.40;

/// Moving a jar on or off the pan, in seconds: our own choice.
const CARRY_S: Range<f64> = 0.8..1.6;

/// How long the pan is left empty between two vessels, and how long what was set down is left to settle, in
/// seconds: our own choice, until the display of a scale that averages stands.
const STANDS_S: Range<f64> = 6.5..8.0;

/// How hard the stick pushes the jar down or up while stirring, in grams, one standard deviation: our own choice.
const STIR_G: f64 = 12.0;

/// How long the stick pushes the same way, in seconds: our own choice.
const STROKE_S: Range<f64> = 0.2..0.5;

/// What the hand did in a step of time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Deed {
    /// Something left a vessel.
    Released {
        /// How much.
        mass: Mass,
        /// Out of what; out of a bottle that nobody weighs where there is none.
        from: Option<Vessel>,
        /// Into which jar; into another vessel where there is none.
        into: Option<u32>,
    },
    /// This stands on the pan, with what is in it.
    Put(Vessel),
    /// A full bottle stands on the pan in place of the one that is empty.
    PutFull(Vessel),
    /// What stood on the pan is off it.
    Lifted,
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
    on_pan: Option<Vessel>,
    /// What was lifted to be poured from, and belongs back on the pan.
    held: Option<Vessel>,
    /// What nothing comes out of any more.
    empty: BTreeSet<Vessel>,
    additions: BTreeMap<Part, Addition>,
    /// How many additions were poured into each jar.
    pours_begun: BTreeMap<u32, u32>,
}

#[derive(Clone, Debug)]
enum Doing {
    /// Hands free: what next?
    Looking,
    Putting {
        left: Duration,
        vessel: Vessel,
    },
    Lifting {
        left: Duration,
        why: Why,
    },
    /// The pan is left empty until the display stands.
    Clearing {
        left: Duration,
    },
    Pouring(Tilt),
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

/// Why something is lifted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Why {
    /// To be poured from and set back.
    ToPour,
    /// It makes room.
    Aside,
}

impl Hand {
    /// Makes a person whose hands are free and whose pan is empty.
    #[must_use]
    pub fn new(habits: Habits, seed: u64) -> Self {
        Self {
            habits,
            chance: Pcg32::seed_from_u64(seed),
            wish: Wish::Idle,
            reacting: None,
            doing: Doing::Looking,
            on_pan: None,
            held: None,
            empty: BTreeSet::new(),
            additions: BTreeMap::new(),
            pours_begun: BTreeMap::new(),
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
            Doing::Pausing { left } | Doing::Clearing { left } => {
                *left = left.saturating_sub(time);
                if left.is_zero() {
                    self.doing = Doing::Looking;
                }
                None
            }
            Doing::Putting { left, vessel } => {
                *left = left.saturating_sub(time);
                let vessel = left.is_zero().then_some(*vessel)?;
                Some(self.put_down(vessel))
            }
            Doing::Lifting { left, why } => {
                *left = left.saturating_sub(time);
                let why = left.is_zero().then_some(*why)?;
                self.lifted(why)
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
            // What is in the air is put down first, and an empty pan is waited for.
            Doing::Putting { .. } | Doing::Lifting { .. } | Doing::Clearing { .. } => {}
            // The screen misses what is in the hand and being poured from: it comes back when that is done.
            Doing::Pouring(_) if self.held.is_some_and(|held| wish == Wish::Put(held)) => {}
            Doing::Pouring(tilt) => tilt.close(),
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
        if let Some(held) = self.held {
            return self.look_at_held(held);
        }
        match self.wish {
            Wish::Put(vessel) => self.bring(vessel),
            Wish::ClearPan if self.on_pan.is_some() => self.lift(Why::Aside),
            Wish::Stir if matches!(self.on_pan, Some(Vessel::Jar(_))) => self.begin_stroke(),
            Wish::Pour { part, .. }
            | Wish::CountDrops {
                part, from: None, ..
            } if self.on_pan == Some(Vessel::Jar(part.jar)) => {
                self.pour_if_wanted();
            }
            Wish::PourOut { .. } | Wish::CountDrops { from: Some(_), .. } | Wish::Decant { .. } => {
                self.take_to_pour();
            }
            Wish::Pour { .. }
            | Wish::CountDrops { from: None, .. }
            | Wish::ClearPan
            | Wish::Stir
            | Wish::Idle
            | Wish::StopNow
            | Wish::Wait => {}
        }
    }

    /// Pours out of what is in the hand, or puts it where it belongs.
    fn look_at_held(&mut self, held: Vessel) {
        match self.wish {
            wish if wish.in_hand() == Some(held) && self.is_more_wanted() => self.pour_if_wanted(),
            Wish::ClearPan => self.held = None,
            Wish::Put(other) if other != held => self.held = None,
            _ => self.put(held),
        }
    }

    /// Lifts what is to be poured from; an empty bottle makes room for a full one.
    fn take_to_pour(&mut self) {
        let Some(from) = self.wish.in_hand() else {
            return;
        };
        if self.on_pan != Some(from) {
            self.bring(from);
        } else if self.is_empty_bottle(from) {
            self.lift(Why::Aside);
        } else if self.is_more_wanted() {
            self.lift(Why::ToPour);
        }
    }

    fn is_empty_bottle(&self, vessel: Vessel) -> bool {
        matches!(vessel, Vessel::Bottle(_)) && self.empty.contains(&vessel)
    }

    fn bring(&mut self, vessel: Vessel) {
        match self.on_pan {
            Some(there) if there == vessel => {}
            Some(_) => self.lift(Why::Aside),
            None => self.put(vessel),
        }
    }

    fn put(&mut self, vessel: Vessel) {
        let left = self.draw(CARRY_S);
        self.doing = Doing::Putting { left, vessel };
    }

    fn put_down(&mut self, vessel: Vessel) -> Deed {
        let was_held = self.held.take() == Some(vessel);
        self.on_pan = Some(vessel);
        self.doing = Doing::Pausing {
            left: self.draw(STANDS_S),
        };
        if !was_held && self.is_empty_bottle(vessel) {
            self.empty.remove(&vessel);
            return Deed::PutFull(vessel);
        }
        Deed::Put(vessel)
    }

    fn lift(&mut self, why: Why) {
        let left = self.draw(CARRY_S);
        self.doing = Doing::Lifting { left, why };
    }

    fn lifted(&mut self, why: Why) -> Option<Deed> {
        let vessel = self.on_pan.take()?;
        match why {
            Why::ToPour => {
                self.held = Some(vessel);
                self.doing = Doing::Looking;
            }
            Why::Aside => {
                self.doing = Doing::Clearing {
                    left: self.draw(STANDS_S),
                };
            }
        }
        Some(Deed::Lifted)
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
