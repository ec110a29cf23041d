//! `tarehand log outcome`.

use clap::Args;
use tarehand_protocol::api::{BatchRecord, OutcomeSaid};

use crate::client::{Client, segment};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::words::{outcomes, shown};

const EXAMPLES: &str = "\
Examples:
  tarehand log outcome K7F2A \"dried clear\"
  tarehand log outcome K7F2A cracked \"at the edge\" --note \"the thick end of the panel\"
  tarehand log outcome K7F2A \"laced well\" --better-than M3T8C --picture panel-3.jpg";

/// Says what became of a jar when it had dried; it is added to the record, and nothing in it is overwritten.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct OutcomeArgs {
    /// The mark of the batch
    mark: String,
    /// What was found, in short words of your own
    #[arg(value_name = "WORDS")]
    found: Vec<String>,
    /// More about it
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
    /// Where a picture of it is kept; only the name is written down
    #[arg(long, value_name = "FILE")]
    picture: Vec<String>,
    /// Another batch that did worse in the same place
    #[arg(long, value_name = "MARK")]
    better_than: Option<String>,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

/// Says it.
pub(super) async fn run(
    args: &OutcomeArgs,
    client: &Client,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let said = OutcomeSaid {
        found: args.found.clone(),
        note: args.note.clone(),
        pictures: args.picture.clone(),
        better_than: args.better_than.clone(),
    };
    let path = format!("/v1/batches/{}/outcomes", segment(&args.mark));
    let record: BatchRecord = client.post(&path, &said).await?;
    if args.json {
        output.json(&record)?;
        return Ok(Exit::Done);
    }
    let batch = &record.summary;
    output.data(format!(
        "{}  ·  {}\n{}",
        shown(&batch.mark),
        shown(&batch.recipe),
        outcomes(&record, output.width())
    ))?;
    Ok(Exit::Done)
}
