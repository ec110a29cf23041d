//! Bytes or packets in, readings out.

use super::binary;
use super::decoded::{Decoded, Raw, Rejected};
use super::hid;
use super::profile::{Layout, Profile};
use super::text::Text;
use super::weight_service;
use super::why::Why;
use super::zero::ZeroWatch;
use crate::mass::MassUnit;

/// Turns the bytes or the packets of a scale into readings.
///
/// Bytes may come in any split; a packet is taken as a whole. Memory is bounded whatever comes.
#[derive(Clone, Debug)]
pub struct Decoder {
    format: Format,
    zero: Option<ZeroWatch>,
}

/// What the bytes mean.
#[derive(Clone, Debug)]
enum Format {
    /// Lines of text.
    Text(Box<Text>),
    /// Frames of bits, by a profile.
    Binary(Box<binary::Reader>),
    /// Indications of Bluetooth's Weight Scale Service.
    WeightService,
    /// Reports of a USB scale.
    Reports(Box<hid::Reports>),
}

impl Decoder {
    /// Makes the tolerant reader, with the unit of numbers that have none if one was told.
    #[must_use]
    pub fn tolerant(unit: Option<MassUnit>) -> Self {
        Self::new(Format::Text(Box::new(Text::tolerant(unit))))
    }

    /// Makes the reader that a profile describes.
    #[must_use]
    pub fn of(profile: &Profile) -> Self {
        let settings = profile.settings();
        let format = match &settings.layout {
            Layout::Binary(binary) => {
                let mut reader = binary::Reader::new(binary, settings.unit, settings.weight);
                if !settings.streams() {
                    reader.waits();
                }
                Format::Binary(Box::new(reader))
            }
            Layout::Tolerant | Layout::Shape(..) | Layout::Patterns(_) => {
                Format::Text(Box::new(Text::of(profile)))
            }
        };
        Self {
            format,
            zero: ZeroWatch::of(settings),
        }
    }

    /// Makes the reader of Bluetooth's Weight Scale Service: each indication is a packet.
    #[must_use]
    pub const fn weight_service() -> Self {
        Self::new(Format::WeightService)
    }

    /// Makes the reader of a USB scale: each input report is a packet.
    #[must_use]
    pub fn reports(reports: hid::Reports) -> Self {
        Self::new(Format::Reports(Box::new(reports)))
    }

    const fn new(format: Format) -> Self {
        Self { format, zero: None }
    }

    /// Says the unit of numbers that have none, in place of the profile's.
    #[must_use]
    pub fn told(mut self, unit: MassUnit) -> Self {
        match &mut self.format {
            Format::Text(text) => text.tell(unit),
            Format::Binary(reader) => reader.tell(unit),
            Format::Reports(reports) => reports.tell(unit),
            // It has a unit always.
            Format::WeightService => {}
        }
        self
    }

    /// Takes bytes of a stream and hands each frame's outcome to `sink`, in order.
    pub fn push(&mut self, bytes: &[u8], sink: &mut impl FnMut(Decoded)) {
        let Self { format, zero } = self;
        let mut sink = |decoded| sink(judged(zero, decoded));
        match format {
            Format::Text(text) => text.push(bytes, &mut sink),
            Format::Binary(reader) => reader.push(bytes, &mut sink),
            Format::WeightService | Format::Reports(_) if bytes.is_empty() => {}
            Format::WeightService | Format::Reports(_) => sink(Decoded::Rejected(Rejected {
                raw: Raw::keep(bytes),
                why: Why::Stream,
            })),
        }
    }

    /// Takes a packet of which the link knows where it begins and ends: a notification, an
    /// indication, an input report.
    ///
    /// It is a frame by itself, but where the scale uses packets to carry a stream.
    pub fn packet(&mut self, packet: &[u8], sink: &mut impl FnMut(Decoded)) {
        let Self { format, zero } = self;
        let mut sink = |decoded| sink(judged(zero, decoded));
        match format {
            Format::Text(text) => text.packet(packet, &mut sink),
            Format::Binary(reader) => reader.packet(packet, &mut sink),
            Format::WeightService => sink(weight_service::decode(packet)),
            Format::Reports(reports) => {
                if let Some(decoded) = reports.decode(packet) {
                    sink(decoded);
                }
            }
        }
    }

    /// Takes a silence, which ends the frames of some scales.
    ///
    /// For the link to call when nothing has come for a few characters' time and more. A frame of
    /// bits without a check of two bytes is told once the next one begins or this is called.
    pub fn flush(&mut self, sink: &mut impl FnMut(Decoded)) {
        let Self { format, zero } = self;
        let mut sink = |decoded| sink(judged(zero, decoded));
        match format {
            Format::Text(text) => text.flush(&mut sink),
            Format::Binary(reader) => reader.flush(&mut sink),
            Format::WeightService | Format::Reports(_) => {}
        }
    }

    /// Forgets half a frame: a live link was opened, also for the first time.
    ///
    /// A scale that sends all the time is then somewhere inside a line, and what is left of that
    /// line could look like a smaller weight, so it is rejected as torn, unless its shape has heads
    /// before the number and they are all there. A file is read without.
    pub fn reset(&mut self) {
        match &mut self.format {
            Format::Text(text) => text.reset(),
            Format::Binary(reader) => reader.reset(),
            Format::WeightService | Format::Reports(_) => {}
        }
        if let Some(zero) = &mut self.zero {
            zero.reset();
        }
    }
}

#[inline]
fn judged(zero: &mut Option<ZeroWatch>, decoded: Decoded) -> Decoded {
    match zero {
        None => decoded,
        Some(zero) => zero.judge(decoded),
    }
}

impl From<&Profile> for Decoder {
    fn from(profile: &Profile) -> Self {
        Self::of(profile)
    }
}
