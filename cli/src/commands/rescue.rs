//! `tarehand rescue`: what can still be done with a jar, without a scale.

use std::path::PathBuf;

use clap::Args;
use tarehand_mixing::rescue::{self, Room, Told};
use tarehand_mixing::units::{Measure, Quantity};
use tarehand_protocol::Mass;
use tarehandd::api::translate;

use super::choose::{ReadArgs, say_choices};
use super::goal::{sized, volume_of};
use super::recipe::good;
use super::{Place, drawn};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::words::rescue_page;

const EXAMPLES: &str = "\
Examples:
  tarehand rescue lagoon-round.toml --make 250g --poured pearl-medium=120g,lagoon-paste=36g
  tarehand rescue lagoon-round.toml --poured lagoon-paste=36g --jar 200ml --division 0.1g
  tarehand rescue lagoon-round.toml --poured pearl-medium=120g,linen-white=? --in-jar 171g
  tarehand rescue veil.toml --poured clear-binder=50g --taken-out 8g --json";

/// Says how a slip can be put right: what to add, what to take out, or what comes of going on.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct RescueArgs {
    /// The recipe file
    recipe: PathBuf,
    /// What was to be made [default: what the recipe makes]
    #[arg(long, value_name = "MASS", value_parser = amount)]
    make: Option<Mass>,
    /// What was poured, in order: ingredients, premixes, or what these are made of; `?` for one amount nobody knows
    #[arg(long, value_name = "NAME=MASS,…", value_parser = poured, value_delimiter = ',', required = true)]
    poured: Vec<Poured>,
    /// What all of it weighs, so that the amount nobody knows can be worked out
    #[arg(long, value_name = "MASS", value_parser = amount)]
    in_jar: Option<Mass>,
    /// What was spilled or taken out of the mix since
    #[arg(long, value_name = "MASS", value_parser = amount)]
    taken_out: Option<Mass>,
    /// What is in the jar that the recipe does not know
    #[arg(long, value_name = "MASS", value_parser = amount)]
    outside: Option<Mass>,
    /// What the jar holds, by weight or by volume: 120g, 250ml [default: what the recipe says]
    #[arg(long, value_name = "MASS|VOLUME", value_parser = holds)]
    jar: Option<Holds>,
    /// The division of the scale: what can be weighed, and how well the shares are known
    #[arg(long, value_name = "MASS", value_parser = amount)]
    division: Option<Mass>,
    /// The shelf, with what is there now [default: shelf.toml beside the recipe, else in the config folder]
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    read: ReadArgs,
}

/// One thing that was poured; `None` where nobody knows how much.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Poured(String, Option<Mass>);

/// What a jar holds, as it was said.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Holds {
    Mass(Mass),
    Volume(String),
}

fn poured(text: &str) -> Result<Poured, String> {
    let (name, mass) = text
        .split_once('=')
        .ok_or("a name and a mass are wanted, as in chalk-white=30g")?;
    let mass = match mass.trim() {
        "?" => None,
        mass => Some(amount(mass)?),
    };
    Ok(Poured(name.trim().to_owned(), mass))
}

fn amount(text: &str) -> Result<Mass, String> {
    let mass: Mass = text.parse().map_err(|error| format!("{error}"))?;
    if (Mass::ZERO..=Mass::LIMIT).contains(&mass) {
        Ok(mass)
    } else {
        Err("that is no amount in a jar".to_owned())
    }
}

fn holds(text: &str) -> Result<Holds, String> {
    let quantity: Quantity = text.parse().map_err(|error| format!("{error}"))?;
    match quantity.measure {
        Measure::Mass(_) => amount(text).map(Holds::Mass),
        Measure::Volume(_) => Ok(Holds::Volume(quantity.to_string())),
        Measure::Count(_) => Err("a mass or a volume is wanted, as in 120g or 250ml".to_owned()),
    }
}

/// Works the ways out out.
pub(crate) async fn run(
    args: &RescueArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let settings = args.read.settings(place)?;
    let folder = place.folder(&args.recipe, args.shelf.as_deref())?;
    let folder = drawn::with_stock(folder, settings.measures, place, output).await;
    let good = good(&folder.stem, &folder.sources, &settings, output)?;
    say_choices(&good.recipe, output);
    let ask = "say what was to be made: --make 250g";
    let sizing = sized(&good.recipe, args.make, ask)?;
    let room = match &args.jar {
        None => None,
        Some(Holds::Mass(mass)) => Some(Room::Mass(*mass)),
        Some(Holds::Volume(text)) => Some(Room::Volume(
            volume_of(text, settings.measures)?.whole_microlitres(),
        )),
    };
    let told = Told {
        poured: args
            .poured
            .iter()
            .map(|Poured(name, mass)| (name.clone(), *mass))
            .collect(),
        in_jar: args.in_jar,
        taken_out: args.taken_out.unwrap_or_default(),
        outside: args.outside.unwrap_or_default(),
        room,
        division: args.division.filter(|division| !division.is_zero()),
    };
    let filled = rescue::fill(&sizing.procedure, &told).map_err(|error| Failure::Refused {
        what: error.to_string(),
        hint: Some(error.hint().to_owned()),
    })?;
    let answer = translate::rescue_answer(&filled);
    if args.json {
        output.json(&answer)?;
    } else {
        output.data(rescue_page(&sizing.procedure.recipe, &answer))?;
    }
    Ok(Exit::Done)
}
