//! `tarehand adopt`: a new version of a recipe from what was judged in a batch.

use clap::Args;
use tarehand_protocol::api::AdoptedRecipe;

use super::Place;
use super::target::TargetArgs;
use crate::client::segment;
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::service;

const EXAMPLES: &str = "\
Examples:
  tarehand adopt K7F2A
  tarehand adopt K7F2A -o linen-ground-2.toml
  tarehand adopt K7F2A -o linen-ground.toml --yes";

/// Writes a new version of a batch's recipe, with what was judged in it in grams.
///
/// Ranges, `some`, drops and thinning become the grams that were really poured, in proportion to what the recipe
/// makes. Everything else stays as it is written, comments too; percentages of the total become the grams they were.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct AdoptArgs {
    /// The mark of the batch, as `log list` shows it
    mark: String,
    #[command(flatten)]
    target: TargetArgs,
}

/// Writes the new version.
pub(crate) async fn run(
    args: &AdoptArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let client = service::ensure(&place.folders).await?;
    let adopted: AdoptedRecipe = client
        .get(&format!("/v1/batches/{}/adopted", segment(&args.mark)))
        .await?;
    for note in &adopted.notes {
        output.say(format_args!("note: {note}"));
    }
    let exit = args.target.write(&adopted.text, output)?;
    if let Some(path) = args.target.path() {
        output.suggest(format_args!("tarehand check {}", path.display()));
    }
    Ok(exit)
}
