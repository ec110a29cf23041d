//! What is asked in a lesson, and what an answer means.

use tarehand_protocol::{Mass, MassUnit};

/// Which of the known weights.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Which {
    First,
    Second,
    Third,
}

impl Which {
    pub(super) const ALL: [Self; 3] = [Self::First, Self::Second, Self::Third];

    pub(super) const fn question(self) -> &'static str {
        match self {
            Self::First => {
                "2  Put something of known weight on the pan: about a fifth of what the scale\n   carries, and never more than it carries. Type what it weighs, or what the\n   display shows, as in 20 g; then Enter."
            }
            Self::Second => {
                "3  Another one in its place: about half of what the scale carries.\n   Type what it weighs; then Enter."
            }
            Self::Third => {
                "4  And a third: nearly all of what the scale carries, but no more.\n   Type what it weighs; then Enter. Enter alone goes on without."
            }
        }
    }
}

/// Reads a unit; nothing said is grams.
pub(super) fn unit(said: &str) -> Result<MassUnit, String> {
    match said {
        "" => Ok(MassUnit::Gram),
        said => said.parse().map_err(|error| format!("{error}")),
    }
}

/// Reads what stands on the pan: a mass, or the figure that the display shows in its unit.
pub(super) fn known(said: &str, unit: MassUnit, before: &[Mass]) -> Result<Mass, String> {
    let said = said.replace(',', ".");
    let bare = said.chars().all(|letter| !letter.is_alphabetic());
    let text = match bare {
        true => format!("{said} {unit}"),
        false => said,
    };
    let mass: Mass = text.parse().map_err(|error| format!("{error}"))?;
    if mass <= Mass::ZERO || Mass::LIMIT < mass {
        return Err("that is nothing that can stand on a pan".to_owned());
    }
    if before.contains(&mass) {
        return Err(format!("{mass} stood there already: another one is needed"));
    }
    Ok(mass)
}

/// Said where a scale gives too little to learn from.
pub(super) const SELDOM: &str = "The scale speaks only when the weight changes, which is little to learn from:\nsee whether it can be set to send all the time, and teach it then.";

/// Returns whether something is to be left out.
pub(super) fn is_no(said: &str) -> bool {
    matches!(said.to_lowercase().as_str(), "n" | "no" | "-")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_known_weight_is_a_mass_or_the_figure_on_the_display() {
        let before = [Mass::from_grams(20)];
        let read = |said| known(said, MassUnit::Ounce, &before);
        assert_eq!(read("50 g"), Ok(Mass::from_grams(50)));
        assert_eq!(read("0,5 kg"), Ok(Mass::from_grams(500)));
        assert_eq!(read("1.0"), "1 oz".parse().map_err(|_| String::new()));
        for wrong in ["20 g", "0", "-3 g", "soap", "", "9999999 kg"] {
            assert!(read(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn nothing_said_is_grams() {
        assert_eq!(unit(""), Ok(MassUnit::Gram));
        assert_eq!(unit("oz"), Ok(MassUnit::Ounce));
        assert!(unit("stone-ish").is_err());
    }
}
