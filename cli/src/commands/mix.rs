//! `tarehand mix`: make a batch, or go back to the one that runs.

use std::path::{Path, PathBuf};

use clap::Args;
use tarehand_protocol::api::{OpenBatch, View};

use super::attach::{ScaleArgs, bench};
use super::goal::GoalArgs;
use super::recipe::{good, opening};
use super::{Place, drawn};
use crate::client::Client;
use crate::failure::{Exit, Failure};
use crate::files::Folder;
use crate::output::Output;
use crate::service;
use crate::settings::MeasureArgs;
use crate::terminal::{AtEnd, Ending, Seat, accompany};

const EXAMPLES: &str = "\
Examples:
  tarehand mix lagoon-round.toml                as much as the recipe makes
  tarehand mix lagoon-round.toml --make 250g
  tarehand mix lagoon-round.toml --from lagoon-paste=30g --port /dev/ttyUSB0
  tarehand mix                                  back to the batch that runs";

/// Guides a batch on a scale; leaving the screen does not end it.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct MixArgs {
    /// The recipe file; without one, the batch that runs is shown
    recipe: Option<PathBuf>,
    #[command(flatten)]
    goal: GoalArgs,
    #[command(flatten)]
    scale: ScaleArgs,
    /// The shelf [default: shelf.toml beside the recipe, else in the config folder]
    #[arg(long, value_name = "FILE", requires = "recipe")]
    shelf: Option<PathBuf>,
    /// No bell when it is time to stop
    #[arg(long, env = "TAREHAND_QUIET", hide_env_values = true)]
    quiet: bool,
    #[command(flatten)]
    measures: MeasureArgs,
}

/// Makes a batch.
pub(crate) async fn run(
    args: &MixArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let settings = place.settings()?;
    let client = match &args.recipe {
        Some(recipe) => {
            // Before the service is started: what is wrong with the recipe is known without it.
            let batch = batch(args, recipe, place, output).await?;
            let client = service::ensure(&place.folders).await?;
            args.scale.attach(&client, output).await?;
            let path = format!("{}/batch", args.scale.bench_path());
            let _view: View = client.post(&path, &batch).await?;
            client
        }
        None => running(args, place).await?,
    };
    let seat = Seat {
        bench: &args.scale.bench,
        bell: settings.terminal.bell && !args.quiet,
        at_end: AtEnd::Stay,
    };
    let ending = accompany(&client, &seat, output).await?;
    Ok(conclude(&ending, output))
}

async fn batch(
    args: &MixArgs,
    recipe: &Path,
    place: &Place,
    output: &mut Output,
) -> Result<OpenBatch, Failure> {
    let settings = place.settings()?;
    let measures = args.measures.over(settings.measures);
    let folder = Folder::read(recipe, args.shelf.as_deref(), &place.folders.shelf())?;
    let folder = drawn::with_known_stock(folder, measures, place).await;
    let good = good(&folder.stem, &folder.sources, measures, output)?;
    args.goal.goal(&good.recipe, measures)?;
    Ok(OpenBatch {
        grow_by_percent: Some(settings.rescue.grow_by_percent),
        ..opening(&good.recipe, &folder.sources, measures, args.goal.size())
    })
}

/// Finds the batch that runs on the bench.
async fn running(args: &MixArgs, place: &Place) -> Result<Client, Failure> {
    let client = service::ensure(&place.folders).await?;
    let view = bench(&client, &args.scale.bench).await?;
    match view {
        Some(view) if view.batch.is_some() => Ok(client),
        _ => Err(Failure::Refused {
            what: format!("no batch runs on `{}`", args.scale.bench),
            hint: Some("begin one: tarehand mix RECIPE".to_owned()),
        }),
    }
}

/// Says how it ended and what to do next.
fn conclude(ending: &Ending, output: &mut Output) -> Exit {
    match ending {
        Ending::Complete { mark } => {
            output.suggest(next_of(mark.as_deref()));
            Exit::Done
        }
        Ending::Aborted { mark } => {
            output.say("the batch was given up; its record stays");
            output.suggest(next_of(mark.as_deref()));
            Exit::Failed
        }
        Ending::Left => {
            output.say("the batch goes on in the service");
            output.suggest("tarehand mix, to come back to it");
            Exit::Done
        }
    }
}

fn next_of(mark: Option<&str>) -> String {
    match mark {
        Some(mark) => format!("tarehand log show {mark}"),
        None => "tarehand log list".to_owned(),
    }
}
