//! `tarehand log backup`, `restore`, `verify` and `import`: keeping the record.

use std::fmt;
use std::path::{Path, PathBuf};

use clap::Args;
use serde::Deserialize;
use serde::de::{Deserializer as _, SeqAccess, Visitor};
use tarehand_protocol::api::{CopyLog, KeptBatch, LogChecked, LogCopied, Problem, TakenIn};
use tarehandd::log::check_file;
use tarehandd::service::restore as put_back;

use super::super::Place;
use crate::client::{Client, ClientError};
use crate::failure::{Exit, Failure};
use crate::files::FilesError;
use crate::output::Output;
use crate::words::shown;

/// Copies the log into a new file, whole and checked, while batches go on.
#[derive(Args, Debug)]
#[command(before_help = "Examples:\n  tarehand log backup ~/backups/studio.db")]
pub(crate) struct BackupArgs {
    /// The file to be made
    file: PathBuf,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

/// Puts a copy in the place of the log; the log of before is kept beside it.
#[derive(Args, Debug)]
#[command(before_help = "Examples:\n  tarehand stop && tarehand log restore ~/backups/studio.db")]
pub(crate) struct RestoreArgs {
    /// The copy
    file: PathBuf,
}

/// Says whether the log, or a copy of it, is whole.
#[derive(Args, Debug)]
#[command(
    before_help = "Examples:\n  tarehand log verify\n  tarehand log verify ~/backups/studio.db"
)]
pub(crate) struct VerifyArgs {
    /// A copy [default: the log itself]
    file: Option<PathBuf>,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

/// Takes in batches of another log from a JSON export; those that are here already stay as they are.
///
/// A batch that went on there since it came, finished later or with a word on what became of it, goes on here too. One that
/// cannot be taken in is named with the reason, and the others come all the same. A batch that is being made here is left alone.
///
/// What a batch booked is worked out again from its own journal: one that was changed on the way is refused, with what is
/// different. A recipe or shelf text in it that cannot be read is said, and the batch comes in: nothing weighed rests on it.
///
/// Jars that went into each other are linked whatever the order in which their batches come, also from several files. A jar
/// whose batch is not here yet is known by its mark until that comes.
#[derive(Args, Debug)]
#[command(before_help = "Examples:\n  tarehand log import other-studio.json")]
pub(crate) struct ImportArgs {
    /// What `tarehand log export --format json` wrote
    file: PathBuf,
}

/// Copies the log.
pub(super) async fn backup(
    args: &BackupArgs,
    client: &Client,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let file = std::path::absolute(&args.file).unwrap_or_else(|_| args.file.clone());
    let wanted = CopyLog {
        path: file.display().to_string(),
    };
    let copied: LogCopied = client.post("/v1/log/copies", &wanted).await?;
    if args.json {
        output.json(&copied)?;
    } else {
        output.data(format!(
            "{}: {} batches, {} entries, {} kB, whole",
            shown(&copied.path),
            copied.batches,
            copied.entries,
            copied.bytes.div_ceil(1000)
        ))?;
    }
    Ok(Exit::Done)
}

/// Puts a copy back.
pub(super) fn restore(
    args: &RestoreArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let restored = put_back(&place.folders, &args.file).map_err(|error| Failure::Refused {
        what: error.to_string(),
        hint: error.hint().map(str::to_owned),
    })?;
    output.data(format!(
        "the log has {} batches and {} entries now",
        restored.copied.batches, restored.copied.entries
    ))?;
    if let Some(before) = restored.before {
        output.say(format_args!(
            "the log of before is {}",
            shown(&before.display().to_string())
        ));
    }
    Ok(Exit::Done)
}

/// Checks the log or a copy.
pub(super) async fn verify(
    args: &VerifyArgs,
    client: impl AsyncFnOnce() -> Result<Client, Failure>,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let checked = match &args.file {
        None => client().await?.get::<LogChecked>("/v1/log").await?,
        Some(file) => LogChecked {
            found: check_file(file).map_err(|error| Failure::Refused {
                what: error.to_string(),
                hint: error.hint().map(str::to_owned),
            })?,
            path: file.display().to_string(),
        },
    };
    if args.json {
        output.json(&checked)?;
    } else if checked.found.is_empty() {
        output.data(format!("{} is whole", shown(&checked.path)))?;
    } else {
        for line in &checked.found {
            output.data(shown(line))?;
        }
    }
    Ok(if checked.found.is_empty() {
        Exit::Done
    } else {
        Exit::Failed
    })
}

/// A batch of an export; what is there to be read by people is passed over.
#[derive(Deserialize)]
struct Exported {
    kept: KeptBatch,
}

/// Takes batches in, one at a time: an export of years need not fit into memory.
pub(super) async fn import(
    args: &ImportArgs,
    client: &Client,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let (sender, mut batches) = tokio::sync::mpsc::channel(1);
    let file = args.file.clone();
    let reading = tokio::task::spawn_blocking(move || read(&file, &sender));
    let mut tally = Tally::default();
    while let Some(batch) = batches.recv().await {
        match client.post::<TakenIn>("/v1/batches", &batch).await {
            Ok(answer) => {
                tally.count(&answer);
                for remark in &answer.remarks {
                    output.say(format_args!("{}: {}", shown(&batch.mark), shown(remark)));
                }
            }
            Err(ClientError::Problem(problem)) if is_of_batch(&problem) => {
                tally.refused += 1;
                let refused = Failure::Client(ClientError::Problem(problem));
                output.say(format_args!("{}: {refused}", shown(&batch.mark)));
                if let Some(hint) = refused.hint() {
                    output.say(format_args!("  try: {hint}"));
                }
            }
            Err(error) => {
                output.data(tally)?;
                return Err(error.into());
            }
        }
    }
    let read = reading.await.map_err(|error| Failure::Refused {
        what: error.to_string(),
        hint: None,
    })?;
    output.data(tally)?;
    read?;
    Ok(match tally.refused {
        0 => Exit::Done,
        _ => Exit::Failed,
    })
}

/// What became of the batches of an export.
#[derive(Clone, Copy, Debug, Default)]
struct Tally {
    taken: u64,
    went_on: u64,
    already: u64,
    refused: u64,
}

impl Tally {
    const fn count(&mut self, answer: &TakenIn) {
        if answer.already {
            self.already += 1;
        } else if answer.went_on {
            self.went_on += 1;
        } else {
            self.taken += 1;
        }
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            taken,
            went_on,
            already,
            refused,
        } = self;
        write!(f, "{taken} batches taken in, ")?;
        if 0 < *went_on {
            write!(f, "{went_on} went on, ")?;
        }
        write!(f, "{already} were here already")?;
        if 0 < *refused {
            write!(f, ", {refused} refused")?;
        }
        Ok(())
    }
}

