//! `tarehand shelf test`.

use clap::Args;
use tarehand_mixing::shelf::{Date, DryResult};
use tarehandd::clock::today;

use super::{FileArgs, Place, date, key};
use crate::failure::{Exit, Failure};
use crate::output::Output;

const EXAMPLES: &str = "\
Examples:
  tarehand shelf test clear-binder clear --lot B7-114 --room \"21 C, 45 %\"
  tarehand shelf test clear-binder cloudy --lot B7-114 --date 2026-11-02";

/// Writes down how a film of an ingredient dried; a bad one is warned of while its lot is in use.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(super) struct TestArgs {
    /// The ingredient's key
    #[arg(value_parser = key)]
    key: String,
    /// How it dried: clear, cloudy, tacky or crazed
    #[arg(value_parser = result)]
    result: DryResult,
    /// Of which lot
    #[arg(long)]
    lot: Option<String>,
    /// How warm and damp the room was
    #[arg(long)]
    room: Option<String>,
    /// When it was looked at [default: today]
    #[arg(long, value_parser = date)]
    date: Option<Date>,
}

fn result(text: &str) -> Result<DryResult, String> {
    DryResult::from_word(text).ok_or_else(|| {
        let words = DryResult::ALL.map(DryResult::word).join(", ");
        format!("it is one of {words}")
    })
}

/// Writes down a dry test.
pub(super) fn run(
    args: &TestArgs,
    file: &FileArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let shelf = file.read(place)?;
    let mut edit = shelf.edit()?;
    let mut fields = vec![("date", args.date.unwrap_or_else(today).to_string())];
    fields.extend(args.lot.clone().map(|lot| ("lot", lot)));
    fields.push(("result", args.result.to_string()));
    fields.extend(args.room.clone().map(|room| ("room", room)));
    edit.push(&args.key, "dry_test", &fields)?;
    shelf.replace(&edit, file.measures(place)?, output)?;
    output.say(format_args!("{}: dried {}", args.key, args.result));
    Ok(Exit::Done)
}
