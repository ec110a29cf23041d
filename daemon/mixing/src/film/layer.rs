//! Thickness of a layer and what it covers.

use crate::ratio::Ratio;
use crate::units::Length;

/// Returns the thickness of the dry film that a wet one leaves: wet × volume solids (0 to 1).
///
/// `None` where nothing stays.
#[must_use]
pub fn dry_thickness(wet: &Length, volume_solids: &Ratio) -> Option<Length> {
    Length::from_mm(wet.mm() * volume_solids)
}

/// Returns the square metres that a litre covers at a wet thickness: 1000 / µm.
#[must_use]
pub fn spread_m2_per_l(wet: &Length) -> Ratio {
    let spread = Ratio::one().checked_div(wet.mm());
    spread.expect("a length is above zero")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn micrometres(number: i64) -> Length {
        Length::from_mm(Ratio::new(number, 1_000)).unwrap()
    }

    // Coatings practice: dry film = wet film × volume solids, 161 µm × 0.62 = 100 µm (rounded; 99.82 exactly).
    #[test]
    fn a_wet_film_dries_to_its_volume_solids() {
        let dry = dry_thickness(&micrometres(161), &Ratio::new(62, 100)).unwrap();
        assert_eq!(dry.mm(), &Ratio::new(9_982, 100_000));
        assert_eq!((dry.mm().to_f64() * 1_000.0).round().to_string(), "100");
    }

    // Coatings practice: m²/L = 1000 / wet µm.
    #[test]
    fn a_litre_covers_a_thousand_over_its_micrometres() {
        assert_eq!(spread_m2_per_l(&micrometres(100)), Ratio::new(10, 1));
        assert_eq!(
            spread_m2_per_l(&micrometres(1_834)),
            Ratio::new(1_000, 1_834)
        );
    }

    #[test]
    fn what_leaves_nothing_has_no_dry_film() {
        assert_eq!(dry_thickness(&micrometres(100), &Ratio::zero()), None);
    }
}
