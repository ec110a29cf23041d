//! `tarehand log list`.

use clap::Args;
use tarehand_protocol::api::{BatchList, BatchSummary};

use crate::client::{Client, segment};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::words::{Column, day_and_time, grams, shown, state, table};

/// Lists batches, newest first.
#[derive(Args, Debug)]
#[command(
    before_help = "Examples:\n  tarehand log list\n  tarehand log list --find grey --limit 5"
)]
pub(crate) struct ListArgs {
    /// At most so many
    #[arg(long, value_name = "N", default_value_t = 20)]
    limit: u32,
    /// Only those in whose mark or recipe this is found
    #[arg(long, value_name = "TEXT")]
    find: Option<String>,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

/// Asks for a list of batches.
pub(super) async fn batches(
    client: &Client,
    limit: u32,
    find: Option<&str>,
) -> Result<BatchList, Failure> {
    let mut path = format!("/v1/batches?limit={limit}");
    if let Some(find) = find {
        path.push_str(&format!("&find={}", segment(find)));
    }
    Ok(client.get(&path).await?)
}

/// Lists batches.
pub(super) async fn run(
    args: &ListArgs,
    client: &Client,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let list = batches(client, args.limit, args.find.as_deref()).await?;
    if args.json {
        output.json(&list)?;
        return Ok(Exit::Done);
    }
    match list.batches.first() {
        None => {
            output.say("no batch was found");
            output.suggest("tarehand rehearse, or tarehand mix RECIPE");
        }
        Some(first) => {
            output.data(page(&list.batches))?;
            output.suggest(format_args!("tarehand log show {}", shown(&first.mark)));
        }
    }
    Ok(Exit::Done)
}

fn page(batches: &[BatchSummary]) -> String {
    let rows: Vec<Vec<String>> = batches
        .iter()
        .map(|batch| {
            vec![
                shown(&batch.mark).into_owned(),
                day_and_time(&batch.opened),
                shown(&batch.recipe).into_owned(),
                format!("{} g", grams(batch.in_jar_g, 1)),
                format!("of {}", grams(batch.planned_g, 1)),
                state(batch.state).to_owned(),
                if batch.rehearsal { "rehearsal" } else { "" }.to_owned(),
            ]
        })
        .collect();
    let (left, right) = (Column::Left, Column::Right);
    table(&[left, left, left, right, left, left, left], &rows)
}
