//! Taking a table of TOML apart, collecting every problem on the way.

use std::ops::{Range, RangeInclusive};

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::Problem;

/// All problems found so far.
#[derive(Debug, Default)]
pub(super) struct Problems(Vec<Problem>);

impl Problems {
    pub(super) fn add(&mut self, range: Range<usize>, message: impl Into<String>, help: &str) {
        self.0.push(Problem {
            range,
            message: message.into(),
            help: (!help.is_empty()).then(|| help.to_owned()),
        });
    }

    /// Returns them in the order of the text.
    pub(super) fn sorted(mut self) -> Vec<Problem> {
        self.0.sort_by_key(|problem| problem.range.start);
        self.0
    }
}

/// A table whose keys were checked.
pub(super) struct Fields<'t> {
    table: &'t DeTable<'t>,
    /// Where problems of the table itself are shown.
    pub(super) range: Range<usize>,
}

/// A value and where it stands.
pub(super) struct Found<T> {
    pub(super) value: T,
    pub(super) range: Range<usize>,
}

impl<'t> Fields<'t> {
    /// Opens a table; a key that is not among `known` is a problem.
    pub(super) fn open(
        table: &'t DeTable<'t>,
        range: Range<usize>,
        known: &[&str],
        problems: &mut Problems,
    ) -> Self {
        for key in table.keys() {
            let name: &str = key.get_ref();
            if !known.contains(&name) {
                let help = suggestion(name, known);
                problems.add(key.span(), format!("`{name}` is not a key here"), &help);
            }
        }
        Self { table, range }
    }

    /// Opens the table under `key`, if there is one.
    pub(super) fn table(&self, key: &str, known: &[&str], problems: &mut Problems) -> Option<Self> {
        let (range, value) = self.value(key)?;
        match value {
            DeValue::Table(table) => Some(Self::open(table, range, known, problems)),
            other => {
                wrong_type(range, other, "a table", problems);
                None
            }
        }
    }

    /// Returns whether the key is there, with whatever value.
    pub(super) fn has(&self, key: &str) -> bool {
        self.value(key).is_some()
    }

    fn value(&self, key: &str) -> Option<(Range<usize>, &'t DeValue<'t>)> {
        self.table
            .iter()
            .find(|(name, _)| name.get_ref() == key)
            .map(|(_, value)| (value.span(), value.get_ref()))
    }

