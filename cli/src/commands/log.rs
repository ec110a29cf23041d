//! `tarehand log`: the record of batches.

mod compare;
mod csv;
mod export;
mod html;
mod keep;
mod list;
mod lot;
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
  tarehand log show K7F2A
  tarehand log compare K7F2A M3T8C
  tarehand log lot B7-114              which jars have it, through premixes too
  tarehand log plot K7F2A > k7f2a.svg
  tarehand log outcome K7F2A \"dried clear\" --picture panel-3.jpg
  tarehand log export --format csv > batches.csv
  tarehand log export --format html > studio.html
  tarehand log backup ~/backups/studio.db";

/// Reads the record of batches; nothing in it is ever overwritten.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct LogArgs {
    #[command(subcommand)]
    command: LogCommand,
}

#[derive(Debug, Subcommand)]
enum LogCommand {
    #[command(about = "List batches, newest first")]
    List(list::ListArgs),
    #[command(about = "Show one batch whole")]
    Show(show::ShowArgs),
    #[command(about = "Show two batches side by side")]
    Compare(compare::CompareArgs),
    #[command(about = "Say which jars have something of a lot")]
    Lot(lot::LotArgs),
    #[command(about = "Draw the weight over time of a batch")]
    Plot(plot::PlotArgs),
    #[command(about = "Say what became of a jar, days later")]
    Outcome(outcome::OutcomeArgs),
    #[command(about = "Write batches out for other programs")]
    Export(export::ExportArgs),
    #[command(about = "Take in batches of another log")]
    Import(keep::ImportArgs),
    #[command(about = "Copy the log into a file")]
    Backup(keep::BackupArgs),
    #[command(about = "Put a copy in the place of the log")]
    Restore(keep::RestoreArgs),
    #[command(about = "Say whether the log is whole")]
    Verify(keep::VerifyArgs),
}

/// Reads the record.
pub(crate) async fn run(
    args: &LogArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    // Only what needs the service starts it.
    let client = async || service::ensure(&place.folders).await;
    match &args.command {
        LogCommand::List(args) => list::run(args, &client().await?, output).await,
        LogCommand::Show(args) => show::run(args, &client().await?, output).await,
        LogCommand::Compare(args) => compare::run(args, &client().await?, output).await,
        LogCommand::Lot(args) => lot::run(args, &client().await?, output).await,
        LogCommand::Plot(args) => plot::run(args, &client().await?, output).await,
        LogCommand::Outcome(args) => outcome::run(args, &client().await?, output).await,
        LogCommand::Export(args) => export::run(args, &client().await?, output).await,
        LogCommand::Import(args) => keep::import(args, &client().await?, output).await,
        LogCommand::Backup(args) => keep::backup(args, &client().await?, output).await,
        LogCommand::Verify(args) => keep::verify(args, client, output).await,
        LogCommand::Restore(args) => keep::restore(args, place, output),
    }
}
