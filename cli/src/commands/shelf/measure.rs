//! `tarehand shelf measure`.

use clap::{Args, Subcommand};
use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::units::{Density, Volume};
use tarehand_protocol::Mass;

use super::{FileArgs, Place, key, mass};
use crate::commands::goal::{volume, volume_of};
use crate::failure::{Exit, Failure};
use crate::output::Output;

const EXAMPLES: &str = "\
Examples:
  tarehand shelf measure clear-binder density --volume 10ml --weight 10.62g
  tarehand shelf measure glide-drops drop --count 20 --weight 0.54g
  tarehand shelf measure moon-mica spoon --count 5 --weight 8.5g";

/// Works out a density, or what one drop or spoon weighs, and writes it down.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(super) struct MeasureOneArgs {
    /// The ingredient's key
    #[arg(value_parser = key)]
    key: String,
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    /// The density, from a full syringe or cup
    #[command(
        before_help = "Examples:\n  tarehand shelf measure clear-binder density --volume 10ml --weight 10.62g"
    )]
    Density {
        /// The volume
        #[arg(long, value_parser = volume)]
        volume: String,
        /// What it weighs, without the syringe
        #[arg(long, value_name = "MASS", value_parser = mass)]
        weight: Mass,
    },
    /// What one drop weighs, from several
    #[command(
        before_help = "Examples:\n  tarehand shelf measure glide-drops drop --count 20 --weight 0.54g"
    )]
    Drop(CountArgs),
    /// What one level teaspoon weighs, from several
    #[command(
        before_help = "Examples:\n  tarehand shelf measure moon-mica spoon --count 5 --weight 8.5g"
    )]
    Spoon(CountArgs),
}

#[derive(Args, Debug)]
struct CountArgs {
    /// How many
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    count: u16,
    /// What all of them weigh
    #[arg(long, value_name = "MASS", value_parser = mass)]
    weight: Mass,
}

/// Writes down what was measured.
pub(super) fn run(
    args: &MeasureOneArgs,
    file: &FileArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let measures = file.measures(place)?;
    let (field, text) = match &args.what {
        What::Density { volume, weight } => (
            "density",
            density(&volume_of(volume, measures)?, *weight)?.to_string(),
        ),
        What::Drop(counted) => ("drop", one_of(counted)?.to_string()),
        What::Spoon(counted) => ("teaspoon", one_of(counted)?.to_string()),
    };
    let shelf = file.read(place)?;
    let mut edit = shelf.edit()?;
    edit.set(&args.key, field, &text)?;
    shelf.replace(&edit, measures, output)?;
    output.say(format_args!("{}: {field} = \"{text}\"", args.key));
    Ok(Exit::Done)
}

fn density(volume: &Volume, weight: Mass) -> Result<Density, Failure> {
    // Micrograms a microlitre are grams a litre: a thousandth of micrograms a millilitre.
    let exact = Ratio::from_mass(weight).checked_div(volume.microlitres());
    let per_ml = exact.map(|exact| (exact * Ratio::new(1_000, 1)).to_mass().micrograms());
    per_ml
        .and_then(|per_ml| u64::try_from(per_ml).ok())
        .and_then(Density::from_ug_per_ml)
        .ok_or_else(|| Failure::Usage {
            what: format!("{weight} in {volume} is no density: it lies above 0 and below 25 g/ml"),
            hint: "weigh a full 10 ml syringe, take the empty one off, and say both".to_owned(),
        })
}

fn one_of(counted: &CountArgs) -> Result<Mass, Failure> {
    let one = Ratio::from_mass(counted.weight)
        .checked_div(&Ratio::new(i64::from(counted.count), 1))
        .map_or(Mass::ZERO, |one| one.to_mass());
    if Mass::ZERO < one {
        Ok(one)
    } else {
        Err(Failure::Usage {
            what: format!("{} is too little for {}", counted.weight, counted.count),
            hint: "weigh more of them at once".to_owned(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tarehand_mixing::units::Measures;

    // Computed: 10.62 g / 10 ml, and 0.54 g / 20.
    #[test]
    fn densities_and_drops_are_exact() {
        let volume = volume_of("10ml", Measures::default()).unwrap();
        let weight = "10.62 g".parse().unwrap();
        assert_eq!(density(&volume, weight).unwrap().to_string(), "1.062 g/ml");
        let drops = CountArgs {
            count: 20,
            weight: "0.54 g".parse().unwrap(),
        };
        assert_eq!(one_of(&drops).unwrap().to_string(), "0.027 g");
        assert!(density(&volume, Mass::from_grams(300)).is_err());
    }
}
