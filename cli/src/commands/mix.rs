//! `tarehand mix`: make a batch, or go back to the one that runs.

use std::path::{Path, PathBuf};

use clap::{ArgGroup, Args, ValueEnum};
use tarehand_mixing::document::Source;
use tarehand_mixing::recipe::Settings;
use tarehand_mixing::set::is_set;
use tarehand_protocol::api::{OpenBatch, OpenSet, View, WalkWord};
use tarehandd::api::translate;

use super::attach::{FineArgs, ScaleArgs, bench};
use super::choose::{ReadArgs, say_choices};
use super::circumstances::CircumstanceArgs;
use super::goal::GoalArgs;
use super::plan::planned;
use super::recipe::{good, opening};
use super::{Place, drawn};
use crate::client::Client;
use crate::failure::{Exit, Failure};
use crate::files::{Folder, texts_of};
use crate::output::Output;
use crate::service;
use crate::terminal::{AtEnd, Ending, Seat, accompany};

const EXAMPLES: &str = "\
Examples:
  tarehand mix lagoon-round.toml                as much as the recipe makes
  tarehand mix lagoon-round.toml --make 250g
  tarehand mix lagoon-round.toml --from lagoon-paste=30g --port /dev/ttyUSB0
  tarehand mix lagoon-round.toml --radio AA:BB:CC:00:11:22
  tarehand mix eight-rounds.toml --walk bottle  every jar of a set
  tarehand mix shore-glaze.toml --choose finish=matt
  tarehand mix lagoon-round.toml --fine-port /dev/ttyUSB1
  tarehand mix lagoon-round.toml --room \"21 C, 45 %\"
  tarehand mix lagoon-round.toml --hand noor    learns when to say stop to her
  tarehand mix                                  back to the batch that runs";

/// Guides a batch on a scale; leaving the screen does not end it.
///
/// A set is mixed jar by jar or bottle by bottle, premixes first. Each jar is known by its weight; where two are too
/// alike you are asked. Anything else may be taken first: put the jar on the pan and go on with it.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
#[command(group = ArgGroup::new("circumstances").args(["room", "hand"]).multiple(true).requires("recipe"))]
pub(crate) struct MixArgs {
    /// The recipe or set file; without one, the batch that runs is shown
    #[arg(value_name = "FILE")]
    recipe: Option<PathBuf>,
    /// In which order the jars of a set are mixed
    #[arg(long, requires = "recipe", default_value = "shorter")]
    walk: Walk,
    #[command(flatten)]
    goal: GoalArgs,
    #[command(flatten)]
    scale: ScaleArgs,
    #[command(flatten)]
    fine: FineArgs,
    /// The shelf [default: shelf.toml beside the recipe, else in the config folder]
    #[arg(long, value_name = "FILE", requires = "recipe")]
    shelf: Option<PathBuf>,
    #[command(flatten)]
    circumstances: CircumstanceArgs,
    /// No bell when it is time to stop
    #[arg(long, env = "TAREHAND_QUIET", hide_env_values = true)]
    quiet: bool,
    #[command(flatten)]
    read: ReadArgs,
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
            let wanted = wanted(args, recipe, place, output).await?;
            let client = service::ensure(&place.folders).await?;
            let taps = settings.bench.taps;
            args.scale.attach(&client, taps, output).await?;
            let bench = args.scale.bench_path();
            args.fine.attach(&client, &bench, taps).await?;
            let _view: View = match &wanted {
                Wanted::Batch(batch) => client.post(&format!("{bench}/batch"), batch).await?,
                Wanted::Set(set) => client.post(&format!("{bench}/set"), set).await?,
            };
            client
        }
        None => running(args, place, settings.bench.taps).await?,
    };
    let seat = Seat {
        bench: &args.scale.bench,
        bell: settings.terminal.bell && !args.quiet,
        keys: &settings.keys,
        at_end: AtEnd::Stay,
    };
    let ending = accompany(&client, &seat, output).await?;
    Ok(conclude(&ending, output))
}

