//! `tarehand size`: a recipe in grams for one jar.

use std::path::PathBuf;

use clap::Args;
use tarehand_mixing::sizing;

use super::choose::ReadArgs;
use super::goal::GoalArgs;
use super::recipe::good;
use super::{Place, drawn};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::words::{quoted, shelf_again, sized_page};
use tarehandd::api::translate;

const EXAMPLES: &str = "\
Examples:
  tarehand size lagoon-round.toml --make 250g
  tarehand size lagoon-round.toml --from lagoon-paste=30g
  tarehand size lagoon-round.toml --jar 200ml --json
  tarehand size shore-glaze.toml --make 160g --choose finish=matt";

/// Says how many grams of everything a jar needs; nothing is mixed.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
#[command(group = clap::ArgGroup::new("goal").required(true).args(["make", "from", "jar"]))]
pub(crate) struct SizeArgs {
    /// The recipe file
    recipe: PathBuf,
    #[command(flatten)]
    goal: GoalArgs,
    /// The shelf [default: shelf.toml beside the recipe, else in the config folder]
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    read: ReadArgs,
}

/// Sizes the recipe.
pub(crate) async fn run(
    args: &SizeArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let settings = args.read.settings(place)?;
    let folder = place.folder(&args.recipe, args.shelf.as_deref())?;
    let folder = drawn::with_stock(folder, settings.measures, place, output).await;
    let good = good(&folder.stem, &folder.sources, &settings, output)?;
    let goal = args.goal.goal(&good.recipe, settings.measures)?;
    let sizing = sizing::size(&good.recipe, &goal).map_err(|error| Failure::Refused {
        what: error.to_string(),
        hint: Some("name another size with --make, --from or --jar".to_owned()),
    })?;
    let message = translate::sized_procedure(
        &sizing,
        good.remarks
            .iter()
            .map(translate::diagnostic_line)
            .collect(),
    );
    if args.json {
        output.json(&message)?;
        return Ok(Exit::Done);
    }
    output.data(sized_page(&message, output.width()))?;
    for note in sizing.notes() {
        output.say(format_args!("note: {note}"));
    }
    output.suggest(format_args!(
        "tarehand mix {} --make {}g{}{}",
        quoted(&args.recipe.display().to_string()),
        message.total_g,
        shelf_again(args.shelf.as_deref()),
        args.read.again(),
    ));
    Ok(Exit::Done)
}
