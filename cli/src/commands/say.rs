//! `tarehand next`, `answer` and the other words a bench understands.

use std::str::FromStr;

use clap::Args;
use tarehand_mixing::flow_cup::{FlowCupError, FlowTime};
use tarehand_mixing::trail::Trail;
use tarehand_protocol::api::{AnswerWord, CommandRequest, CommandWord, View};

use super::Place;
use crate::args::BenchArgs;
use crate::client::segment;
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::service;
use crate::terminal::command;
use crate::words::{option_line, told};

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

/// Says which jar of the set stands on the pan.
///
/// Jars are known by their weight; this is for the moment when one was mistaken for another. Name it by its recipe.
#[derive(Args, Debug)]
#[command(before_help = "Examples:\n  tarehand jar-is lagoon-round")]
pub(crate) struct JarIsArgs {
    /// The jar's recipe
    jar: String,
    #[command(flatten)]
    bench: BenchArgs,
}

/// Writes down a measured trail, or times it.
///
/// The trail is how long a line drawn with the stick takes to sink back. Each one is kept with what the jar held, and
/// the next splash of a thinning step comes from them. Where the mix is too thin the ways out are asked: more of it without
/// thinner, the same from a jar made before, or left so.
#[derive(Args, Debug)]
#[command(
    before_help = "Examples:\n  tarehand trail 2.5\n  tarehand trail 0        it leaves none\n  \
        tarehand trail start    the line is drawn\n  tarehand trail stop     it has sunk back"
)]
pub(crate) struct TrailArgs {
    /// Seconds until a line drawn with the stick sinks back; start and stop time it
    #[arg(value_name = "SECONDS|start|stop")]
    trail: Tap,
    #[command(flatten)]
    bench: BenchArgs,
}

/// What is said of a trail.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Tap {
    Seconds(Trail),
    Start,
    Stop,
}

impl FromStr for Tap {
    type Err = &'static str;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        match text {
            "start" => Ok(Self::Start),
            "stop" => Ok(Self::Stop),
            seconds => match seconds.parse().map(Trail::from_seconds) {
                Ok(Ok(trail)) => Ok(Self::Seconds(trail)),
                Ok(Err(_)) | Err(_) => Err("seconds from 0 to 600 are wanted, or start, or stop"),
            },
        }
    }
}

/// Writes down what a flow cup says.
///
/// A flow cup gives a kinematic viscosity (ISO 2431, ASTM D 1200); it is kept in the record, and never compared with
/// a trail. Known are iso-3, iso-4, iso-5, iso-6, ford-3 and ford-4.
#[derive(Args, Debug)]
#[command(before_help = "Examples:\n  tarehand cup 60 s iso-4\n  tarehand cup 46 ford-4")]
pub(crate) struct CupArgs {
    /// The seconds it took to run out, and the cup
    #[arg(required = true, num_args = 1..=3, value_name = "TIME")]
    time: Vec<String>,
    #[command(flatten)]
    bench: BenchArgs,
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

/// Says which jar of the set stands on the pan.
pub(crate) async fn jar_is(
    args: &JarIsArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let request = CommandRequest {
        jar: Some(args.jar.clone()),
        ..command(CommandWord::JarIs)
    };
    say(request, &args.bench, place, output).await
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

/// Writes down a measured trail, or times it.
pub(crate) async fn trail(
    args: &TrailArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let request = match args.trail {
        Tap::Seconds(trail) => CommandRequest {
            seconds: Some(trail.seconds()),
            ..command(CommandWord::Trail)
        },
        Tap::Start => command(CommandWord::TrailStart),
        Tap::Stop => command(CommandWord::TrailStop),
    };
    say(request, &args.bench, place, output).await
}

/// Writes down what a flow cup says, and tells the viscosity.
pub(crate) async fn cup(
    args: &CupArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let time: FlowTime =
        args.time
            .join(" ")
            .parse()
            .map_err(|error: FlowCupError| Failure::Usage {
                what: error.to_string(),
                hint: "write for example: tarehand cup 60 s iso-4".to_owned(),
            })?;
    let request = CommandRequest {
        text: Some(format!("{} s {}", time.seconds(), time.cup().word())),
        ..command(CommandWord::FlowCup)
    };
    if !args.bench.json {
        output.data(format!("{:.0} mm²/s", time.viscosity_mm2_s()))?;
    }
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
    for option in view.question.iter().flat_map(|question| &question.options) {
        output.data(option_line(option))?;
    }
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
