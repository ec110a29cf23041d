//! `tarehand log export`.

use clap::{Args, ValueEnum};
use serde::Serialize;
use tarehand_protocol::api::{BatchRecord, KeptBatch};

use super::list::{WhichArgs, batches};
use super::plot::picture;
use super::show::batch;
use super::{csv, html};
use crate::client::{Client, segment};
use crate::failure::{Exit, Failure};
use crate::output::Output;

/// Writes batches out for other programs, oldest first.
#[derive(Args, Debug)]
#[command(
    before_help = "Examples:\n  tarehand log export --format csv > batches.csv\n  tarehand log export --format json K7F2A\n  tarehand log export --format html --find lagoon > lagoon.html"
)]
pub(crate) struct ExportArgs {
    /// The form: a JSON array of whole batches, a CSV line for each ingredient of each batch, or one HTML page that needs
    /// nothing else
    #[arg(long, value_enum)]
    format: Format,
    #[command(flatten)]
    which: WhichArgs,
    /// Only these batches [default: all]
    #[arg(value_name = "MARK")]
    marks: Vec<String>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Format {
    Json,
    Csv,
    Html,
}

/// A batch to be read by people and programs, and as the log keeps it, for `tarehand log import`.
#[derive(Serialize)]
struct Whole {
    #[serde(flatten)]
    record: BatchRecord,
    kept: KeptBatch,
}

/// Writes batches out.
pub(super) async fn run(
    args: &ExportArgs,
    client: &Client,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let mut marks = args.marks.clone();
    if marks.is_empty() {
        marks = all_marks(client, &args.which).await?;
    }
    // One at a time: a log of years need not fit into memory.
    match args.format {
        Format::Json => output.data("[")?,
        Format::Csv => output.data(csv::HEADING)?,
        Format::Html => output.data(html::HEAD)?,
    }
    for (index, mark) in marks.iter().enumerate() {
        let record: BatchRecord = batch(client, mark).await?;
        match args.format {
            Format::Csv => {
                for line in csv::lines(&record) {
                    output.data(line)?;
                }
            }
            Format::Json => {
                if 0 < index {
                    output.data(",")?;
                }
                let path = format!("/v1/batches/{}/kept", segment(mark));
                let kept: KeptBatch = client.get(&path).await?;
                output.json(&Whole { record, kept })?;
            }
            Format::Html => {
                let picture = picture(client, mark).await?;
                output.data(html::article(&record, &picture))?;
            }
        }
    }
    match args.format {
        Format::Json => output.data("]")?,
        Format::Html => output.data(html::TAIL)?,
        Format::Csv => {}
    }
    Ok(Exit::Done)
}

/// Returns the marks of all batches that fit, the oldest first; asked for page by page.
async fn all_marks(client: &Client, which: &WhichArgs) -> Result<Vec<String>, Failure> {
    /// As many as the service lists at once.
    const PAGE: u32 = 10_000;
    let mut marks: Vec<String> = Vec::new();
    loop {
        let page = batches(client, PAGE, which, marks.last().map(String::as_str)).await?;
        if page.batches.is_empty() {
            marks.reverse();
            return Ok(marks);
        }
        marks.extend(page.batches.into_iter().map(|batch| batch.mark));
    }
}
