//! One scale: its link's thread, its decoder and its settler.

mod bytes;
mod ear;
mod ending;
mod news;
mod told;

use std::time::Duration;

use tarehand_mixing::settler::{Reports, Settler, Signal};
use tarehand_mixing::tick::Tick;
use tarehand_protocol::scale::{Decoder, Doctor};
use tarehand_protocol::{Mass, MassUnit};
use tokio::sync::mpsc;
use tokio_util::sync::CancellationToken;

use self::told::Trouble;
use super::attach::{Approach, Attachment};
use crate::clock::Clock;
use crate::links::{Link, LinkEvent};
use bytes::Arrived;
use ear::Ear;
pub(super) use ending::{Ending, has_let_go};
pub(super) use news::{News, Spoken};

/// Chunks a link may be ahead of its bench before it waits.
const AHEAD: usize = 256;

/// A scale being read.
#[derive(Debug)]
pub(super) struct Feed {
    events: mpsc::Receiver<LinkEvent>,
    stop: CancellationToken,
    thread: Ending,
    clock: Clock,
    manner: Manner,
    form: Form,
    /// When a silence ends what has come.
    quiet_at: Option<Tick>,
    pristine: Decoder,
    decoder: Decoder,
    doctor: Doctor,
    settler: Settler,
    ear: Ear,
    capacity: Option<Mass>,
    division_told: bool,
    lag: Option<Duration>,
    read_as: String,
    remark: Option<String>,
    battery_percent: Option<u8>,
    device: String,
    key: Option<String>,
    open: bool,
    opened_at: Option<Tick>,
    /// How much came since the line was opened that looks like no text at all.
    gibberish: usize,
    trouble: Option<Trouble>,
    findings: Option<Trouble>,
}

/// Who says how the bytes are read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Manner {
    /// The person, a profile, or a standard.
    Told,
    /// The device describes its reports; the person may have said the unit of those that have none.
    ByDevice {
        /// That unit.
        unit: Option<MassUnit>,
    },
}

/// What the scale's frames are made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    /// Letters and digits.
    Text,
    /// Bits: a silence may end a frame.
    Bits,
}

impl Feed {
    /// Starts reading the scale a person attached.
    pub(super) fn attach(
        attachment: &Attachment,
        approach: Approach,
        clock: Clock,
        before: Ending,
    ) -> Self {
        let parts = Parts {
            manner: attachment.manner(),
            form: attachment.form(),
            decoder: attachment.decoder(),
            settler: Settler::new(attachment.reports(), attachment.division()),
            ear: match attachment.reports() {
                Reports::Stream if attachment.is_to_weigh() => Ear::new(attachment.taps()),
                Reports::Stream | Reports::OnChange | Reports::Finished => {
                    Ear::deaf(attachment.taps())
                }
            },
            capacity: attachment.capacity(),
            division_told: attachment.division().is_some(),
            lag: attachment.lag(),
            read_as: attachment.read_as(),
            remark: attachment.remark(),
            device: attachment.place().to_string(),
        };
        Self::start(attachment.link(approach), clock, parts, before)
    }

    /// Starts reading the simulated scale.
    pub(super) fn rehearsal(
        link: Box<dyn Link>,
        clock: Clock,
        capacity: Mass,
        lag: Duration,
    ) -> Self {
        let parts = Parts {
            manner: Manner::Told,
            form: Form::Text,
            decoder: Decoder::tolerant(None),
            settler: Settler::new(Reports::Stream, None),
            // On the simulated pan nobody taps: what its hand does is never taken for a word of the person.
            ear: Ear::deaf(true),
            capacity: Some(capacity),
            division_told: false,
            lag: Some(lag),
            read_as: "plain lines".to_owned(),
            remark: None,
            device: "the rehearsal scale".to_owned(),
        };
        Self::start(link, clock, parts, None)
    }

    /// Starts the link's thread, once the link before it has let go of its port.
    fn start(link: Box<dyn Link>, clock: Clock, parts: Parts, before: Ending) -> Self {
        let (sender, events) = mpsc::channel(AHEAD);
        let stop = CancellationToken::new();
        let token = stop.clone();
        let run = move || {
            if let Some(before) = before {
                // One that panicked holds no port either.
                drop(before.join());
            }
            link.run(clock, sender, token);
        };
        let thread = std::thread::Builder::new()
            .name("link".to_owned())
            .spawn(run);
        let thread = thread
            .inspect_err(|error| tracing::error!(%error, "cannot start a thread for the scale"))
            .ok();
        Self {
            events,
            stop,
            thread,
            clock,
            manner: parts.manner,
            form: parts.form,
            quiet_at: None,
            pristine: parts.decoder.clone(),
            decoder: parts.decoder,
            doctor: Doctor::default(),
            settler: parts.settler,
            ear: parts.ear,
            capacity: parts.capacity,
            division_told: parts.division_told,
            lag: parts.lag,
            read_as: parts.read_as,
            remark: parts.remark,
            battery_percent: None,
            device: parts.device,
            key: None,
            open: false,
            opened_at: None,
            gibberish: 0,
            trouble: None,
            findings: None,
        }
    }

