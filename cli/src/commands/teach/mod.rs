//! `tarehand scales teach`: a scale that nobody described is learnt from known weights.
//!
//! | file | idea |
//! |---|---|
//! | `live` | a lesson at the scale: what is asked, one thing after the other |
//! | `captures` | the same from captures, without a question |
//! | `ear`, `notes` | all that may happen in a lesson, and what was heard and said |
//! | `words`, `line`, `rhythm` | what is asked and what an answer means; how the line is opened, and when the scale speaks |
//! | `learning`, `slip` | what explains it, and one slip without which it would |
//! | `proof` | one more weight, read by what was learnt |
//! | `taught` | what came of it, in words, in JSON and as a profile |

mod captures;
mod ear;
mod learning;
mod line;
mod live;
mod notes;
mod proof;
mod rhythm;
mod slip;
mod taught;
mod words;

use std::path::PathBuf;

use clap::Args;
use tarehand_protocol::scale::Profile;
use tarehand_protocol::scale::profile::{Serial, Settings};

use super::Place;
use super::attach::ScaleArgs;
use crate::failure::{Exit, Failure};
use crate::output::Output;

const EXAMPLES: &str = "\
Examples:
  tarehand scales teach --port /dev/ttyUSB0
  tarehand scales teach --line 2400-7E1 --capture lesson.jsonl
  tarehand scales teach --from lesson.jsonl -o window-scale.toml";

/// Learns how a scale speaks while things of known weight stand on its pan, and writes its profile.
///
/// It asks for an empty pan, two or three known weights and a hand that presses and lifts the pan; Enter goes on. Have
/// ready: something of about a fifth, a half and nearly all of what the scale carries, and never more than that. What it
/// learnt it proves on one more weight. Where two explanations remain it asks for the weight that tells them apart; it
/// never guesses. --unit is the unit that the display shows. Of a --profile the name and the tables serial, poll and
/// bluetooth are taken over: a scale on Bluetooth needs the last.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct TeachArgs {
    /// Learn from a capture with its notes of the pan, without a scale; say it again for more of the same scale
    #[arg(long, value_name = "FILE", conflicts_with_all = ["port", "radio", "capture"])]
    from: Vec<PathBuf>,
    #[command(flatten)]
    scale: ScaleArgs,
    /// How the serial line is opened, as in 2400 or 2400-7E1 [default: 9600-8N1]
    #[arg(long, value_name = "SPEED", value_parser = line::parse, conflicts_with = "profile")]
    line: Option<Serial>,
    /// What you call the scale
    #[arg(long, value_name = "NAME")]
    name: Option<String>,
    /// Write the profile into this new file [default: scales/NAME.toml in the config folder; with --from, say it]
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Keep all that was heard in a new file, to teach from again or to send to someone who helps
    #[arg(long, value_name = "FILE")]
    capture: Option<PathBuf>,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

/// Teaches a scale.
pub(crate) async fn run(
    args: &TeachArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    if let Some(path) = args.output.as_deref().filter(|path| path.exists()) {
        return Err(taught::there_already(path));
    }
    match args.from.as_slice() {
        [] => live::run(args, place, output).await,
        captures => captures::run(args, captures, output).await,
    }
}

impl TeachArgs {
    /// Returns what is known of the scale before it is taught: how it is opened, and what it is called.
    fn known(&self) -> Result<Settings, Failure> {
        let mut known = match self.scale.profile_text()? {
            None => Settings::named(""),
            Some(text) => match Profile::parse(&text) {
                Ok(profile) => profile.settings().clone(),
                Err(problems) => {
                    let first = problems.into_iter().next();
                    let (what, help) =
                        first.map_or((String::new(), None), |first| (first.message, first.help));
                    return Err(Failure::Refused {
                        what: format!("the scale profile is wrong: {what}"),
                        hint: help,
                    });
                }
            },
        };
        if let Some(serial) = self.line {
            known.serial = Some(serial);
        }
        if let Some(name) = &self.name {
            known.name.clone_from(name);
        }
        Ok(known)
    }
}
