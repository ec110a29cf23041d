//! `tarehand abort`: give the batch up.

use clap::Args;
use tarehand_protocol::api::CommandWord;

use super::{Place, say};
use crate::args::BenchArgs;
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::terminal::command;

/// Gives the batch up; what went into the jar stays in the record.
#[derive(Args, Debug)]
#[command(before_help = "Examples:\n  tarehand abort\n  tarehand abort --yes")]
pub(crate) struct AbortArgs {
    /// Do not ask
    #[arg(long)]
    yes: bool,
    #[command(flatten)]
    bench: BenchArgs,
}

/// Gives the batch up.
pub(crate) async fn run(
    args: &AbortArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    if !args.yes {
        if !Output::can_ask() {
            return Err(Failure::Usage {
                what: "there is no terminal to ask on whether the batch is really to be given up"
                    .to_owned(),
                hint: "say it: tarehand abort --yes".to_owned(),
            });
        }
        let question = format!("Give up the batch on `{}`?", args.bench.bench);
        if !output.confirm(&question) {
            output.say("nothing was changed");
            return Ok(Exit::Done);
        }
    }
    say::say(command(CommandWord::Abort), &args.bench, place, output).await
}
