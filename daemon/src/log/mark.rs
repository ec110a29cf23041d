//! The short name of a batch that a person writes on the jar.

use std::fmt;
use std::str::FromStr;

/// The signs a mark is made of: no two are easily taken for each other in handwriting.
///
/// Left out are 0 O Q, 1 I L, 9 W (a round lid is also read upside down) and B G S U Z, which pass for
/// 8 6 5 V 2. That leaves 23, a prime, which the check sign needs.
const SIGNS: &[u8; 23] = b"2345678ACDEFHJKMNPRTVXY";

/// The letters left out of [`SIGNS`] and the sign a person who writes one means.
const LOOKALIKES: [(u8, u8); 5] = [
    (b'B', b'8'),
    (b'G', b'6'),
    (b'S', b'5'),
    (b'U', b'V'),
    (b'Z', b'2'),
];

/// The fewest signs of a mark, the check sign included.
const SHORTEST: usize = 5;

/// The most signs of a mark, the check sign included: the weights of the check must differ modulo 23.
const LONGEST: usize = 12;

/// The short name of a batch, `K7F2A`, for a label or a jar's lid.
///
/// Five signs for the first quarter million batches, then more; the last one is a check sign: one
/// sign misread, or two neighbours swapped, is never another valid mark.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Mark(String);

impl Mark {
    /// Makes the mark of `signs` signs for a number; only the number's remainder counts.
    ///
    /// `signs` is taken into the range of lengths a mark may have.
    pub fn of_number(number: u64, signs: usize) -> Self {
        let signs = signs.clamp(SHORTEST, LONGEST);
        let mut rest = number;
        let mut values = Vec::with_capacity(signs);
        for _ in 1..signs {
            values.push(rest % 23);
            rest /= 23;
        }
        values.push(check_value(&values));
        Self(values.iter().map(|&value| sign(value)).collect())
    }

    /// Returns the mark as it is written.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Mark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// Why a text is no mark.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ParseMarkError {
    /// It has too few or too many signs.
    #[error("`{text}` has {found} signs, a mark has at least 5")]
    Length {
        /// As written.
        text: String,
        /// How many signs it has.
        found: usize,
    },
    /// It has a sign that no mark has.
    #[error("`{text}` has a `{sign}`, which no mark has")]
    Sign {
        /// As written.
        text: String,
        /// The sign.
        sign: char,
    },
    /// Its check sign does not fit: one sign is misread or two are swapped.
    #[error("`{text}` is no mark: one sign is misread, or two are swapped")]
    Check {
        /// As written.
        text: String,
    },
}

impl FromStr for Mark {
    type Err = ParseMarkError;

    /// Reads a mark as a person types it: in either case, with blanks or hyphens, `S` for `5`.
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let mut values = Vec::new();
        for written in text.chars().filter(|&c| !c.is_whitespace() && c != '-') {
            let value = value(written).ok_or_else(|| ParseMarkError::Sign {
                text: text.to_owned(),
                sign: written,
            })?;
            values.push(value);
        }
        if !(SHORTEST..=LONGEST).contains(&values.len()) {
            return Err(ParseMarkError::Length {
                text: text.to_owned(),
                found: values.len(),
            });
        }
        if weighted_sum(&values) != 0 {
            return Err(ParseMarkError::Check {
                text: text.to_owned(),
            });
        }
        Ok(Self(values.iter().map(|&value| sign(value)).collect()))
    }
}

fn sign(value: u64) -> char {
    let at = usize::try_from(value % 23).expect("a remainder of 23 fits");
    char::from(SIGNS[at])
}

fn value(written: char) -> Option<u64> {
    let upper = u8::try_from(written.to_ascii_uppercase()).ok()?;
    let meant = LOOKALIKES
        .iter()
        .find(|(letter, _)| *letter == upper)
        .map_or(upper, |&(_, sign)| sign);
    let at = SIGNS.iter().position(|&sign| sign == meant)?;
    u64::try_from(at).ok()
}

/// Returns the sum of the values, each times its place from the left beginning with 1, modulo 23.
///
/// The scheme of the ten-digit ISBN (ISO 2108:1992, modulus 11) with the prime 23: for a prime modulus every single
/// substitution and every swap of neighbours changes the sum, as long as the weights differ.
fn weighted_sum(values: &[u64]) -> u64 {
    (1..)
        .zip(values)
        .map(|(place, value)| place * value)
        .sum::<u64>()
        % 23
}

/// Returns the value of the check sign, which makes the weighted sum of the whole mark zero.
fn check_value(values: &[u64]) -> u64 {
    (0..23)
        .find(|&last| {
            let mut whole = values.to_vec();
            whole.push(last);
            weighted_sum(&whole) == 0
        })
        .expect("the last weight is below 23 and so has an inverse modulo 23")
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn a_mark_is_read_back_however_it_is_typed(number: u64, signs in 5_usize..=12) {
            let mark = Mark::of_number(number, signs);
            prop_assert_eq!(mark.as_str().len(), signs);
            let (head, tail) = mark.as_str().split_at(2);
            let typed = format!(" {}-{} ", head.to_lowercase(), tail);
            prop_assert_eq!(typed.parse::<Mark>(), Ok(mark));
        }

        #[test]
        fn one_misread_sign_is_never_another_mark(number: u64, place in 0_usize..5, other in 0_usize..23) {
            let mark = Mark::of_number(number, 5);
            let mut written = mark.as_str().as_bytes().to_vec();
            prop_assume!(written[place] != SIGNS[other]);
            written[place] = SIGNS[other];
            let text = String::from_utf8(written).unwrap();
            prop_assert_eq!(text.parse::<Mark>(), Err(ParseMarkError::Check { text: text.clone() }));
        }

        #[test]
        fn two_swapped_neighbours_are_never_another_mark(number: u64, place in 0_usize..4) {
            let mark = Mark::of_number(number, 5);
            let mut written = mark.as_str().as_bytes().to_vec();
            prop_assume!(written[place] != written[place + 1]);
            written.swap(place, place + 1);
            let text = String::from_utf8(written).unwrap();
            prop_assert_eq!(text.parse::<Mark>(), Err(ParseMarkError::Check { text: text.clone() }));
        }

        #[test]
        fn reading_a_mark_never_panics(text in ".*") {
            drop(text.parse::<Mark>());
        }
    }

    #[test]
    fn a_letter_that_passes_for_a_sign_is_taken_for_it() {
        let mark = Mark::of_number(3, 5);
        assert_eq!(mark.as_str().chars().next(), Some('5'));
        let typed = mark.as_str().replacen('5', "s", 1);
        assert_eq!(typed.parse(), Ok(mark));
    }

    #[test]
    fn what_is_wrong_with_a_mark_is_said() {
        let check = |text: &str, expect: &str| {
            assert_eq!(text.parse::<Mark>().unwrap_err().to_string(), expect);
        };
        check("K7F", "`K7F` has 3 signs, a mark has at least 5");
        check("K7F0M", "`K7F0M` has a `0`, which no mark has");
        check(
            "2222A",
            "`2222A` is no mark: one sign is misread, or two are swapped",
        );
    }
}
