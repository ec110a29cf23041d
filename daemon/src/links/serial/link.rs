//! The link as a bench sees it: what a person wants, and the thread that provides it.

use tarehand_protocol::scale::profile::Poll;
use tokio::sync::mpsc;
use tokio_util::sync::CancellationToken;

use super::identity::Identity;
use super::open::{Host, System};
use super::seat::Seat;
use super::settings::Settings;
use super::settings_search::SettingsSearch;
use super::time::Time;
use crate::clock::Clock;
use crate::links::outlet::{Outlet, Stopped};
use crate::links::{Link, LinkEvent};

/// Which port a person wants.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wanted {
    /// The one at this path.
    ///
    /// A link in the file system is followed anew at every opening. Any other path names a device once:
    /// after that the device is looked for, as its path may change and another may get the old one.
    Path(String),
    /// This device, wherever it is.
    Device(Identity),
}

/// How the settings of the line are known.
#[derive(Clone, Debug)]
pub enum Line {
    /// They are these.
    Known(Settings),
    /// They are found by trying, and then kept as long as the link runs.
    Tried(SettingsSearch),
}

/// A scale on a serial port.
#[derive(Clone, Debug)]
pub struct SerialLink {
    wanted: Wanted,
    line: Line,
    poll: Option<Poll>,
}

impl SerialLink {
    /// Makes a link to a scale that sends by itself.
    #[must_use]
    pub const fn new(wanted: Wanted, line: Line) -> Self {
        Self {
            wanted,
            line,
            poll: None,
        }
    }

    /// Makes the link send a command at every period.
    ///
    /// The period is bench time: in a rehearsal ten times as fast, ten times as often on the wall.
    #[must_use]
    pub fn polling(self, poll: Poll) -> Self {
        Self {
            poll: Some(poll),
            ..self
        }
    }

    /// Runs on a given machine and clock until told to stop.
    pub(super) fn run_on(self, host: &dyn Host, time: &dyn Time, outlet: &Outlet) -> Stopped {
        let mut seat = Seat {
            wanted: self.wanted,
            line: self.line,
            poll: self.poll,
            device: None,
            host,
            time,
            outlet,
        };
        let Err(stopped) = seat.keep_open();
        stopped
    }
}

impl Link for SerialLink {
    fn run(
        self: Box<Self>,
        clock: Clock,
        events: mpsc::Sender<LinkEvent>,
        stop: CancellationToken,
    ) {
        let Stopped = self.run_on(&System, &clock, &Outlet::new(events, stop));
    }
}
