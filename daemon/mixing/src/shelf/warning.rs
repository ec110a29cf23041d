//! What is worth a second look before the next batch.

use std::collections::BTreeMap;
use std::fmt;

use tarehand_protocol::Mass;

use super::date::Date;
use super::dry_test::{DryResult, newest};
use super::pack::{Pack, oldest_first};
use super::stock::{Draw, left};
use super::{Low, Shelf, ShelfItem};

/// An opened pack is worth a look after this many days (common practice: a year).
const LONG_OPEN: i64 = 365;

/// Something worth a second look.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Warning {
    /// The ingredient's key.
    pub ingredient: String,
    /// The pack's lot, where it is about one pack and that says its lot.
    pub lot: Option<String>,
    /// What it is.
    pub kind: WarningKind,
}

/// What is worth a second look.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WarningKind {
    /// More was poured than the packs are known to have held.
    Beyond(Mass),
    /// Nothing is left.
    Empty,
    /// Little is left.
    Low {
        /// What is left in all.
        left: Mass,
        /// Below what it is little.
        below: Mass,
    },
    /// The maker no longer vouches for a pack that still has something.
    PastBestBefore(Date),
    /// A pack that still has something was opened long ago.
    LongOpen(Date),
    /// The newest dry test of the lot in use came out badly.
    DryTest {
        /// When.
        date: Date,
        /// How.
        result: DryResult,
    },
}

impl WarningKind {
    /// Returns its one word, for programs.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Beyond(_) => "beyond",
            Self::Empty => "empty",
            Self::Low { .. } => "low",
            Self::PastBestBefore(_) => "past-best-before",
            Self::LongOpen(_) => "long-open",
            Self::DryTest { .. } => "dry-test",
        }
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let key = &self.ingredient;
        let pack = match &self.lot {
            Some(lot) => format!("`{key}`, lot {lot}"),
            None => format!("`{key}`"),
        };
        match &self.kind {
            WarningKind::Beyond(mass) => write!(
                f,
                "{mass} more of `{key}` were poured than its packs held: weigh the pack in use, or add the one that is missing"
            ),
            WarningKind::Empty => write!(f, "nothing is left of `{key}`"),
            WarningKind::Low { left, below } => {
                write!(f, "`{key}` is low: {left} left, less than {below}")
            }
            WarningKind::PastBestBefore(date) => {
                write!(
                    f,
                    "{pack} is past its best before, {date}: test it before it is used"
                )
            }
            WarningKind::LongOpen(date) => {
                write!(
                    f,
                    "{pack} was opened long ago, {date}: look at it, smell it, test it"
                )
            }
            WarningKind::DryTest { date, result } => write!(
                f,
                "{pack} dried {result} in the test of {date}: take another lot, or test it again"
            ),
        }
    }
}

/// Returns what is worth a second look on a shelf, given what was drawn and which day it is.
#[must_use]
pub fn warnings(shelf: &Shelf, drawn: &BTreeMap<String, Vec<Draw>>, today: Date) -> Vec<Warning> {
    let items = shelf.iter().flat_map(|(key, item)| {
        let drawn = drawn.get(key).map_or(&[][..], Vec::as_slice);
        let kinds = of_item(item, drawn, today).into_iter();
        kinds.map(move |(place, kind)| Warning {
            ingredient: key.to_owned(),
            lot: place.and_then(|place| item.packs[place].lot.clone()),
            kind,
        })
    });
    items.collect()
}

/// Returns what is worth a second look, each with the place of the pack it is about.
fn of_item(item: &ShelfItem, drawn: &[Draw], today: Date) -> Vec<(Option<usize>, WarningKind)> {
    let mut found = Vec::new();
    if item.packs.is_empty() {
        found.extend(level(item, item.stock).map(|kind| (None, kind)));
        found.extend(dry_test(item, None).map(|kind| (None, kind)));
        return found;
    }
    let left = left(&item.packs, drawn);
    if Mass::ZERO < left.beyond {
        found.push((None, WarningKind::Beyond(left.beyond)));
    }
    found.extend(level(item, Some(left.total())).map(|kind| (None, kind)));
    let order = oldest_first(&item.packs);
    let in_use = order
        .into_iter()
        .find(|&place| Mass::ZERO < left.packs[place]);
    for (place, pack) in item.packs.iter().enumerate() {
        if Mass::ZERO < left.packs[place] {
            found.extend(age(pack, today).map(|kind| (Some(place), kind)));
        }
    }
    if let Some(place) = in_use {
        let lot = item.packs[place].lot.as_deref();
        found.extend(dry_test(item, lot).map(|kind| (Some(place), kind)));
    }
    found
}

fn level(item: &ShelfItem, left: Option<Mass>) -> Option<WarningKind> {
    let left = left?;
    if left.is_zero() {
        return Some(WarningKind::Empty);
    }
    let below = item
        .low
        .as_ref()
        .map_or_else(|| Low::usual().of(&item.packs), |low| low.of(&item.packs))?;
    (left < below).then_some(WarningKind::Low { left, below })
}

fn age(pack: &Pack, today: Date) -> impl Iterator<Item = WarningKind> {
    let past = pack
        .best_before
        .filter(|date| *date < today)
        .map(WarningKind::PastBestBefore);
    let open = pack
        .opened
        .filter(|opened| LONG_OPEN < opened.days_until(today))
        .map(WarningKind::LongOpen);
    past.into_iter().chain(open)
}

fn dry_test(item: &ShelfItem, lot: Option<&str>) -> Option<WarningKind> {
    let test = newest(&item.dry_tests, lot).filter(|test| !test.result.is_good())?;
    Some(WarningKind::DryTest {
        date: test.date,
        result: test.result,
    })
}

#[cfg(test)]
mod tests;
