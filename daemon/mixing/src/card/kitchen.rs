//! Grams in the measures of a kitchen.
//!
//! Spoons and ounces are exact by definition ([`Spoon`], [`FluidOunce`], [`MassUnit`]); volumes are
//! given only where the density is known.

use tarehand_protocol::{Mass, MassUnit};

use super::Country;
use super::value::{Counted, Line};
use super::words::{self, grams};
use crate::procedure::CountUnit;
use crate::ratio::Ratio;
use crate::sizing::count_text;
use crate::units::{Density, Spoon, Volume};

#[cfg(doc)]
use crate::units::FluidOunce;

/// What a line has no measure by volume for.
const NO_DENSITY: &str = "no volume: its density is not known";

/// Writes a line in the measures of a country, the author's own count first; nothing where there is nothing to say.
pub(super) fn measures(line: &Line, country: Option<Country>) -> Vec<String> {
    let Some(mass) = line.portion.mass().filter(|mass| Mass::ZERO < *mass) else {
        return Vec::new();
    };
    let mut words: Vec<String> = line
        .counted
        .map(|counted| count(mass, counted))
        .into_iter()
        .filter(|text| !text.is_empty())
        .collect();
    let Some(country) = country else {
        return words;
    };
    if country.weighs_in_ounces() {
        words.push(ounces(mass));
    }
    // A spoon that was weighed says more than the density: that of a powder is the density of its grains.
    if line
        .counted
        .is_some_and(|counted| counted.unit != CountUnit::Drop)
    {
        return words;
    }
    match line.density {
        Some(density) => words.extend(volume(mass, density, country)),
        None => words.push(NO_DENSITY.to_owned()),
    }
    words
}

/// Writes a line outside the ratio as one sentence, with its measures.
pub(super) fn beside(line: &Line, country: Option<Country>) -> String {
    let sentence = words::beside(line);
    match measures(line, country).join(", ") {
        measures if measures.is_empty() => sentence,
        measures => format!("{sentence}  ({measures})"),
    }
}

/// Writes the author's own count; of a spoon it is said what one holds, since spoons differ.
fn count(mass: Mass, counted: Counted) -> String {
    let text = count_text(mass, counted.unit, counted.each);
    match counted.unit {
        CountUnit::Drop => text,
        CountUnit::Teaspoon | CountUnit::Tablespoon => {
            format!("{text} of {} each", grams(counted.each))
        }
    }
}

/// Writes a mass in avoirdupois ounces.
fn ounces(mass: Mass) -> String {
    let (micrograms, per) = MassUnit::Ounce.micrograms();
    let ounce = Ratio::new(micrograms, per);
    number(&Ratio::from_mass(mass), &ounce, 2, "oz")
}

/// Writes the volume of a mass: millilitres, and the country's largest measure that it fills once.
fn volume(mass: Mass, density: Density, country: Country) -> Vec<String> {
    let volume = density.volume_of(&Ratio::from_mass(mass));
    let in_units =
        |one: &Volume, unit: &str| number(volume.microlitres(), one.microlitres(), 1, unit);
    let mut words = vec![in_units(&Volume::from_millilitres(1), "ml")];
    let spoons: Spoon = country.spoon();
    let ounce = country.fluid_ounce().map(|ounce| ounce.volume());
    match ounce {
        Some(ounce) if ounce <= volume => words.push(in_units(&ounce, "fl oz")),
        _ if spoons.tablespoon() <= volume => words.push(in_units(&spoons.tablespoon(), "tbsp")),
        _ => words.push(in_units(&spoons.teaspoon(), "tsp")),
    }
    words
}

/// Writes how many of one unit there are, with at most so many decimals; `about` where that is rounded.
fn number(amount: &Ratio, one: &Ratio, decimals: u8, unit: &str) -> String {
    let count = amount.checked_div(one).unwrap_or_else(Ratio::zero);
    let exact = &count * &Ratio::new(1_000_000, 1);
    let step = Mass::from_micrograms(10_i64.pow(6 - u32::from(decimals.min(6))));
    let rounded = exact.to_mass().rounded_to(step);
    if rounded <= Mass::ZERO {
        let least = step.grams_text(decimals);
        return format!("less than {least} {unit}");
    }
    let about = if Ratio::from_mass(rounded) == exact {
        ""
    } else {
        "about "
    };
    let text = rounded.grams_text(decimals);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    format!("{about}{text} {unit}")
}

#[cfg(test)]
mod tests {
    use super::super::value::Portion;
    use super::*;
    use crate::procedure::Ingredient;

    #[track_caller]
    fn check(micrograms: i64, density_ug_per_ml: Option<u64>, country: Country, expect: &str) {
        let ingredient = Ingredient {
            density_ug_per_ml,
            ..Ingredient::by_name("a")
        };
        let line = Line::of(
            &ingredient,
            Portion::Beside(Mass::from_micrograms(micrograms)),
        );
        assert_eq!(measures(&line, Some(country)).join(", "), expect);
    }

    /// A gram of it is a millilitre.
    const LIKE_WATER: Option<u64> = Some(1_000_000);

    // Exact by definition (figures of PyPI `pint`): US teaspoon
    // 4.92892159375 ml, fluid ounces 29.5735295625 and 28.4130625 ml, ounce 28.349523125 g;
    // the Australian tablespoon is 20 ml.
    #[test]
    fn one_of_each_measure_is_one_of_it() {
        check(5_000_000, LIKE_WATER, Country::Metric, "5 ml, 1 tsp");
        check(15_000_000, LIKE_WATER, Country::Metric, "15 ml, 1 tbsp");
        check(15_000_000, LIKE_WATER, Country::Au, "15 ml, 3 tsp");
        check(20_000_000, LIKE_WATER, Country::Au, "20 ml, 1 tbsp");
        check(
            28_413_062,
            LIKE_WATER,
            Country::Uk,
            "about 1 oz, about 28.4 ml, about 1.9 tbsp",
        );
        check(
            56_826_125,
            LIKE_WATER,
            Country::Uk,
            "about 2 oz, about 56.8 ml, 2 fl oz",
        );
        check(
            59_147_060,
            LIKE_WATER,
            Country::Us,
            "about 2.09 oz, about 59.1 ml, about 2 fl oz",
        );
        check(
            56_699_046,
            LIKE_WATER,
            Country::Us,
            "about 2 oz, about 56.7 ml, about 1.9 fl oz",
        );
        // 453.59237 g are a pound of sixteen ounces, exactly.
        check(
            453_592_370,
            None,
            Country::Us,
            "16 oz, no volume: its density is not known",
        );
    }

    #[test]
    fn the_density_decides_how_much_room_it_takes() {
        // 21 g of 1.31 g/ml are 16.03 ml, by hand.
        check(
            21_000_000,
            Some(1_310_000),
            Country::Metric,
            "about 16 ml, about 1.1 tbsp",
        );
        check(
            21_000_000,
            Some(1_310_000),
            Country::Us,
            "about 0.74 oz, about 16 ml, about 1.1 tbsp",
        );
    }

    #[test]
    fn what_is_less_than_can_be_said_is_said_so() {
        check(
            20_000,
            LIKE_WATER,
            Country::Metric,
            "less than 0.1 ml, less than 0.1 tsp",
        );
        check(0, LIKE_WATER, Country::Metric, "");
    }
}
