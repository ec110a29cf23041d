//! What a shape found in a frame, before units and tares are settled.

use super::sense::{Kind, Sense};
use super::why::Why;
use crate::decimal::Decimal;
use crate::mass::{Mass, MassUnit};
use crate::reading::{Basis, Motion, Reading, Sent, Weighed};

/// A weight and what the frame says about it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Figures {
    pub(super) weight: Measured,
    pub(super) tare: Option<Measured>,
    pub(super) kind: Option<Kind>,
    pub(super) motion: Motion,
}

/// A number with its unit, if it has one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Measured {
    pub(super) amount: Amount,
    pub(super) unit: Option<MassUnit>,
}

/// One number, or whole pounds and ounces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Amount {
    Number(Decimal),
    PoundsOunces(Decimal, Decimal),
}

impl Measured {
    pub(super) const fn bare(number: Decimal) -> Self {
        Self {
            amount: Amount::Number(number),
            unit: None,
        }
    }

    #[inline]
    fn sent(self, told: Option<MassUnit>) -> Result<Sent, Why> {
        match self.amount {
            Amount::PoundsOunces(pounds, ounces) => Ok(Sent::PoundsOunces(pounds, ounces)),
            Amount::Number(number) => match self.unit.or(told) {
                Some(unit) => Ok(Sent::Single(number, unit)),
                None => Err(Why::MissingUnit(number)),
            },
        }
    }

    fn mass(self, told: Option<MassUnit>) -> Result<Mass, Why> {
        self.sent(told)?.mass().ok_or(Why::TooLarge)
    }
}

impl Figures {
    pub(super) const fn of(weight: Measured, motion: Motion) -> Self {
        Self {
            weight,
            tare: None,
            kind: None,
            motion,
        }
    }

    /// Makes the reading: the unit on the wire counts before the one that was told.
    // Where a shape calls it most of the figures are known, and are never put together.
    #[inline(always)]
    pub(super) fn reading(self, sense: &Sense) -> Result<Reading, Why> {
        let sent = self.weight.sent(sense.unit)?;
        let Some(mass) = sent.mass() else {
            return Err(Why::TooLarge);
        };
        let (gross, basis) = match (self.kind.or(sense.kind), self.tare) {
            (Some(Kind::Net), Some(tare)) => (sum(mass, tare.mass(sense.unit)?)?, Basis::Gross),
            (Some(Kind::Net), None) => (mass, Basis::Relative),
            (Some(Kind::Gross) | None, _) => (mass, Basis::Gross),
        };
        Ok(Reading::Weight(Weighed {
            gross,
            sent,
            basis,
            motion: self.motion,
        }))
    }
}

fn sum(net: Mass, tare: Mass) -> Result<Mass, Why> {
    let gross = net + tare;
    if gross.abs() <= Mass::LIMIT {
        Ok(gross)
    } else {
        Err(Why::TooLarge)
    }
}
