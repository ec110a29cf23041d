//! What has been found of one report so far.

use super::field::{Code, Field};

/// The weighing page.
const PAGE: u32 = 0x8d;
pub(super) const WEIGHT: u32 = 0x40;
pub(super) const SCALING: u32 = 0x41;
pub(super) const UNIT: u32 = 0x50;
pub(super) const LAST_UNIT: u32 = 0x5c;
pub(super) const STATUS: u32 = 0x70;
pub(super) const LAST_STATUS: u32 = 0x78;

/// Returns a usage within the weighing page; `None` for any other page.
pub(super) const fn weighing(usage: u32) -> Option<u32> {
    if usage >> 16 == PAGE {
        Some(usage & 0xffff)
    } else {
        None
    }
}

/// What a report is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Purpose {
    /// What stands on the pan.
    Data,
    /// The most the scale can weigh.
    Limit,
    /// What kind of scale it is, and its step.
    Attributes,
    /// Anything else.
    Other,
}

impl Purpose {
    /// Returns what the collections around a field are for.
    pub(super) fn of(collections: &[u32]) -> Self {
        let purpose = |usage: &u32| match weighing(*usage)? {
            0x30 => Some(Self::Attributes),
            0x31 | 0x33 | 0x35 => Some(Self::Other),
            0x32 => Some(Self::Data),
            0x34 => Some(Self::Limit),
            _ => None,
        };
        collections
            .iter()
            .rev()
            .find_map(purpose)
            .unwrap_or(Self::Data)
    }
}

/// Whether the device sends a report by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    Input,
    Output,
    Feature,
}

/// One report as far as it is known.
#[derive(Clone, Debug)]
pub(super) struct Draft {
    pub(super) way: Way,
    pub(super) id: Option<u8>,
    pub(super) purpose: Purpose,
    /// How many bits it has so far.
    pub(super) bits: u32,
    pub(super) weight: Option<(Field, i32)>,
    pub(super) scaling: Option<Field>,
    pub(super) unit: Option<Code>,
    pub(super) status: Option<Code>,
}

impl Draft {
    pub(super) const fn new(way: Way, id: Option<u8>) -> Self {
        Self {
            way,
            id,
            purpose: Purpose::Other,
            bits: 0,
            weight: None,
            scaling: None,
            unit: None,
            status: None,
        }
    }

    /// Takes a field with a usage of its own; the first of a kind counts.
    pub(super) fn variable(&mut self, usage: u32, field: Field, tens: i32) {
        match weighing(usage) {
            Some(WEIGHT) => {
                self.weight.get_or_insert((field, tens));
            }
            Some(SCALING) => {
                self.scaling.get_or_insert(field);
            }
            Some(UNIT) => {
                self.unit.get_or_insert(Code::Number(field));
            }
            Some(STATUS) => {
                self.status.get_or_insert(Code::Number(field));
            }
            Some(unit) if UNIT < unit && unit <= LAST_UNIT => flag(&mut self.unit, field, unit),
            Some(status) if STATUS < status && status <= LAST_STATUS => {
                flag(&mut self.status, field, status);
            }
            Some(_) | None => {}
        }
    }

    /// Takes a field that says which of several usages holds.
    pub(super) fn choice(&mut self, usages: &[(u32, u32)], field: Field) {
        let ranges = usages
            .iter()
            .map_while(|&(from, to)| Some((weighing(from)?, weighing(to)?)));
        let ranges: Vec<(u32, u32)> = ranges.collect();
        let within = |from: u32, to: u32| {
            ranges.len() == usages.len()
                && ranges.iter().all(|range| from <= range.0 && range.1 <= to)
        };
        if ranges.is_empty() {
        } else if within(UNIT + 1, LAST_UNIT) {
            self.unit.get_or_insert(Code::Choice(field, ranges));
        } else if within(STATUS + 1, LAST_STATUS) {
            self.status.get_or_insert(Code::Choice(field, ranges));
        } else if within(UNIT, UNIT) {
            self.unit.get_or_insert(Code::Number(field));
        } else if within(STATUS, STATUS) {
            self.status.get_or_insert(Code::Number(field));
        }
    }
}

fn flag(code: &mut Option<Code>, field: Field, usage: u32) {
    /// More than the usages there are.
    const MOST: usize = 16;
    match code.get_or_insert_with(|| Code::Flags(Vec::new())) {
        Code::Flags(flags) if flags.len() < MOST => flags.push((field, usage)),
        Code::Flags(_) | Code::Number(_) | Code::Choice(..) => {}
    }
}