/// Returns whether it is this batch that is refused, so that others may still be taken in.
fn is_of_batch(problem: &Problem) -> bool {
    // It conflicts with what is here, is too large, or breaks a rule.
    matches!(problem.status, 409 | 413 | 422)
}

/// Reads an export piece by piece, and hands each batch on.
fn read(file: &Path, batches: &tokio::sync::mpsc::Sender<KeptBatch>) -> Result<(), Failure> {
    struct Batches<'s>(&'s tokio::sync::mpsc::Sender<KeptBatch>);

    impl<'de> Visitor<'de> for Batches<'_> {
        type Value = ();

        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str("what `tarehand log export --format json` wrote")
        }

        fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<(), A::Error> {
            while let Some(batch) = list.next_element::<Exported>()? {
                if self.0.blocking_send(batch.kept).is_err() {
                    break;
                }
            }
            Ok(())
        }
    }

    let opened = std::fs::File::open(file).map_err(|source| FilesError::Read {
        path: file.to_owned(),
        source,
    })?;
    let reader = std::io::BufReader::new(opened);
    let mut json = serde_json::Deserializer::from_reader(reader);
    let read = json
        .deserialize_seq(Batches(batches))
        .and_then(|()| json.end());
    read.map_err(|error| Failure::Refused {
        what: format!("{} is no export of a log: {error}", file.display()),
        hint: Some(
            "name a file that `tarehand log export --format json` wrote; batches before that place were taken in"
                .to_owned(),
        ),
    })
}
