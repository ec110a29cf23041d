//! `tarehand next`, `answer` and the other words a bench understands.

use std::str::FromStr;

use clap::Args;
use tarehand_protocol::api::{AnswerWord, CommandRequest, CommandWord, View};

use super::Place;
use crate::args::BenchArgs;
use crate::client::segment;
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::service;
use crate::terminal::command;
use crate::words::told;

/// Answers what is asked.
#[derive(Args, Debug)]
#[command(before_help = "Examples:\n  tarehand answer yes\n  tarehand answer 2")]
pub(crate) struct AnswerArgs {
    /// yes, no, or the number of an option
    answer: Reply,
    #[command(flatten)]
    bench: BenchArgs,
}

/// An answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Reply {
    Word(AnswerWord),
    Option(u8),
}

impl FromStr for Reply {
    type Err = &'static str;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        match text {
            "yes" | "y" => Ok(Self::Word(AnswerWord::Yes)),
            "no" | "n" => Ok(Self::Word(AnswerWord::No)),
            number => match number.parse() {
                Ok(0) | Err(_) => Err("the answer is yes, no, or the number of an option"),
                Ok(option) => Ok(Self::Option(option)),
            },
        }
    }
}

/// Says what was really poured last.
///
/// Name it by its key in the recipe or on the shelf. What was booked moves over, and the step it was booked for is
/// open again.
#[derive(Args, Debug)]
#[command(before_help = "Examples:\n  tarehand was-other linen-white")]
pub(crate) struct WasOtherArgs {
    /// The ingredient it really was
    ingredient: String,
    #[command(flatten)]
    bench: BenchArgs,
}

/// Writes down a measured trail.
#[derive(Args, Debug)]
#[command(
    before_help = "Examples:\n  tarehand trail 2.5\n  tarehand trail 0        it leaves none"
)]
pub(crate) struct TrailArgs {
    /// Seconds until a line drawn with the stick sinks back
    #[arg(value_parser = seconds)]
    seconds: f64,
    #[command(flatten)]
    bench: BenchArgs,
}

fn seconds(text: &str) -> Result<f64, &'static str> {
    match text.parse::<f64>() {
        Ok(seconds) if (0.0..=3600.0).contains(&seconds) => Ok(seconds),
        _ => Err("seconds are wanted, from 0 to 3600"),
    }
}

/// Writes a remark into the record.
#[derive(Args, Debug)]
#[command(before_help = "Examples:\n  tarehand remark \"new tube of black from here on\"")]
pub(crate) struct RemarkArgs {
    /// The remark
    text: String,
    #[command(flatten)]
    bench: BenchArgs,
}

/// Says a word that needs nothing else.
pub(crate) async fn run(
    word: CommandWord,
    args: &BenchArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    say(command(word), args, place, output).await
}

/// Answers what is asked.
pub(crate) async fn answer(
    args: &AnswerArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let mut request = command(CommandWord::Answer);
    match args.answer {
        Reply::Word(word) => request.answer = Some(word),
        Reply::Option(option) => request.option = Some(option),
    }
    say(request, &args.bench, place, output).await
}

/// Says what was really poured last.
pub(crate) async fn was_other(
    args: &WasOtherArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let request = CommandRequest {
        ingredient: Some(args.ingredient.clone()),
        ..command(CommandWord::WasOther)
    };
    say(request, &args.bench, place, output).await
}

/// Writes down a measured trail.
pub(crate) async fn trail(
    args: &TrailArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let request = CommandRequest {
        seconds: Some(args.seconds),
        ..command(CommandWord::Trail)
    };
    say(request, &args.bench, place, output).await
}

/// Writes a remark into the record.
pub(crate) async fn remark(
    args: &RemarkArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let request = CommandRequest {
        text: Some(args.text.clone()),
        ..command(CommandWord::Remark)
    };
    say(request, &args.bench, place, output).await
}

/// Says something to a bench, and tells what is to be done now.
pub(super) async fn say(
    request: CommandRequest,
    args: &BenchArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let client = service::running(&place.folders).await?;
    let path = format!("/v1/benches/{}/commands", segment(&args.bench));
    let view: View = client.post(&path, &request).await?;
    if args.json {
        output.json(&view)?;
        return Ok(Exit::Done);
    }
    output.data(told(&view).line(&view.doing))?;
    output.suggest(match (&view.question, &view.batch) {
        (Some(question), _) if question.options.is_empty() => {
            "tarehand answer yes, or no".to_owned()
        }
        (Some(_), _) => "tarehand answer NUMBER".to_owned(),
        (None, Some(mark)) if crate::terminal::is_over(&view) => {
            format!("tarehand log show {mark}")
        }
        (None, _) => "tarehand mix, to see the batch".to_owned(),
    });
    Ok(Exit::Done)
}
