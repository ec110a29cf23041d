//! The commands, one a file.
//!
//! What several of them share:
//!
//! | file | idea |
//! |---|---|
//! | `attach`, `hear` | getting a bench its scale, to weigh with or only to hear |
//! | `goal`, `choose`, `circumstances` | flags: how much, what of what is left open, whose hand and which room |
//! | `recipe`, `drawn` | the recipe a command works with, and the stock the log knows |
//! | `target` | where a text goes: standard output, or a file that is not lost by mistake |

pub(crate) mod abort;
pub(crate) mod adopt;
pub(crate) mod amend;
mod attach;
pub(crate) mod check;
pub(crate) mod choose;
mod circumstances;
pub(crate) mod completions;
mod drawn;
mod goal;
mod hear;
pub(crate) mod label;
pub(crate) mod learnt;
pub(crate) mod log;
pub(crate) mod man;
pub(crate) mod mix;
pub(crate) mod page;
pub(crate) mod plan;
mod recipe;
pub(crate) mod rehearse;
pub(crate) mod repeat;
pub(crate) mod rescue;
pub(crate) mod say;
pub(crate) mod scales;
pub(crate) mod serve;
pub(crate) mod share;
pub(crate) mod shelf;
pub(crate) mod size;
pub(crate) mod status;
pub(crate) mod stop;
mod target;
mod teach;
pub(crate) mod watch;

use std::path::Path;
use std::process::ExitCode;

use tarehand_protocol::api::CommandWord;
use tarehandd::folders::Folders;

use crate::args::{Cli, Command};
use crate::failure::{Exit, Failure};
use crate::files::Folder;
use crate::output::Output;
use crate::settings::{self, Settings};

/// What every command may need of its surroundings.
pub(crate) struct Place {
    /// Where things are kept.
    pub(crate) folders: Folders,
}

impl Place {
    /// Reads the person's settings.
    fn settings(&self) -> Result<Settings, Failure> {
        Ok(settings::read(&self.folders.settings())?)
    }

    /// Reads a recipe or a set with what lies beside it; the shelf is the one named, else the one beside it or the common one.
    fn folder(&self, file: &Path, shelf: Option<&Path>) -> Result<Folder, Failure> {
        Ok(Folder::read(file, shelf, &self.folders.shelf())?)
    }
}

/// Carries a command out.
pub(crate) fn run(cli: &Cli, output: &mut Output) -> Result<ExitCode, Failure> {
    // Neither needs a home; both are run while packages are built.
    match &cli.command {
        Command::Completions(args) => return completions::run(args, output).map(Into::into),
        Command::Man(args) => return man::run(args, output).map(Into::into),
        Command::Serve(args) => return Ok(serve::run(args, &cli.folders)),
        _ => {}
    }
    let folders = Folders::resolve(&cli.folders)?;
    let place = Place { folders };
    // One thread is enough: a command waits for one thing at a time.
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .map_err(|source| Failure::Refused {
            what: format!("cannot prepare to wait for the service: {source}"),
            hint: None,
        })?;
    let exit = runtime.block_on(carry_out(&cli.command, &place, output))?;
    Ok(exit.into())
}

async fn carry_out(command: &Command, place: &Place, output: &mut Output) -> Result<Exit, Failure> {
    match command {
        Command::Rehearse(args) => rehearse::run(args, place, output).await,
        Command::Mix(args) => mix::run(args, place, output).await,
        Command::Page(args) => page::run(args, place, output).await,
        Command::Watch(args) => watch::run(args, place, output).await,
        Command::Check(args) => check::run(args, place, output),
        Command::Size(args) => size::run(args, place, output).await,
        Command::Plan(args) => plan::run(args, place, output).await,
        Command::Rescue(args) => rescue::run(args, place, output).await,
        Command::Shelf(args) => shelf::run(args, place, output).await,
        Command::Share(args) => share::run(args, place, output).await,
        Command::Adopt(args) => adopt::run(args, place, output).await,
        Command::Amend(args) => amend::amend(args, place, output).await,
        Command::Join(args) => amend::join(args, place, output).await,
        Command::Repeat(args) => repeat::run(args, place, output).await,
        Command::TakeOut(args) => amend::take_out(args, place, output).await,
        Command::Scales(args) => scales::run(args, place, output).await,
        Command::Learnt(args) => learnt::run(args, place, output).await,
        Command::Label(args) => label::run(args, place, output).await,
        Command::Log(args) => log::run(args, place, output).await,
        Command::Status(args) => status::run(args, place, output).await,
        Command::Next(args) => say::run(CommandWord::Next, args, place, output).await,
        Command::Back(args) => say::run(CommandWord::Back, args, place, output).await,
        Command::Pause(args) => say::run(CommandWord::Pause, args, place, output).await,
        Command::Resume(args) => say::run(CommandWord::Resume, args, place, output).await,
        Command::Undo(args) => say::run(CommandWord::Undo, args, place, output).await,
        Command::Skip(args) => say::run(CommandWord::Skip, args, place, output).await,
        Command::Tared(args) => say::run(CommandWord::Tared, args, place, output).await,
        Command::Bottle(args) => say::run(CommandWord::WeighOut, args, place, output).await,
        Command::Jar(args) => say::run(CommandWord::WeighIn, args, place, output).await,
        Command::Answer(args) => say::answer(args, place, output).await,
        Command::RanOut(args) => say::run(CommandWord::RanOut, args, place, output).await,
        Command::WasOther(args) => say::was_other(args, place, output).await,
        Command::JarIs(args) => say::jar_is(args, place, output).await,
        Command::Trail(args) => say::trail(args, place, output).await,
        Command::Cup(args) => say::cup(args, place, output).await,
        Command::Remark(args) => say::remark(args, place, output).await,
        Command::Abort(args) => abort::run(args, place, output).await,
        Command::Stop(args) => stop::run(args, place, output).await,
        Command::Completions(args) => completions::run(args, output),
        Command::Man(args) => man::run(args, output),
        Command::Serve(_) => Ok(Exit::Usage),
    }
}
