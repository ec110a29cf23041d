//! `tarehand shelf list`.

use clap::Args;
use tarehand_mixing::shelf::warnings;
use tarehandd::api::translate::shelf_stock;
use tarehandd::clock::today;

use super::{FileArgs, Place, drawn};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::words::shelf_page;

/// Lists what is left, pack by pack, and what is worth a second look.
#[derive(Args, Debug)]
#[command(before_help = "Examples:\n  tarehand shelf list\n  tarehand shelf list --json")]
pub(super) struct ListArgs {
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

/// Lists the shelf.
pub(super) async fn run(
    args: &ListArgs,
    file: &FileArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let (file, measures) = (file.read(place)?, file.measures(place)?);
    let shelf = file.parsed(measures, output)?;
    let known = drawn::ask(file.source(), measures, place).await?;
    if known.is_none() {
        output.say(
            "the service is not running: what batches drew since is not taken off; `tarehand log list` starts it",
        );
    }
    let drawn = known.clone().unwrap_or_default();
    let warnings = warnings(&shelf, &drawn, today());
    let list = shelf_stock(&shelf, &drawn, known.is_some(), &warnings);
    if args.json {
        output.json(&list)?;
        return Ok(Exit::Done);
    }
    if shelf.is_empty() {
        output.say("nothing is on the shelf");
        output.suggest("tarehand shelf add chalk-white --holds 1kg");
        return Ok(Exit::Done);
    }
    output.data(shelf_page(&list, output.width()))?;
    Ok(Exit::Done)
}
