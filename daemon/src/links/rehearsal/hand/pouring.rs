//! How the simulated person pours, lets out and counts drops.

use std::ops::Range;
use std::time::Duration;

use rand::RngExt;
use rand_distr::StandardNormal;
use tarehand_protocol::Mass;

use super::{Deed, Doing, Hand};
use crate::links::rehearsal::addition::{Addition, share};
use crate::links::rehearsal::plan::{Liquid, Slip};
use crate::links::rehearsal::pour::Pour;
use crate::links::rehearsal::wish::{Part, Vessel, Wish};

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

/// Which share of what is to leave a jar is let out of it by feel; a little more does no harm: our own choice.
const LET_OUT: Range<f64> = 0.9..1.08;

/// A vessel that is being poured from.
#[derive(Clone, Debug)]
pub(super) struct Tilt {
    part: Part,
    pour: Pour,
    from: Option<Vessel>,
    into: Option<u32>,
    /// What was missing when it was tilted in the hand, where no display tells; none with the jar on the pan.
    by_feel: Option<Mass>,
    poured: Mass,
}

impl Tilt {
    pub(super) fn close(&mut self) {
        self.pour.close();
    }
}

impl Hand {
    /// Returns whether more is wanted out of what is at hand, and more may come out of it.
    pub(super) fn is_more_wanted(&self) -> bool {
        let dry = self
            .wish
            .vessel()
            .is_some_and(|from| self.empty.contains(&from));
        let known = |part| self.additions.get(&part);
        match self.wish {
            Wish::Pour { remaining, .. } | Wish::PourOut { remaining, .. } => {
                !dry && Mass::ZERO < remaining
            }
            Wish::CountDrops { part, count, .. } => {
                !dry && known(part).is_none_or(|now| now.drops() < count)
            }
            Wish::Decant { part, remaining } => match remaining {
                Some(remaining) => !dry && Mass::ZERO < remaining,
                None => known(part).is_none_or(|now| !now.has_begun()),
            },
            Wish::Idle
            | Wish::Put(_)
            | Wish::ClearPan
            | Wish::Stir
            | Wish::StopNow
            | Wish::Wait => false,
        }
    }

    pub(super) fn pour_if_wanted(&mut self) {
        if !self.is_more_wanted() {
            return;
        }
        match self.wish {
            Wish::Pour {
                part,
                from,
                remaining,
            } => self.begin_pour(part, from, remaining),
            Wish::PourOut {
                part,
                from,
                remaining,
            } => self.begin_pour(part, Some(from), remaining),
            Wish::Decant { part, remaining } => self.begin_to_let_out(part, remaining),
            Wish::CountDrops { part, .. } => {
                self.turn_to(part, Mass::ZERO);
                let next = self.draw(DROP_S);
                self.doing = Doing::Dripping { next };
            }
            Wish::Idle
            | Wish::Put(_)
            | Wish::ClearPan
            | Wish::Stir
            | Wish::StopNow
            | Wish::Wait => {}
        }
    }

    /// Returns the addition, begun now if it was not before, and whether it was.
    fn turn_to(&mut self, part: Part, asked: Mass) -> bool {
        if self.additions.contains_key(&part) {
            return false;
        }
        let liquid = self.habits.liquid.unwrap_or_else(|| {
            if self.chance.random_bool(0.5) {
                Liquid::Thin
            } else {
                Liquid::Thick
            }
        });
        self.additions.insert(part, Addition::new(asked, liquid));
        true
    }

    fn begin_pour(&mut self, part: Part, from: Option<Vessel>, remaining: Mass) {
        let new = self.turn_to(part, remaining);
        let slip = new.then(|| self.slip_of_next(part.jar)).flatten();
        let short = self.chance.random_bool(self.habits.short_pours);
        let short_share = self.chance.random_range(SHORT);
        let dare_share = self.chance.random_range(DARE);
        let Some(addition) = self.additions.get_mut(&part) else {
            return;
        };
        if let Some(slip) = slip {
            addition.will_slip(slip);
        }
        let by_feel = self.held.map(|_| remaining);
        let enough = if by_feel.is_some() || remaining < addition.flow.by_display() {
            share(remaining, dare_share)
        } else if short {
            share(remaining, short_share)
        } else {
            Mass::LIMIT
        };
        self.doing = Doing::Pouring(Tilt {
            part,
            pour: Pour::begin(addition.flow, remaining, enough),
            from,
            into: Some(part.jar),
            by_feel,
            poured: Mass::ZERO,
        });
    }

