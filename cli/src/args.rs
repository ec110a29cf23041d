//! What the command line understands.

use clap::{Args, Parser, Subcommand};
use tarehandd::folders::FolderArgs;

use crate::commands;

const EXAMPLES: &str = "\
Examples:
  tarehand rehearse                       try everything on a simulated scale
  tarehand check lagoon-round.toml        is this recipe good?
  tarehand mix lagoon-round.toml --make 250g
  tarehand log list                       what has been mixed";

/// The codes every command exits with.
pub(crate) const EXIT_CODES: &str = "\
Exit codes:
  0   done
  1   it failed, a check found errors, or the batch was given up
  2   called wrongly
  69  the service or a scale cannot be reached
  75  not now, try again later
  78  a setting is wrong";

/// A second pair of hands at the mixing bench.
///
/// It reads a scale, guides a recipe, says when to stop, rescues the ratio and writes the record.
#[derive(Debug, Parser)]
#[command(
    name = "tarehand",
    version,
    before_help = EXAMPLES,
    after_help = EXIT_CODES,
    arg_required_else_help = true,
    disable_help_subcommand = true
)]
pub(crate) struct Cli {
    #[command(flatten)]
    pub(crate) folders: FolderArgs,
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// What to do.
// The line of the list is an attribute: a comment on the variant would take the place of all that is written at the arguments.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    #[command(about = "Mix on a simulated scale, with a simulated hand")]
    Rehearse(commands::rehearse::RehearseArgs),
    #[command(about = "Make a batch, or go back to the one that runs")]
    Mix(commands::mix::MixArgs),
    #[command(about = "Open the bench page for a browser, and let one in")]
    Page(commands::page::PageArgs),
    #[command(about = "Say what the scale says, one line a reading")]
    Watch(commands::watch::WatchArgs),
    #[command(about = "Check recipes and shelves")]
    Check(commands::check::CheckArgs),
    #[command(about = "Size a recipe for one jar")]
    Size(commands::size::SizeArgs),
    #[command(about = "Say what a set of jars takes")]
    Plan(commands::plan::PlanArgs),
    #[command(about = "Put a slip right without a scale")]
    Rescue(commands::rescue::RescueArgs),
    #[command(about = "Show what is left on the shelf, and keep it")]
    Shelf(commands::shelf::ShelfArgs),
    #[command(about = "Write a recipe, a set or a batch as a card to hand on")]
    Share(commands::share::ShareArgs),
    #[command(about = "Write labels for jars")]
    Label(commands::label::LabelArgs),
    #[command(about = "Take what was judged in a batch over into its recipe")]
    Adopt(commands::adopt::AdoptArgs),
    #[command(about = "Open finished jars again and add something to each")]
    Amend(commands::amend::AmendArgs),
    #[command(about = "Pour one finished jar into another")]
    Join(commands::amend::JoinArgs),
    #[command(about = "Take some of the mix out of a finished jar")]
    TakeOut(commands::amend::TakeOutArgs),
    #[command(about = "Make a batch again")]
    Repeat(commands::repeat::RepeatArgs),
    #[command(about = "List the scales")]
    Scales(commands::scales::ScalesArgs),
    #[command(about = "Show what the bench learnt from its record, and forget it")]
    Learnt(commands::learnt::LearntArgs),
    #[command(about = "Read the record of batches")]
    Log(commands::log::LogArgs),
    #[command(about = "Show what the service is doing")]
    Status(commands::status::StatusArgs),
    #[command(about = "Go on: this step is done as it is")]
    #[command(before_help = "Examples:\n  tarehand next")]
    Next(BenchArgs),
    #[command(about = "Go back to the step before")]
    #[command(before_help = "Examples:\n  tarehand back")]
    Back(BenchArgs),
    #[command(about = "Stop judging until resumed")]
    #[command(before_help = "Examples:\n  tarehand pause")]
    Pause(BenchArgs),
    #[command(about = "Go on after a pause")]
    #[command(before_help = "Examples:\n  tarehand resume")]
    Resume(BenchArgs),
    #[command(about = "Take back the last judgement or rescue")]
    #[command(before_help = "Examples:\n  tarehand undo")]
    Undo(BenchArgs),
    #[command(about = "Leave this step out")]
    #[command(before_help = "Examples:\n  tarehand skip")]
    Skip(BenchArgs),
    #[command(about = "Answer what is asked")]
    Answer(commands::say::AnswerArgs),
    #[command(about = "Say that the scale's own tare was pressed: the jar never moved")]
    #[command(before_help = "Examples:\n  tarehand tared")]
    Tared(BenchArgs),
    /// Weigh this step out of its bottle, with the jar beside the scale
    ///
    /// For jars too big for the scale, or too heavy with what is in them. Set the jar aside and put the bottle on the
    /// pan; lift it, pour, set it back: what it lost is in the jar. Said before the jar was weighed it holds for the
    /// whole batch, which then never needs the jar on the pan. A recipe says the same with weigh = "bottle".
    #[command(
        before_help = "Examples:\n  tarehand bottle\n  tarehand jar       weigh in the jar again"
    )]
    Bottle(BenchArgs),
    #[command(about = "Weigh this step in the jar again")]
    #[command(before_help = "Examples:\n  tarehand jar")]
    Jar(BenchArgs),
    #[command(about = "Say that there is no more of what this step pours")]
    #[command(before_help = "Examples:\n  tarehand ran-out")]
    RanOut(BenchArgs),
    #[command(about = "Say that what was poured last was another ingredient")]
    WasOther(commands::say::WasOtherArgs),
    #[command(about = "Say which jar of the set stands on the pan")]
    JarIs(commands::say::JarIsArgs),
    #[command(about = "Write down a measured trail, or time it")]
    Trail(commands::say::TrailArgs),
    #[command(about = "Write down what a flow cup says")]
    Cup(commands::say::CupArgs),
    #[command(about = "Write a remark into the record")]
    Remark(commands::say::RemarkArgs),
    #[command(about = "Give the batch up")]
    Abort(commands::abort::AbortArgs),
    #[command(about = "End the service")]
    Stop(commands::stop::StopArgs),
    #[command(about = "Run the service")]
    #[command(hide = true)]
    Serve(commands::serve::ServeCommand),
    #[command(about = "Write completions for a shell")]
    Completions(commands::completions::CompletionsArgs),
    #[command(about = "Write the manual")]
    Man(commands::man::ManArgs),
}

/// Which bench is meant.
#[derive(Args, Clone, Debug)]
pub(crate) struct BenchArgs {
    /// The bench
    #[arg(long, value_name = "NAME", default_value = "bench")]
    pub(crate) bench: String,
    /// Answer in JSON, one view
    #[arg(long)]
    pub(crate) json: bool,
}

#[cfg(test)]
mod tests;
