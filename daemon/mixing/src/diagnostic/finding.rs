//! What a warning or a note says, as data: a face that speaks another language builds its own sentence from it.

use std::fmt;

use tarehand_protocol::Mass;

use crate::concern::{more_than_stock, short};
use crate::ratio::Ratio;
use crate::recipe::percent;
use crate::units::Volume;

/// Something about a recipe, its amounts or its sizes that a person should know, though it can be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Finding {
    /// A recipe has shares alone.
    OnlyShares,
    /// The percentages are not a whole.
    PercentNotWhole {
        /// What they come to, as a fraction.
        sum: Ratio,
    },
    /// The amounts are not what `makes` says.
    AmountsNotMakes {
        /// What they come to.
        sum: Mass,
        /// What `makes` says.
        makes: Mass,
    },
    /// A tolerance lets everything pass.
    LetsAllPass {
        /// The addition that it is for.
        amount: Mass,
    },
    /// The jar is too small.
    JarTooSmall {
        /// What goes in at most.
        contents: Volume,
        /// What the jar holds.
        jar: Volume,
        /// Ingredients taken as 1 g/ml because their density is not known.
        assumed: Vec<String>,
    },
    /// Paints of two families are in one jar.
    Families {
        /// One of another family, by its name, and that family.
        other: (String, String),
        /// The first of the jar, and its family.
        first: (String, String),
    },
    /// There is too little on the shelf.
    StockShort {
        /// The ingredient's name.
        ingredient: String,
        /// The most that may be needed.
        needed: Mass,
        /// What there is.
        stock: Mass,
    },
    /// Something stands in for what is not to be had.
    StandsIn {
        /// What is not to be had, by its name.
        missing: String,
        /// What stands in, by its name.
        used: String,
        /// What the shelf says of it.
        note: Option<String>,
    },
    /// A name is neither on the shelf nor a recipe.
    NotOnShelf {
        /// The name.
        name: String,
        /// What it may have meant.
        meant: Option<String>,
    },
    /// There is no shelf to look for a name on.
    NoShelf {
        /// The name.
        name: String,
        /// What it may have meant.
        meant: Option<String>,
    },
    /// The steps, rounded, do not come to what was planned.
    Rounded {
        /// What they come to.
        sum: Mass,
        /// What was planned.
        planned: Mass,
    },
    /// Densities were needed and are not known.
    Assumed {
        /// Of which ingredients, by their keys.
        ingredients: Vec<String>,
    },
    /// Stand-ins changed how much there is of an ingredient.
    Changed {
        /// Its name.
        name: String,
        /// Its share and grams as the recipe is written.
        before: (Ratio, Mass),
        /// The same with the stand-ins.
        after: (Ratio, Mass),
    },
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OnlyShares => f.write_str(
                "the recipe has only shares and no size of its own: they are shares of whatever is made",
            ),
            Self::PercentNotWhole { sum } => write!(
                f,
                "the percentages come to {}: each is taken as its share of that",
                percent(sum)
            ),
            Self::AmountsNotMakes { sum, makes } => {
                write!(
                    f,
                    "the amounts come to {sum}, not to {makes}: their ratio is kept"
                )
            }
            Self::LetsAllPass { amount } => {
                write!(
                    f,
                    "this tolerance is as large as an addition of {amount} it is for"
                )
            }
            Self::JarTooSmall { contents, jar, .. } => {
                write!(f, "up to {contents} go into a jar of {jar}")
            }
            Self::Families { other, first } => {
                write!(
                    f,
                    "{} is {} and {} is {}",
                    other.0, other.1, first.0, first.1
                )
            }
            Self::StockShort {
                ingredient,
                needed,
                stock,
            } => f.write_str(&more_than_stock(ingredient, *needed, *stock)),
            Self::StandsIn { missing, used, .. } => {
                write!(f, "{missing} is not to be had: {used} stands in for it")
            }
            Self::NotOnShelf { name, .. } => {
                write!(
                    f,
                    "`{name}` is not on the shelf and no recipe beside this one"
                )
            }
            Self::NoShelf { name, .. } => {
                write!(f, "`{name}` is taken as a name alone: there is no shelf")
            }
            Self::Rounded { sum, planned } => write!(
                f,
                "the steps are rounded to whole micrograms and come to {sum}, planned are {planned}"
            ),
            Self::Assumed { ingredients } => write!(
                f,
                "no density is known for {}: 1 g/ml is assumed",
                ingredients.join(", ")
            ),
            Self::Changed {
                name,
                before,
                after,
            } => {
                let side = |(share, mass): &(Ratio, Mass)| {
                    format!("{} g ({})", mass.grams_text(2), percent(share))
                };
                write!(
                    f,
                    "with stand-ins: {name} {} instead of {}",
                    side(after),
                    side(before)
                )
            }
        }
    }
}

impl Finding {
    /// Returns what to do about it.
    #[must_use]
    pub fn help(&self) -> Option<String> {
        Some(match self {
            Self::OnlyShares => "write makes = \"…\" to give it a usual size".to_owned(),
            Self::PercentNotWhole { .. } => {
                "make them come to 100 %, or give one ingredient `parts`".to_owned()
            }
            Self::AmountsNotMakes { .. } => {
                "change `makes`, or give one ingredient `parts`: it takes what is left".to_owned()
            }
            Self::LetsAllPass { .. } => {
                "nothing at all would be within it; write a smaller one".to_owned()
            }
            Self::JarTooSmall { assumed, .. } if assumed.is_empty() => {
                "make less, or take a larger jar".to_owned()
            }
            Self::JarTooSmall { assumed, .. } => format!(
                "make less, or take a larger jar (taken as 1 g/ml: {})",
                assumed.join(", ")
            ),
            Self::Families { .. } => "families that dry in different ways may curdle, crack or peel (common practice): keep to one, or make a dry test first".to_owned(),
            Self::StockShort { needed, stock, .. } => format!(
                "get {} more, or make less; `stock` on the shelf says what there is",
                short(*needed - *stock)
            ),
            Self::StandsIn { note, .. } => note.clone()?,
            Self::NotOnShelf { meant, .. } | Self::NoShelf { meant, .. } => {
                format!("did you mean `{}`?", meant.as_ref()?)
            }
            Self::Rounded { .. } | Self::Assumed { .. } | Self::Changed { .. } => return None,
        })
    }
}
