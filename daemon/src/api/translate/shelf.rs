//! What is left of the shelf, as a message.

use std::collections::BTreeMap;

use tarehand_mixing::shelf::{
    Draw, DryResult, Pack, Shelf, ShelfItem, Warning, WarningKind, oldest_first, stock,
};
use tarehand_protocol::Mass;
use tarehand_protocol::api::{DryWord, PackLine, ShelfSaid, ShelfStock, ShelfWarning, StockLine};

/// Gathers what is on the shelf.
#[must_use]
pub fn shelf_stock(
    shelf: &Shelf,
    drawn: &BTreeMap<String, Vec<Draw>>,
    drawn_known: bool,
    warnings: &[Warning],
) -> ShelfStock {
    let ingredients = shelf.iter().map(|(key, item)| {
        let drawn = drawn.get(key).map_or(&[][..], Vec::as_slice);
        ingredient(key, item, &stock::left(&item.packs, drawn))
    });
    let warnings = warnings.iter().map(|warning| ShelfWarning {
        ingredient: warning.ingredient.clone(),
        lot: warning.lot.clone(),
        kind: warning.kind.word().to_owned(),
        text: warning.to_string(),
        name: shelf
            .get(&warning.ingredient)
            .and_then(|item| item.name.clone()),
        said: Some(said(&warning.kind)),
    });
    ShelfStock {
        drawn_known,
        ingredients: ingredients.collect(),
        warnings: warnings.collect(),
    }
}

pub(super) fn said(kind: &WarningKind) -> ShelfSaid {
    match kind {
        WarningKind::Beyond(mass) => ShelfSaid::Beyond {
            beyond_g: mass.grams(),
        },
        WarningKind::Empty => ShelfSaid::Empty,
        WarningKind::Low { left, below } => ShelfSaid::Low {
            left_g: left.grams(),
            below_g: below.grams(),
        },
        WarningKind::PastBestBefore(date) => ShelfSaid::PastBestBefore {
            date: date.to_string(),
        },
        WarningKind::LongOpen(date) => ShelfSaid::LongOpen {
            date: date.to_string(),
        },
        WarningKind::DryTest { date, result } => ShelfSaid::DryTest {
            date: date.to_string(),
            result: match result {
                DryResult::Clear => DryWord::Clear,
                DryResult::Cloudy => DryWord::Cloudy,
                DryResult::Tacky => DryWord::Tacky,
                DryResult::Crazed => DryWord::Crazed,
            },
        },
    }
}

fn ingredient(key: &str, item: &ShelfItem, left: &stock::Left) -> StockLine {
    let order = oldest_first(&item.packs);
    let in_use = order
        .iter()
        .find(|&&place| Mass::ZERO < left.packs[place])
        .copied();
    let packs = order.into_iter().map(|place| {
        let pack: &Pack = &item.packs[place];
        PackLine {
            lot: pack.lot.clone(),
            holds_g: pack.holds.grams(),
            left_g: left.packs[place].grams(),
            weighed: pack.known.as_ref().map(|known| known.weighed.to_string()),
            opened: pack.opened.map(|date| date.to_string()),
            best_before: pack.best_before.map(|date| date.to_string()),
            in_use: in_use == Some(place),
        }
    });
    let left_g = match item.packs.as_slice() {
        [] => item.stock.map(Mass::grams),
        _ => Some(left.total().grams()),
    };
    let shares = item.made_of.as_ref().map(|parts| {
        let shares = parts.iter();
        shares
            .map(|(part, share)| (part.clone(), share.to_f64()))
            .collect()
    });
    StockLine {
        ingredient: key.to_owned(),
        name: item.name.clone().unwrap_or_else(|| key.to_owned()),
        left_g,
        beyond_g: left.beyond.grams(),
        packs: packs.collect(),
        family: item.family.clone(),
        made_of: shares,
        cautions: item.cautions.clone(),
    }
}
