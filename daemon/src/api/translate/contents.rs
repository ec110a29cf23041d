//! What is in a jar now, and what changed it after it was made, as messages.

use std::collections::BTreeMap;

use tarehand_mixing::composition::{Holding, Moved, Movement, Part, Place};
use tarehand_mixing::ratio::Ratio;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{AmendmentLine, ChangeWord, CostLine, JarNow, LotLine, NowLine};

use crate::contents::Contents;
use crate::journal;
use crate::log::{Flow, Seen};

/// Returns what is in the jar of a batch now.
pub(in crate::api) fn jar_now(contents: &Contents, mark: &str) -> JarNow {
    let jar = contents.of_jar(mark);
    let total = jar.total();
    let share = |mass: Mass| {
        let share = Ratio::from_mass(mass).checked_div(&Ratio::from_mass(total));
        share.map_or(0.0, |share| share.to_f64())
    };
    let mut by_ingredient: Vec<(&str, Mass)> = jar.ingredients().into_iter().collect();
    by_ingredient.retain(|(_, mass)| !mass.is_zero());
    by_ingredient.sort_by_key(|(key, mass)| (std::cmp::Reverse(*mass), *key));
    let lines = by_ingredient.into_iter().map(|(key, mass)| NowLine {
        ingredient: key.to_owned(),
        name: contents.name(key).to_owned(),
        mass_g: mass.grams(),
        share: share(mass),
        lots: lots(contents, &jar, key),
    });
    let (cost, unpriced) = cost(contents, &jar);
    JarNow {
        mass_g: total.grams(),
        contents: lines.collect(),
        cost,
        unpriced_g: unpriced.grams(),
    }
}

/// Returns the lots of an ingredient in a jar.
fn lots(contents: &Contents, jar: &Holding, key: &str) -> Vec<LotLine> {
    let mut lots: Vec<(LotLine, Mass)> = Vec::new();
    let of_it = jar.parts().filter(|(part, _)| part.ingredient == key);
    for (part, mass) in of_it {
        let Some(facts) = contents.packs.of(part) else {
            continue;
        };
        let Some(lot) = &facts.lot else { continue };
        let known = lots
            .iter_mut()
            .find(|(line, _)| line.lot == *lot && line.drawn == facts.drawn);
        match known {
            Some((_, sum)) => *sum += mass,
            None => {
                let line = LotLine {
                    lot: lot.clone(),
                    drawn: facts.drawn.clone(),
                    mass_g: 0.0,
                };
                lots.push((line, mass));
            }
        }
    }
    let lines = lots.into_iter().map(|(line, mass)| LotLine {
        mass_g: mass.grams(),
        ..line
    });
    lines.collect()
}

/// Returns what a jar cost by currency, and how much of it has no price.
fn cost(contents: &Contents, jar: &Holding) -> (Vec<CostLine>, Mass) {
    let mut money: BTreeMap<Option<String>, Ratio> = BTreeMap::new();
    let mut unpriced = Mass::ZERO;
    for (part, mass) in jar.parts() {
        match price_of(contents, part, mass) {
            Some((currency, price)) => {
                let sum = money.entry(currency).or_insert_with(Ratio::zero);
                *sum = &*sum + &price;
            }
            None => unpriced += mass,
        }
    }
    let grams = jar.total().grams();
    let lines = money.into_iter().map(|(currency, money)| CostLine {
        currency,
        money: money.to_f64(),
        per_g: if 0.0 < grams {
            money.to_f64() / grams
        } else {
            0.0
        },
    });
    (lines.collect(), unpriced)
}

fn price_of(contents: &Contents, part: &Part, mass: Mass) -> Option<(Option<String>, Ratio)> {
    let price = contents.packs.of(part)?.price.as_ref()?;
    Some((price.currency.clone(), price.of(mass)))
}

/// Returns what came into a finished jar or out of it, one line for each thing of each amendment.
pub(in crate::api) fn amendments(contents: &Contents, mark: &str) -> Vec<AmendmentLine> {
    let own = Place::Jar(mark.to_owned());
    let mut lines: Vec<(AmendmentLine, Mass)> = Vec::new();
    for flow in &contents.flows {
        let movement = journal::movement(flow, mark);
        let into = movement.to == own;
        let afterwards = flow.batch.as_str() != mark || flow.kind == "moved";
        if !afterwards || (!into && movement.from != own) {
            continue;
        }
        let line = line(contents, flow, &movement, into);
        let change = if into { movement.mass } else { -movement.mass };
        let same = |known: &AmendmentLine| {
            (&known.batch, &known.what, &known.jar, known.unseen)
                == (&line.batch, &line.what, &line.jar, line.unseen)
        };
        match lines.iter_mut().find(|(known, _)| same(known)) {
            Some((known, sum)) => {
                *sum += change;
                known.at = line.at;
            }
            None => lines.push((line, change)),
        }
    }
    let lines = lines.into_iter().filter(|(_, sum)| !sum.is_zero());
    lines
        .map(|(line, sum)| AmendmentLine {
            mass_g: sum.grams(),
            ..line
        })
        .collect()
}

fn line(contents: &Contents, flow: &Flow, movement: &Movement, into: bool) -> AmendmentLine {
    let other = if into { &movement.from } else { &movement.to };
    let named = |mark: &str| {
        let batch = contents.batches.get(mark);
        batch.map_or_else(
            || mark.to_owned(),
            |batch| format!("{}, {mark}", batch.recipe),
        )
    };
    let what = match (other, &movement.what) {
        (Place::Jar(mark), _) => named(mark),
        // A small cup that an ingredient was weighed in is no place of its own.
        (_, Moved::Ingredient(key)) => contents.name(key).to_owned(),
        (Place::Cup(name), _) => name.clone(),
        (Place::Shelf(key), Moved::Mixture) => format!("on the shelf as {key}"),
        (_, Moved::Mixture) => "taken out or spilled".to_owned(),
        (_, Moved::Foreign) => "not part of the mix".to_owned(),
    };
    AmendmentLine {
        at: flow.at.clone(),
        batch: flow.batch.as_str().to_owned(),
        what,
        mass_g: 0.0,
        jar: match other {
            Place::Jar(mark) => Some(mark.clone()),
            _ => None,
        },
        shelf: match (other, &movement.what) {
            (Place::Shelf(key), Moved::Mixture) => Some(key.clone()),
            _ => None,
        },
        cause: match (other, &movement.what) {
            (Place::Jar(_) | Place::Cup(_), _)
            | (_, Moved::Ingredient(_))
            | (Place::Shelf(_), Moved::Mixture) => None,
            (_, Moved::Mixture) => Some(ChangeWord::TakenOut),
            (_, Moved::Foreign) => Some(ChangeWord::Foreign),
        },
        unseen: flow.booked.seen == Seen::Unseen,
    }
}
