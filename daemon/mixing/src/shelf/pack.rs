//! A pack: one bottle, pot or bag of an ingredient.

use tarehand_protocol::Mass;

use super::date::{Date, Moment};
use super::{ParsePriceError, Price};

/// One bottle, pot or bag of an ingredient.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pack {
    /// What it held when it was bought.
    pub holds: Mass,
    /// What was left when that was known last; nothing known means it was full when it was opened.
    pub known: Option<Known>,
    /// What the bottle itself weighs.
    pub empty: Option<Mass>,
    /// The maker's lot.
    pub lot: Option<String>,
    /// When it was opened.
    pub opened: Option<Date>,
    /// Until when the maker vouches for it.
    pub best_before: Option<Date>,
    /// What it costs, for all it held.
    pub price: Option<Price>,
}

/// What was left in a pack at a moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Known {
    /// How much.
    pub left: Mass,
    /// When: it was weighed then, or bought full.
    pub weighed: Moment,
}

impl Pack {
    /// Returns what was left when that was known last.
    #[must_use]
    pub fn last_known(&self) -> Mass {
        self.known.as_ref().map_or(self.holds, |known| known.left)
    }

    /// Returns since when pours out of it are not in [`Pack::last_known`] yet; `None` means all of them.
    #[must_use]
    pub fn since(&self) -> Option<Moment> {
        match &self.known {
            Some(known) => Some(known.weighed.clone()),
            None => self.opened.map(Date::begins),
        }
    }
}

/// Returns since when a draw may count for any of these packs; `None` where all of them may.
///
/// A pack that was empty when it was known last gives nothing, and does not make older draws count.
#[must_use]
pub fn known_since(packs: &[Pack]) -> Option<Moment> {
    let earliest = |packs: Vec<&Pack>| {
        let since: Option<Vec<Moment>> = packs.into_iter().map(Pack::since).collect();
        since?.into_iter().min()
    };
    let holding: Vec<&Pack> = packs
        .iter()
        .filter(|pack| !pack.last_known().is_zero())
        .collect();
    match holding.is_empty() {
        true => earliest(packs.iter().collect()),
        false => earliest(holding),
    }
}

/// Returns the packs' places from the one to use first: by when they were opened, those not opened
/// last, then by their best before, then by their order in the file.
#[must_use]
pub fn oldest_first(packs: &[Pack]) -> Vec<usize> {
    let mut places: Vec<usize> = (0..packs.len()).collect();
    places.sort_by_key(|&place| {
        let pack = &packs[place];
        let last = |date: Option<Date>| (date.is_none(), date);
        (last(pack.opened), last(pack.best_before), place)
    });
    places
}

/// Returns what all packs held when that was known last.
#[must_use]
pub(super) fn known_stock(packs: &[Pack]) -> Option<Mass> {
    (!packs.is_empty()).then(|| packs.iter().map(Pack::last_known).sum())
}

/// Returns the price of the pack in use: the oldest with something left that says one.
#[must_use]
pub(super) fn price_in_use(packs: &[Pack]) -> Option<&Price> {
    oldest_first(packs)
        .into_iter()
        .filter(|&place| Mass::ZERO < packs[place].last_known())
        .find_map(|place| packs[place].price.as_ref())
}

/// Reads the price of a whole pack, `24.50 EUR`.
pub(super) fn price_of_pack(text: &str, holds: Mass) -> Result<Price, ParsePriceError> {
    if text.contains(" per ") {
        return text.parse();
    }
    format!("{} per {holds}", text.trim()).parse()
}
