//! Sentences that every form of a set's card shares.

use super::set_card::{JarCard, PremixCard, SetCard};
use super::words::{estimate, grams, percent, trail};
use crate::ratio::Ratio;

/// What stands in place of a share where the set says grams.
pub(super) const NO_SHARE: &str = "–";

/// What the lists of a set's card are headed with.
pub(super) const JARS: &str = "Jars";
pub(super) const ORDER: &str = "Thickest to thinnest";
pub(super) const PREMIXES: &str = "Premixes, ranges and thinning at their most";
pub(super) const WARNINGS: &str = "Before you begin";

/// Says what is poured on, and how much is mixed in all.
pub(super) fn head(card: &SetCard) -> Vec<String> {
    let mut words = card.surface.clone();
    words.push(format!(
        "{} in {} jars",
        grams(card.total()),
        card.jars.len()
    ));
    words
}

/// Says what the shares are of.
pub(super) fn basis(card: &SetCard) -> String {
    let shared = card.jars.iter().any(|jar| jar.share.is_some());
    let fixed = card.jars.iter().any(|jar| jar.share.is_none());
    let mut words = Vec::new();
    if shared {
        words.push(format!(
            "% is percent by {} of what the surface takes",
            card.basis.word()
        ));
    }
    if fixed {
        words.push(format!(
            "{NO_SHARE} is made in these grams whatever the surface is"
        ));
    }
    words.join("; ")
}

/// Writes the share of a jar in percent, without the sign.
pub(super) fn share(jar: &JarCard) -> String {
    jar.share
        .as_ref()
        .map_or_else(|| NO_SHARE.to_owned(), percent)
}

/// Writes the volume of a jar in whole millilitres, where it is known.
pub(super) fn millilitres(jar: &JarCard) -> String {
    let volume = jar.volume.as_ref();
    let millilitres = volume.map(|volume| volume.microlitres() * &Ratio::new(1, 1_000));
    // Rounded as micrograms are: to a whole number.
    millilitres.map_or_else(String::new, |number| {
        number.to_mass().micrograms().to_string()
    })
}

/// Writes the order to work from thick to thin, one text for each jar, those that say no trail last.
pub(super) fn order(card: &SetCard) -> Vec<String> {
    let said = card
        .thinning_out
        .iter()
        .filter_map(|&place| card.jars.get(place))
        .filter_map(|jar| Some((jar, jar.card.trail_s?)))
        .map(|(jar, seconds)| format!("{}: trail {}", jar.card.name, trail(seconds)));
    let unsaid = card
        .jars
        .iter()
        .filter(|jar| jar.card.trail_s.is_none())
        .map(|jar| format!("{}: its recipe says no trail", jar.card.name));
    said.chain(unsaid).collect()
}

/// Says how much of a premix is mixed, and what stays in its vessel.
pub(super) fn premix(premix: &PremixCard) -> String {
    let heel = if premix.heel.micrograms() == 0 {
        String::new()
    } else {
        format!(", of it {} stay in the vessel", grams(premix.heel))
    };
    format!("{}: {}{heel}", premix.card.name, grams(premix.card.total))
}

/// Heads the order of work.
pub(super) fn work(card: &SetCard) -> String {
    format!(
        "Order of work, about {} (one after another {})",
        estimate(card.takes),
        estimate(card.one_after_another)
    )
}

/// Names the card of a jar.
pub(super) fn jar_title(place: usize, jar: &JarCard) -> String {
    format!("Jar {place}: {}", jar.card.name)
}
