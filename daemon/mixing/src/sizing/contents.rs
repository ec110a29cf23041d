//! What a batch takes up in its jar.

use tarehand_protocol::Mass;

use crate::procedure::Ingredient;
use crate::ratio::Ratio;
use crate::recipe::Recipe;
use crate::units::{Density, Volume};

/// What a batch takes up in its jar, ranges and thinning at their most.
///
/// Ideal mixing: the volumes of the parts are added.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contents {
    /// The volume.
    pub volume: Volume,
    /// The names of the ingredients whose density is not known, taken as 1 g/ml.
    pub assumed: Vec<String>,
}

/// Returns what so much of a recipe takes up at most.
#[must_use]
pub fn contents(recipe: &Recipe, planned: Mass) -> Contents {
    let planned = Ratio::from_mass(planned);
    let all = recipe.shares().chain(recipe.extras());
    let weights = all.map(|(ingredient, share)| (ingredient, share * &planned));
    volume_of(weights)
}

/// Returns the volume of ingredients and their micrograms.
pub(crate) fn volume_of<'i>(weights: impl Iterator<Item = (&'i Ingredient, Ratio)>) -> Contents {
    let mut microlitres = Ratio::zero();
    let mut assumed: Vec<String> = Vec::new();
    for (ingredient, micrograms) in weights {
        let known = ingredient
            .density_ug_per_ml
            .and_then(Density::from_ug_per_ml);
        if known.is_none() && !assumed.contains(&ingredient.name) {
            assumed.push(ingredient.name.clone());
        }
        let density = known.unwrap_or(Density::WATER_LIKE);
        microlitres = &microlitres + density.volume_of(&micrograms).microlitres();
    }
    Contents {
        volume: Volume::from_microlitres(microlitres),
        assumed,
    }
}
