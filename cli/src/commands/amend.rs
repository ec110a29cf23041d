//! `tarehand amend`, `join` and `take-out`: finished jars opened again.

use std::path::{Path, PathBuf};

use clap::Args;
use serde::Serialize;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{
    AddSaid, AmendJars, BatchRecord, JoinJars, MovedSaid, TakeOutOfJar, View,
};
use tarehandd::api::translate;

use super::Place;
use super::attach::{FineArgs, ScaleArgs};
use super::circumstances::CircumstanceArgs;
use super::mix::conclude;
use crate::client::{Client, segment};
use crate::failure::{Exit, Failure};
use crate::files::read_source;
use crate::output::Output;
use crate::service;
use crate::settings::MeasureArgs;
use crate::terminal::{AtEnd, Seat, accompany};
use crate::words::jar_now;

const AMEND_EXAMPLES: &str = "\
Examples:
  tarehand amend K7F2A --add flow-drops=0.4g
  tarehand amend K7F2A M3T8C J4XK7 --add flow-drops=0.4g     jar after jar
  tarehand amend K7F2A --add \"flow-drops=6 drops\" --add \"soft-water=1.5 %\"
  tarehand amend K7F2A --add flow-drops=0.4g --fine-port /dev/ttyUSB1
  tarehand amend K7F2A --add flow-drops=0.4g --hand noor     stop is said as she pours";

const JOIN_EXAMPLES: &str = "\
Examples:
  tarehand join K7F2A into M3T8C
  tarehand join K7F2A into M3T8C --mass 30g
  tarehand join K7F2A into M3T8C --mass 30g --told    it was done without the scale";

const TAKE_OUT_EXAMPLES: &str = "\
Examples:
  tarehand take-out K7F2A --mass 20g --into \"sample cup\"
  tarehand take-out K7F2A --mass 20g
  tarehand take-out K7F2A --told                     the rest was used up";

/// Opens finished jars again and adds something to each.
///
/// Put each jar on the pan as it stands: it is known by what its record says it weighs. What goes in is poured with the
/// stop cue as in any batch, has a record of its own and belongs to the jar from then on. Percent are of what the jar
/// holds.
#[derive(Args, Debug)]
#[command(before_help = AMEND_EXAMPLES)]
pub(crate) struct AmendArgs {
    /// The marks of the batches that made the jars
    #[arg(value_name = "MARK", required = true)]
    marks: Vec<String>,
    /// What goes into each jar, and how much; say it once for each ingredient
    #[arg(long, value_name = "INGREDIENT=AMOUNT", required = true, value_parser = added)]
    add: Vec<AddSaid>,
    /// The shelf [default: shelf.toml here, else in the config folder]
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
    #[command(flatten)]
    bench: GuideArgs,
    #[command(flatten)]
    measures: MeasureArgs,
}

/// Pours one finished jar into another.
///
/// The jar that is poured into stands on the scale. Both records say from then on what is in the jars by raw
/// ingredient.
#[derive(Args, Debug)]
#[command(before_help = JOIN_EXAMPLES)]
pub(crate) struct JoinArgs {
    /// The mark of the jar that is poured
    #[arg(value_name = "MARK")]
    from: String,
    /// The word itself
    #[arg(value_name = "into", value_parser = ["into"])]
    word: String,
    /// The mark of the jar it is poured into
    #[arg(value_name = "MARK")]
    into: String,
    /// How much, or all [default: all]
    #[arg(long, value_name = "MASS", value_parser = how_much)]
    mass: Option<HowMuch>,
    #[command(flatten)]
    told: ToldArgs,
    #[command(flatten)]
    bench: GuideArgs,
}

/// Takes some of the mix out of a finished jar.
#[derive(Args, Debug)]
#[command(before_help = TAKE_OUT_EXAMPLES)]
pub(crate) struct TakeOutArgs {
    /// The mark of the jar
    mark: String,
    /// How much, or all [default: all]
    #[arg(long, value_name = "MASS", value_parser = how_much)]
    mass: Option<HowMuch>,
    /// Into what, in your own words [default: away]
    #[arg(long, value_name = "VESSEL")]
    into: Option<String>,
    #[command(flatten)]
    told: ToldArgs,
    #[command(flatten)]
    bench: GuideArgs,
}

/// Where it is done, and by whom.
#[derive(Args, Clone, Debug)]
pub(super) struct GuideArgs {
    #[command(flatten)]
    scale: ScaleArgs,
    #[command(flatten)]
    fine: FineArgs,
    #[command(flatten)]
    pub(super) circumstances: CircumstanceArgs,
    /// No bell when it is time to stop
    #[arg(long, env = "TAREHAND_QUIET", hide_env_values = true)]
    quiet: bool,
}

/// Whether a scale sees it.
#[derive(Args, Clone, Copy, Debug)]
struct ToldArgs {
    /// Write down that it was done, without a scale: the record says that nobody saw it
    #[arg(long, conflicts_with_all = ["room", "hand"])]
    told: bool,
    /// Answer in JSON, the record
    #[arg(long, requires = "told")]
    json: bool,
}

/// How much of a jar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum HowMuch {
    Mass(Mass),
    All,
}

