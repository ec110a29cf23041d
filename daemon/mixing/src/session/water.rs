//! The water in the jar while it is thinned: a warning with what it rests on, and a splash that keeps to the limit.

use tarehand_protocol::Mass;

use crate::procedure::{Ingredient, Premix, StepKind};
use crate::ratio::Ratio;
use crate::trail::{WaterWarning, water_warning};

use super::book::Book;
use super::{Session, ThinNow};

impl Session {
    /// Returns a warning where the water put in passes the limit, or would with the splash that comes next.
    #[must_use]
    pub fn water_warning(&self) -> Option<WaterWarning> {
        let task = self.book.current()?;
        let StepKind::Thin { with, .. } = self.book.step(task) else {
            return None;
        };
        let with_more = |more: Mass| {
            let more = Ratio::from_mass(more);
            let water = &self.book.added_water() + &more;
            let jar = &Ratio::from_mass(self.book.in_jar()) + &more;
            water_warning(&water.checked_div(&jar)?, &self.book.limits().water_warning)
        };
        let next = match self.thin_now()? {
            ThinNow::Splash { until, .. } if self.is_water(with) => {
                (until - task.poured).max(Mass::ZERO)
            }
            ThinNow::Splash { .. }
            | ThinNow::Measure
            | ThinNow::Right
            | ThinNow::TooThin { .. }
            | ThinNow::AtMost => Mass::ZERO,
        };
        with_more(Mass::ZERO).or_else(|| with_more(next))
    }

    /// Returns how much more thinner the jar takes to the limit, had it `since` less of it; `None` where the thinner is
    /// not known to be water, or the limit is passed as far as can be weighed.
    pub(super) fn water_room(&self, since: Mass) -> Option<Mass> {
        let task = self.book.current()?;
        let StepKind::Thin { with, .. } = self.book.step(task) else {
            return None;
        };
        if !self.is_water(with) {
            return None;
        }
        // (w + m)/(J + m) = limit.
        let limit = &self.book.limits().water_warning;
        let since = Ratio::from_mass(since);
        let jar = &Ratio::from_mass(self.book.in_jar()) - &since;
        let water = &self.book.added_water() - &since;
        let room = (&(limit * &jar) - &water).checked_div(&(&Ratio::one() - limit))?;
        Some(room.to_mass()).filter(|room| self.noticeable() < *room)
    }

    fn is_water(&self, ingredient: &Ingredient) -> bool {
        self.book.water_in(ingredient) == Ratio::one()
    }
}

impl Book {
    /// Returns the plain water in the jar, in micrograms, that inside premixes too.
    #[must_use]
    pub fn added_water(&self) -> Ratio {
        let pours = self.all_tasks().filter_map(|task| {
            let ingredient = self.pours(task)?;
            Some(&self.water_in(ingredient) * &Ratio::from_mass(task.left))
        });
        pours.sum()
    }

    /// Returns the fraction of plain water in something that is poured.
    fn water_in(&self, ingredient: &Ingredient) -> Ratio {
        let premixes = &self.procedure().premixes;
        // Premixes were checked to be no circle; one is looked into no deeper than there are premixes.
        water_in(ingredient, premixes, premixes.len())
    }
}

fn water_in(ingredient: &Ingredient, premixes: &[Premix], deep: usize) -> Ratio {
    if ingredient.plain_water {
        return Ratio::one();
    }
    let premix = premixes.iter().find(|premix| premix.key == ingredient.key);
    let (Some(premix), Some(deeper)) = (premix, deep.checked_sub(1)) else {
        return Ratio::zero();
    };
    let parts = premix.parts.iter();
    parts
        .map(|(part, share)| share * &water_in(part, premixes, deeper))
        .sum()
}
