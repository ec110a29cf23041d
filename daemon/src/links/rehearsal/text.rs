//! The line of the simulated scale.
//!
//! Status head, comma, `GS` for gross, comma, sign, eight characters, unit in two characters,
//! CR LF: one of the shapes documented in scales' manuals.

use tarehand_protocol::{Mass, Motion};

use super::pan::Shown;

/// Characters of the number, decimal mark included and sign apart.
const WIDTH: usize = 8;

/// What the scale sends when it is switched on, before its first weight.
///
/// No digits: nobody may take it for a weight.
pub const BANNER: &[u8] = b"REHEARSAL SCALE READY\r\n";

/// Renders what a scale of this division shows as the bytes of one line.
#[must_use]
pub fn render(shown: Shown, division: Mass) -> Vec<u8> {
    let line = match shown {
        Shown::Weight { gross, motion } => {
            let head = match motion {
                Motion::Stable => "ST",
                Motion::Moving | Motion::Unknown => "US",
            };
            let sign = if gross < Mass::ZERO { '-' } else { '+' };
            let number = gross.abs().grams_text(decimals(division));
            format!("{head},GS,{sign}{number:0>WIDTH$} g\r\n")
        }
        Shown::Over => format!("OL,GS,+{:WIDTH$} g\r\n", ""),
    };
    line.into_bytes()
}

/// Returns whether every weight up to this capacity, and what is shown beyond, fits the line.
#[must_use]
pub(super) fn fits(capacity: Mass, division: Mass) -> bool {
    // Nine divisions above capacity are still shown, and one may be rounded up.
    let most = (0..10).fold(capacity, |most, _| most + division);
    most.grams_text(decimals(division)).len() <= WIDTH
}

/// Returns the decimals of a gram that a division needs.
fn decimals(division: Mass) -> u8 {
    (0..6)
        .find(|&decimals| division.micrograms() % 10_i64.pow(6 - u32::from(decimals)) == 0)
        .unwrap_or(6)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(gross: Mass, motion: Motion, division: Mass, expect: &str) {
        let bytes = render(Shown::Weight { gross, motion }, division);
        assert_eq!(String::from_utf8(bytes).unwrap(), expect);
    }

    #[test]
    fn a_line_has_head_sign_eight_characters_and_unit() {
        let tenth = Mass::from_milligrams(100);
        check(
            Mass::from_milligrams(12_300),
            Motion::Stable,
            tenth,
            "ST,GS,+000012.3 g\r\n",
        );
        check(
            Mass::from_milligrams(-86_400),
            Motion::Moving,
            tenth,
            "US,GS,-000086.4 g\r\n",
        );
        check(
            Mass::ZERO,
            Motion::Stable,
            Mass::from_grams(5),
            "ST,GS,+00000000 g\r\n",
        );
        check(
            Mass::from_milligrams(1_505),
            Motion::Stable,
            Mass::from_milligrams(5),
            "ST,GS,+0001.505 g\r\n",
        );
    }

    #[test]
    fn overload_has_its_own_head_and_no_digits() {
        let bytes = render(Shown::Over, Mass::from_grams(1));
        assert_eq!(String::from_utf8(bytes).unwrap(), "OL,GS,+         g\r\n");
    }

    #[test]
    fn a_capacity_that_needs_nine_characters_does_not_fit() {
        let tenth = Mass::from_milligrams(100);
        assert!(fits(Mass::from_grams(999_998), tenth));
        assert!(!fits(Mass::from_grams(999_999), tenth));
    }
}
