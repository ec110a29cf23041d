//! `tarehand completions`: what a shell can complete.

use clap::{Args, CommandFactory};
use clap_complete::{Shell, generate};

use crate::args::Cli;
use crate::failure::{Exit, Failure};
use crate::output::Output;

/// Writes completions for a shell.
#[derive(Args, Debug)]
#[command(
    before_help = "Examples:\n  tarehand completions bash > ~/.local/share/bash-completion/completions/tarehand"
)]
pub(crate) struct CompletionsArgs {
    /// The shell
    shell: Shell,
}

/// Writes the completions.
pub(crate) fn run(args: &CompletionsArgs, output: &mut Output) -> Result<Exit, Failure> {
    let mut text = Vec::new();
    generate(args.shell, &mut Cli::command(), "tarehand", &mut text);
    output.data(String::from_utf8_lossy(&text).trim_end())?;
    Ok(Exit::Done)
}
