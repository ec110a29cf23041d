//! `tarehand shelf`: what is there, and writing down what was bought, weighed, measured and tested.

mod add;
mod keep;
mod list;
mod measure;
mod pan;
mod test;
mod weigh;

use std::path::PathBuf;

pub(super) use pan::first_settled;

use clap::{Args, Subcommand};
use jiff::Timestamp;
use tarehand_mixing::shelf::{Date, Moment};
use tarehand_protocol::Mass;

use super::{Place, drawn};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::settings::MeasureArgs;
use crate::shelf_file::ShelfFile;
use crate::words::shelf_again;

const EXAMPLES: &str = "\
Examples:
  tarehand shelf                                      what is left, and what is worth a look
  tarehand shelf add clear-binder --holds 1kg --lot B7-114 --price \"24.50 EUR\"
  tarehand shelf weigh clear-binder --pack B7-114     the bottle is on the scale
  tarehand shelf measure glide-drops drop --count 20 --weight 0.54g
  tarehand shelf test clear-binder clear --lot B7-114 --room \"21 C, 45 %\"
  tarehand shelf keep 8KER7                           a jar that is left over";

/// Shows what is on the shelf and keeps the shelf file: comments and layout stay as they are.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct ShelfArgs {
    #[command(subcommand)]
    command: Option<ShelfCommand>,
    #[command(flatten)]
    list: list::ListArgs,
    #[command(flatten)]
    file: FileArgs,
}

/// Which shelf.
#[derive(Args, Clone, Debug)]
struct FileArgs {
    /// The shelf [default: shelf.toml in this folder, else in the config folder]
    #[arg(long, value_name = "FILE", global = true)]
    shelf: Option<PathBuf>,
    #[command(flatten)]
    measures: MeasureArgs,
}

impl FileArgs {
    /// Returns the command that lists the same shelf.
    fn again(&self) -> String {
        format!("tarehand shelf{}", shelf_again(self.shelf.as_deref()))
    }
}

#[derive(Debug, Subcommand)]
enum ShelfCommand {
    #[command(about = "List what is left, pack by pack")]
    List(list::ListArgs),
    #[command(about = "Put a pack on the shelf")]
    Add(add::AddArgs),
    #[command(about = "Write down what is left of a pack, from the scale")]
    Weigh(weigh::WeighArgs),
    #[command(about = "Write down a density, or what a drop or a spoon weighs")]
    Measure(measure::MeasureOneArgs),
    #[command(about = "Write down how a film dried")]
    Test(test::TestArgs),
    #[command(about = "Put a jar that is left over on the shelf, as what it really is")]
    Keep(keep::KeepArgs),
}

/// Carries a command of the shelf out.
pub(crate) async fn run(
    args: &ShelfArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let file = &args.file;
    match &args.command {
        None => list::run(&args.list, file, place, output).await,
        Some(ShelfCommand::List(args)) => list::run(args, file, place, output).await,
        Some(ShelfCommand::Add(args)) => add::run(args, file, place, output),
        Some(ShelfCommand::Weigh(args)) => weigh::run(args, file, place, output).await,
        Some(ShelfCommand::Measure(args)) => measure::run(args, file, place, output),
        Some(ShelfCommand::Test(args)) => test::run(args, file, place, output),
        Some(ShelfCommand::Keep(args)) => keep::run(args, file, place, output).await,
    }
}

impl FileArgs {
    fn measures(&self, place: &Place) -> Result<tarehand_mixing::units::Measures, Failure> {
        Ok(self.measures.over(place.settings()?.measures))
    }

    fn read(&self, place: &Place) -> Result<ShelfFile, Failure> {
        ShelfFile::read(self.shelf.as_deref(), &place.folders.shelf())
    }

    fn read_or_begin(&self, place: &Place) -> Result<ShelfFile, Failure> {
        ShelfFile::read_or_begin(self.shelf.as_deref(), &place.folders.shelf())
    }
}

/// Returns this moment, to the millisecond.
fn now() -> Moment {
    let text = Timestamp::now()
        .strftime("%Y-%m-%dT%H:%M:%S.%3fZ")
        .to_string();
    text.parse().expect("a moment was just written in its form")
}

/// Reads a mass above nothing.
fn mass(text: &str) -> Result<Mass, String> {
    let mass: Mass = text.parse().map_err(|error| format!("{error}"))?;
    if Mass::ZERO < mass && mass <= Mass::LIMIT {
        Ok(mass)
    } else {
        Err("that is nothing that can be weighed".to_owned())
    }
}

fn date(text: &str) -> Result<Date, String> {
    text.parse().map_err(|error| format!("{error}"))
}

/// Reads a key of the shelf.
fn key(text: &str) -> Result<String, String> {
    let text = text.trim();
    if text.is_empty() || text.chars().any(|c| c.is_control() || c == '"') {
        return Err("a key is a short name, as in clear-binder".to_owned());
    }
    Ok(text.to_owned())
}
