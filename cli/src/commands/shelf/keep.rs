//! `tarehand shelf keep`.

use clap::Args;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{BatchRecord, MovedSaid};

use super::{FileArgs, Place, key, mass, now};
use crate::client::{Client, ClientError, segment};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::service;

const EXAMPLES: &str = "\
Examples:
  tarehand shelf keep 8KER7
  tarehand shelf keep 8KER7 --as lagoon-left --left 42g";

/// Puts a jar that is left over on the shelf, made of what really went into it.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(super) struct KeepArgs {
    /// The mark of the batch, as `log list` shows it
    mark: String,
    /// The key it gets on the shelf [default: left- and the mark]
    #[arg(long = "as", value_name = "KEY", value_parser = key)]
    name: Option<String>,
    /// What is left in the jar [default: all that the record says]
    #[arg(long, value_name = "MASS", value_parser = mass)]
    left: Option<Mass>,
}

/// Puts a jar on the shelf.
pub(super) async fn run(
    args: &KeepArgs,
    file: &FileArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let measures = file.measures(place)?;
    let client = service::ensure(&place.folders).await?;
    let record: BatchRecord = client
        .get(&format!("/v1/batches/{}", segment(&args.mark)))
        .await?;
    let summary = &record.summary;
    if summary.rehearsal {
        return Err(refused(
            format!("{} was a rehearsal: there is no jar", summary.mark),
            "see which batches are real: tarehand log list",
        ));
    }
    if summary.closed.is_none() {
        return Err(refused(
            format!("{} is not done yet", summary.mark),
            "finish it, or give it up: tarehand abort",
        ));
    }
    let parts: Vec<(String, String)> = parts(&record)
        .map(|(key, mass)| (key, mass.to_string()))
        .collect();
    let inside = record.now.as_ref().map_or(0.0, |now| now.mass_g);
    let inside = Mass::from_estimated_grams(inside);
    // The record says of its jar what is in it now.
    let poured = record.contents.iter().map(|line| line.poured_g).sum();
    let made = Mass::from_estimated_grams(poured).max(inside);
    let left = args.left.unwrap_or(inside);
    if parts.is_empty() || left <= Mass::ZERO {
        return Err(refused(
            format!("nothing is in the jar of {}", summary.mark),
            "see its record: tarehand log show MARK",
        ));
    }
    if made < left {
        return Err(refused(
            format!(
                "{left} is more than the {made} in the jar of {}",
                summary.mark
            ),
            "say what is left of it: --left 42g",
        ));
    }
    let key = match &args.name {
        Some(name) => name.clone(),
        None => format!("left-{}", summary.mark.to_lowercase()),
    };
    let shelf = file.read_or_begin(place)?;
    if shelf.parsed(measures, output)?.get(&key).is_some() {
        return Err(refused(
            format!("`{key}` is on the shelf already"),
            "give it another key: --as KEY",
        ));
    }
    let mut edit = shelf.edit()?;
    edit.ensure(&key)?;
    edit.set(
        &key,
        "name",
        &format!("{}, {}", summary.recipe, summary.mark),
    )?;
    edit.set_made_of(&key, &parts)?;
    let fields = [
        ("holds", made.to_string()),
        ("left", left.to_string()),
        ("weighed", now().to_string()),
        ("lot", summary.mark.clone()),
    ];
    edit.push(&key, "pack", &fields)?;
    shelf.replace(&edit, measures, output)?;
    let booked = book(
        &client,
        &summary.mark,
        &key,
        (left < inside).then_some(left),
    )
    .await;
    booked.map_err(|error| {
        refused(
            format!(
                "`{key}` is on the shelf, but the record of {} does not know it: {error}",
                summary.mark
            ),
            &format!(
                "take it off the shelf file and keep it again, or say that the jar is empty: tarehand take-out {} --told",
                summary.mark
            ),
        )
    })?;
    output.data(format_args!("{key}: {left} in {}", shelf.path().display()))?;
    output.suggest("tarehand shelf");
    Ok(Exit::Done)
}

/// Books what is left onto the shelf, and the rest of what the record says away: it is not there any more.
async fn book(
    client: &Client,
    mark: &str,
    key: &str,
    left: Option<Mass>,
) -> Result<(), ClientError> {
    let path = format!("/v1/batches/{}/moved", segment(mark));
    let onto_shelf = MovedSaid {
        mass: left.map(|left| left.to_string()),
        shelf: Some(key.to_owned()),
        ..MovedSaid::default()
    };
    let _record: BatchRecord = client.post(&path, &onto_shelf).await?;
    if left.is_some() {
        let _record: BatchRecord = client.post(&path, &MovedSaid::default()).await?;
    }
    Ok(())
}

/// Returns what really is in the jar, premixes and other jars taken apart.
fn parts(record: &BatchRecord) -> impl Iterator<Item = (String, Mass)> {
    let parts = record.now.iter().flat_map(|now| &now.contents);
    let parts = parts.map(|line| {
        let mass = Mass::from_estimated_grams(line.mass_g);
        (line.ingredient.clone(), mass)
    });
    parts.filter(|(_, mass)| Mass::ZERO < *mass)
}

fn refused(what: String, hint: &str) -> Failure {
    Failure::Refused {
        what,
        hint: Some(hint.to_owned()),
    }
}
