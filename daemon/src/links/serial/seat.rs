//! Finding the port, opening it, and looking again when it is gone.

use std::convert::Infallible;

use tarehand_protocol::api::TroubleWord;
use tarehand_protocol::scale::profile::Poll;

use super::attached::{Attached, Hardware};
use super::error::{Closed, OpenError};
use super::identity::{self, Identity, Search};
use super::link::{Line, Wanted};
use super::open::Host;
use super::port::Port;
use super::presence::{Absence, Backoff, Told};
use super::reader::{Lost, Reader};
use super::settings::Settings;
use super::time::Time;
use crate::links::LinkEvent;
use crate::links::outlet::{Outlet, Stopped};

/// The place where a scale sits: what is wanted, and which device turned out to be meant.
pub(super) struct Seat<'a> {
    pub(super) wanted: Wanted,
    pub(super) line: Line,
    pub(super) poll: Option<Poll>,
    /// The device met at a path that is not a link: from then on it is looked for, not the path.
    pub(super) device: Option<Identity>,
    pub(super) host: &'a dyn Host,
    pub(super) time: &'a dyn Time,
    pub(super) outlet: &'a Outlet,
}

/// A port that was just opened.
struct Opened {
    port: Box<dyn Port>,
    identity: Identity,
    device: String,
    /// The settings of its line, where they had to be looked for.
    found: Option<Settings>,
}

impl Seat<'_> {
    /// Keeps the scale's port open until told to stop.
    pub(super) fn keep_open(&mut self) -> Result<Infallible, Stopped> {
        let mut told = Told::default();
        let mut backoff = Backoff::default();
        loop {
            self.outlet.go_on()?;
            match self.open() {
                Ok(opened) => {
                    told.present();
                    let device = opened.device.clone();
                    let lost = self.read(opened)?;
                    if lost.had_sent {
                        backoff.restart();
                    }
                    told.absent(Absence::Away);
                    self.outlet.tell(gone(&device, &lost))?;
                }
                Err(Closed::Stopped) => return Err(Stopped),
                Err(Closed::Error(error)) => {
                    if told.absent(Absence::from(&error)) {
                        self.outlet.tell(LinkEvent::Gone {
                            kind: error.kind(),
                            why: error.in_full(),
                            hint: error.hint(),
                        })?;
                    }
                }
            }
            self.outlet.wait(backoff.wait())?;
        }
    }

    /// Finds and opens the port, and finds the settings of its line where they are not known.
    fn open(&mut self) -> Result<Opened, Closed> {
        let ports = self.host.attached();
        let path = self.locate(&ports)?;
        let (port, settings, found) = match &self.line {
            Line::Known(settings) => (self.host.open(&path, *settings)?, *settings, None),
            Line::Tried(search) => {
                let mut port = self.host.open(&path, search.first())?;
                let settings = search
                    .run(port.as_mut(), self.poll.as_ref(), self.time, self.outlet)
                    .map_err(|error| error.at(&path, search))?;
                self.line = Line::Known(settings);
                (port, settings, Some(settings))
            }
        };
        let (identity, words) = recognise(&path, &ports);
        if matches!(identity, Identity::Usb { .. }) {
            self.device = Some(identity.clone());
        }
        let device = match words {
            Some(words) => format!("{path} ({words}), {settings}"),
            None => format!("{path}, {settings}"),
        };
        Ok(Opened {
            port,
            identity,
            device,
            found,
        })
    }

    /// Returns the path of the wanted port.
    fn locate(&self, ports: &[Attached]) -> Result<String, OpenError> {
        let identity = match (&self.wanted, &self.device) {
            (Wanted::Device(Identity::Path(path)), _) => return Ok(path.clone()),
            (Wanted::Device(identity), _) => identity,
            (Wanted::Path(path), Some(device)) if !is_link(path) => device,
            (Wanted::Path(path), _) => return Ok(path.clone()),
        };
        match identity::find(identity, ports) {
            Search::Found(port) => Ok(port.path.clone()),
            Search::Missing => Err(self.missing(ports)),
            Search::Ambiguous(candidates) => Err(OpenError::Ambiguous {
                place: place(&self.wanted),
                candidates: candidates
                    .into_iter()
                    .map(|port| port.path.clone())
                    .collect(),
            }),
        }
    }

    /// Says that the device is away, and whether another took its place.
    fn missing(&self, ports: &[Attached]) -> OpenError {
        match &self.wanted {
            Wanted::Path(path) => match ports.iter().find(|port| port.path == *path) {
                Some(other) => OpenError::Another {
                    path: path.clone(),
                    words: other.words().to_owned(),
                },
                None => OpenError::Missing {
                    place: path.clone(),
                },
            },
            Wanted::Device(identity) => OpenError::Missing {
                place: identity.key(),
            },
        }
    }

    /// Reads until the port is gone; it is closed when this returns.
    fn read(&self, mut opened: Opened) -> Result<Lost, Stopped> {
        // What came before was for nobody, and nobody knows when.
        let cleared = opened.port.clear_input();
        let since = self.time.now();
        self.outlet.tell(LinkEvent::Opened {
            device: opened.device,
            key: opened.identity.key(),
        })?;
        let usual = Settings::default();
        if let Some(found) = opened.found.filter(|found| *found != usual) {
            self.outlet.tell(LinkEvent::Tuned {
                usual: usual.to_string(),
                found: found.to_string(),
            })?;
        }
        if let Err(error) = cleared {
            return Ok(Lost {
                had_sent: false,
                source: Some(error),
            });
        }
        let reader = Reader {
            time: self.time,
            outlet: self.outlet,
            poll: self.poll.as_ref(),
        };
        reader.run(opened.port, since)
    }
}

fn place(wanted: &Wanted) -> String {
    match wanted {
        Wanted::Path(path) => path.clone(),
        Wanted::Device(identity) => identity.key(),
    }
}

fn is_link(path: &str) -> bool {
    std::fs::symlink_metadata(path).is_ok_and(|node| node.is_symlink())
}

/// Returns which device is at a path, and what it calls itself.
fn recognise(path: &str, ports: &[Attached]) -> (Identity, Option<String>) {
    let real = std::fs::canonicalize(path).ok();
    let real = real
        .as_deref()
        .and_then(std::path::Path::to_str)
        .unwrap_or(path);
    match ports
        .iter()
        .find(|port| port.path == real || port.path == path)
    {
        Some(port) => {
            let words = match &port.hardware {
                Hardware::Usb(device) => device.words.clone(),
                Hardware::Bluetooth | Hardware::Plain => None,
            };
            (Identity::of(port), words)
        }
        // As it was given: a link keeps its name when what it points to changes.
        None => (Identity::Path(path.to_owned()), None),
    }
}

fn gone(device: &str, lost: &Lost) -> LinkEvent {
    let why = match &lost.source {
        None => format!("the scale at {device} was unplugged or switched off"),
        Some(source) => format!("the scale at {device} stopped answering: {source}"),
    };
    LinkEvent::Gone {
        kind: TroubleWord::Unplugged,
        why,
        hint: Some("plug it in again; it is found by itself, also under another path".to_owned()),
    }
}
