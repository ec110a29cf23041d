//! The guided batch on a terminal: a live view with keys, or plain lines.
//!
//! | file | idea |
//! |---|---|
//! | `scene` | everything the screen is drawn from |
//! | `render` | the screen, from that; pure |
//! | `beam`, `digits`, `readout`, `line` | its parts: the steelyard, the large number, lines with a tone |
//! | `keys`, `pedal` | what a key means at this moment; pure |
//! | `style` | what the terminal can show |
//! | `screen`, `keyboard` | the terminal while the view has it, and its keys |
//! | `feed` | what a bench tells, kept up over restarts of the service |
//! | `live`, `plain` | the loop round the screen, and the same as plain lines |

mod beam;
mod digits;
mod feed;
mod keyboard;
mod keys;
mod line;
mod live;
mod pedal;
mod plain;
mod readout;
mod render;
mod scene;
mod screen;
mod style;
#[cfg(test)]
mod tests;

use std::io;
use std::time::Duration;

use tarehand_protocol::api::{BatchStateWord, View};
use tokio::time::Instant;

use crate::client::Client;
use crate::failure::Failure;
use crate::output::Output;
use crate::settings::KeySettings;

use feed::{Update, follow};
use plain::Plain;

pub(crate) use keys::command;
pub(crate) use readout::is_over;

/// How long plain lines wait for a service that does not answer.
const AWAY_LIMIT: Duration = Duration::from_secs(30);

/// Why the terminal cannot be used.
#[derive(Debug, thiserror::Error)]
#[error("the terminal cannot be used")]
pub(crate) struct TerminalError {
    #[from]
    source: io::Error,
}

/// Which bench is looked at, and how.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Seat<'a> {
    /// The bench.
    pub(crate) bench: &'a str,
    /// Whether the bell says stop.
    pub(crate) bell: bool,
    /// What the keys of a pedal say.
    pub(crate) keys: &'a KeySettings,
    /// What to do when the batch is over.
    pub(crate) at_end: AtEnd,
}

/// What to do when the batch is over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum AtEnd {
    /// Wait for the person to leave.
    Stay,
    /// Leave.
    Leave,
}

/// How the batch was when the person left.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Ending {
    /// It was complete.
    Complete {
        /// The batch's mark.
        mark: Option<String>,
    },
    /// It was given up.
    Aborted {
        /// The batch's mark.
        mark: Option<String>,
    },
    /// It goes on in the service.
    Left,
}

impl Ending {
    fn of(view: &View) -> Self {
        let mark = view.batch.clone();
        match view.state {
            BatchStateWord::Complete => Self::Complete { mark },
            BatchStateWord::Aborted => Self::Aborted { mark },
            BatchStateWord::Idle
            | BatchStateWord::Running
            | BatchStateWord::Held
            | BatchStateWord::Paused => Self::Left,
        }
    }
}

/// Accompanies the batch on a bench: drawn on a terminal, else in plain lines.
pub(crate) async fn accompany(
    client: &Client,
    seat: &Seat<'_>,
    output: &mut Output,
) -> Result<Ending, Failure> {
    if output.is_live() {
        live::show(client, seat, output).await
    } else {
        tell(client, seat, output).await
    }
}

/// Returns whether what is shown is still that batch, or the set that its jar belongs to.
fn is_of_run(view: &View, mark: &str) -> bool {
    view.batch.as_deref() == Some(mark) || view.jars.iter().any(|jar| jar.batch == mark)
}

/// Tells what happens in plain lines until the batch is over.
async fn tell(client: &Client, seat: &Seat<'_>, output: &mut Output) -> Result<Ending, Failure> {
    let mut updates = follow(client, seat.bench);
    let mut plain = Plain::default();
    let mut mark: Option<String> = None;
    let mut away_since: Option<Instant> = None;
    while let Some(update) = updates.recv().await {
        match update {
            Update::View(view) => {
                let same = mark.as_deref().is_none_or(|mark| is_of_run(&view, mark));
                if !same || view.batch.is_none() {
                    return Ok(Ending::Left);
                }
                mark.clone_from(&view.batch);
                for line in plain.lines(&view) {
                    output.data(line)?;
                }
                if is_over(&view) {
                    return Ok(Ending::of(&view));
                }
            }
            Update::Weight(_) => {}
            Update::Away(error) => match away_since {
                None => {
                    output.say(format_args!("{error}: trying again"));
                    away_since = Some(Instant::now());
                }
                Some(since) if AWAY_LIMIT <= since.elapsed() => return Err(error.into()),
                Some(_) => {}
            },
            Update::Back => {
                output.say("the service is back; everything that was settled is still there");
                away_since = None;
            }
            Update::Over(error) => return Err(error.into()),
        }
    }
    Ok(Ending::Left)
}