    /// The bench's time leapt: the scale's goes by the same clock.
    pub(super) const fn goes_by(&mut self, clock: Clock) {
        self.clock = clock;
    }

    /// Tells the link to end; whoever reads the same port next waits for it.
    pub(super) fn end(mut self) -> Ending {
        self.stop.cancel();
        self.thread.take()
    }

    /// Waits for the link.
    pub(super) async fn event(&mut self) -> Option<LinkEvent> {
        self.events.recv().await
    }

    /// Returns an event that is waiting already.
    pub(super) fn waiting(&mut self) -> Option<LinkEvent> {
        self.events.try_recv().ok()
    }

    /// Takes an event of the link.
    pub(super) fn take(&mut self, event: LinkEvent) -> News {
        match event {
            LinkEvent::Opened { device, key } => self.opened(device, key),
            LinkEvent::Bytes { at, bytes } => self.bytes(at, &bytes, Arrived::InStream),
            LinkEvent::Packet { at, bytes } => self.bytes(at, &bytes, Arrived::AsPacket),
            LinkEvent::Described { descriptor } => self.described(&descriptor),
            LinkEvent::Tuned { usual, found } => {
                self.remark = Some(format!(
                    "nothing readable came at {usual}; {found} was found: write it under `[serial]` in a profile to have it at once"
                ));
                News {
                    changed: true,
                    ..News::default()
                }
            }
            LinkEvent::About {
                division,
                capacity,
                battery_percent,
            } => self.about(division, capacity, battery_percent),
            LinkEvent::Skipped { at } => {
                // The settler sees a gap by itself; what comes next may begin inside a frame.
                self.decoder.reset();
                News {
                    facts: self.settler.step(at, Signal::Wake),
                    ..News::default()
                }
            }
            LinkEvent::Gone { kind, why, hint } => self.gone(Trouble { kind, why, hint }),
        }
    }

    fn opened(&mut self, device: String, key: String) -> News {
        let now = self.clock.now();
        self.device = device;
        self.key = Some(key.clone());
        self.open = true;
        self.opened_at = Some(now);
        self.trouble = None;
        let facts = self.settler.step(now, Signal::Opened);
        News {
            facts,
            changed: true,
            opened: Some(key),
            ..News::default()
        }
    }

    /// The way is closed; a frame of bits that only a silence ends has ended, and was before it.
    fn gone(&mut self, trouble: Trouble) -> News {
        let now = self.clock.now();
        let mut news = match self.quiet_at.take() {
            Some(_) => self.decoded(now, |decoder, sink| {
                decoder.flush(&mut |decoded| sink(decoded));
            }),
            None => News::default(),
        };
        self.open = false;
        self.trouble = Some(trouble);
        let facts = self.settler.step(now, Signal::Gone);
        match news.readings.last_mut() {
            Some(last) => last.facts.extend(facts),
            None => news.facts = facts,
        }
        News {
            changed: true,
            ..news
        }
    }

    /// Returns how far the newest reading is ahead of what is judged by now.
    pub(super) fn ahead(&self) -> Mass {
        self.settler.ahead()
    }

    /// What the scale says of itself counts where nobody told otherwise.
    fn about(
        &mut self,
        division: Option<Mass>,
        capacity: Option<Mass>,
        battery_percent: Option<u8>,
    ) -> News {
        self.capacity = self.capacity.or(capacity);
        if let (Some(division), false) = (division, self.division_told) {
            self.settler.tell_division(division);
            self.division_told = true;
        }
        self.battery_percent = battery_percent;
        News {
            changed: true,
            ..News::default()
        }
    }

    /// Time has passed: a silence may end a frame, and the settler may know more.
    pub(super) fn wake(&mut self, now: Tick) -> News {
        if self.quiet_at.is_some_and(|quiet_at| quiet_at <= now) {
            self.quiet_at = None;
            return self.decoded(now, |decoder, sink| {
                decoder.flush(&mut |decoded| sink(decoded));
            });
        }
        News {
            facts: self.settler.step(now, Signal::Wake),
            ..News::default()
        }
    }

    /// Returns when it wants to be woken.
    pub(super) fn wake_at(&self) -> Option<Tick> {
        let both = [self.quiet_at, self.settler.wake_at()];
        both.into_iter().flatten().min()
    }

    /// Tells what the pan shows without a jar.
    pub(super) fn set_empty(&mut self, gross: Mass) {
        self.settler.set_empty(gross);
    }

    /// Makes a weight that is settled already be told again: somebody new listens.
    pub(super) fn tell_settled_again(&mut self) {
        self.settler.tell_settled_again();
        self.forget_taps();
    }
}

impl Drop for Feed {
    fn drop(&mut self) {
        self.stop.cancel();
    }
}

struct Parts {
    manner: Manner,
    form: Form,
    decoder: Decoder,
    settler: Settler,
    ear: Ear,
    capacity: Option<Mass>,
    division_told: bool,
    lag: Option<Duration>,
    read_as: String,
    remark: Option<String>,
    device: String,
}
