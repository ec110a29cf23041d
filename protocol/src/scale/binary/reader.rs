//! From a frame of bits to a reading.

use super::layout::{Binary, Frames, Meaning, Scaling};
use super::number::Value;
use super::sync::{Event, Sync};
use crate::mass::{Mass, MassUnit};
use crate::reading::{Motion, Reading};
use crate::scale::decoded::{Decoded, Raw, Rejected};
use crate::scale::exact::Exact;
use crate::scale::sense::Kind;
use crate::scale::why::Why;

/// Turns the bytes or packets of a scale into readings, by a layout.
#[derive(Clone, Debug)]
pub(in crate::scale) struct Reader {
    sync: Sync,
    fields: Fields,
    /// A live link may begin inside a frame only where frames come all the time.
    streams: bool,
}

#[derive(Clone, Debug)]
struct Fields {
    binary: Binary,
    unit: Option<MassUnit>,
    kind: Option<Kind>,
}

impl Reader {
    pub(in crate::scale) fn new(
        binary: &Binary,
        unit: Option<MassUnit>,
        kind: Option<Kind>,
    ) -> Self {
        Self {
            sync: Sync::new(binary),
            streams: true,
            fields: Fields {
                binary: binary.clone(),
                unit,
                kind,
            },
        }
    }

    /// Says that the scale does not send all the time.
    pub(in crate::scale) const fn waits(&mut self) {
        self.streams = false;
    }

    /// Says the unit, where the frame has none.
    pub(in crate::scale) const fn tell(&mut self, unit: MassUnit) {
        self.fields.unit = Some(unit);
    }

    pub(in crate::scale) fn push(&mut self, bytes: &[u8], sink: &mut impl FnMut(Decoded)) {
        let Self { sync, fields, .. } = self;
        sync.push(bytes, &mut |event| sink(fields.take(&event)));
    }

    pub(in crate::scale) fn packet(&mut self, packet: &[u8], sink: &mut impl FnMut(Decoded)) {
        let Self { sync, fields, .. } = self;
        match fields.binary.frames {
            Frames::Packets | Frames::Silence => {
                sync.packet(packet, &mut |event| sink(fields.take(&event)));
            }
            Frames::Stream => sync.push(packet, &mut |event| sink(fields.take(&event))),
        }
    }

    pub(in crate::scale) fn flush(&mut self, sink: &mut impl FnMut(Decoded)) {
        let Self { sync, fields, .. } = self;
        sync.flush(&mut |event| sink(fields.take(&event)));
    }

    pub(in crate::scale) fn reset(&mut self) {
        self.sync.reset(self.streams);
    }
}

impl Fields {
    fn take(&self, event: &Event<'_>) -> Decoded {
        let (bytes, outcome) = match event {
            Event::Whole(frame) => (*frame, self.read(frame)),
            Event::Broken(bytes, why) => (*bytes, Err(why.clone())),
        };
        match outcome {
            Ok(reading) => Decoded::Reading(reading),
            Err(why) => Decoded::Rejected(Rejected {
                raw: Raw::keep(bytes),
                why,
            }),
        }
    }

    fn read(&self, frame: &[u8]) -> Result<Reading, Why> {
        let mut motion = Motion::Unknown;
        let mut kind = self.kind;
        for &(state, bits) in &self.binary.states {
            if !bits.hold(frame).ok_or(Why::Torn)? {
                continue;
            }
            match state.meaning() {
                Meaning::NoWeight(state) => return Ok(Reading::NoWeight(state)),
                // A scale that moves through its zero moves.
                Meaning::Motion(said) if motion != Motion::Moving => motion = said,
                Meaning::Motion(_) => {}
                Meaning::Kind(said) => kind = Some(said),
            }
        }
        let number = match self.binary.weight.read(frame).ok_or(Why::Unrecognised)? {
            Value::NoWeight(state) => return Ok(Reading::NoWeight(state)),
            Value::Number(number) => self.scaled(number, frame)?,
        };
        let unit = self.unit(number, frame)?;
        let reading = number.reading(unit, kind, motion)?;
        match reading {
            Reading::Weight(weighed) if !self.was_seen(weighed.gross) => {
                Err(Why::Unseen(weighed.gross))
            }
            reading => Ok(reading),
        }
    }

    fn scaled(&self, number: Exact, frame: &[u8]) -> Result<Exact, Why> {
        let byte = |at: u8| frame.get(usize::from(at)).copied().ok_or(Why::Torn);
        let shifted = |by: i32| Exact {
            tens: number.tens.saturating_add(by),
            ..number
        };
        Ok(match self.binary.scaling {
            Scaling::Factor(factor) => Exact { factor, ..number },
            Scaling::Exponent { at } => shifted(i32::from(byte(at)?.cast_signed())),
            Scaling::Decimals { at, mask, none } => {
                let bits = (byte(at)? & mask) >> mask.trailing_zeros().min(7);
                shifted(i32::from(none) - i32::from(bits))
            }
        })
    }

    fn unit(&self, number: Exact, frame: &[u8]) -> Result<MassUnit, Why> {
        let Some(field) = &self.binary.unit else {
            return self.unit.ok_or_else(|| match number.decimal() {
                Some(number) => Why::MissingUnit(number),
                None => Why::TooLarge,
            });
        };
        let byte = frame.get(usize::from(field.at)).ok_or(Why::Torn)?;
        let value = byte & field.mask;
        let known = field.units.iter().find(|&&(known, _)| known == value);
        let unit = known.map(|&(_, unit)| unit);
        unit.ok_or_else(|| Why::UnknownUnit(format!("0x{value:02x}").into()))
    }

    fn was_seen(&self, mass: Mass) -> bool {
        let least = self.binary.at_least.is_none_or(|least| least <= mass);
        let most = self.binary.at_most.is_none_or(|most| mass <= most);
        least && most
    }
}
