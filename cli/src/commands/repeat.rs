//! `tarehand repeat`: a batch made again.

use std::path::PathBuf;

use clap::Args;
use tarehand_protocol::Mass;
use tarehand_protocol::api::RepeatBatch;
use tarehandd::api::translate;

use super::Place;
use super::amend::{GuideArgs, guided, shelf_text};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::settings::MeasureArgs;

const EXAMPLES: &str = "\
Examples:
  tarehand repeat K7F2A                         as its recipe was then
  tarehand repeat K7F2A --as-poured             what really went in
  tarehand repeat K7F2A --as-poured --make 200g
  tarehand repeat K7F2A --hand noor             stop is said as she pours";

/// Makes a batch again, from the recipe that its record keeps.
///
/// The choices are those of then, and a premix has the shares it had then. As poured, everything that went in is
/// weighed in again in the same proportions, what a rescue added too, and at the end what was added to its jar later.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct RepeatArgs {
    /// The mark of the batch
    mark: String,
    /// Make what really went in, and not what the recipe says
    #[arg(long)]
    as_poured: bool,
    /// Make so much in all [default: as much as then]
    #[arg(long, value_name = "MASS")]
    make: Option<Mass>,
    /// The shelf [default: shelf.toml here, else in the config folder, else as the record has it]
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
    #[command(flatten)]
    bench: GuideArgs,
    #[command(flatten)]
    measures: MeasureArgs,
}

/// Makes it again.
pub(crate) async fn run(
    args: &RepeatArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let settings = place.settings()?;
    let measures = args.measures.over(settings.measures);
    let request = RepeatBatch {
        mark: args.mark.clone(),
        as_poured: args.as_poured,
        make: args.make.map(|mass| mass.to_string()),
        shelf: shelf_text(args.shelf.as_deref(), place)?,
        measures: translate::measures_said(measures),
        grow_by_percent: Some(settings.rescue.grow_by_percent),
        room: args.bench.circumstances.room.clone(),
        hand: args.bench.circumstances.hand.clone(),
    };
    guided("repeat", &request, &args.bench, place, output).await
}
