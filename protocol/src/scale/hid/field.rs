//! Bits of a report.

use crate::scale::binary::signed;

/// Most bits of a number of a scale.
pub(super) const MOST_BITS: u32 = 32;

/// Some bits of a report, counted from behind its id.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Field {
    from: u32,
    size: u32,
    /// The least value it can have.
    least: i64,
}

impl Field {
    /// Makes one; `None` when it is empty or too wide for a number of a scale.
    pub(super) const fn new(from: u32, size: u32, least: i64) -> Option<Self> {
        if size == 0 || MOST_BITS < size {
            return None;
        }
        Some(Self { from, size, least })
    }

    /// Reads its value; `None` when the report is too short.
    pub(super) fn value(self, report: &[u8]) -> Option<i64> {
        match self.least < 0 {
            true => self.signed(report),
            false => i64::try_from(self.bits(report)?).ok(),
        }
    }

    /// Reads its value in two's complement, whatever the descriptor says.
    pub(super) fn signed(self, report: &[u8]) -> Option<i64> {
        Some(signed(self.bits(report)?, self.size))
    }

    fn bits(self, report: &[u8]) -> Option<u64> {
        let first = usize::try_from(self.from / 8).ok()?;
        let end = usize::try_from((self.from + self.size).div_ceil(8)).ok()?;
        let bytes = report.get(first..end)?;
        let all = bytes
            .iter()
            .rev()
            .fold(0, |all: u64, &byte| all << 8 | u64::from(byte));
        Some(all >> (self.from % 8) & ((1 << self.size) - 1))
    }
}

/// How a status or a unit is told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Code {
    /// By its number in the usage tables.
    Number(Field),
    /// By its place among usages that the descriptor lists.
    Choice(Field, Vec<(u32, u32)>),
    /// By one bit or number for each that is not zero when it holds.
    Flags(Vec<(Field, u32)>),
}

impl Code {
    /// Reads how many usages above `base` the one is that was told.
    ///
    /// `None` when the report is too short, `Some(None)` when it tells none.
    pub(super) fn read(&self, report: &[u8], base: u32) -> Option<Option<u32>> {
        let above = |usage: u32| usage.checked_sub(base);
        Some(match self {
            Self::Number(field) => u32::try_from(field.value(report)?).ok(),
            Self::Choice(field, usages) => {
                let place = field.value(report)? - field.least;
                u32::try_from(place)
                    .ok()
                    .and_then(|place| nth(usages, place))
                    .and_then(above)
            }
            Self::Flags(flags) => {
                let mut told = None;
                for (field, usage) in flags {
                    if field.value(report)? != 0 {
                        // The greatest of several: an overload counts before a weight that stands.
                        told = told.max(above(*usage));
                    }
                }
                told
            }
        })
    }
}

/// Returns the usage of a place in a list of ranges.
fn nth(usages: &[(u32, u32)], mut place: u32) -> Option<u32> {
    for &(from, to) in usages {
        let last = to.checked_sub(from)?;
        if place <= last {
            return from.checked_add(place);
        }
        place -= last + 1;
    }
    None
}
