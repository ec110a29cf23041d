//! `tarehand plan`: what a set of jars takes.

use std::path::PathBuf;

use clap::Args;
use tarehand_mixing::diagnostic::Diagnostic;
use tarehand_mixing::plan::{self, Plan};
use tarehand_mixing::recipe::Settings;
use tarehand_mixing::set::{self, Set};
use tarehand_mixing::shelf::Shelf;
use tarehandd::api::translate;

use super::choose::ReadArgs;
use super::recipe::say_worth;
use super::{Place, drawn};
use crate::failure::{Exit, Failure};
use crate::files::Folder;
use crate::output::Output;
use crate::words::{plan_page, pours_page};

const EXAMPLES: &str = "\
Examples:
  tarehand plan eight-rounds.toml
  tarehand plan eight-rounds.toml --pours
  tarehand plan eight-rounds.toml --choose finish=matt
  tarehand plan eight-rounds.toml --shelf studio-shelf.toml --json";

/// Says what a set of jars takes: grams of every jar, premixes, the shelf, the cost, and in which order to work.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct PlanArgs {
    /// The set file
    set: PathBuf,
    /// Show every pour of the shorter walk too
    #[arg(long)]
    pours: bool,
    /// The shelf [default: shelf.toml beside the set, else in the config folder]
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    read: ReadArgs,
}

/// Plans the set.
pub(crate) async fn run(
    args: &PlanArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let settings = args.read.settings(place)?;
    // The set is read as one of the folder's files, so that messages can show its lines.
    let folder = place.folder(&args.set, args.shelf.as_deref())?;
    let folder = drawn::with_stock(folder, settings.measures, place, output).await;
    let planned = planned(&folder, &settings, output)?;
    let lines = planned.remarks.iter().map(translate::diagnostic_line);
    let answer = translate::plan_answer(&planned.set, &planned.plan, lines.collect());
    if args.json {
        output.json(&answer)?;
    } else {
        output.data(plan_page(&answer, output.width()))?;
        if args.pours {
            output.data(format_args!("\n{}", pours_page(&answer, output.width())))?;
        }
    }
    Ok(Exit::Done)
}

/// A set that was planned, and what was said about it.
pub(crate) struct Planned {
    /// The set.
    pub(crate) set: Set,
    /// What it takes.
    pub(crate) plan: Plan,
    /// The shelf it was planned with.
    pub(crate) shelf: Shelf,
    /// Warnings and notes on its files.
    remarks: Vec<Diagnostic>,
}

/// Checks and plans the set of a folder; what is wrong with it is shown before the command ends.
pub(crate) fn planned(
    folder: &Folder,
    settings: &Settings,
    output: &mut Output,
) -> Result<Planned, Failure> {
    let sources = &folder.sources;
    let source = folder.written();
    if set::is_recipe(&source) {
        return Err(Failure::Refused {
            what: format!("`{}` is a recipe, not a set of jars", folder.stem),
            hint: Some(format!(
                "tarehand size {0}.toml --make 250g says what it takes; a set names recipes: [set], then [[jar]] and recipe = \"{0}\"",
                folder.stem
            )),
        });
    }
    let checked = set::check(&source, sources, settings);
    say_worth(&checked.diagnostics, sources, output);
    let set = checked.set.ok_or_else(|| Failure::Refused {
        what: format!("`{}` cannot be planned as it is written", folder.stem),
        hint: Some("put right what is marked above, then plan it again".to_owned()),
    })?;
    let plan = plan::plan(&set, &checked.shelf).map_err(|error| Failure::Refused {
        what: error.to_string(),
        hint: Some("change the surface or the shares".to_owned()),
    })?;
    Ok(Planned {
        set,
        plan,
        shelf: checked.shelf,
        remarks: checked.diagnostics,
    })
}