fn how_much(text: &str) -> Result<HowMuch, String> {
    if text == "all" {
        return Ok(HowMuch::All);
    }
    let mass: Mass = text.parse().map_err(|error| format!("{error}"))?;
    if Mass::ZERO < mass {
        Ok(HowMuch::Mass(mass))
    } else {
        Err("more than nothing is wanted, or `all`".to_owned())
    }
}

fn said(mass: Option<HowMuch>) -> Option<String> {
    match mass {
        Some(HowMuch::Mass(mass)) => Some(mass.to_string()),
        Some(HowMuch::All) | None => None,
    }
}

fn added(text: &str) -> Result<AddSaid, String> {
    let (ingredient, amount) = text
        .split_once('=')
        .ok_or("a name and an amount are wanted, as in flow-drops=0.4g")?;
    let (ingredient, amount) = (ingredient.trim(), amount.trim());
    if ingredient.is_empty() || amount.is_empty() {
        return Err("a name and an amount are wanted, as in flow-drops=0.4g".to_owned());
    }
    Ok(AddSaid {
        ingredient: ingredient.to_owned(),
        amount: amount.to_owned(),
    })
}

/// Adds to finished jars.
pub(crate) async fn amend(
    args: &AmendArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let request = AmendJars {
        marks: args.marks.clone(),
        add: args.add.clone(),
        shelf: shelf_text(args.shelf.as_deref(), place)?,
        measures: translate::measures_said(args.measures.over(place.settings()?.measures)),
        room: args.bench.circumstances.room.clone(),
        hand: args.bench.circumstances.hand.clone(),
    };
    guided("amend", &request, &args.bench, place, output).await
}

/// Reads the shelf: the one named, else the one here, else the common one; nothing where none of them is there.
pub(super) fn shelf_text(named: Option<&Path>, place: &Place) -> Result<Option<String>, Failure> {
    let (own, common) = (PathBuf::from("shelf.toml"), place.folders.shelf());
    let path = match named {
        Some(named) => Some(named.to_owned()),
        None => [own, common].into_iter().find(|path| path.is_file()),
    };
    match path {
        Some(path) => Ok(Some(read_source(&path)?.text().to_owned())),
        None => Ok(None),
    }
}

/// Pours one jar into another.
pub(crate) async fn join(
    args: &JoinArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let mass = said(args.mass);
    if args.told.told {
        let moved = MovedSaid {
            mass,
            jar: Some(args.into.clone()),
            ..MovedSaid::default()
        };
        let client = service::ensure(&place.folders).await?;
        let _from = tell(&args.from, &moved, &client).await?;
        let into: BatchRecord = client
            .get(&format!("/v1/batches/{}", segment(&args.into)))
            .await?;
        return show(&into, args.told, output);
    }
    let request = JoinJars {
        from: args.from.clone(),
        into: args.into.clone(),
        mass,
        room: args.bench.circumstances.room.clone(),
        hand: args.bench.circumstances.hand.clone(),
    };
    guided("join", &request, &args.bench, place, output).await
}

/// Takes some of a jar out.
pub(crate) async fn take_out(
    args: &TakeOutArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let mass = said(args.mass);
    if args.told.told {
        let moved = MovedSaid {
            mass,
            into: args.into.clone(),
            ..MovedSaid::default()
        };
        let client = service::ensure(&place.folders).await?;
        let record = tell(&args.mark, &moved, &client).await?;
        return show(&record, args.told, output);
    }
    let request = TakeOutOfJar {
        from: args.mark.clone(),
        mass,
        into: args.into.clone(),
        room: args.bench.circumstances.room.clone(),
        hand: args.bench.circumstances.hand.clone(),
    };
    guided("take-out", &request, &args.bench, place, output).await
}

async fn tell(mark: &str, moved: &MovedSaid, client: &Client) -> Result<BatchRecord, Failure> {
    let path = format!("/v1/batches/{}/moved", segment(mark));
    Ok(client.post(&path, moved).await?)
}

fn show(record: &BatchRecord, told: ToldArgs, output: &mut Output) -> Result<Exit, Failure> {
    if told.json {
        output.json(record)?;
    } else {
        output.data(jar_now(record, output.width()))?;
        output.suggest(format_args!("tarehand log show {}", record.summary.mark));
    }
    Ok(Exit::Done)
}

/// Opens it on the bench and stays with it.
pub(super) async fn guided(
    what: &str,
    request: &(impl Serialize + Sync),
    args: &GuideArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let settings = place.settings()?;
    let client = service::ensure(&place.folders).await?;
    let taps = settings.bench.taps;
    args.scale.attach(&client, taps, output).await?;
    let bench = args.scale.bench_path();
    args.fine.attach(&client, &bench, taps).await?;
    let path = format!("{bench}/{what}");
    let _view: View = client.post(&path, request).await?;
    let seat = Seat {
        bench: &args.scale.bench,
        bell: settings.terminal.bell && !args.quiet,
        keys: &settings.keys,
        at_end: AtEnd::Stay,
    };
    let ending = accompany(&client, &seat, output).await?;
    Ok(conclude(&ending, output))
}
