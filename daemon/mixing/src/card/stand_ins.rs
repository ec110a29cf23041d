//! What may stand in for the ingredients of a card.

use super::value::{Card, Line, tidy};
use super::words::decimal;
use crate::ratio::Ratio;
use crate::shelf::{Shelf, StandIn};

/// Notes on every line of a card, and of its premixes, what the shelf says may stand in for it.
pub(super) fn note(card: &mut Card, shelf: &Shelf) {
    for line in &mut card.lines {
        if let Some(item) = shelf.get(&line.key) {
            let said = item.stand_ins.iter();
            line.stand_ins = said.map(|stand_in| told(stand_in, shelf)).collect();
        }
    }
    for premix in &mut card.premixes {
        note(premix, shelf);
    }
}

/// Returns the lines that something may stand in for, each ingredient once.
pub(super) fn replaceable(card: &Card) -> Vec<&Line> {
    let mut lines: Vec<&Line> = Vec::new();
    for line in &card.lines {
        let known = lines.iter().any(|known| known.key == line.key);
        if !line.stand_ins.is_empty() && !known {
            lines.push(line);
        }
    }
    lines
}

/// Says what may stand in for what, one sentence for each ingredient, the best first.
pub(super) fn sentences(card: &Card) -> Vec<String> {
    let lines = replaceable(card).into_iter();
    lines
        .map(|line| format!("{}: {}", line.name, line.stand_ins.join("; or ")))
        .collect()
}

/// Says one stand-in with its ratio and everything that changes with it.
fn told(stand_in: &StandIn, shelf: &Shelf) -> String {
    let name = |key: &str| {
        let known = shelf.get(key).and_then(|item| item.name.as_deref());
        tidy(known.unwrap_or(key))
    };
    let mut text = name(&stand_in.uses);
    if stand_in.ratio != Ratio::one() {
        text.push_str(&format!(", {} g for each gram", decimal(&stand_in.ratio)));
    } else {
        text.push_str(", gram for gram");
    }
    for (other, grams) in &stand_in.also {
        let change = if *grams < Ratio::zero() {
            "less"
        } else {
            "more"
        };
        text.push_str(&format!(
            ", and {} g {change} {}",
            decimal(&grams.abs()),
            name(other)
        ));
    }
    if let Some(note) = &stand_in.note {
        text.push_str(&format!(" ({})", tidy(note)));
    }
    text
}
