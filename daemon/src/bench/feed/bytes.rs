//! What the bytes of a scale say: readings with the facts that follow from them, and what is no reading.

use std::time::Duration;

use tarehand_mixing::settler::{Settler, Signal};
use tarehand_mixing::tick::Tick;
use tarehand_mixing::weighing::Scale;
use tarehand_protocol::Reading;
use tarehand_protocol::scale::line_settings::likeness;
use tarehand_protocol::scale::{Decoded, Decoder, Rejected, hid};

use super::told::Trouble;
use super::{Feed, Form, Manner, News, Spoken};
use crate::api::translate;

/// What comes within this time of the opening may have begun before it, so that the first frame is
/// the tail of one: it is read only where its shape itself shows that nothing is missing. On the wall's
/// clock; a USB adapter keeps bytes back for 16 ms.
const TAIL: Duration = Duration::from_millis(30);

/// So long a silence ends a frame of bits: far more than a character takes on the slowest line, far less than a
/// scale's period (our own choice).
const PAUSE: Duration = Duration::from_millis(40);

/// Bytes less alike to a scale's text than this, in percent, came with other settings.
const NO_TEXT: u8 = 50;
/// So many of them, with nothing else between, and the settings are looked for.
const ENOUGH_GIBBERISH: usize = 200;

/// So many letters in a row are a word; units and marks of state are shorter.
const WORD: usize = 4;

/// How bytes arrived.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Arrived {
    InStream,
    AsPacket,
}

impl Feed {
    /// The device says itself how its reports are read.
    pub(super) fn described(&mut self, descriptor: &[u8]) -> News {
        let Manner::ByDevice { unit } = self.manner else {
            return News::default();
        };
        if let Ok(reports) = hid::Reports::find(descriptor) {
            self.pristine = match unit {
                Some(unit) => Decoder::reports(reports).told(unit),
                None => Decoder::reports(reports),
            };
            self.decoder = self.pristine.clone();
        }
        News::default()
    }

    pub(super) fn bytes(&mut self, at: Tick, bytes: &[u8], arrived: Arrived) -> News {
        if let Some(opened_at) = self.opened_at.take() {
            self.decoder = self.pristine.clone();
            if at.since(opened_at).div_f64(self.clock.rate()) < TAIL {
                self.decoder.reset();
            }
        }
        if self.form == Form::Bits {
            self.quiet_at = Some(at + PAUSE.mul_f64(self.clock.rate()));
        }
        self.gibberish = if self.form == Form::Text && likeness(bytes) < NO_TEXT {
            self.gibberish.saturating_add(bytes.len())
        } else {
            0
        };
        self.decoded(at, |decoder, sink| match arrived {
            Arrived::InStream => decoder.push(bytes, &mut |decoded| sink(decoded)),
            Arrived::AsPacket => decoder.packet(bytes, &mut |decoded| sink(decoded)),
        })
    }

    /// Takes what the decoder makes of something that happened then.
    pub(super) fn decoded(
        &mut self,
        at: Tick,
        take: impl FnOnce(&mut Decoder, &mut dyn FnMut(Decoded)),
    ) -> News {
        let (division, heard) = (self.settler.division(), self.hears_taps());
        let age = self.clock.now().since(at);
        let mut readings = Vec::new();
        let (settler, doctor, capacity) = (&mut self.settler, &mut self.doctor, self.capacity);
        let mut listen = |settler: &Settler, reading: Reading| {
            let scale = Scale {
                division: settler.division(),
                capacity,
            };
            let gross = match reading {
                Reading::Weight(weighed) => Some(weighed.gross),
                Reading::NoWeight(_) => None,
            };
            self.ear.hear(at, gross, settler.band(), scale)
        };
        let mut sink = |decoded| {
            doctor.observe(&decoded);
            readings.push(match decoded {
                Decoded::Reading(reading) => Spoken {
                    line: translate::reading_line(reading, age),
                    facts: settler.step(at, Signal::Reading(reading)),
                    tap: listen(settler, reading),
                },
                Decoded::Rejected(rejected) => {
                    let line = translate::rejected_line(&rejected, age);
                    let facts = if is_words(&rejected) {
                        settler.step(at, Signal::Words)
                    } else {
                        Vec::new()
                    };
                    Spoken {
                        line,
                        facts,
                        tap: None,
                    }
                }
            });
        };
        take(&mut self.decoder, &mut sink);
        let findings = self.doctor.findings().first().map(Trouble::from);
        let changed = division != self.settler.division()
            || findings != self.findings
            || heard != self.hears_taps();
        self.findings = findings;
        News {
            readings,
            changed,
            ..News::default()
        }
    }

    /// Returns whether all that comes looks like read with the wrong speed or parity.
    pub(in crate::bench) const fn is_gibberish(&self) -> bool {
        ENOUGH_GIBBERISH <= self.gibberish
    }
}

/// Tells a banner such as `self test passed` from a broken number: only the first spells something (our own choice).
fn is_words(rejected: &Rejected) -> bool {
    let bytes = rejected.raw.bytes();
    let printable = bytes.iter().all(|byte| matches!(byte, b' '..=b'~'));
    let longest = bytes
        .split(|byte| !byte.is_ascii_alphabetic())
        .map(<[u8]>::len)
        .max();
    printable && WORD <= longest.unwrap_or_default()
}
