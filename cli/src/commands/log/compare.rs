//! `tarehand log compare`.

use clap::Args;
use tarehand_protocol::api::ComparedBatches;

use crate::client::{Client, segment};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::words::compared;

/// Shows two batches side by side: what was planned and poured, the steps, the trails, what became of them.
#[derive(Args, Debug)]
#[command(
    before_help = "Examples:\n  tarehand log compare K7F2A M3T8C\n  tarehand log compare K7F2A M3T8C --json"
)]
pub(crate) struct CompareArgs {
    /// The mark of the one
    one: String,
    /// The mark of the other
    other: String,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

/// Compares two batches.
pub(super) async fn run(
    args: &CompareArgs,
    client: &Client,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let (one, other) = (segment(&args.one), segment(&args.other));
    let both: ComparedBatches = client
        .get(&format!("/v1/batches/{one}/compared/{other}"))
        .await?;
    if args.json {
        output.json(&both)?;
    } else {
        output.data(compared(&both, output.width()))?;
    }
    Ok(Exit::Done)
}
