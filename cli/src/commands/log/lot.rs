//! `tarehand log lot`.

use clap::Args;
use tarehand_protocol::api::{LotJar, LotTraced};

use crate::client::{Client, segment};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::words::{Column, day_and_time, grams, shown, table};

/// Says which jars have something of a lot, straight from its pack or through other jars.
#[derive(Args, Debug)]
#[command(before_help = "Examples:\n  tarehand log lot B7-114\n  tarehand log lot B7-114 --json")]
pub(crate) struct LotArgs {
    /// The maker's lot, as the shelf has it
    lot: String,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

/// Traces a lot.
pub(super) async fn run(
    args: &LotArgs,
    client: &Client,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let traced: LotTraced = client
        .get(&format!("/v1/lots/{}", segment(&args.lot)))
        .await?;
    if args.json {
        output.json(&traced)?;
        return Ok(Exit::Done);
    }
    match traced.jars.first() {
        None => {
            output.say(format_args!(
                "no jar has anything of lot {}",
                shown(&traced.lot)
            ));
            output.suggest("tarehand log list --with INGREDIENT");
        }
        Some(first) => {
            output.data(page(&traced.jars))?;
            output.suggest(format_args!("tarehand log show {}", shown(&first.batch)));
        }
    }
    Ok(Exit::Done)
}

fn page(jars: &[LotJar]) -> String {
    let rows: Vec<Vec<String>> = jars
        .iter()
        .map(|jar| {
            vec![
                shown(&jar.batch).into_owned(),
                day_and_time(&jar.opened),
                shown(&jar.recipe).into_owned(),
                format!("{} g in it", grams(jar.mass_g, 2)),
                format!("{} g straight", grams(jar.straight_g, 2)),
                shown(&jar.drawn.join(", ")).into_owned(),
            ]
        })
        .collect();
    let (left, right) = (Column::Left, Column::Right);
    table(&[left, left, left, right, right, left], &rows)
}
