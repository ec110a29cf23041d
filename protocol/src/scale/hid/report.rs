//! From an input report to a reading.

use super::descriptor::{NotAScale, Walk};
use super::draft::{Draft, Purpose, STATUS, UNIT, Way};
use super::field::{Code, Field};
use crate::mass::{Mass, MassUnit};
use crate::reading::{Motion, NoWeight, Reading};
use crate::scale::decoded::{Decoded, Raw, Rejected};
use crate::scale::exact::{Exact, Factor};
use crate::scale::why::Why;

/// How a scale's reports are read, found in its report descriptor.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reports {
    data: Places,
    limit: Option<Places>,
    attributes: Option<Places>,
    unit: Option<MassUnit>,
}

/// Where things lie in one report.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Places {
    /// Its id, which is its first byte; `None` where the device has one report without.
    id: Option<u8>,
    status: Option<Code>,
    unit: Option<Code>,
    scaling: Scaling,
    weight: Option<Field>,
}

/// Where the power of ten comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Scaling {
    Field(Field),
    Descriptor(i32),
}

impl Reports {
    /// Finds out from a report descriptor how the device tells its weight.
    ///
    /// # Errors
    /// Why it is not a scale, or not one that can be read.
    pub fn find(descriptor: &[u8]) -> Result<Self, NotAScale> {
        let walk = Walk::through(descriptor)?;
        let report = |purpose: Purpose, has: fn(&Draft) -> bool| {
            let mut drafts = walk.drafts.iter().filter(|draft| draft.way != Way::Output);
            drafts
                .find(|draft| draft.purpose == purpose && has(draft))
                .map(Places::of)
        };
        let mut inputs = walk.drafts.iter().filter(|draft| draft.way == Way::Input);
        let data = inputs.find(|draft| draft.purpose == Purpose::Data && draft.weight.is_some());
        let data = match data {
            Some(draft) => Places::of(draft),
            None if walk.is_scale => {
                Places::of_the_standard(&walk.drafts).ok_or(NotAScale::NoWeight)?
            }
            None if walk.is_keyboard => return Err(NotAScale::Keyboard),
            None => return Err(NotAScale::Other),
        };
        Ok(Self {
            data,
            limit: report(Purpose::Limit, |draft| draft.weight.is_some()),
            attributes: report(Purpose::Attributes, |draft| draft.scaling.is_some()),
            unit: None,
        })
    }

    /// Says the unit of a scale whose reports have none.
    pub const fn tell(&mut self, unit: MassUnit) {
        self.unit = Some(unit);
    }

    /// Decodes an input report, its id included where it has one; `None` for one that tells no weight.
    #[must_use]
    pub fn decode(&self, report: &[u8]) -> Option<Decoded> {
        let body = self.data.body(report)?;
        Some(match self.data.read(body, self.unit) {
            Ok(reading) => Decoded::Reading(reading),
            Err(why) => Decoded::Rejected(Rejected {
                raw: Raw::keep(report),
                why,
            }),
        })
    }

    /// Returns which report tells the most the scale can weigh.
    #[must_use]
    pub fn capacity_id(&self) -> Option<u8> {
        self.limit.as_ref().map(|places| places.id.unwrap_or(0))
    }

    /// Returns the most the scale can weigh, from the report that tells it.
    #[must_use]
    pub fn capacity(&self, report: &[u8]) -> Option<Mass> {
        let places = self.limit.as_ref()?;
        let body = places.body(report)?;
        let limit = places.mass(body, places.weight?.value(body)?, self.unit);
        limit.filter(|&mass| Mass::ZERO < mass)
    }

    /// Returns which report tells the smallest step of the display.
    #[must_use]
    pub fn division_id(&self) -> Option<u8> {
        self.attributes
            .as_ref()
            .map(|places| places.id.unwrap_or(0))
    }

    /// Returns the smallest step of the display, from the report that tells it.
    #[must_use]
    pub fn division(&self, report: &[u8]) -> Option<Mass> {
        let places = self.attributes.as_ref()?;
        let step = places.mass(places.body(report)?, 1, self.unit);
        step.filter(|&mass| Mass::ZERO < mass)
    }
}

impl Places {
    fn of(draft: &Draft) -> Self {
        Self {
            id: draft.id,
            status: draft.status.clone(),
            unit: draft.unit.clone(),
            scaling: match (draft.scaling, draft.weight) {
                (Some(field), _) => Scaling::Field(field),
                (None, Some((_, tens))) => Scaling::Descriptor(tens),
                (None, None) => Scaling::Descriptor(0),
            },
            weight: draft.weight.map(|(field, _)| field),
        }
    }

