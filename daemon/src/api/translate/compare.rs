//! Two batches side by side, as a message.

use tarehand_mixing::session::Entry;
use tarehand_protocol::api::{BatchRecord, ComparedBatches, ComparedIngredient, ContentLine, Pair};

use crate::journal::Kept;

/// Returns the trails that were measured for a batch, in seconds and in order.
pub(in crate::api) fn trails(kept: &Kept) -> Vec<f64> {
    let trails = kept.records.iter().filter_map(|record| match record.entry {
        Entry::Trail { seconds, .. } => Some(seconds),
        _ => None,
    });
    trails.collect()
}

/// Puts two batches side by side.
pub(in crate::api) fn compared(
    one: BatchRecord,
    other: BatchRecord,
    same_recipe: bool,
    (first, second): (Vec<f64>, Vec<f64>),
) -> ComparedBatches {
    let known = |record: &BatchRecord, key: &str| {
        let mut lines = record.contents.iter();
        lines.find(|line| line.ingredient == key).cloned()
    };
    let own = one.contents.iter();
    let new = other.contents.iter();
    let new = new.filter(|line| known(&one, &line.ingredient).is_none());
    let ingredients = own.chain(new).map(|line| {
        let of = |record: &BatchRecord| known(record, &line.ingredient);
        let (mine, yours) = (of(&one), of(&other));
        ComparedIngredient {
            ingredient: line.ingredient.clone(),
            name: line.name.clone(),
            planned_g: pair(&mine, &yours, |line| line.planned_g),
            poured_g: pair(&mine, &yours, |line| Some(line.poured_g)),
            part: Pair {
                one: part(mine.as_ref(), &one),
                other: part(yours.as_ref(), &other),
            },
        }
    });
    ComparedBatches {
        ingredients: ingredients.collect(),
        same_recipe,
        trails_s: Pair {
            one: first,
            other: second,
        },
        one,
        other,
    }
}

fn pair(
    one: &Option<ContentLine>,
    other: &Option<ContentLine>,
    of: impl Fn(&ContentLine) -> Option<f64>,
) -> Pair<Option<f64>> {
    Pair {
        one: one.as_ref().and_then(&of),
        other: other.as_ref().and_then(of),
    }
}

fn part(line: Option<&ContentLine>, record: &BatchRecord) -> Option<f64> {
    let all: f64 = record.contents.iter().map(|line| line.poured_g).sum();
    let line = line?;
    (0.0 < all).then(|| line.poured_g / all)
}
