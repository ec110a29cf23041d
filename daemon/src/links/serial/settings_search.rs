//! Finding the settings of a line by trying.
//!
//! At a wrong speed or parity a line brings bytes too, only not those that were sent. So each
//! candidate listens for a moment, and a judge says how much its bytes look like a scale's.

use std::fmt;
use std::io;
use std::sync::Arc;
use std::time::Duration;

use tarehand_protocol::scale::profile::Poll;

use super::error::{Closed, OpenError};
use super::port::Port;
use super::reader::READ_WAIT;
use super::settings::Settings;
use super::time::Time;
use crate::links::outlet::{Outlet, Stopped};

/// What a judge makes of bytes that were read with some settings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Guess {
    /// The settings under which they would read right.
    ///
    /// Bytes read with eight bits show the parity of seven, so this may differ from how they were read.
    pub settings: Settings,
    /// How sure the judge is, in percent.
    pub sure: u8,
}

/// Judges bytes: with which settings they were read, and the bytes. Nothing means gibberish.
pub type Judge = Arc<dyn Fn(Settings, &[u8]) -> Option<Guess> + Send + Sync>;

/// Which settings to try, and who judges what they bring.
#[derive(Clone)]
pub struct SettingsSearch {
    candidates: Vec<Settings>,
    judge: Judge,
}

impl fmt::Debug for SettingsSearch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("SettingsSearch")
            .field("candidates", &self.candidates)
            .finish_non_exhaustive()
    }
}

/// How many bytes make a sample: a line or two of most scales, enough to see a parity.
const ENOUGH: usize = 24;

/// How long one candidate listens (wall time): a slow scale sends one line a second.
const LISTEN: Duration = Duration::from_millis(1500);

/// How often all candidates are tried: a board that resets on opening is silent during the first.
const ROUNDS: u32 = 2;

/// A guess so sure ends the search.
const SURE: u8 = 90;

/// Why no settings were found.
#[derive(Debug)]
pub(super) enum SearchError {
    /// The link is to end.
    Stopped,
    /// Nothing came, or only gibberish.
    Unread,
    /// The port went away meanwhile.
    Gone(io::Error),
}

impl SearchError {
    /// Returns what this means for the port at `path`.
    pub(super) fn at(self, path: &str, search: &SettingsSearch) -> Closed {
        let path = path.to_owned();
        match self {
            Self::Stopped => Closed::Stopped,
            Self::Unread => Closed::Error(OpenError::Unread {
                path,
                tried: search.candidates.iter().map(Settings::to_string).collect(),
            }),
            Self::Gone(error) => Closed::Error(OpenError::System {
                path,
                source: error.into(),
            }),
        }
    }
}

impl From<Stopped> for SearchError {
    fn from(_: Stopped) -> Self {
        Self::Stopped
    }
}

impl From<io::Error> for SearchError {
    fn from(error: io::Error) -> Self {
        Self::Gone(error)
    }
}

impl SettingsSearch {
    /// Tries these settings, in this order; none at all means those of a [new scale](Settings::default).
    #[must_use]
    pub fn among(mut candidates: Vec<Settings>, judge: Judge) -> Self {
        if candidates.is_empty() {
            candidates.push(Settings::default());
        }
        Self { candidates, judge }
    }

    /// Returns the settings to open with.
    pub(super) fn first(&self) -> Settings {
        self.candidates.first().copied().unwrap_or_default()
    }

    /// Tries each candidate on an open port and leaves the port with the best.
    ///
    /// The port stays open all the while, because every opening may reset a scale.
    pub(super) fn run(
        &self,
        port: &mut dyn Port,
        poll: Option<&Poll>,
        time: &dyn Time,
        outlet: &Outlet,
    ) -> Result<Settings, SearchError> {
        let mut best = None;
        for _ in 0..ROUNDS {
            best = self.round(port, poll, time, outlet)?;
            if best.is_some() {
                break;
            }
        }
        let best = best.ok_or(SearchError::Unread)?;
        port.apply(best.settings)?;
        Ok(best.settings)
    }

    /// Tries each candidate once; returns the best guess, if any.
    fn round(
        &self,
        port: &mut dyn Port,
        poll: Option<&Poll>,
        time: &dyn Time,
        outlet: &Outlet,
    ) -> Result<Option<Guess>, SearchError> {
        let mut best: Option<Guess> = None;
        for settings in &self.candidates {
            port.apply(*settings)?;
            port.clear_input()?;
            let sample = listen(port, poll, time, outlet)?;
            let Some(guess) = (self.judge)(*settings, &sample).filter(|guess| 0 < guess.sure)
            else {
                continue;
            };
            if best.is_none_or(|best| best.sure < guess.sure) {
                best = Some(guess);
            }
            if SURE <= guess.sure {
                break;
            }
        }
        Ok(best)
    }
}

/// Reads until there are enough bytes or the time is over.
fn listen(
    port: &mut dyn Port,
    poll: Option<&Poll>,
    time: &dyn Time,
    outlet: &Outlet,
) -> Result<Vec<u8>, SearchError> {
    let until = time.after_wall(LISTEN);
    let mut sample = Vec::new();
    let mut buffer = [0; 256];
    let mut next_poll = time.now();
    let mut empty_reads = 0;
    while sample.len() < ENOUGH && time.now() < until {
        outlet.go_on()?;
        if let Some(poll) = poll.filter(|_| next_poll <= time.now()) {
            ask(port, poll)?;
            next_poll = time.now() + poll.every;
        }
        match port.read(&mut buffer, READ_WAIT) {
            Ok(0) if empty_reads == 2 => {
                return Err(io::Error::from(io::ErrorKind::BrokenPipe).into());
            }
            Ok(0) => empty_reads += 1,
            Ok(count) => sample.extend_from_slice(&buffer[..count]),
            Err(error) if is_pause(&error) => {}
            Err(error) => return Err(error.into()),
        }
    }
    Ok(sample)
}

fn ask(port: &mut dyn Port, poll: &Poll) -> io::Result<()> {
    match port.write(&poll.send) {
        Err(error) if is_pause(&error) => Ok(()),
        result => result,
    }
}

fn is_pause(error: &io::Error) -> bool {
    use io::ErrorKind::{Interrupted, TimedOut, WouldBlock};
    matches!(error.kind(), Interrupted | TimedOut | WouldBlock)
}
