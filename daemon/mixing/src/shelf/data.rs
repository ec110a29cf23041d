//! What the shelf knows about one ingredient, and the weights that follow from it.

use std::collections::BTreeMap;

use tarehand_protocol::Mass;

use super::{DryTest, Form, Low, Pack, Price, StandIn};
use crate::film::FilmData;
use crate::procedure::CountUnit;
use crate::ratio::Ratio;
use crate::units::{Density, Measure, Measures, Quantity, VolumeUnit};

/// What the shelf knows about one ingredient.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ShelfItem {
    /// Its name for people.
    pub name: Option<String>,
    /// Its density.
    pub density: Option<Density>,
    /// What one drop weighs.
    pub drop: Option<Mass>,
    /// What one level teaspoon weighs.
    pub teaspoon: Option<Mass>,
    /// What one level tablespoon weighs.
    pub tablespoon: Option<Mass>,
    /// How much there is.
    pub stock: Option<Mass>,
    /// What it costs.
    pub price: Option<Price>,
    /// Cautions to show, in the shelf's own words.
    pub cautions: Vec<String>,
    /// What it is as part of a film.
    pub film: FilmData,
    /// How it comes.
    pub form: Option<Form>,
    /// What may replace it where it is not to be had, the best first.
    pub stand_ins: Vec<StandIn>,
    /// Its packs, in the order of the file; where there are any, stock and price follow from them.
    pub packs: Vec<Pack>,
    /// How films of it dried.
    pub dry_tests: Vec<DryTest>,
    /// Below what it is low.
    pub low: Option<Low>,
    /// Its family of paint, in small letters: what dries in the same way.
    pub family: Option<String>,
    /// What it was mixed from, in shares of one; `None` for what was bought.
    pub made_of: Option<BTreeMap<String, Ratio>>,
}

/// What must be known before a volume or a count becomes a weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Missing {
    /// Its density.
    Density,
    /// What one drop of it weighs.
    Drop,
    /// What one spoon of it weighs, or else its density.
    Spoon(CountUnit),
    /// Which set of spoons is meant.
    SpoonSetting,
    /// Which fluid ounce is meant.
    FluidOunceSetting,
}

impl Missing {
    /// Says what is missing for an ingredient.
    #[must_use]
    pub fn message(self, ingredient: &str) -> String {
        match self {
            Self::Density => format!("the density of `{ingredient}` is missing"),
            Self::Drop => format!("the weight of one drop of `{ingredient}` is missing"),
            Self::Spoon(unit) => {
                let spoon = shelf_key(unit);
                format!(
                    "the weight of one {spoon} of `{ingredient}` is missing, and its density too"
                )
            }
            Self::SpoonSetting => "which spoon is meant is not set".to_owned(),
            Self::FluidOunceSetting => "which fluid ounce is meant is not set".to_owned(),
        }
    }

    /// Says how to measure or set it.
    #[must_use]
    pub fn help(self, ingredient: &str) -> String {
        let ingredient = toml_key(ingredient);
        match self {
            Self::Density => format!(
                "weigh a full 10 ml syringe of it, take off the empty one, divide by ten, and put \
                 density = \"… g/ml\" under [ingredient.{ingredient}] on the shelf"
            ),
            Self::Drop => format!(
                "weigh twenty drops from its own bottle, divide by twenty, and put \
                 drop = \"… mg\" under [ingredient.{ingredient}] on the shelf"
            ),
            Self::Spoon(unit) => format!(
                "weigh one level {spoon} of it and put {spoon} = \"… g\" under [ingredient.{ingredient}] on the shelf",
                spoon = shelf_key(unit)
            ),
            Self::SpoonSetting => {
                "set `spoon` under [measures] in the settings to metric (5 and 15 ml), us (4.93 and 14.79 ml) \
                 or australian (5 and 20 ml)"
                    .to_owned()
            }
            Self::FluidOunceSetting => {
                "set `fluid-ounce` under [measures] in the settings to us (29.57 ml) or imperial (28.41 ml)"
                    .to_owned()
            }
        }
    }
}

/// Writes a key so that TOML reads it: in quotes unless it is bare letters, digits, `-` and `_`.
pub(super) fn toml_key(key: &str) -> String {
    let bare = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
    if !key.is_empty() && key.chars().all(bare) {
        key.to_owned()
    } else {
        format!("\"{key}\"")
    }
}

/// Returns the shelf's field for what one of a unit weighs.
const fn shelf_key(unit: CountUnit) -> &'static str {
    match unit {
        CountUnit::Drop => "drop",
        CountUnit::Teaspoon => "teaspoon",
        CountUnit::Tablespoon => "tablespoon",
    }
}

/// Returns the exact micrograms of a quantity of an ingredient.
///
/// A spoon weighs what the shelf says it weighs, else its volume times the density.
///
/// # Errors
/// When a density, a drop's or spoon's weight, or the setting that says which spoon is missing.
pub fn weight(
    quantity: &Quantity,
    item: &ShelfItem,
    measures: &Measures,
) -> Result<Ratio, Missing> {
    let one = match quantity.measure {
        Measure::Mass(unit) => {
            let (micrograms, per) = unit.micrograms();
            Ratio::new(micrograms, per)
        }
        Measure::Volume(unit) => one_volume(unit, item, measures)?,
        Measure::Count(unit) => one_count(unit, item, measures)?,
    };
    Ok(&quantity.exact() * &one)
}

fn one_volume(unit: VolumeUnit, item: &ShelfItem, measures: &Measures) -> Result<Ratio, Missing> {
    let density = item.density.ok_or(Missing::Density)?;
    let volume = unit
        .one(measures.fluid_ounce)
        .ok_or(Missing::FluidOunceSetting)?;
    Ok(density.weight_of(&volume))
}

/// Returns the exact micrograms of one drop or spoon.
pub(crate) fn one_count(
    unit: CountUnit,
    item: &ShelfItem,
    measures: &Measures,
) -> Result<Ratio, Missing> {
    let known = match unit {
        CountUnit::Drop => Some(item.drop.ok_or(Missing::Drop)?),
        CountUnit::Teaspoon => item.teaspoon,
        CountUnit::Tablespoon => item.tablespoon,
    };
    if let Some(known) = known {
        return Ok(Ratio::from_mass(known));
    }
    let density = item.density.ok_or(Missing::Spoon(unit))?;
    let spoon = measures.spoon.ok_or(Missing::SpoonSetting)?;
    Ok(density.weight_of(&match unit {
        CountUnit::Tablespoon => spoon.tablespoon(),
        CountUnit::Teaspoon | CountUnit::Drop => spoon.teaspoon(),
    }))
}
