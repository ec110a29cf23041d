//! A frame's layout as a person's regular expression with named groups.

use regex::bytes::{Captures, Regex, RegexBuilder};

use super::figures::{Amount, Figures, Measured};
use super::sense::{Notation, Sense, State, trim};
use super::why::{Why, scrap};
use super::words;
use crate::decimal::Decimal;
use crate::mass::MassUnit;
use crate::reading::{Motion, Reading};

/// Most bytes a compiled pattern may take, and as many for its cache.
const SIZE_LIMIT: usize = 1 << 20;

/// Names that groups of a pattern may have.
pub(super) const GROUPS: [&str; 9] = [
    "weight",
    "ounces",
    "tare",
    "unit",
    "sign",
    "decimals",
    "state",
    "stability",
    "basis",
];

/// A compiled pattern; it matches whole frames only.
#[derive(Clone, Debug)]
pub(super) struct Pattern {
    regex: Regex,
    weight: Option<usize>,
    ounces: Option<usize>,
    tare: Option<usize>,
    unit: Option<usize>,
    sign: Option<usize>,
    decimals: Option<usize>,
    states: [Option<usize>; 3],
}

impl Pattern {
    /// Compiles a pattern; the message says why it cannot be.
    pub(super) fn compile(text: &str) -> Result<Self, String> {
        let build = |text: &str| {
            RegexBuilder::new(text)
                .unicode(false)
                .size_limit(SIZE_LIMIT)
                .dfa_size_limit(SIZE_LIMIT)
                .nest_limit(64)
                .build()
        };
        // The person's own text alone first, so that it cannot close the group around it.
        build(text).map_err(|error| match error {
            regex::Error::CompiledTooBig(_) => "the pattern grows too large".to_owned(),
            error => last_line(&error.to_string()),
        })?;
        let regex = build(&format!(r"\A(?:{text})\z")).map_err(|error| error.to_string())?;
        let group = |name: &str| regex.capture_names().position(|known| known == Some(name));
        Ok(Self {
            weight: group("weight"),
            ounces: group("ounces"),
            tare: group("tare"),
            unit: group("unit"),
            sign: group("sign"),
            decimals: group("decimals"),
            states: [group("state"), group("stability"), group("basis")],
            regex,
        })
    }

    /// Returns the names of its groups.
    pub(super) fn groups(&self) -> impl Iterator<Item = &str> {
        self.regex.capture_names().flatten()
    }

    /// Reads a frame; `None` when it does not match.
    pub(super) fn read(&self, body: &[u8], sense: &Sense) -> Option<Result<Reading, Why>> {
        let captures = self.regex.captures(body)?;
        Some(self.reading(&Found(&captures), sense))
    }

    fn reading(&self, found: &Found<'_, '_>, sense: &Sense) -> Result<Reading, Why> {
        let mut motion = Motion::Unknown;
        let mut kind = None;
        for word in self.states.iter().filter_map(|&group| found.text(group)) {
            match sense.words.find(word) {
                Some(State::NoWeight(state)) => return Ok(Reading::NoWeight(state)),
                Some(State::Motion(said)) => motion = said,
                Some(State::Kind(said)) => kind = Some(said),
                None => return Err(Why::word(word)),
            }
        }
        let decimals = found.text(self.decimals).map(count).transpose()?;
        let notation = Notation {
            decimals: decimals.or(sense.notation.decimals),
            ..sense.notation
        };
        let tare = found
            .text(self.tare)
            .map(|tare| notation.number(tare, false))
            .transpose()?;
        let Some(weight) = found.text(self.weight) else {
            return Err(match tare {
                Some(_) => Why::TareOnly,
                None => Why::Unrecognised,
            });
        };
        let unit = found.text(self.unit).map(unit).transpose()?;
        let negative = match found.text(self.sign) {
            None | Some(b"+") => false,
            Some(b"-") => true,
            Some(other) => return Err(Why::word(other)),
        };
        if let Some(state) = words::no_weight(weight) {
            return Ok(Reading::NoWeight(state));
        }
        let ounces = found.text(self.ounces);
        let has_unit = unit.or(sense.unit).is_some();
        let amount = match ounces {
            Some(ounces) => {
                let pounds = notation.whole().number(weight, true)?;
                let ounces = notation.number(ounces, true)?;
                let minus = negative || weight.starts_with(b"-");
                let pounds = if negative { negate(pounds)? } else { pounds };
                let ounces = if minus { negate(ounces)? } else { ounces };
                Amount::PoundsOunces(pounds, ounces)
            }
            None => {
                let number = notation.number(weight, has_unit)?;
                Amount::Number(if negative { negate(number)? } else { number })
            }
        };
        let unit = match ounces {
            Some(_) => Some(MassUnit::Ounce),
            None => unit,
        };
        let tare = tare.map(|number| Measured {
            amount: Amount::Number(number),
            unit,
        });
        let weight = Measured { amount, unit };
        Figures {
            weight,
            tare,
            kind,
            motion,
        }
        .reading(sense)
    }
}

struct Found<'c, 'h>(&'c Captures<'h>);

impl<'h> Found<'_, 'h> {
    /// Returns what a group holds; blanks alone are nothing.
    fn text(&self, group: Option<usize>) -> Option<&'h [u8]> {
        let text = trim(self.0.get(group?)?.as_bytes());
        (!text.is_empty()).then_some(text)
    }
}

fn negate(number: Decimal) -> Result<Decimal, Why> {
    Decimal::new(-number.mantissa(), number.scale()).ok_or(Why::TooLarge)
}

fn count(digits: &[u8]) -> Result<u8, Why> {
    match digits {
        [digit @ b'0'..=b'9'] => Ok(digit - b'0'),
        _ => Err(Why::Unrecognised),
    }
}

fn unit(word: &[u8]) -> Result<MassUnit, Why> {
    MassUnit::from_word(word).ok_or_else(|| Why::UnknownUnit(scrap(word)))
}

fn last_line(text: &str) -> String {
    let line = text.lines().last().unwrap_or(text);
    line.strip_prefix("error: ").unwrap_or(line).to_owned()
}
