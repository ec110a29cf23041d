//! `tarehand log show`.

use clap::Args;
use clap::builder::NonEmptyStringValueParser;
use tarehand_protocol::api::BatchRecord;

use crate::client::{Client, segment};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::words::record;

/// Shows one batch whole.
#[derive(Args, Debug)]
#[command(before_help = "Examples:\n  tarehand log show K7F2A\n  tarehand log show K7F2A --json")]
pub(crate) struct ShowArgs {
    /// The mark of the batch, as `log list` shows it
    #[arg(value_parser = NonEmptyStringValueParser::new())]
    mark: String,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

/// Asks for a batch.
pub(super) async fn batch(client: &Client, mark: &str) -> Result<BatchRecord, Failure> {
    Ok(client
        .get(&format!("/v1/batches/{}", segment(mark)))
        .await?)
}

/// Shows a batch.
pub(super) async fn run(
    args: &ShowArgs,
    client: &Client,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let batch = batch(client, &args.mark).await?;
    if args.json {
        output.json(&batch)?;
    } else {
        output.data(record(&batch, output.width()))?;
        output.suggest("tarehand log export --format csv");
    }
    Ok(Exit::Done)
}
