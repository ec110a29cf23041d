//! `tarehand abort`: give the batch up, or all jars of a set.

use clap::Args;
use tarehand_protocol::api::{BatchStateWord, CommandWord, JarLine, View};

use super::{Place, say};
use crate::args::BenchArgs;
use crate::client::{Client, segment};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::service;
use crate::terminal::command;
use crate::words::shown;

/// Gives the batch up; what went into the jar stays in the record.
///
/// Of a set it is the jar that is shown, and the others go on; --whole-set gives up all that are not made yet.
#[derive(Args, Debug)]
#[command(
    before_help = "Examples:\n  tarehand abort\n  tarehand abort --yes\n  tarehand abort --whole-set"
)]
pub(crate) struct AbortArgs {
    /// Give up every jar of the set that is not made yet
    #[arg(long)]
    whole_set: bool,
    /// Do not ask
    #[arg(long)]
    yes: bool,
    #[command(flatten)]
    bench: BenchArgs,
}

/// Gives up the batch, or the jars of a set.
pub(crate) async fn run(
    args: &AbortArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    if !args.yes && !Output::can_ask() {
        return Err(Failure::Usage {
            what: "there is no terminal to ask on whether the batch is really to be given up"
                .to_owned(),
            hint: "say it: tarehand abort --yes".to_owned(),
        });
    }
    let client = service::running(&place.folders).await?;
    let view = bench_now(&client, args).await?;
    if !args.yes && !output.confirm(&question(args, &view)) {
        output.say("nothing was changed");
        return Ok(Exit::Done);
    }
    let open = open_jars(&view).count();
    let jar = view.jars.iter().find(|jar| jar.shown);
    let all = if args.whole_set { open.max(1) } else { 1 };
    // Of several jars the word is for the one that is shown: each time another one.
    for _ in 1..all {
        let path = format!("/v1/benches/{}/commands", segment(&args.bench.bench));
        let _view: View = client.post(&path, &command(CommandWord::Abort)).await?;
    }
    let done = say::say(command(CommandWord::Abort), &args.bench, place, output).await?;
    match jar {
        Some(jar) if all < open => output.say(format_args!(
            "{} is given up, the other jars of the set go on; all of them: tarehand abort --whole-set",
            shown(&jar.name)
        )),
        _ => {}
    }
    Ok(done)
}

async fn bench_now(client: &Client, args: &AbortArgs) -> Result<View, Failure> {
    let path = format!("/v1/benches/{}", segment(&args.bench.bench));
    Ok(client.get(&path).await?)
}

fn open_jars(view: &View) -> impl Iterator<Item = &JarLine> {
    let over = [BatchStateWord::Complete, BatchStateWord::Aborted];
    view.jars
        .iter()
        .filter(move |jar| !over.contains(&jar.state))
}

fn question(args: &AbortArgs, view: &View) -> String {
    let jar = view.jars.iter().find(|jar| jar.shown);
    match (open_jars(view).count(), jar) {
        (open @ 2.., _) if args.whole_set => {
            format!("Give up all {open} jars of the set that are not made yet?")
        }
        (2.., Some(jar)) => format!(
            "Give up {}? The other jars of the set go on.",
            shown(&jar.name)
        ),
        _ => format!("Give up the batch on `{}`?", args.bench.bench),
    }
}
