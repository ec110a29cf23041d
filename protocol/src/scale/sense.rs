//! How numbers and words on a scale's lines are to be taken.

use serde::{Deserialize, Serialize};

use super::figures::{Amount, Measured};
use super::frame::is_blank;
use super::octets;
use super::why::{Why, scrap};
use crate::decimal::{Decimal, ParseDecimalError};
use crate::mass::MassUnit;
use crate::reading::{Motion, NoWeight};

/// What stands between the whole and its decimals.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Mark {
    /// `12.3`
    Point,
    /// `12,3`
    Comma,
}

/// What a number on the line counts from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Kind {
    /// All that stands on the pan.
    Gross,
    /// Without a tare that the scale keeps or sends beside it.
    Net,
}

/// Words by which a scale tells a state, exactly as it writes them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct States {
    /// "The weight stands still".
    pub stable: Vec<String>,
    /// "The weight moves".
    pub moving: Vec<String>,
    /// More than the capacity.
    pub over: Vec<String>,
    /// Less than zero allows.
    pub under: Vec<String>,
    /// An error of the scale.
    pub fault: Vec<String>,
    /// Nothing on the display.
    pub blank: Vec<String>,
    /// The number is gross.
    pub gross: Vec<String>,
    /// The number is net.
    pub net: Vec<String>,
}

/// What a word of [`States`] stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum State {
    Motion(Motion),
    NoWeight(NoWeight),
    Kind(Kind),
}

impl States {
    /// Returns every list with what its words mean.
    pub(super) fn lists(&self) -> [(&'static str, &[String], State); 8] {
        [
            ("stable", &self.stable, State::Motion(Motion::Stable)),
            ("moving", &self.moving, State::Motion(Motion::Moving)),
            ("over", &self.over, State::NoWeight(NoWeight::Over)),
            ("under", &self.under, State::NoWeight(NoWeight::Under)),
            ("fault", &self.fault, State::NoWeight(NoWeight::Fault)),
            ("blank", &self.blank, State::NoWeight(NoWeight::Blank)),
            ("gross", &self.gross, State::Kind(Kind::Gross)),
            ("net", &self.net, State::Kind(Kind::Net)),
        ]
    }

    /// Returns all words as one list to search.
    pub(super) fn words(&self) -> Words {
        let lists = self.lists();
        let words = lists.iter().flat_map(|&(_, words, state)| {
            words
                .iter()
                .map(move |word| (Box::from(word.as_bytes()), state))
        });
        Words(words.collect())
    }
}

/// Words and what each stands for.
#[derive(Clone, Debug, Default)]
pub(super) struct Words(Vec<(Box<[u8]>, State)>);

impl Words {
    pub(super) const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    pub(super) fn find(&self, word: &[u8]) -> Option<State> {
        let found = self.0.iter().find(|(known, _)| **known == *word);
        found.map(|&(_, state)| state)
    }
}

/// How numbers are written.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Notation {
    pub(super) mark: Option<Mark>,
    /// How many decimals a number without a mark has.
    pub(super) decimals: Option<u8>,
}

/// All that was told about a scale's lines.
#[derive(Clone, Debug, Default)]
pub(super) struct Sense {
    pub(super) notation: Notation,
    pub(super) unit: Option<MassUnit>,
    pub(super) kind: Option<Kind>,
    pub(super) words: Words,
}

impl Notation {
    /// Returns how whole numbers are written, whatever decimals are implied elsewhere.
    pub(super) const fn whole(self) -> Self {
        Self {
            decimals: None,
            ..self
        }
    }

    /// Reads a number that fills `text`; blanks may stand around it and behind its sign.
    pub(super) fn number(self, text: &[u8], has_unit: bool) -> Result<Decimal, Why> {
        let text = trim(text);
        let (negative, digits) = match text {
            [b'-', rest @ ..] => (true, trim_start(rest)),
            [b'+', rest @ ..] => (false, trim_start(rest)),
            rest => (false, rest),
        };
        if matches!(digits.first(), Some(b'-' | b'+')) {
            return Err(Why::Unrecognised);
        }
        let mark = match self.mark {
            Some(Mark::Point) => b'.',
            Some(Mark::Comma) => b',',
            None if digits.contains(&b',') => judge_comma(digits, has_unit)?,
            None => b'.',
        };
        let number = Decimal::parse(digits, mark).map_err(|error| match error {
            ParseDecimalError::TooLong => Why::TooLarge,
            ParseDecimalError::NoDigits | ParseDecimalError::NotANumber => Why::Unrecognised,
        })?;
        let implied = match self.decimals {
            Some(decimals) if !digits.contains(&mark) => decimals,
            _ => number.scale(),
        };
        let mantissa = if negative {
            -number.mantissa()
        } else {
            number.mantissa()
        };
        Decimal::new(mantissa, implied).ok_or(Why::TooLarge)
    }
}

impl Sense {
    /// Reads a number that fills `text`, as [`Notation::number`] does.
    pub(super) fn number(&self, text: &[u8], has_unit: bool) -> Result<Decimal, Why> {
        self.notation.number(text, has_unit)
    }

    /// Reads a number with its unit if it has one, or pounds and ounces.
    #[inline]
    pub(super) fn measured(&self, text: &[u8]) -> Result<Measured, Why> {
        let text = trim(text);
        match self.plain(text) {
            Some(measured) => Ok(measured),
            None => self.unusual(text),
        }
    }