    pub(super) fn text(&self, key: &str, problems: &mut Problems) -> Option<Found<&'t str>> {
        let (range, value) = self.value(key)?;
        match value {
            DeValue::String(value) => Some(Found { value, range }),
            other => {
                wrong_type(range, other, "a text in quotes", problems);
                None
            }
        }
    }

    /// Takes a list of texts; `None` when the key is missing.
    pub(super) fn texts(&self, key: &str, problems: &mut Problems) -> Option<Vec<Found<&'t str>>> {
        let (range, value) = self.value(key)?;
        let DeValue::Array(array) = value else {
            wrong_type(range, value, "a list of texts", problems);
            return None;
        };
        let mut texts = Vec::new();
        for item in array.iter() {
            match Spanned::get_ref(item) {
                DeValue::String(value) => texts.push(Found {
                    value: value.as_ref(),
                    range: item.span(),
                }),
                other => wrong_type(item.span(), other, "a text in quotes", problems),
            }
        }
        Some(texts)
    }

    pub(super) fn whole(
        &self,
        key: &str,
        allowed: &RangeInclusive<u32>,
        problems: &mut Problems,
    ) -> Option<u32> {
        let (range, value) = self.value(key)?;
        let DeValue::Integer(integer) = value else {
            wrong_type(range, value, "a whole number", problems);
            return None;
        };
        let number = u32::from_str_radix(integer.as_str(), integer.radix()).ok();
        let number = number.filter(|number| allowed.contains(number));
        if number.is_none() {
            let message = format!(
                "`{key}` must be from {} to {}",
                allowed.start(),
                allowed.end()
            );
            problems.add(range, message, "");
        }
        number
    }

    /// Takes a whole number that may be below zero.
    pub(super) fn signed(
        &self,
        key: &str,
        allowed: &RangeInclusive<i32>,
        problems: &mut Problems,
    ) -> Option<i32> {
        let (range, value) = self.value(key)?;
        let DeValue::Integer(integer) = value else {
            wrong_type(range, value, "a whole number", problems);
            return None;
        };
        let number = i32::from_str_radix(integer.as_str(), integer.radix()).ok();
        let number = number.filter(|number| allowed.contains(number));
        if number.is_none() {
            let (least, most) = (allowed.start(), allowed.end());
            problems.add(range, format!("`{key}` must be from {least} to {most}"), "");
        }
        number
    }

    /// Takes one byte as a number, or a list of them; none when the key is missing.
    pub(super) fn bytes(&self, key: &str, problems: &mut Problems) -> Vec<Found<u8>> {
        let Some((range, value)) = self.value(key) else {
            return Vec::new();
        };
        let mut byte = |range: Range<usize>, value: &DeValue<'_>| {
            let DeValue::Integer(integer) = value else {
                wrong_type(range, value, "a whole number", problems);
                return None;
            };
            match u8::from_str_radix(integer.as_str(), integer.radix()) {
                Ok(value) => Some(Found { value, range }),
                Err(_) => {
                    problems.add(range, format!("`{key}` must be from 0 to 255"), "");
                    None
                }
            }
        };
        match value {
            DeValue::Array(array) => array
                .iter()
                .filter_map(|item| byte(item.span(), item.get_ref()))
                .collect(),
            value => byte(range, value).into_iter().collect(),
        }
    }

    /// Opens the tables under `key`: one, or a list of them; none when the key is missing.
    pub(super) fn tables(&self, key: &str, known: &[&str], problems: &mut Problems) -> Vec<Self> {
        let Some((range, value)) = self.value(key) else {
            return Vec::new();
        };
        let mut open = |range: Range<usize>, value: &'t DeValue<'t>| match value {
            DeValue::Table(table) => Some(Self::open(table, range, known, problems)),
            other => {
                wrong_type(range, other, "a table", problems);
                None
            }
        };
        match value {
            DeValue::Array(array) => array
                .iter()
                .filter_map(|item| open(item.span(), item.get_ref()))
                .collect(),
            value => open(range, value).into_iter().collect(),
        }
    }

    /// Returns where a key's value stands, or where the table is.
    pub(super) fn place(&self, key: &str) -> Range<usize> {
        self.value(key)
            .map_or(self.range.clone(), |(range, _)| range)
    }

    /// Takes one of several words.
    pub(super) fn choice<T: Copy>(
        &self,
        key: &str,
        choices: &[(&str, T)],
        problems: &mut Problems,
    ) -> Option<T> {
        let Found { value, range } = self.text(key, problems)?;
        let chosen = choices.iter().find(|(name, _)| *name == value);
        if chosen.is_none() {
            let names: Vec<&str> = choices.iter().map(|&(name, _)| name).collect();
            let help = suggestion(value, &names);
            problems.add(range, format!("`{value}` is no choice for `{key}`"), &help);
        }
        chosen.map(|&(_, choice)| choice)
    }

    /// Takes a text and parses it; the parser's message is the problem.
    pub(super) fn parsed<T>(
        &self,
        key: &str,
        parse: impl FnOnce(&str) -> Result<T, String>,
        problems: &mut Problems,
    ) -> Option<Found<T>> {
        let Found { value, range } = self.text(key, problems)?;
        match parse(value) {
            Ok(value) => Some(Found { value, range }),
            Err(message) => {
                problems.add(range, format!("`{key}`: {message}"), "");
                None
            }
        }
    }
}

/// Says which known name was probably meant, or which there are.
pub(super) fn suggestion(name: &str, known: &[&str]) -> String {
    let close = known
        .iter()
        .map(|known| (strsim::osa_distance(name, known), known))
        .min_by_key(|&(distance, _)| distance)
        .filter(|&(distance, known)| distance <= 1 + known.len() / 3);
    match close {
        Some((_, close)) => format!("did you mean `{close}`?"),
        None => format!("known are {}", known.join(", ")),
    }
}

fn wrong_type(range: Range<usize>, found: &DeValue<'_>, wanted: &str, problems: &mut Problems) {
    let message = format!("this is {}, not {wanted}", article(found.type_str()));
    problems.add(range, message, "");
}

fn article(noun: &str) -> String {
    let vowel = noun.starts_with(['a', 'e', 'i', 'o', 'u']);
    format!("{} {noun}", if vowel { "an" } else { "a" })
}
