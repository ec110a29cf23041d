//! A capture played back: the bytes of a scale, when they came, from a file.
//!
//! For bug reports, for teaching and for tests: whoever has the file sees what the person saw.

use std::path::PathBuf;
use std::time::Duration;

use tarehand_mixing::Tick;
use tarehand_protocol::api::TroubleWord;
use tarehand_protocol::scale::capture::{Capture, Captured, Moment};
use tokio::sync::mpsc;
use tokio_util::sync::CancellationToken;

use super::outlet::{Outlet, Stopped};
use super::{Link, LinkEvent};
use crate::clock::Clock;

/// A link that plays a capture back.
#[derive(Clone, Debug)]
pub struct ReplayLink {
    path: PathBuf,
}

impl ReplayLink {
    /// Makes a link that plays this file.
    #[must_use]
    pub const fn new(path: PathBuf) -> Self {
        Self { path }
    }

    /// Reads the file.
    ///
    /// # Errors
    /// Why it cannot be played, and what to do about it.
    fn read(&self) -> Result<Capture, (String, Option<String>)> {
        let bytes = std::fs::read(&self.path).map_err(|error| {
            let why = format!("{} cannot be read: {error}", self.path.display());
            (why, None)
        })?;
        // What is no text is no capture either, and is said to be none at its line.
        Capture::parse(&String::from_utf8_lossy(&bytes)).map_err(|error| {
            let why = format!("{} is no capture: {error}", self.path.display());
            (why, Some(error.hint().to_owned()))
        })
    }

    fn opened(&self, capture: &Capture) -> LinkEvent {
        let path = self.path.display();
        let device = if capture.device.is_empty() {
            format!("the capture {path}")
        } else {
            format!("the capture {path} of {}", capture.device)
        };
        LinkEvent::Opened {
            device,
            key: format!("capture:{path}"),
        }
    }

    fn play(&self, clock: &Clock, outlet: &Outlet) -> Result<(), Stopped> {
        let capture = match self.read() {
            Ok(capture) => capture,
            Err((why, hint)) => {
                let kind = TroubleWord::CaptureUnreadable;
                return outlet.tell(LinkEvent::Gone { kind, why, hint });
            }
        };
        outlet.tell(self.opened(&capture))?;
        let began = clock.now();
        for moment in capture.moments {
            let due = began + Duration::from_micros(moment.at_us);
            let left = clock.wall_until(due);
            if !left.is_zero() {
                outlet.wait(left)?;
            }
            if let Some(event) = event(moment, due) {
                outlet.tell(event)?;
            }
        }
        outlet.tell(LinkEvent::Gone {
            kind: TroubleWord::CaptureOver,
            why: "the capture is over".to_owned(),
            hint: Some("attach it again to hear it once more".to_owned()),
        })
    }
}

impl Link for ReplayLink {
    fn run(
        self: Box<Self>,
        clock: Clock,
        events: mpsc::Sender<LinkEvent>,
        stop: CancellationToken,
    ) {
        // Stopped or at its end, there is nothing more to say.
        let (Ok(()) | Err(Stopped)) = self.play(&clock, &Outlet::new(events, stop));
    }
}

/// Returns what arrived; what was told of the pan arrives nowhere.
fn event(moment: Moment, at: Tick) -> Option<LinkEvent> {
    match moment.what {
        Captured::Bytes(bytes) => Some(LinkEvent::Bytes { at, bytes }),
        Captured::Packet(bytes) => Some(LinkEvent::Packet { at, bytes }),
        Captured::Pan(_) | Captured::Hand(_) | Captured::Display(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn played(text: &str) -> Vec<LinkEvent> {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("scale.capture");
        std::fs::write(&path, text).unwrap();
        let (events, mut heard) = mpsc::channel(64);
        // So fast that an hour is over in a moment.
        let clock = Clock::starting_at(Tick::ZERO, 1e6);
        Box::new(ReplayLink::new(path)).run(clock, events, CancellationToken::new());
        let mut all = Vec::new();
        while let Ok(event) = heard.try_recv() {
            all.push(event);
        }
        all
    }

    #[test]
    fn what_was_captured_arrives_in_order_and_as_far_apart() {
        let text = "{\"capture\":1,\"device\":\"a board\"}\n\
            {\"at_us\":0,\"bytes\":\"31320d0a\"}\n{\"at_us\":5,\"pan\":\"12 g\"}\n\
            {\"at_us\":3600000000,\"packet\":\"a2\"}\n";
        let events = played(text);
        let [opened, first, second, end] = events.as_slice() else {
            panic!("{events:?}");
        };
        assert!(
            matches!(opened, LinkEvent::Opened { device, .. } if device.ends_with("of a board"))
        );
        let (LinkEvent::Bytes { at: one, bytes }, LinkEvent::Packet { at: two, .. }) =
            (first, second)
        else {
            panic!("{events:?}");
        };
        assert_eq!(bytes, b"12\r\n");
        assert_eq!(two.since(*one), Duration::from_secs(3_600));
        assert!(matches!(end, LinkEvent::Gone { why, .. } if why == "the capture is over"));
    }

    #[test]
    fn a_file_that_is_no_capture_is_said_with_its_line() {
        let events = played("{\"capture\":1}\nnonsense\n");
        assert!(
            matches!(&events[..], [LinkEvent::Gone { why, hint: Some(_), .. }] if why.contains("line 2")),
            "{events:?}"
        );
    }
}
