//! `tarehand rehearse`: a batch on a simulated scale.

use std::path::PathBuf;

use clap::Args;
use tarehand_protocol::api::{BatchRecord, OpenBatch, RehearsalRequest, Size, View};

use super::choose::{ReadArgs, say_choices};
use super::recipe::{good, opening};
use super::{Place, drawn};
use crate::client::segment;
use crate::demo;
use crate::failure::{Exit, Failure};
use crate::files::Folder;
use crate::output::Output;
use crate::service;
use crate::terminal::{AtEnd, Ending, Seat, accompany};
use crate::words::record;

const EXAMPLES: &str = "\
Examples:
  tarehand rehearse                     the studio's pearl blue, in a hurry
  tarehand rehearse --seed 7            the same run every time
  tarehand rehearse lagoon-round.toml --speed 5";

/// Mixes on a simulated scale with a simulated hand, then shows the record.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct RehearseArgs {
    /// The recipe file [default: a demo that is built in]
    recipe: Option<PathBuf>,
    /// The same number gives the same run
    #[arg(long, value_name = "N")]
    seed: Option<u64>,
    /// How many times as fast as real time, 1 to 60
    #[arg(long, value_name = "N", default_value_t = 20, value_parser = clap::value_parser!(u32).range(1..=60))]
    speed: u32,
    /// The shelf [default: shelf.toml beside the recipe, else in the config folder]
    #[arg(long, value_name = "FILE", requires = "recipe")]
    shelf: Option<PathBuf>,
    /// No bell when it is time to stop
    #[arg(long, env = "TAREHAND_QUIET", hide_env_values = true)]
    quiet: bool,
    #[command(flatten)]
    read: ReadArgs,
}

/// Rehearses a batch.
pub(crate) async fn run(
    args: &RehearseArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let settings = place.settings()?;
    let reading = args.read.settings(place)?;
    let (stem, sources) = match &args.recipe {
        Some(recipe) => {
            let folder = Folder::read(recipe, args.shelf.as_deref(), &place.folders.shelf())?;
            let folder = drawn::with_known_stock(folder, settings.measures, place).await;
            (folder.stem, folder.sources)
        }
        None => (demo::STEM.to_owned(), demo::sources()),
    };
    let good = good(&stem, &sources, &reading, output)?;
    say_choices(&good.recipe, output);
    let request = RehearsalRequest {
        batch: OpenBatch {
            grow_by_percent: Some(settings.rescue.grow_by_percent),
            ..opening(&good.recipe, &sources, &reading, Size::AsWritten)
        },
        seed: args.seed,
        speed: Some(args.speed),
    };
    let client = service::ensure(&place.folders).await?;
    let view: View = client.post("/v1/rehearsals", &request).await?;
    let seat = Seat {
        bench: &view.bench,
        bell: settings.terminal.bell && !args.quiet,
        keys: &settings.keys,
        at_end: AtEnd::Leave,
    };
    let (mark, exit) = match accompany(&client, &seat, output).await? {
        Ending::Complete { mark } => (mark, Exit::Done),
        Ending::Aborted { mark } => (mark, Exit::Failed),
        Ending::Left => {
            output.say("the rehearsal goes on in the service");
            output.suggest(format_args!("tarehand mix --bench {}", view.bench));
            return Ok(Exit::Done);
        }
    };
    if let Some(mark) = mark.or(view.batch) {
        let path = format!("/v1/batches/{}", segment(&mark));
        let batch: BatchRecord = client.get(&path).await?;
        output.data(format_args!("\n{}\n", record(&batch, output.width())))?;
    }
    match &args.recipe {
        Some(recipe) => output.suggest(format_args!("tarehand mix {}", recipe.display())),
        None => output.suggest(
            "write a recipe of your own and `tarehand check` it; with a scale attached, `tarehand scales`",
        ),
    }
    Ok(exit)
}
