//! How much to make, as flags.

use clap::Args;
use tarehand_mixing::recipe::Recipe;
use tarehand_mixing::sizing::{self, Goal, Sizing};
use tarehand_mixing::units::{Measure, Measures, Quantity, Volume};
use tarehand_protocol::Mass;
use tarehand_protocol::api::Size;

use crate::failure::Failure;

/// How much to make, as flags.
#[derive(Args, Clone, Debug)]
pub(crate) struct GoalArgs {
    /// Make so much in all: 250g, 0.25kg
    #[arg(long, value_name = "MASS", value_parser = mass, requires = "recipe", conflicts_with_all = ["from", "jar"])]
    pub(crate) make: Option<String>,
    /// Make as much as this ingredient allows: soot-paste=30g
    #[arg(long, value_name = "INGREDIENT=MASS", value_parser = from, requires = "recipe", conflicts_with = "jar")]
    pub(crate) from: Option<From>,
    /// Make as much as fits into a jar: 200ml
    #[arg(long, value_name = "VOLUME", value_parser = volume, requires = "recipe")]
    pub(crate) jar: Option<String>,
}

/// What there is of one ingredient.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct From {
    ingredient: String,
    have: String,
}

fn mass(text: &str) -> Result<String, String> {
    let quantity: Quantity = text.parse().map_err(|error| format!("{error}"))?;
    match quantity.mass() {
        Some(_) => Ok(quantity.to_string()),
        None => Err("a mass is wanted, as in 250g".to_owned()),
    }
}

pub(crate) fn volume(text: &str) -> Result<String, String> {
    let quantity: Quantity = text.parse().map_err(|error| format!("{error}"))?;
    match quantity.measure {
        Measure::Volume(_) => Ok(quantity.to_string()),
        Measure::Mass(_) | Measure::Count(_) => Err("a volume is wanted, as in 200ml".to_owned()),
    }
}

fn from(text: &str) -> Result<From, String> {
    let (ingredient, have) = text
        .split_once('=')
        .ok_or("an ingredient and a mass are wanted, as in soot-paste=30g")?;
    Ok(From {
        ingredient: ingredient.trim().to_owned(),
        have: mass(have)?,
    })
}

impl GoalArgs {
    /// Returns whether a size was asked for.
    pub(crate) const fn is_given(&self) -> bool {
        self.make.is_some() || self.from.is_some() || self.jar.is_some()
    }

    /// Returns the size as the service wants to hear it.
    pub(crate) fn size(&self) -> Size {
        match (&self.make, &self.from, &self.jar) {
            (Some(make), ..) => Size::Make(make.clone()),
            (None, Some(from), _) => Size::From {
                ingredient: from.ingredient.clone(),
                have: from.have.clone(),
            },
            (None, None, Some(jar)) => Size::Jar(jar.clone()),
            (None, None, None) => Size::AsWritten,
        }
    }

    /// Returns the goal for sizing a recipe here.
    pub(crate) fn goal(&self, recipe: &Recipe, measures: Measures) -> Result<Goal, Failure> {
        match self.size() {
            Size::Make(make) => Ok(Goal::Make(mass_of(&make))),
            Size::From { ingredient, have } => Ok(Goal::From {
                ingredient,
                have: mass_of(&have),
            }),
            Size::Jar(jar) => volume_of(&jar, measures).map(Goal::Jar),
            Size::AsWritten => match recipe.makes() {
                Some(makes) => Ok(Goal::Make(makes)),
                None => Err(Failure::Usage {
                    what: format!("`{}` does not say how much it makes", recipe.stem()),
                    hint: "say it: --make 250g, --from INGREDIENT=30g or --jar 200ml".to_owned(),
                }),
            },
        }
    }
}

/// Sizes a recipe for so much, else for what it says it makes; `ask` is how the person says how much, where neither does.
pub(crate) fn sized(recipe: &Recipe, make: Option<Mass>, ask: &str) -> Result<Sizing, Failure> {
    let make = make.or(recipe.makes()).ok_or_else(|| Failure::Usage {
        what: format!("`{}` does not say how much it makes", recipe.stem()),
        hint: ask.to_owned(),
    })?;
    sizing::size(recipe, &Goal::Make(make)).map_err(|error| Failure::Refused {
        what: error.to_string(),
        hint: Some("name another size with --make".to_owned()),
    })
}

fn mass_of(text: &str) -> Mass {
    let quantity: Option<Quantity> = text.parse().ok();
    let mass = quantity.and_then(|quantity| quantity.mass());
    mass.expect("the flag was read as a mass")
}

pub(crate) fn volume_of(text: &str, measures: Measures) -> Result<Volume, Failure> {
    let quantity: Quantity = text.parse().expect("the flag was read as a volume");
    let Measure::Volume(unit) = quantity.measure else {
        unreachable!("the flag was read as a volume")
    };
    let one = unit
        .one(measures.fluid_ounce)
        .ok_or_else(|| Failure::Usage {
            what: "which fluid ounce is meant is not set".to_owned(),
            hint: "say it with --fluid-ounce, or set fluid-ounce under [measures] in the settings"
                .to_owned(),
        })?;
    Ok(Volume::from_microlitres(
        &quantity.exact() * one.microlitres(),
    ))
}
