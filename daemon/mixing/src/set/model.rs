//! A set that has been checked.

use std::sync::Arc;

use tarehand_protocol::Mass;

use super::{Cover, Surface};
use crate::ratio::Ratio;
use crate::recipe::Recipe;
use crate::units::{Density, Volume};

/// The jars of one pour, thickest to thinnest.
#[derive(Clone, Debug, PartialEq)]
pub struct Set {
    /// Its name, for people.
    pub name: String,
    /// What is poured on.
    pub surfaces: Vec<Surface>,
    /// What a surface takes.
    pub cover: Cover,
    /// What is mixed beyond that, as a fraction of it.
    pub spare: Ratio,
    /// What stays in a premix's vessel when it is poured out.
    pub heel: Mass,
    /// What the shares are shares of.
    pub basis: Basis,
    /// The fraction of plain water in a mix, by weight, above which the plan warns.
    pub water_warning: Ratio,
    /// The jars, in the order they are written.
    pub jars: Vec<SetJar>,
}

/// One jar of a [`Set`].
#[derive(Clone, Debug, PartialEq)]
pub struct SetJar {
    /// What is in it.
    pub recipe: Arc<Recipe>,
    /// How much of the pour it is.
    pub portion: Portion,
    /// What its jar holds; the recipe's own where the set says none.
    pub jar: Option<Volume>,
    /// The density of the mix: as written, else from its parts; `None` only where nothing needs it.
    pub density: Option<Density>,
}

/// How much of the pour one jar is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Portion {
    /// This share of it; all shares of a set sum to exactly one.
    Share(Ratio),
    /// So much, whatever the surface is.
    Make(Mass),
}

/// What the shares of a set are shares of. 4 : 1 by volume is not 4 : 1 by weight.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Basis {
    /// Of the pour's volume.
    #[default]
    Volume,
    /// Of its weight.
    Weight,
}

impl Basis {
    /// Returns the word it is written with.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Volume => "volume",
            Self::Weight => "weight",
        }
    }
}
