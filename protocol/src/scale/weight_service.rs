//! The Weight Scale Service of Bluetooth, by the GATT Specification Supplement.

use super::decoded::{Decoded, Raw, Rejected};
use super::exact::Exact;
use super::why::Why;
use crate::mass::{Mass, MassUnit};
use crate::reading::{Motion, NoWeight, Reading};

/// Weight Measurement, characteristic 0x2A9D.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Measurement {
    /// The weight, or that the measurement did not succeed.
    pub reading: Reading,
    /// When it was made, by the scale's own clock, if it says so.
    pub time: Option<TimeStamp>,
    /// Which of its users the scale took it for, if it knows.
    pub user: Option<u8>,
}

/// A date and a time of day without a zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TimeStamp {
    /// The year.
    pub year: u16,
    /// The month, from 1.
    pub month: u8,
    /// The day, from 1.
    pub day: u8,
    /// The hour, from 0.
    pub hour: u8,
    /// The minute.
    pub minute: u8,
    /// The second.
    pub second: u8,
}

/// Weight Scale Feature, characteristic 0x2A9E.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Feature(u32);

const IMPERIAL: u8 = 1 << 0;
const TIMED: u8 = 1 << 1;
const OF_USER: u8 = 1 << 2;
const BODY: u8 = 1 << 3;
const UNSUCCESSFUL: u16 = 0xffff;
const UNKNOWN_USER: u8 = 0xff;

impl Measurement {
    /// Decodes a whole indication.
    ///
    /// Flags that are reserved, and bytes that belong to them, are passed over, as the standard
    /// asks.
    ///
    /// # Errors
    /// [`Why::Torn`] when it is shorter than its flags say.
    pub fn decode(packet: &[u8]) -> Result<Self, Why> {
        let (&[flags], rest) = packet.split_first_chunk().ok_or(Why::Torn)?;
        let (&weight, mut rest) = rest.split_first_chunk().ok_or(Why::Torn)?;
        let mut time = None;
        if flags & TIMED != 0 {
            let (stamp, behind) = rest.split_first_chunk().ok_or(Why::Torn)?;
            time = TimeStamp::decode(stamp);
            rest = behind;
        }
        let mut user = None;
        if flags & OF_USER != 0 {
            let (&[index], behind) = rest.split_first_chunk().ok_or(Why::Torn)?;
            user = Some(index).filter(|&index| index != UNKNOWN_USER);
            rest = behind;
        }
        if flags & BODY != 0 {
            // A body mass index and a height say nothing of a jar.
            let _body: &[u8; 4] = rest.first_chunk().ok_or(Why::Torn)?;
        }
        Ok(Self {
            reading: reading(u16::from_le_bytes(weight), flags & IMPERIAL != 0)?,
            time,
            user,
        })
    }
}

/// Decodes a whole indication for those who want its reading alone.
pub(super) fn decode(packet: &[u8]) -> Decoded {
    match Measurement::decode(packet) {
        Ok(measurement) => Decoded::Reading(measurement.reading),
        Err(why) => Decoded::Rejected(Rejected {
            raw: Raw::keep(packet),
            why,
        }),
    }
}

fn reading(weight: u16, imperial: bool) -> Result<Reading, Why> {
    if weight == UNSUCCESSFUL {
        return Ok(Reading::NoWeight(NoWeight::Fault));
    }
    let weight = i64::from(weight);
    // Steps of 0.005 kg or of 0.01 lb.
    let (number, unit) = if imperial {
        (Exact::new(weight, -2), MassUnit::Pound)
    } else {
        (Exact::new(weight * 5, -3), MassUnit::Kilogram)
    };
    number.reading(unit, None, Motion::Unknown)
}

impl TimeStamp {
    /// Returns `None` where the scale does not know its date, or sends one that is none.
    fn decode(bytes: &[u8; 7]) -> Option<Self> {
        let &[low, high, month, day, hour, minute, second] = bytes;
        let stamp = Self {
            year: u16::from_le_bytes([low, high]),
            month,
            day,
            hour,
            minute,
            second,
        };
        let date = stamp.year != 0 && matches!(month, 1..=12) && matches!(day, 1..=31);
        let time = hour < 24 && minute < 60 && second < 60;
        (date && time).then_some(stamp)
    }
}

impl Feature {
    /// Decodes the value of the characteristic; `None` when it is too short.
    #[must_use]
    pub fn decode(value: &[u8]) -> Option<Self> {
        value
            .first_chunk()
            .copied()
            .map(u32::from_le_bytes)
            .map(Self)
    }

    /// Returns the smallest step of the display, where the scale tells it.
    ///
    /// The scale tells it for both of its units at once; `unit` is the one it sends.
    #[must_use]
    pub fn division(self, unit: MassUnit) -> Option<Mass> {
        let code = usize::try_from(self.0 >> 3 & 0xf).ok()?.checked_sub(1)?;
        // Thousandths of a kilogram, hundredths of a pound.
        let (steps, tens) = match unit {
            MassUnit::Kilogram => ([500, 200, 100, 50, 20, 10, 5], -3),
            MassUnit::Pound => ([100, 50, 20, 10, 5, 2, 1], -2),
            MassUnit::Milligram
            | MassUnit::Gram
            | MassUnit::Ounce
            | MassUnit::TroyOunce
            | MassUnit::Carat
            | MassUnit::Grain => return None,
        };
        unit.mass(Exact::new(*steps.get(code)?, tens).decimal()?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn division(feature: u32, unit: MassUnit, expect: Option<&str>) {
        let feature = Feature::decode(&feature.to_le_bytes()).unwrap();
        let expect = expect.map(|text| text.parse::<Mass>().unwrap());
        assert_eq!(feature.division(unit), expect);
    }

    // GATT Specification Supplement, Weight Scale Feature, bits 3 to 6.
    #[test]
    fn the_feature_tells_the_division() {
        division(0, MassUnit::Kilogram, None);
        division(1 << 3, MassUnit::Kilogram, Some("0.5 kg"));
        division(7 << 3 | 0b111, MassUnit::Kilogram, Some("5 g"));
        division(7 << 3, MassUnit::Pound, Some("0.01 lb"));
        division(2 << 3, MassUnit::Pound, Some("0.5 lb"));
        division(8 << 3, MassUnit::Kilogram, None);
        assert_eq!(Feature::decode(&[0x38, 0, 0]), None);
    }

    #[test]
    fn a_date_that_is_none_is_left_out() {
        let measurement = Measurement::decode(&[0x02, 0x64, 0, 0, 0, 0, 0, 9, 30, 0]).unwrap();
        assert_eq!(measurement.time, None);
    }

    #[test]
    fn an_unknown_user_is_none() {
        let known = Measurement::decode(&[0x04, 0x64, 0, 3]).unwrap();
        let unknown = Measurement::decode(&[0x04, 0x64, 0, 0xff]).unwrap();
        assert_eq!((known.user, unknown.user), (Some(3), None));
    }
}