    /// Takes a scale that says no more than that its report has five bytes: then they are those of
    /// the standard's data report.
    fn of_the_standard(drafts: &[Draft]) -> Option<Self> {
        let mut inputs = drafts.iter().filter(|draft| draft.way == Way::Input);
        let draft = match (inputs.next(), inputs.next()) {
            (Some(draft), None) if draft.bits == 5 * 8 => draft,
            _ => return None,
        };
        Some(Self {
            id: draft.id,
            status: Some(Code::Number(Field::new(0, 8, 0)?)),
            unit: Some(Code::Number(Field::new(8, 8, 0)?)),
            scaling: Scaling::Field(Field::new(16, 8, -128)?),
            weight: Some(Field::new(24, 16, 0)?),
        })
    }

    /// Returns what stands behind the id; `None` for another report.
    fn body<'r>(&self, report: &'r [u8]) -> Option<&'r [u8]> {
        match (self.id, report) {
            (None, report) => Some(report),
            (Some(id), [first, body @ ..]) if *first == id => Some(body),
            (Some(_), _) => None,
        }
    }

    fn read(&self, body: &[u8], told: Option<MassUnit>) -> Result<Reading, Why> {
        let weight = self
            .weight
            .and_then(|field| field.value(body))
            .ok_or(Why::Torn)?;
        // A scale that has not weighed yet, or is about to be switched off.
        if body.iter().all(|&byte| byte == 0) {
            return Ok(Reading::NoWeight(NoWeight::Blank));
        }
        let motion = match &self.status {
            None => Motion::Unknown,
            Some(status) => match status.read(body, STATUS).ok_or(Why::Torn)? {
                Some(1 | 7 | 8) => return Ok(Reading::NoWeight(NoWeight::Fault)),
                Some(2 | 4) => Motion::Stable,
                Some(3) => Motion::Moving,
                Some(5) => return Ok(Reading::NoWeight(NoWeight::Under)),
                Some(6) => return Ok(Reading::NoWeight(NoWeight::Over)),
                Some(_) | None => return Err(Why::Unrecognised),
            },
        };
        let number = Exact::new(weight, self.tens(body).ok_or(Why::Torn)?);
        let (factor, unit) = self.unit(body, told).ok_or(Why::Torn)??;
        let Some(unit) = unit else {
            return Err(number.decimal().map_or(Why::TooLarge, Why::MissingUnit));
        };
        Exact { factor, ..number }.reading(unit, None, motion)
    }

    fn mass(&self, body: &[u8], whole: i64, told: Option<MassUnit>) -> Option<Mass> {
        let (factor, unit) = self.unit(body, told)?.ok()?;
        let exact = Exact {
            whole,
            tens: self.tens(body)?,
            factor,
        };
        match exact.reading(unit?, None, Motion::Unknown).ok()? {
            Reading::Weight(weighed) => Some(weighed.gross),
            Reading::NoWeight(_) => None,
        }
    }

    fn tens(&self, body: &[u8]) -> Option<i32> {
        match self.scaling {
            // In two's complement, whatever a descriptor says of its range.
            Scaling::Field(field) => i32::try_from(field.signed(body)?).ok(),
            Scaling::Descriptor(tens) => Some(tens),
        }
    }

    /// Reads the unit; `None` when the report is too short.
    fn unit(
        &self,
        body: &[u8],
        told: Option<MassUnit>,
    ) -> Option<Result<(Factor, Option<MassUnit>), Why>> {
        let Some(code) = &self.unit else {
            return Some(Ok((Factor::ONE, told)));
        };
        let code = code.read(body, UNIT)?;
        Some(match code.and_then(unit) {
            Some((factor, unit)) => Ok((factor, Some(unit))),
            None => Err(Why::UnknownUnit(match code {
                Some(5) => "tael".into(),
                Some(code) => format!("unit {code} of the weighing page").into(),
                None => "no unit".into(),
            })),
        })
    }
}

/// Units of the weighing page; a tael is another mass in each country and is refused.
fn unit(code: u32) -> Option<(Factor, MassUnit)> {
    let (times, unit) = match code {
        1 => (1, MassUnit::Milligram),
        2 => (1, MassUnit::Gram),
        3 => (1, MassUnit::Kilogram),
        4 => (1, MassUnit::Carat),
        6 => (1, MassUnit::Grain),
        // A pennyweight is 24 grains, a tonne 1000 kg, a short ton 2000 lb.
        7 => (24, MassUnit::Grain),
        8 => (1_000, MassUnit::Kilogram),
        9 => (2_000, MassUnit::Pound),
        10 => (1, MassUnit::TroyOunce),
        11 => (1, MassUnit::Ounce),
        12 => (1, MassUnit::Pound),
        _ => return None,
    };
    Some((Factor::new(times, 1)?, unit))
}
