//! `tarehand rehearse`: a batch, or the jars of a set, on a simulated scale.

use std::path::PathBuf;

use clap::Args;
use tarehand_mixing::recipe::Settings;
use tarehand_mixing::set::is_set;
use tarehand_protocol::api::{
    BatchRecord, OpenBatch, OpenSet, RehearsalRequest, SetRehearsalRequest, Size, View,
};

use super::choose::{ReadArgs, say_choices};
use super::mix::{Walk, opening_set};
use super::recipe::{good, opening};
use super::{Place, drawn};
use crate::client::{Client, segment};
use crate::demo;
use crate::failure::{Exit, Failure};
use crate::files::Folder;
use crate::output::Output;
use crate::service;
use crate::terminal::{AtEnd, Ending, Seat, accompany};
use crate::words::{quoted, record, shelf_again};

const EXAMPLES: &str = "\
Examples:
  tarehand rehearse                     the studio's pearl blue, in a hurry
  tarehand rehearse --seed 7            the same run every time
  tarehand rehearse lagoon-round.toml --speed 5
  tarehand rehearse eight-rounds.toml  every jar of a set, the shorter way round";

/// Mixes on a simulated scale with a simulated hand, then shows the record.
///
/// The hand does all that is asked: it decants, weighs out of bottles, and changes the jars of a set. Rests of more than two
/// minutes pass at once.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct RehearseArgs {
    /// The recipe or set file [default: a demo that is built in]
    #[arg(value_name = "FILE")]
    recipe: Option<PathBuf>,
    /// In which order the jars of a set are mixed
    #[arg(long, requires = "recipe", default_value = "shorter")]
    walk: Walk,
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
    let folder = match &args.recipe {
        Some(recipe) => {
            let folder = place.folder(recipe, args.shelf.as_deref())?;
            drawn::with_known_stock(folder, settings.measures, place).await
        }
        None => Folder {
            stem: demo::STEM.to_owned(),
            sources: demo::sources(),
        },
    };
    let wanted = wanted(
        args,
        &folder,
        &reading,
        settings.rescue.grow_by_percent,
        output,
    )?;
    let client = service::ensure(&place.folders).await?;
    let view: View = match &wanted {
        Wanted::Batch(request) => client.post("/v1/rehearsals", request).await?,
        Wanted::Set(request) => client.post("/v1/rehearsals/set", request).await?,
    };
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
    let marks = match view.jars.is_empty() {
        true => mark.or(view.batch).into_iter().collect(),
        false => view.jars.into_iter().map(|jar| jar.batch).collect(),
    };
    tell_records(&client, marks, output).await?;
    match &args.recipe {
        Some(recipe) => output.suggest(format_args!(
            "tarehand mix {}{}{}",
            quoted(&recipe.display().to_string()),
            shelf_again(args.shelf.as_deref()),
            args.read.again(),
        )),
        None => output.suggest(
            "write a recipe of your own and `tarehand check` it; with a scale attached, `tarehand scales`",
        ),
    }
    Ok(exit)
}

/// What is to be rehearsed.
enum Wanted {
    Batch(RehearsalRequest),
    Set(SetRehearsalRequest),
}

fn wanted(
    args: &RehearseArgs,
    folder: &Folder,
    reading: &Settings,
    grow_by_percent: u32,
    output: &mut Output,
) -> Result<Wanted, Failure> {
    let grow_by_percent = Some(grow_by_percent);
    let (seed, speed) = (args.seed, Some(args.speed));
    let sources = &folder.sources;
    if let Some(source) = sources.recipe(&folder.stem).filter(|of| is_set(of)) {
        let set = OpenSet {
            walk: args.walk.into(),
            grow_by_percent,
            ..opening_set(source, folder, reading, output)?
        };
        return Ok(Wanted::Set(SetRehearsalRequest { set, seed, speed }));
    }
    let good = good(&folder.stem, sources, reading, output)?;
    say_choices(&good.recipe, output);
    let batch = OpenBatch {
        grow_by_percent,
        ..opening(&good.recipe, sources, reading, Size::AsWritten)
    };
    Ok(Wanted::Batch(RehearsalRequest { batch, seed, speed }))
}

/// Shows the record of every jar, premixes first.
async fn tell_records(
    client: &Client,
    marks: Vec<String>,
    output: &mut Output,
) -> Result<(), Failure> {
    for mark in marks {
        let path = format!("/v1/batches/{}", segment(&mark));
        let batch: BatchRecord = client.get(&path).await?;
        output.data(format_args!("\n{}\n", record(&batch, output.width())))?;
    }
    Ok(())
}
