//! `tarehand log lot`.

use clap::Args;
use clap::builder::NonEmptyStringValueParser;
use tarehand_protocol::api::{LotJar, LotTraced};

use crate::client::{Client, segment};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::words::{Column, Width, day_and_time, grams, shown, table};

/// Says which jars have something of a lot, straight from its pack or through other jars.
#[derive(Args, Debug)]
#[command(
    before_help = "Examples:\n  tarehand log lot B7-114\n  tarehand log lot B7-114 --limit 500 --json"
)]
pub(crate) struct LotArgs {
    /// The maker's lot, as the shelf has it
    #[arg(value_parser = NonEmptyStringValueParser::new())]
    lot: String,
    /// Look into at most so many jars, the newest
    #[arg(long, value_name = "N", default_value_t = 50, value_parser = clap::value_parser!(u32).range(1..=1000))]
    limit: u32,
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
    let path = format!("/v1/lots/{}?limit={}", segment(&args.lot), args.limit);
    let traced: LotTraced = client.get(&path).await?;
    if args.json {
        output.json(&traced)?;
        return Ok(Exit::Done);
    }
    let first = traced.jars.first();
    match first {
        None if traced.older == 0 => {
            output.say(format_args!(
                "no jar has anything of lot {}",
                shown(&traced.lot)
            ));
            output.suggest("tarehand log list --with INGREDIENT");
        }
        None => output.say(format_args!(
            "none of the newest jars has anything of lot {}",
            shown(&traced.lot)
        )),
        Some(first) => {
            output.data(page(&traced.jars, output.width()))?;
            output.suggest(format_args!("tarehand log show {}", shown(&first.batch)));
        }
    }
    if 0 < traced.older {
        output.say(not_looked_into(args.limit, traced.older));
    }
    Ok(Exit::Done)
}

/// What is said of the jars that were left out, and how to see them too.
fn not_looked_into(limit: u32, older: u32) -> String {
    format!(
        "only the newest {limit} were looked into: up to {older} older may have something of it too; `--limit` looks further back, `tarehand log list --with LOT` lists them all"
    )
}

fn page(jars: &[LotJar], width: Width) -> String {
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
    table(
        &[left, left, Column::Name, right, right, Column::Prose],
        &rows,
        width,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_jars_of_a_lot_have_room_on_usual_and_narrow_terminals() {
        let jar = |batch: &str, recipe: &str, mass_g: f64, drawn: &[&str]| LotJar {
            batch: batch.to_owned(),
            recipe: recipe.to_owned(),
            opened: "2026-11-02T14:03:00Z".to_owned(),
            mass_g,
            straight_g: mass_g / 4.0,
            drawn: drawn.iter().map(|&key| key.to_owned()).collect(),
        };
        let jars = [
            jar(
                "K7F2A",
                "Lagoon round, pearl blue over sand",
                112.4,
                &["chalk-white", "pearl-medium"],
            ),
            jar("M3T8C", "Slip", 8.0, &["slip"]),
        ];
        insta::assert_snapshot!(page(&jars, Width::Columns(80)), @r"
        K7F2A  2026-11-02 14:03  Lagoon round, pear…  112.40 g in it  28.10 g straight
            chalk-white, pearl-medium
        M3T8C  2026-11-02 14:03  Slip                   8.00 g in it   2.00 g straight
            slip
        ");
        insta::assert_snapshot!(page(&jars, Width::Columns(40)), @r"
        K7F2A  2026-11-02 14:03  Lagoon round…
            112.40 g in it  28.10 g straight
            chalk-white, pearl-medium
        M3T8C  2026-11-02 14:03  Slip
              8.00 g in it   2.00 g straight
            slip
        ");
    }

    #[test]
    fn what_was_not_looked_into_is_said_with_how_to_see_it() {
        insta::assert_snapshot!(not_looked_into(50, 1_234), @"only the newest 50 were looked into: up to 1234 older may have something of it too; `--limit` looks further back, `tarehand log list --with LOT` lists them all");
    }
}
