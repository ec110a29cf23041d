//! What a surface takes: the yield rule.

use std::str::FromStr;

use tarehand_protocol::Mass;

use crate::ratio::Ratio;
use crate::units::{Area, Density, FluidOunce, Length, Measure, Quantity, Volume};

/// How much a surface takes, run-off included.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cover {
    /// The wet thickness that all of it would have on the surface.
    pub thickness: Length,
    /// Where the figure comes from.
    pub basis: CoverBasis,
}

/// Where a [`Cover`] comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CoverBasis {
    /// Nobody said: one US fluid ounce for 25 square inches (*common practice*).
    CommonPractice,
    /// The set says it.
    Written,
    /// This studio weighed a piece and its tray before and after.
    Measured,
}

impl Cover {
    /// Returns the rule of the trade: one US fluid ounce for 25 square inches, 1.834 mm wet (*common practice*).
    #[must_use]
    pub fn common_practice() -> Self {
        let area = Area::from_mm2(Ratio::new(16_129, 1)).expect("25 square inches are an area");
        Self::over(&FluidOunce::Us.volume(), &area, CoverBasis::CommonPractice)
            .expect("an ounce is more than nothing")
    }

    /// Makes it from a volume and the area it covers; `None` for no volume.
    fn over(volume: &Volume, area: &Area, basis: CoverBasis) -> Option<Self> {
        // A microlitre is a cubic millimetre.
        let thickness = volume.microlitres().checked_div(area.mm2())?;
        Some(Self {
            thickness: Length::from_mm(thickness)?,
            basis,
        })
    }

    /// Makes it from what left the jar onto a piece and its tray; `None` when nothing did.
    #[must_use]
    pub fn measured(poured: Mass, density: Density, area: &Ratio) -> Option<Self> {
        let volume = density.volume_of(&Ratio::from_mass(poured));
        Self::over(
            &volume,
            &Area::from_mm2(area.clone())?,
            CoverBasis::Measured,
        )
    }

    /// Returns the volume that so many square millimetres take.
    #[must_use]
    pub fn of(&self, square_mm: &Ratio) -> Volume {
        Volume::from_microlitres(self.thickness.mm() * square_mm)
    }
}

/// Why a text is no yield.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub(super) enum ParseCoverError {
    /// Neither a thickness nor a volume for an area.
    #[error("a yield is a wet thickness, `1.8 mm`, or a volume for an area, `180 ml per m2`")]
    Form,
    /// A fluid ounce, while nobody said which.
    #[error("which fluid ounce is meant is not set")]
    FluidOunce,
    /// Thicker than any pour.
    #[error("a wet thickness lies above zero and below 10 cm")]
    OutOfRange,
}

/// A yield as written; which fluid ounce is meant is only known later.
pub(super) struct WrittenCover(Written);

enum Written {
    Thickness(Length),
    Volume(Quantity, Area),
}

impl FromStr for WrittenCover {
    type Err = ParseCoverError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let Some((volume, area)) = text.split_once(" per ") else {
            let thickness = text.parse().map_err(|_| ParseCoverError::Form)?;
            return Ok(Self(Written::Thickness(thickness)));
        };
        // `per m2` means per 1 m2.
        let area = area.trim();
        let area = if area.starts_with(|c: char| c.is_ascii_digit()) {
            area.parse()
        } else {
            format!("1 {area}").parse()
        };
        let volume = volume.parse().map_err(|_| ParseCoverError::Form)?;
        let area = area.map_err(|_| ParseCoverError::Form)?;
        Ok(Self(Written::Volume(volume, area)))
    }
}

impl WrittenCover {
    pub(super) fn cover(&self, ounce: Option<FluidOunce>) -> Result<Cover, ParseCoverError> {
        let cover = match &self.0 {
            Written::Thickness(thickness) => Cover {
                thickness: thickness.clone(),
                basis: CoverBasis::Written,
            },
            Written::Volume(quantity, area) => {
                let Measure::Volume(unit) = quantity.measure else {
                    return Err(ParseCoverError::Form);
                };
                let one = unit.one(ounce).ok_or(ParseCoverError::FluidOunce)?;
                let volume = Volume::from_microlitres(&quantity.exact() * one.microlitres());
                Cover::over(&volume, area, CoverBasis::Written)
                    .ok_or(ParseCoverError::OutOfRange)?
            }
        };
        let thick = Ratio::new(100, 1) <= *cover.thickness.mm();
        if thick {
            return Err(ParseCoverError::OutOfRange);
        }
        Ok(cover)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // *Common practice*: 1 US fl oz per 25 in² = 0.18336 ml/cm² = 1.834 mm wet; metric computed.
    #[test]
    fn the_rule_of_the_trade_is_one_point_eight_millimetres() {
        let cover = Cover::common_practice();
        assert_eq!(format!("{:.3}", cover.thickness.mm().to_f64()), "1.834");
        let cm2 = cover.of(&Ratio::new(100, 1));
        assert_eq!(
            format!("{:.5}", cm2.microlitres().to_f64() / 1_000.0),
            "0.18336"
        );
    }

    #[track_caller]
    fn check(text: &str, ounce: Option<FluidOunce>, expect: &Result<Ratio, ParseCoverError>) {
        let cover = text
            .parse::<WrittenCover>()
            .and_then(|written| written.cover(ounce));
        assert_eq!(
            cover.map(|cover| cover.thickness.mm().clone()),
            *expect,
            "{text}"
        );
    }

    #[test]
    fn a_yield_is_a_thickness_or_a_volume_for_an_area() {
        check("1.8 mm", None, &Ok(Ratio::new(18, 10)));
        check("180 ml per m2", None, &Ok(Ratio::new(18, 100)));
        check(
            "1 fl-oz per 25 in2",
            Some(FluidOunce::Us),
            &Ok(Cover::common_practice().thickness.mm().clone()),
        );
        check(
            "1 fl-oz per 25 in2",
            None,
            &Err(ParseCoverError::FluidOunce),
        );
        check("200 g per m2", None, &Err(ParseCoverError::Form));
        check("plenty", None, &Err(ParseCoverError::Form));
        check("50 cm", None, &Err(ParseCoverError::OutOfRange));
    }

    #[test]
    fn a_weighed_piece_gives_the_studios_own_yield() {
        // 109 g of 1.09 g/ml are 100 ml; on 500 cm² that is 2 mm.
        let density = "1.09 g/ml".parse().unwrap();
        let cover = Cover::measured(Mass::from_grams(109), density, &Ratio::new(50_000, 1));
        assert_eq!(cover.unwrap().thickness.mm(), &Ratio::new(2, 1));
        assert_eq!(Cover::measured(Mass::ZERO, density, &Ratio::one()), None);
    }
}
