//! `tarehand log`: the record of batches.

mod csv;
mod export;
mod html;
mod list;
mod outcome;
mod plot;
mod show;

use clap::{Args, Subcommand};

use super::Place;
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::service;

const EXAMPLES: &str = "\
Examples:
  tarehand log list --find grey
  tarehand log list --with B7-114 --from 2026-11-01    what an ingredient or a lot went into
  tarehand log show K7Q2
  tarehand log plot K7Q2 > k7q2.svg
  tarehand log outcome K7Q2 \"dried clear\" --picture panel-3.jpg
  tarehand log export --format csv > batches.csv
  tarehand log export --format html > studio.html";

/// Reads the record of batches; nothing in it is ever overwritten.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct LogArgs {
    #[command(subcommand)]
    command: LogCommand,
}

#[derive(Debug, Subcommand)]
enum LogCommand {
    /// List batches, newest first
    List(list::ListArgs),
    /// Show one batch whole
    Show(show::ShowArgs),
    /// Draw the weight over time of a batch
    Plot(plot::PlotArgs),
    /// Say what became of a jar, days later
    Outcome(outcome::OutcomeArgs),
    /// Write batches out for other programs
    Export(export::ExportArgs),
}

/// Reads the record.
pub(crate) async fn run(
    args: &LogArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let client = service::ensure(&place.folders).await?;
    match &args.command {
        LogCommand::List(args) => list::run(args, &client, output).await,
        LogCommand::Show(args) => show::run(args, &client, output).await,
        LogCommand::Plot(args) => plot::run(args, &client, output).await,
        LogCommand::Outcome(args) => outcome::run(args, &client, output).await,
        LogCommand::Export(args) => export::run(args, &client, output).await,
    }
}
