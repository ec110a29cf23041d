//! Concerns and their ways round in plain words.

use std::fmt;

use tarehand_protocol::Mass;

use super::{Concern, Gravity, Way};
use crate::ratio::Ratio;
use crate::units::Volume;

impl Concern {
    /// Returns how much it weighs.
    #[must_use]
    pub const fn gravity(&self) -> Gravity {
        match self {
            Self::Unweighable { .. }
            | Self::OverCapacity { .. }
            | Self::JarTooSmall { .. }
            | Self::StockShort { .. } => Gravity::Blocking,
            Self::Widened { .. } => Gravity::Serious,
            Self::Unseen { .. } | Self::UnevenCount { .. } | Self::LittleLeftForJar { .. } => {
                Gravity::Minor
            }
        }
    }

    /// Returns the ways round it.
    #[must_use]
    pub fn ways(&self) -> &[Way] {
        match self {
            Self::Widened { ways, .. }
            | Self::Unweighable { ways, .. }
            | Self::UnevenCount { ways, .. }
            | Self::OverCapacity { ways, .. }
            | Self::JarTooSmall { ways, .. }
            | Self::StockShort { ways, .. } => ways,
            Self::Unseen { .. } | Self::LittleLeftForJar { .. } => &[],
        }
    }

    /// Returns the step it is about, from 1; `None` when it is about the whole jar.
    #[must_use]
    pub const fn step(&self) -> Option<usize> {
        match self {
            Self::Widened { step, .. }
            | Self::Unweighable { step, .. }
            | Self::Unseen { step, .. }
            | Self::UnevenCount { step, .. } => Some(*step),
            Self::OverCapacity { .. }
            | Self::LittleLeftForJar { .. }
            | Self::JarTooSmall { .. }
            | Self::StockShort { .. } => None,
        }
    }
}

impl fmt::Display for Concern {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Widened {
                ingredient,
                target,
                asked,
                in_force,
                smallest,
                ..
            } => write!(
                f,
                "{} of {ingredient} within {} is finer than this scale can tell: within {} is in force, \
                 and so accurately it weighs from {} up",
                short(*target),
                short(*asked),
                short(*in_force),
                short(*smallest)
            ),
            Self::Unweighable {
                ingredient,
                target,
                uncertainty,
                ..
            } => write!(
                f,
                "{} of {ingredient} cannot be weighed here: the scale itself is uncertain by {}",
                short(*target),
                short(*uncertainty)
            ),
            Self::Unseen {
                ingredient,
                amount,
                division,
                ..
            } => write!(
                f,
                "{} of {ingredient} may not show: the scale counts in steps of {division}",
                short(*amount)
            ),
            Self::UnevenCount {
                ingredient,
                count,
                off,
                ..
            } => write!(
                f,
                "{count} of {ingredient} is {:.0} % {} than the recipe's share",
                off.abs() * 100.0,
                if *off < 0.0 { "less" } else { "more" }
            ),
            Self::OverCapacity {
                contents,
                tare: Some(tare),
                capacity,
                ..
            } => write!(
                f,
                "the jar with {} and up to {} in it is more than the {capacity} this scale weighs",
                short(*tare),
                short(*contents)
            ),
            Self::OverCapacity {
                contents,
                tare: None,
                capacity,
                ..
            } => write!(
                f,
                "the contents alone, up to {}, are more than the {capacity} this scale weighs",
                short(*contents)
            ),
            Self::LittleLeftForJar { contents, capacity } => write!(
                f,
                "up to {} go in and this scale weighs {capacity}: the empty jar may weigh {} at most, \
                 or weigh out of the bottle",
                short(*contents),
                short(*capacity - *contents)
            ),
            Self::JarTooSmall {
                contents_ul,
                jar_ul,
                assumed,
                ..
            } => {
                write!(
                    f,
                    "up to {} go into a jar of {}",
                    litres(*contents_ul),
                    litres(*jar_ul)
                )?;
                match assumed.as_slice() {
                    [] => Ok(()),
                    assumed => write!(f, " (taken as 1 g/ml: {})", assumed.join(", ")),
                }
            }
            Self::StockShort {
                ingredient,
                needed,
                stock,
                ..
            } => f.write_str(&more_than_stock(ingredient, *needed, *stock)),
        }
    }
}

impl fmt::Display for Way {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::BiggerBatch { planned } => write!(f, "make at least {planned}"),
            Self::EvenBatch { planned } => {
                write!(f, "make {planned}, and the count comes out even")
            }
            Self::SmallerBatch { planned } => write!(f, "make at most {planned}"),
            Self::CountDrops => f.write_str(
                "count drops: weigh twenty once, put `drop` on the shelf and give the amount in drops",
            ),
            Self::DiluteFirst { times } => {
                write!(f, "dilute it {times} times first, with something the recipe holds anyway")
            }
            Self::FinerScale { division } => {
                write!(f, "weigh this step on a scale of {division} or finer")
            }
            Self::LargerJar { holds_ul } => write!(f, "take a jar of {} or more", litres(*holds_ul)),
            Self::LighterJar { tare } => write!(f, "take a jar of at most {}", short(*tare)),
            Self::OutOfBottle => f.write_str(
                "weigh out of the bottle: it stands on the scale and the jar beside it (weigh = \"bottle\", or \
                 `tarehand bottle` while mixing)",
            ),
            Self::GetMore { missing } => write!(f, "get {} more", short(*missing)),
        }
    }
}

/// Says that more of something may be needed than there is.
pub(crate) fn more_than_stock(ingredient: &str, needed: Mass, stock: Mass) -> String {
    format!(
        "up to {} of {ingredient} are needed and {} are on the shelf",
        short(needed),
        short(stock)
    )
}

/// Writes a mass as briefly as a person needs it: three digits.
pub(crate) fn short(mass: Mass) -> String {
    let grams = mass.abs().micrograms() / 1_000_000;
    let decimals = match grams {
        0 => 3,
        1..=9 => 2,
        10..=99 => 1,
        _ => 0,
    };
    let text = mass.grams_text(decimals);
    let text = match decimals {
        0 => text.as_str(),
        _ => text.trim_end_matches('0').trim_end_matches('.'),
    };
    format!("{text} g")
}

fn litres(microlitres: u64) -> String {
    let whole = i64::try_from(microlitres).unwrap_or(i64::MAX);
    Volume::from_microlitres(Ratio::new(whole, 1)).to_string()
}
