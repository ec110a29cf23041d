//! Below what an ingredient is low.

use tarehand_protocol::Mass;

use super::pack::Pack;
use crate::ratio::Ratio;

/// Below what an ingredient is low.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Low {
    /// Below a mass, `low = "200 g"`.
    Mass(Mass),
    /// Below a fraction of what its largest pack held, `low = "20 %"`.
    Fraction(Ratio),
}

impl Low {
    /// Returns what is taken where the shelf says nothing: a tenth of the largest pack (common practice).
    #[must_use]
    pub fn usual() -> Self {
        Self::Fraction(Ratio::new(1, 10))
    }

    /// Returns the mass; `None` for a fraction where there is no pack.
    #[must_use]
    pub fn of(&self, packs: &[Pack]) -> Option<Mass> {
        match self {
            Self::Mass(mass) => Some(*mass),
            Self::Fraction(fraction) => {
                let largest = packs.iter().map(|pack| pack.holds).max()?;
                Some((fraction * &Ratio::from_mass(largest)).to_mass())
            }
        }
    }
}
