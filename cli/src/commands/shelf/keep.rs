//! `tarehand shelf keep`.

use std::path::Path;

use clap::Args;
use tarehand_mixing::shelf::{Pack, ShelfItem};
use tarehand_protocol::Mass;
use tarehand_protocol::api::{BatchRecord, BatchSummary, MovedSaid};

use super::{FileArgs, Place, key, mass, now};
use crate::client::{Client, ClientError, segment};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::service;
use crate::words::quoted;

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
    has_jar(summary)?;
    let key = match &args.name {
        Some(name) => name.clone(),
        None => format!("left-{}", summary.mark.to_lowercase()),
    };
    let shelf = file.read_or_begin(place)?;
    let parsed = shelf.parsed(measures, output)?;
    let there = parsed.get(&key);
    let here = Begun {
        mark: &summary.mark,
        key: &key,
        file: shelf.path(),
    };
    // It may have been begun before, and been cut short between the shelf file and the record.
    let booked = record
        .amendments
        .iter()
        .any(|line| line.shelf.as_ref() == Some(&key));
    match there.map(|item| left_of(item, &summary.mark)) {
        Some(Some(left)) if booked => {
            output.say(here.is_done());
            output.data(here.line(left))?;
            return Ok(Exit::Done);
        }
        Some(Some(left)) => {
            here.agrees(left, args.left)?;
            book(&client, &here, left, &record).await?;
            output.data(here.line(left))?;
            output.suggest(file.again());
            return Ok(Exit::Done);
        }
        Some(None) => {
            return Err(refused(
                format!("`{key}` is on the shelf already"),
                "give it another key: --as KEY",
            ));
        }
        None if booked => return Err(here.is_elsewhere()),
        None => {}
    }
    let Leftover { parts, made, left } = Leftover::of(&record, args.left)?;
    // Whether the record takes it is known before anything is written.
    let path = format!("/v1/batches/{}/moved", segment(&summary.mark));
    let asked = MovedSaid {
        only_ask: true,
        ..onto_shelf(&key, left, &record)
    };
    let _record: BatchRecord = client.post(&path, &asked).await?;
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
    book(&client, &here, left, &record).await?;
    output.data(here.line(left))?;
    output.suggest(file.again());
    Ok(Exit::Done)
}

/// Refuses a batch that has no jar to keep, or none yet.
fn has_jar(summary: &BatchSummary) -> Result<(), Failure> {
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
    Ok(())
}

/// What is in a jar, and how much of it goes onto the shelf.
struct Leftover {
    /// What it is made of, each as the shelf writes it.
    parts: Vec<(String, String)>,
    made: Mass,
    left: Mass,
}

impl Leftover {
    fn of(record: &BatchRecord, said: Option<Mass>) -> Result<Self, Failure> {
        let mark = &record.summary.mark;
        let parts: Vec<(String, String)> = parts(record)
            .map(|(key, mass)| (key, mass.to_string()))
            .collect();
        let inside = inside(record);
        // The record says of its jar what is in it now.
        let poured = record.contents.iter().map(|line| line.poured_g).sum();
        let made = Mass::from_estimated_grams(poured).max(inside);
        let left = said.unwrap_or(inside);
        if parts.is_empty() || left <= Mass::ZERO {
            return Err(refused(
                format!("nothing is in the jar of {mark}"),
                "see its record: tarehand log show MARK",
            ));
        }
        if made < left {
            return Err(refused(
                format!("{left} is more than the {made} in the jar of {mark}"),
                "say what is left of it: --left 42g",
            ));
        }
        Ok(Self { parts, made, left })
    }
}

/// What is being kept, and where.
#[derive(Clone, Copy)]
struct Begun<'k> {
    mark: &'k str,
    key: &'k str,
    file: &'k Path,
}

impl Begun<'_> {
    fn line(self, left: Mass) -> String {
        format!("{}: {left} in {}", self.key, self.file.display())
    }

    fn is_done(self) -> String {
        format!(
            "`{}` is on the shelf and in the record of {} already: nothing is booked again",
            self.key, self.mark
        )
    }

    /// Refuses another mass than the one that was written down when it was begun.
    fn agrees(self, left: Mass, said: Option<Mass>) -> Result<(), Failure> {
        match said {
            Some(said) if said != left => Err(refused(
                format!(
                    "{} says that {left} of `{}` were left, not {said}",
                    self.file.display(),
                    self.key
                ),
                &format!("finish it as it was begun: {}", self.again()),
            )),
            _ => Ok(()),
        }
    }

    fn is_elsewhere(self) -> Failure {
        refused(
            format!(
                "the record of {} has put what was left on the shelf as `{}`, which is not in {}",
                self.mark,
                self.key,
                self.file.display()
            ),
            "name the shelf that it is in: --shelf FILE",
        )
    }

    /// What is on the shelf and not in the record, and the one command that finishes it.
    fn is_half(self, error: &ClientError) -> Failure {
        refused(
            format!(
                "`{}` is in {}, but the record of {} did not say that it has left the jar: {error}",
                self.key,
                self.file.display(),
                self.mark
            ),
            &format!(
                "say it again, which only books what is missing: {}",
                self.again()
            ),
        )
    }

    fn again(self) -> String {
        format!(
            "tarehand shelf keep {} --as {} --shelf {}",
            self.mark,
            quoted(self.key),
            quoted(&self.file.display().to_string())
        )
    }
}

/// Returns what is left of the pack that was begun for this jar, where that is what stands there.
fn left_of(item: &ShelfItem, mark: &str) -> Option<Mass> {
    let mut own = item.packs.iter();
    own.find(|pack| pack.lot.as_deref() == Some(mark))
        .map(Pack::last_known)
}

/// Books what is left onto the shelf and the rest of what the record says away, which is not there any more: both or none.
async fn book(
    client: &Client,
    begun: &Begun<'_>,
    left: Mass,
    record: &BatchRecord,
) -> Result<(), Failure> {
    let path = format!("/v1/batches/{}/moved", segment(begun.mark));
    let moved = onto_shelf(begun.key, left, record);
    match client.post::<BatchRecord>(&path, &moved).await {
        Ok(_record) => Ok(()),
        Err(error) => Err(begun.is_half(&error)),
    }
}

/// What is said of a jar whose rest stands on the shelf now.
fn onto_shelf(key: &str, left: Mass, record: &BatchRecord) -> MovedSaid {
    MovedSaid {
        mass: (left < inside(record)).then(|| left.to_string()),
        shelf: Some(key.to_owned()),
        rest_is_gone: true,
        ..MovedSaid::default()
    }
}

/// Returns what the record says is in the jar.
fn inside(record: &BatchRecord) -> Mass {
    let inside = record.now.as_ref().map_or(0.0, |now| now.mass_g);
    Mass::from_estimated_grams(inside)
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_done_by_half_is_said_with_the_one_command_that_finishes_it() {
        let begun = Begun {
            mark: "8KER7",
            key: "the lagoon's rest",
            file: Path::new("/home/noor/my shelf.toml"),
        };
        let half = begun.is_half(&ClientError::NotRunning);
        insta::assert_snapshot!(half, @"`the lagoon's rest` is in /home/noor/my shelf.toml, but the record of 8KER7 did not say that it has left the jar: the service is not running");
        insta::assert_snapshot!(half.hint().unwrap_or_default(), @r#"say it again, which only books what is missing: tarehand shelf keep 8KER7 --as 'the lagoon'\''s rest' --shelf '/home/noor/my shelf.toml'"#);
    }
}