    /// Returns the slip of the addition that is poured next into a jar, and counts it.
    fn slip_of_next(&mut self, jar: u32) -> Option<Slip> {
        let begun = self.pours_begun.entry(jar).or_default();
        *begun += 1;
        let mut slips = self.habits.slips.iter();
        let slip = slips.find(|slip| slip.jar == jar && slip.pour.get() == *begun);
        slip.copied()
    }

    fn begin_to_let_out(&mut self, part: Part, remaining: Option<Mass>) {
        let by_feel = self.chance.random_range(LET_OUT);
        let out = remaining.map_or(Mass::LIMIT, |remaining| share(remaining, by_feel));
        self.turn_to(part, out);
        let Some(addition) = self.additions.get(&part) else {
            return;
        };
        self.doing = Doing::Pouring(Tilt {
            part,
            pour: Pour::begin(addition.flow, out, out),
            from: Some(Vessel::Jar(part.jar)),
            into: None,
            by_feel: Some(out),
            poured: Mass::ZERO,
        });
    }

    pub(super) fn pour_on(&mut self, time: Duration) -> Option<Deed> {
        let Doing::Pouring(tilt) = &mut self.doing else {
            return None;
        };
        let addition = self.additions.get_mut(&tilt.part)?;
        let missing = match (tilt.by_feel, self.wish) {
            (Some(asked), _) => asked - tilt.poured,
            (
                None,
                Wish::Pour {
                    part, remaining, ..
                },
            ) if part == tilt.part => remaining,
            // Closing or slipping: the display no longer matters.
            (None, _) => Mass::ZERO,
        };
        if let Some(left) = addition.slips_now(tilt.pour.is_closing()) {
            tilt.pour.slip(left);
        }
        let out = tilt.pour.advance(time, missing);
        addition.add(out);
        tilt.poured += out;
        let deed = Deed::Released {
            mass: out,
            from: tilt.from,
            into: tilt.into,
        };
        if tilt.pour.is_over() && !addition.is_to_slip() {
            self.doing = self.after_pour();
        }
        (!out.is_zero()).then_some(deed)
    }

    /// Sees that so much less came than the vessel was tilted for: there is no more in it.
    pub fn see_nothing_more(&mut self, missed: Mass) {
        match &mut self.doing {
            Doing::Pouring(tilt) => {
                if let Some(addition) = self.additions.get_mut(&tilt.part) {
                    addition.ends_short(missed);
                }
                self.empty.extend(tilt.from);
                self.doing = self.after_pour();
            }
            // The last drop was none, or the bottle was righted with this very breath.
            _ => self.empty.extend(self.wish.vessel()),
        }
    }

    /// Returns for which addition there is no more of a premix in its jar.
    #[must_use]
    pub fn found_nothing_more(&self) -> Option<Part> {
        let from = match self.wish {
            Wish::Pour { from, .. } | Wish::CountDrops { from, .. } => from?,
            Wish::PourOut { from, .. } => from,
            _ => return None,
        };
        let dry = matches!(from, Vessel::Jar(_)) && self.empty.contains(&from);
        self.wish.part().filter(|_| dry)
    }

    /// What was poured from in the hand goes back to the pan; after something was poured into the jar there, the person
    /// looks before pouring on.
    pub(super) fn after_pour(&mut self) -> Doing {
        if let Some(vessel) = self.held {
            let left = self.draw(super::CARRY_S);
            return Doing::Putting { left, vessel };
        }
        let begun = match self.wish {
            Wish::Pour { part, .. } => self.additions.get(&part).is_some_and(Addition::has_begun),
            _ => false,
        };
        if begun {
            Doing::Pausing {
                left: self.draw(LOOK_S),
            }
        } else {
            Doing::Looking
        }
    }

    pub(super) fn drip(&mut self) -> Option<Deed> {
        self.doing = Doing::Looking;
        let Wish::CountDrops {
            part, from, drop, ..
        } = self.wish
        else {
            return None;
        };
        let addition = self.additions.get_mut(&part)?;
        addition.count_drop();
        let spread: f64 = self.chance.sample(StandardNormal);
        let mass = share(drop, 1.0 + DROP_SPREAD * spread.clamp(-3.0, 3.0));
        addition.add(mass);
        Some(Deed::Released {
            mass,
            from,
            into: Some(part.jar),
        })
    }
}