/// In which order the jars of a set are mixed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Walk {
    /// Whichever changes bottles and jars less often
    Shorter,
    /// One jar after another
    Jar,
    /// Each bottle into every jar that waits for it
    Bottle,
}

impl From<Walk> for WalkWord {
    fn from(walk: Walk) -> Self {
        match walk {
            Walk::Shorter => Self::Shorter,
            Walk::Jar => Self::Jar,
            Walk::Bottle => Self::Bottle,
        }
    }
}

/// What is to be mixed.
enum Wanted {
    Batch(OpenBatch),
    Set(OpenSet),
}

async fn wanted(
    args: &MixArgs,
    file: &Path,
    place: &Place,
    output: &mut Output,
) -> Result<Wanted, Failure> {
    let settings = args.read.settings(place)?;
    let grow_by_percent = Some(place.settings()?.rescue.grow_by_percent);
    let folder = place.folder(file, args.shelf.as_deref())?;
    let folder = drawn::with_known_stock(folder, settings.measures, place).await;
    let source = folder.sources.recipe(&folder.stem).filter(|of| is_set(of));
    let Some(source) = source else {
        let good = good(&folder.stem, &folder.sources, &settings, output)?;
        say_choices(&good.recipe, output);
        args.goal.goal(&good.recipe, settings.measures)?;
        return Ok(Wanted::Batch(OpenBatch {
            grow_by_percent,
            room: args.circumstances.room.clone(),
            hand: args.circumstances.hand.clone(),
            ..opening(&good.recipe, &folder.sources, &settings, args.goal.size())
        }));
    };
    if args.goal.is_given() {
        return Err(Failure::Refused {
            what: format!(
                "`{}` is a set: its surface says how much is mixed",
                folder.stem
            ),
            hint: Some("leave --make, --from and --jar out, or mix one of its recipes".to_owned()),
        });
    }
    Ok(Wanted::Set(OpenSet {
        walk: args.walk.into(),
        grow_by_percent,
        room: args.circumstances.room.clone(),
        hand: args.circumstances.hand.clone(),
        ..opening_set(source, &folder, &settings, output)?
    }))
}

/// Makes the message that opens the jars of a set, in the shorter walk.
pub(super) fn opening_set(
    source: &Source,
    folder: &Folder,
    settings: &Settings,
    output: &mut Output,
) -> Result<OpenSet, Failure> {
    let planned = planned(folder, settings, output)?;
    let jars = planned.set.jars.iter();
    Ok(OpenSet {
        set: source.text().to_owned(),
        recipes: jars
            .flat_map(|jar| texts_of(&jar.recipe, &folder.sources))
            .collect(),
        shelf: folder.sources.shelf().map(|shelf| shelf.text().to_owned()),
        measures: translate::measures_said(settings.measures),
        choices: settings.choices.clone(),
        walk: WalkWord::Shorter,
        grow_by_percent: None,
        room: None,
        hand: None,
    })
}

/// Finds the batch that runs on the bench.
async fn running(args: &MixArgs, place: &Place, taps: bool) -> Result<Client, Failure> {
    let client = service::ensure(&place.folders).await?;
    let view = bench(&client, &args.scale.bench).await?;
    match view {
        Some(view) if view.batch.is_some() => {
            if let Some(scale) = view.scale.filter(|_| !view.rehearsal) {
                args.scale.want_taps(&client, &scale, taps).await?;
            }
            Ok(client)
        }
        _ => Err(Failure::Refused {
            what: format!("no batch runs on `{}`", args.scale.bench),
            hint: Some("begin one: tarehand mix RECIPE".to_owned()),
        }),
    }
}

/// Says how it ended and what to do next.
pub(super) fn conclude(ending: &Ending, output: &mut Output) -> Exit {
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
