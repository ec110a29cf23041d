//! A jar that may need a rescue: what is in it, what the recipe wants, and what there is to pour.

use tarehand_protocol::Mass;

use crate::procedure::Within;
use crate::ratio::Ratio;
use crate::shelf::Rate;
use crate::weighing::{Scale, Scales};

/// A jar that may need a rescue.
///
/// Only what is inside the ratio; what is judged by eye stays outside. Amounts are exact micrograms.
#[derive(Clone, Debug, PartialEq)]
pub struct Situation {
    /// The total that was aimed at.
    pub planned: Mass,
    /// The raw ingredients of the ratio, premixes taken apart; their shares sum to one.
    pub components: Vec<Component>,
    /// What can be poured: the recipe's own additions, the premixes inside them, and raw ingredients alone.
    pub sources: Vec<Source>,
    /// What the jar holds, where that is known.
    pub room: Option<Room>,
    /// What is in the jar outside the ratio.
    pub outside: Mass,
    /// What it is weighed on.
    pub scales: Scales,
}

/// A raw ingredient of a [`Situation`].
#[derive(Clone, Debug, PartialEq)]
pub struct Component {
    /// Its key.
    pub key: String,
    /// Its name for people.
    pub name: String,
    /// Its exact share of the recipe.
    pub share: Ratio,
    /// The least share that the recipe's tolerances allow.
    pub low: Ratio,
    /// The largest share that they allow.
    pub high: Ratio,
    /// What is in the jar, in micrograms.
    pub in_jar: Ratio,
    /// What the weighing of the additions that bring it cannot tell apart.
    pub untold: Mass,
    /// Its density in micrograms per millilitre, where the shelf knows it.
    pub density_ug_per_ml: Option<u64>,
}

/// Something that can be poured.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// Its key.
    pub key: String,
    /// Its name for people.
    pub name: String,
    /// How it is known to the recipe.
    pub level: Level,
    /// What it is made of: components by their place in the list, with their fractions.
    pub made_of: Vec<(usize, Ratio)>,
    /// How far what is poured of it may be off; `None` where nobody judges it.
    pub within: Option<Within>,
    /// What is still to be poured of it as planned, in micrograms.
    pub open: Ratio,
    /// What is left of it, where the shelf says it.
    pub stock: Option<Mass>,
    /// What it costs, where the shelf says it for everything it is made of.
    pub price: Option<Rate>,
}

/// How a source is known to the recipe; names that the recipe says come before others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// An addition of the recipe.
    Addition,
    /// A premix inside a premix.
    Premix,
    /// A raw ingredient that the recipe has only inside premixes.
    Raw,
}

/// What a jar holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Room {
    /// So much by weight.
    Mass(Mass),
    /// So many microlitres.
    Volume(u64),
}

impl Situation {
    /// Returns what is in the jar of the ratio's ingredients, in micrograms.
    #[must_use]
    pub fn in_jar(&self) -> Ratio {
        self.components
            .iter()
            .map(|component| component.in_jar.clone())
            .sum()
    }

    /// Returns the scale on which so much of a source is weighed. Its uncertainty is the smallest amount worth pouring.
    #[must_use]
    pub fn scale_for(&self, source: &Source, mass: Mass) -> Scale {
        match &source.within {
            Some(within) => self.scales.of(mass, within.of(mass)),
            None => self.scales.jar,
        }
    }

    /// Returns whether every source is one component and every component one source.
    pub(super) fn is_plain(&self) -> bool {
        self.sources.len() == self.components.len()
            && self.sources.iter().all(|source| source.made_of.len() == 1)
    }

    /// Returns whether a content is what was planned, as far as the weighing can tell.
    pub(super) fn is_as_planned(&self, content: &[Ratio]) -> bool {
        let planned = Ratio::from_mass(self.planned);
        let mut each = self.components.iter().zip(content);
        each.all(|(component, mass)| {
            let untold = Ratio::from_mass(component.untold);
            (mass - &(&component.share * &planned)).abs() <= untold
        })
    }

    /// Returns how much room one microgram of a component takes: micrograms or microlitres, as the jar is known.
    fn room_of(&self, component: &Component) -> Ratio {
        match self.room {
            Some(Room::Volume(_)) => room_of(component.density_ug_per_ml),
            Some(Room::Mass(_)) | None => Ratio::one(),
        }
    }

    /// Returns the room that is there, and what is taken already by what lies outside the ratio.
    fn room_and_outside(&self) -> Option<(Ratio, Ratio)> {
        let outside = Ratio::from_mass(self.outside);
        match self.room? {
            Room::Mass(mass) => Some((Ratio::from_mass(mass), outside)),
            Room::Volume(microlitres) => Some((
                Ratio::new(i64::try_from(microlitres).unwrap_or(i64::MAX), 1),
                &outside * &room_of(None),
            )),
        }
    }

    /// Returns what the jar holds of the ratio's ingredients, and how much room one microgram of each takes.
    pub(super) fn room_left(&self) -> Option<(Ratio, Vec<Ratio>)> {
        let (room, outside) = self.room_and_outside()?;
        let each = self
            .components
            .iter()
            .map(|component| self.room_of(component));
        Some((&room - &outside, each.collect()))
    }

    /// Returns the largest total at the recipe's ratio that the jar holds.
    pub(super) fn most_at_ratio(&self) -> Option<Ratio> {
        let (room, outside) = self.room_and_outside()?;
        (&room - &outside).checked_div(&self.room_at_ratio())
    }

    /// Returns the largest total at the recipe's ratio that the jar holds once as little as can be was taken out of what
    /// makes a batch of `made`; what lies outside the ratio leaves with it.
    pub(super) fn most_at_ratio_after_removal(&self, made: &Ratio) -> Option<Ratio> {
        let whole = self.most_at_ratio()?;
        if *made <= whole {
            return Some(whole);
        }
        let (room, outside) = self.room_and_outside()?;
        let outside = outside.checked_div(made)?;
        room.checked_div(&(&self.room_at_ratio() + &outside))
    }

    fn room_at_ratio(&self) -> Ratio {
        if matches!(self.room, Some(Room::Volume(_))) {
            let each = self
                .components
                .iter()
                .map(|component| &component.share * &self.room_of(component));
            each.sum()
        } else {
            Ratio::one()
        }
    }

    /// Returns the room that so much of every component takes, with what lies outside the ratio, and what there is.
    pub(super) fn room_taken(&self, content: &[Ratio]) -> Option<(Ratio, Ratio)> {
        let (room, outside) = self.room_and_outside()?;
        let each = self.components.iter().zip(content);
        let inside: Ratio = if matches!(self.room, Some(Room::Volume(_))) {
            each.map(|(component, mass)| mass * &self.room_of(component))
                .sum()
        } else {
            content.iter().cloned().sum()
        };
        Some((&inside + &outside, room))
    }
}

/// Microlitres of a microgram; what has no density is taken as water, 1 g/ml.
fn room_of(density_ug_per_ml: Option<u64>) -> Ratio {
    let density = density_ug_per_ml.and_then(|density| i64::try_from(density).ok());
    Ratio::new(1_000, density.unwrap_or(1_000_000).max(1))
}