    /// Reads what is not plain: a told or judged mark, pounds and ounces, and all that is wrong.
    fn unusual(&self, text: &[u8]) -> Result<Measured, Why> {
        let (digits, rest) = text.split_at(number_length(text));
        if digits.is_empty() {
            return Err(Why::Unrecognised);
        }
        let word = trim(rest);
        if word.is_empty() {
            return self.number(digits, false).map(Measured::bare);
        }
        let Some(unit) = MassUnit::from_word(word) else {
            return self.pounds_and_ounces(digits, word);
        };
        let number = self.number(digits, true)?;
        Ok(Measured {
            amount: Amount::Number(number),
            unit: Some(unit),
        })
    }

    /// Reads what nearly every line has, a point and a unit behind it, in one pass.
    // Has a single caller, which every shape takes in.
    #[inline(always)]
    fn plain(&self, text: &[u8]) -> Option<Measured> {
        if self.notation.mark == Some(Mark::Comma) || self.notation.decimals.is_some() {
            return None;
        }
        let (negative, digits) = match text {
            [b'-', rest @ ..] => (true, trim_start(rest)),
            [b'+', rest @ ..] => (false, trim_start(rest)),
            rest => (false, rest),
        };
        let (number, rest) = Decimal::leading(digits)?;
        let number = if negative {
            Decimal::new(-number.mantissa(), number.scale())?
        } else {
            number
        };
        let unit = match trim_start(rest) {
            [] => None,
            word => Some(MassUnit::from_word(word)?),
        };
        Some(Measured {
            amount: Amount::Number(number),
            unit,
        })
    }

    fn pounds_and_ounces(&self, digits: &[u8], rest: &[u8]) -> Result<Measured, Why> {
        let letters = rest.iter().take_while(|byte| byte.is_ascii_alphabetic());
        let (word, rest) = rest.split_at(letters.count());
        let ounces = trim(rest);
        if ounces.is_empty() {
            return Err(Why::UnknownUnit(scrap(word)));
        }
        if MassUnit::from_word(word) != Some(MassUnit::Pound) {
            return Err(Why::Unrecognised);
        }
        let (ounces, word) = ounces.split_at(number_length(ounces));
        // A sign stands before the pounds and holds for both.
        if !ounces.first().is_some_and(u8::is_ascii_digit)
            || MassUnit::from_word(trim(word)) != Some(MassUnit::Ounce)
        {
            return Err(Why::Unrecognised);
        }
        // The pounds are whole, whatever decimals a profile implies.
        let pounds = self.notation.whole().number(digits, true)?;
        let ounces = self.number(ounces, true)?;
        let negative = trim(digits).starts_with(b"-");
        let ounces = if negative {
            Decimal::new(-ounces.mantissa(), ounces.scale()).ok_or(Why::TooLarge)?
        } else {
            ounces
        };
        Ok(Measured {
            amount: Amount::PoundsOunces(pounds, ounces),
            unit: Some(MassUnit::Ounce),
        })
    }
}

/// Decides what a comma means where nothing was told, or says that it cannot be known.
///
/// A padded number (`001,123`) has no thousands mark, and neither has one whose last group is
/// not of three digits; but only a unit tells that it is *one* number at all.
fn judge_comma(digits: &[u8], has_unit: bool) -> Result<u8, Why> {
    let ambiguous = || Err(Why::Comma(scrap(digits)));
    let mut parts = digits.split(|&byte| byte == b',');
    let (Some(whole), Some(after), None) = (parts.next(), parts.next(), parts.next()) else {
        return ambiguous();
    };
    if after.is_empty() || digits.contains(&b'.') {
        return ambiguous();
    }
    let zero = whole.first() == Some(&b'0');
    let padded = zero && 1 < whole.len();
    if padded || (has_unit && (zero || after.len() != 3)) {
        Ok(b',')
    } else {
        ambiguous()
    }
}

/// Returns how many bytes of `text` are a sign, blanks behind it, digits and marks.
pub(super) fn number_length(text: &[u8]) -> usize {
    let sign = usize::from(matches!(text.first(), Some(b'-' | b'+')));
    let blanks = match sign {
        0 => 0,
        _ => text[sign..]
            .iter()
            .take_while(|&&byte| byte == b' ')
            .count(),
    };
    let digits = text[sign + blanks..]
        .iter()
        .take_while(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b','))
        .count();
    match digits {
        0 => 0,
        _ => sign + blanks + digits,
    }
}

#[inline]
pub(super) fn trim(text: &[u8]) -> &[u8] {
    let text = trim_start(text);
    let end = text.iter().rposition(|&byte| !is_blank(byte));
    &text[..end.map_or(0, |at| at + 1)]
}

#[inline]
pub(super) fn trim_start(text: &[u8]) -> &[u8] {
    match text {
        [blank, ..] if is_blank(*blank) => trim_blanks(text),
        text => text,
    }
}

fn trim_blanks(text: &[u8]) -> &[u8] {
    // Padding, of which most lines have much, and then whatever else is blank.
    let mut text = &text[octets::blanks(text)..];
    while let [blank, rest @ ..] = text
        && is_blank(*blank)
    {
        text = rest;
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, has_unit: bool, expect: Option<&str>) {
        let number = Sense::default().number(text.as_bytes(), has_unit).ok();
        assert_eq!(
            number.map(|number| number.to_string()),
            expect.map(str::to_owned),
            "{text}"
        );
    }

    #[test]
    fn a_comma_is_a_decimal_mark_only_where_it_can_be_nothing_else() {
        check("001,123", false, Some("1.123"));
        check("12,30", true, Some("12.30"));
        check("0,123", true, Some("0.123"));
        check("1,123", true, None);
        check("12,30", false, None);
        check("0,5", false, None);
        check("1,234.5", true, None);
        check("1,234,567", true, None);
    }

    #[test]
    fn blanks_may_stand_between_a_sign_and_its_digits() {
        check("-   12.30", true, Some("-12.30"));
        check("+12.30  ", true, Some("12.30"));
        check("- -12", true, None);
        check("1 2", true, None);
    }
}
