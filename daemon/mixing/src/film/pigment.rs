//! How much pigment a dry film can hold.

use crate::ratio::Ratio;
use crate::units::Density;

/// The density of the linseed oil that oil absorptions are measured with, in g/ml: 0.935 (ISO 787-5, *from memory*).
const OIL: (i64, i64) = (935, 1_000);

/// Returns the pigment volume concentration, 0 to 1: pigment over pigment and dry binder, both as volumes.
///
/// `None` where there is neither.
#[must_use]
pub fn pvc(pigment: &Ratio, binder: &Ratio) -> Option<Ratio> {
    pigment.checked_div(&(pigment + binder))
}

/// Returns the critical one, 0 to 1: above it the binder no longer fills the room between the grains.
///
/// 1 / (1 + OA·ρ/93.5) for a single pigment; for several, all the oil they take up over all their volume. Each is its
/// volume, its density, and the grams of oil for one gram of it. `None` without any pigment.
#[must_use]
pub fn critical_pvc<'p>(
    pigments: impl IntoIterator<Item = (&'p Ratio, Density, &'p Ratio)>,
) -> Option<Ratio> {
    let mut volume = Ratio::zero();
    let mut oil = Ratio::zero();
    for (pigment, density, oil_per_gram) in pigments {
        let grams_per_ml = Ratio::new(i64::try_from(density.ug_per_ml()).ok()?, 1_000_000);
        volume = &volume + pigment;
        oil = &oil + &(&(pigment * &grams_per_ml) * oil_per_gram);
    }
    let oil = oil.checked_div(&Ratio::new(OIL.0, OIL.1))?;
    pvc(&volume, &oil)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn close(ratio: &Ratio, percent: f64) {
        let found = ratio.to_f64() * 100.0;
        assert!((found - percent).abs() < 0.005, "{found} is not {percent}");
    }

    // Coatings practice: 6.00 cm³ of pigment with 30.05 g of a binder of 1.10 g/cm³ is 18.0 %.
    #[test]
    fn the_worked_pvc_of_the_trade_comes_out() {
        let binder = Ratio::new(3_005, 110);
        let found = pvc(&Ratio::new(6, 1), &binder).unwrap();
        assert_eq!(format!("{:.1}", found.to_f64() * 100.0), "18.0");
    }

    // Titanium dioxide, textbook values: oil absorption 20 g/100 g, 4.2 g/cm³ → 52.68 %.
    #[test]
    fn the_critical_pvc_of_titanium_dioxide_comes_out_whatever_its_amount() {
        let density: Density = "4.2 g/ml".parse().unwrap();
        let oil = Ratio::new(1, 5);
        for volume in [Ratio::new(1, 3), Ratio::new(7, 1)] {
            close(&critical_pvc([(&volume, density, &oil)]).unwrap(), 52.68);
        }
    }

    #[test]
    fn no_pigment_has_no_limit() {
        assert_eq!(critical_pvc([]), None);
        assert_eq!(pvc(&Ratio::zero(), &Ratio::zero()), None);
    }
}
