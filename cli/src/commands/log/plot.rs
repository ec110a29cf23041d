//! `tarehand log plot`.

use clap::Args;

use crate::client::{Client, segment};
use crate::failure::{Exit, Failure};
use crate::output::Output;

/// Draws the weight over time of a batch with its steps marked, as SVG.
#[derive(Args, Debug)]
#[command(before_help = "Examples:\n  tarehand log plot K7F2A > k7f2a.svg")]
pub(crate) struct PlotArgs {
    /// The mark of the batch
    mark: String,
}

/// Asks for the picture of a batch.
pub(super) async fn picture(client: &Client, mark: &str) -> Result<String, Failure> {
    let path = format!("/v1/batches/{}/plot", segment(mark));
    Ok(client.text(&path).await?)
}

/// Draws it.
pub(super) async fn run(
    args: &PlotArgs,
    client: &Client,
    output: &mut Output,
) -> Result<Exit, Failure> {
    output.data(picture(client, &args.mark).await?)?;
    Ok(Exit::Done)
}
