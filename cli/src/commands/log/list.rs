//! `tarehand log list`.

use clap::{Args, value_parser};
use tarehand_mixing::shelf::{Date, Moment, ParseDateError};
use tarehand_protocol::api::{BatchList, BatchSummary};

use crate::client::{Client, segment};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::words::{
    Column, Width, by_how_much, day_and_time, done_again, grams, shown, state, table, which_jar,
};

/// How many the service lists at once.
const MOST: i64 = 10_000;

/// Lists batches, newest first.
#[derive(Args, Debug)]
#[command(
    before_help = "Examples:\n  tarehand log list\n  tarehand log list --find grey --limit 5\n  tarehand log list --with soft-water --from 2026-11-01 --until 2026-12-01"
)]
pub(crate) struct ListArgs {
    /// At most so many
    #[arg(long, value_name = "N", default_value_t = 20, value_parser = value_parser!(u32).range(1..=MOST))]
    limit: u32,
    #[command(flatten)]
    which: WhichArgs,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

/// Which batches.
#[derive(Args, Clone, Debug, Default)]
pub(crate) struct WhichArgs {
    /// Only those in whose mark, recipe, ingredients, lots or remarks this is found
    #[arg(long, value_name = "TEXT")]
    find: Option<String>,
    /// Only those with an ingredient or a lot called so, or so in part
    #[arg(long, value_name = "THING")]
    with: Option<String>,
    /// Only those opened on this day or later (UTC)
    #[arg(long, value_name = "DATE", value_parser = day_or_moment)]
    from: Option<String>,
    /// Only those opened before this day (UTC)
    #[arg(long, value_name = "DATE", value_parser = day_or_moment)]
    until: Option<String>,
}

/// Reads a day, or a moment as the record says it.
fn day_or_moment(text: &str) -> Result<String, ParseDateError> {
    if let Ok(moment) = text.parse::<Moment>() {
        return Ok(moment.to_string());
    }
    text.parse::<Date>().map(|day| day.to_string())
}

/// Asks for a list of batches, those older than `before` where it is given.
pub(super) async fn batches(
    client: &Client,
    limit: u32,
    which: &WhichArgs,
    before: Option<&str>,
) -> Result<BatchList, Failure> {
    let mut path = format!("/v1/batches?limit={limit}");
    let wanted = [
        ("find", which.find.as_deref()),
        ("with", which.with.as_deref()),
        ("from", which.from.as_deref()),
        ("until", which.until.as_deref()),
        ("before", before),
    ];
    for (name, value) in wanted {
        if let Some(value) = value {
            path.push_str(&format!("&{name}={}", segment(value)));
        }
    }
    Ok(client.get(&path).await?)
}

/// Lists batches.
pub(super) async fn run(
    args: &ListArgs,
    client: &Client,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let list = batches(client, args.limit, &args.which, None).await?;
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
            output.data(page(&list.batches, output.width()))?;
            output.suggest(format_args!("tarehand log show {}", shown(&first.mark)));
        }
    }
    Ok(Exit::Done)
}

fn page(batches: &[BatchSummary], width: Width) -> String {
    let rows: Vec<Vec<String>> = batches
        .iter()
        .map(|batch| {
            // What was done with another's jar has none of its own to tell of.
            let [what, mass, beside] = match &batch.opened_again {
                Some(again) => [done_again(again), by_how_much(again, 1), which_jar(again)],
                None => [
                    shown(&batch.recipe).into_owned(),
                    format!("{} g", grams(batch.in_jar_g, 1)),
                    format!("of {}", grams(batch.planned_g, 1)),
                ],
            };
            vec![
                shown(&batch.mark).into_owned(),
                day_and_time(&batch.opened),
                what,
                mass,
                beside,
                state(batch.state).to_owned(),
                if batch.rehearsal { "rehearsal" } else { "" }.to_owned(),
            ]
        })
        .collect();
    let (left, right) = (Column::Left, Column::Right);
    let columns = [left, left, Column::Name, right, left, left, left];
    table(&columns, &rows, width)
}

#[cfg(test)]
mod tests;
