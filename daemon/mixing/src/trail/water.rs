//! A warning about much added water.

use crate::ratio::Ratio;

/// What the warning rests on.
pub const WATER_BASIS: &str =
    "common practice, and not agreed on: 30 %, 50 % and 1 : 1 are said, and tests disagree";

/// Returns the limit that is taken where nobody sets one: 30 % (*common practice*; the strictest that is said).
#[must_use]
pub fn usual_water_limit() -> Ratio {
    Ratio::new(30, 100)
}

/// More water was added than the person's limit.
///
/// The fraction is that of the whole jar by weight: the thinner, and the water inside premixes; the water a paint
/// or a medium brings with it from its maker is not known and not counted. Sources give a third, a half or more as
/// too much for a binder, and tests disagree: it is a warning, and stops nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WaterWarning {
    /// The fraction of the jar that is added water.
    pub fraction: Ratio,
    /// The limit that was set.
    pub limit: Ratio,
}

impl std::fmt::Display for WaterWarning {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{:.0} % of the jar by weight is added water, thinner and premixes counted; more than the limit of {:.0} % \
             set for a warning",
            self.fraction.to_f64() * 100.0,
            self.limit.to_f64() * 100.0
        )
    }
}

/// Returns a warning where the fraction of added water is over the limit.
#[must_use]
pub fn water_warning(fraction: &Ratio, limit: &Ratio) -> Option<WaterWarning> {
    (limit < fraction).then(|| WaterWarning {
        fraction: fraction.clone(),
        limit: limit.clone(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_more_than_the_limit_is_warned_of_and_the_basis_is_said() {
        let limit = Ratio::new(3, 10);
        assert_eq!(water_warning(&Ratio::new(3, 10), &limit), None);
        let text = water_warning(&Ratio::new(9, 25), &limit).map(|warning| warning.to_string());
        assert_eq!(
            text.as_deref(),
            Some(
                "36 % of the jar by weight is added water, thinner and premixes counted; more than the limit of 30 % \
                 set for a warning"
            )
        );
    }
}
