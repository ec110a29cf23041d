//! `tarehand learnt`: what the bench learnt from its own record.

use clap::{Args, Subcommand, ValueEnum};
use tarehand_protocol::api::{ForgetLearnt, LearntList, LearntWord, SwitchLearnt};

use super::Place;
use crate::client::segment;
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::service;
use crate::words::{learnt_page, learnt_word};

const EXAMPLES: &str = "\
Examples:
  tarehand learnt
  tarehand learnt forget stop-lead chalk-white
  tarehand learnt off stop-lead
  tarehand learnt on stop-lead";

/// Shows what the bench learnt from its own record, and what it rests on.
///
/// When stop is said is moved to suit a hand and an ingredient, and only once that beat the usual rule by a fifth on pours
/// it had not seen; the rest is advice. Nothing is learnt from rehearsals, and what is learnt follows from the log alone.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES, args_conflicts_with_subcommands = true)]
pub(crate) struct LearntArgs {
    #[command(subcommand)]
    command: Option<LearntCommand>,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Subcommand)]
enum LearntCommand {
    /// Let no run up to now count any more; the record stays as it is
    #[command(before_help = "Examples:\n  tarehand learnt forget drop\n  \
                             tarehand learnt forget stop-lead chalk-white")]
    Forget {
        /// What to forget
        kind: KindArg,
        /// Only of this ingredient by its key, or recipe by its name
        #[arg(value_name = "INGREDIENT")]
        of: Option<String>,
        /// Answer in JSON
        #[arg(long)]
        json: bool,
    },
    #[command(about = "Do not use what was learnt; it is still shown")]
    #[command(before_help = "Examples:\n  tarehand learnt off stop-lead")]
    Off(SwitchArgs),
    #[command(about = "Use what was learnt again")]
    #[command(before_help = "Examples:\n  tarehand learnt on stop-lead")]
    On(SwitchArgs),
}

#[derive(Args, Debug)]
struct SwitchArgs {
    /// What
    kind: KindArg,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

/// What can be learnt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum KindArg {
    /// How much earlier or later than by the flow stop is said
    StopLead,
    /// What a drop weighs
    Drop,
    /// What a teaspoon weighs
    Teaspoon,
    /// What a tablespoon weighs
    Tablespoon,
    /// How much thinner a mix takes to the wanted trail
    Thinner,
    /// What a stick carries away
    Stick,
    /// What an area takes
    Yield,
}

impl From<KindArg> for LearntWord {
    fn from(kind: KindArg) -> Self {
        match kind {
            KindArg::StopLead => Self::StopLead,
            KindArg::Drop => Self::Drop,
            KindArg::Teaspoon => Self::Teaspoon,
            KindArg::Tablespoon => Self::Tablespoon,
            KindArg::Thinner => Self::Thinner,
            KindArg::Stick => Self::Stick,
            KindArg::Yield => Self::Yield,
        }
    }
}

/// Shows what was learnt, or sees to what of it counts.
pub(crate) async fn run(
    args: &LearntArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let client = service::ensure(&place.folders).await?;
    let switch = async |args: &SwitchArgs, on: bool| -> Result<LearntList, Failure> {
        let word = learnt_word(args.kind.into());
        let path = format!("/v1/learnt/{}", segment(word));
        Ok(client.put(&path, &SwitchLearnt { on }).await?)
    };
    let (list, json, said) = match &args.command {
        None => {
            let list: LearntList = client.get("/v1/learnt").await?;
            if args.json {
                output.json(&list)?;
            } else {
                output.data(learnt_page(&list, output.width()))?;
            }
            return Ok(Exit::Done);
        }
        Some(LearntCommand::Forget { kind, of, json }) => {
            let kind = LearntWord::from(*kind);
            let of = of.clone();
            let wanted = ForgetLearnt { kind, of };
            let list: LearntList = client.post("/v1/learnt/forget", &wanted).await?;
            let whose = wanted.of.map(|of| format!(" of {of}")).unwrap_or_default();
            let said = format!(
                "{}{whose} is forgotten; the record stays",
                learnt_word(kind)
            );
            (list, *json, said)
        }
        Some(LearntCommand::Off(args)) => {
            let said = format!("{} is not used", learnt_word(args.kind.into()));
            (switch(args, false).await?, args.json, said)
        }
        Some(LearntCommand::On(args)) => {
            let word = learnt_word(args.kind.into());
            let said = format!("{word} is used where it beats what is taken without it");
            (switch(args, true).await?, args.json, said)
        }
    };
    if json {
        output.json(&list)?;
    } else {
        output.say(said);
    }
    Ok(Exit::Done)
}
