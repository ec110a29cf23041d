//! Takes known fields out of a TOML table and says what else was there.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::Problems;
use crate::diagnostic::nearest;

/// The fields of one table, taken out by name; [`Fields::finish`] reports what nobody took.
pub(crate) struct Fields<'t, 'i> {
    table: &'t DeTable<'i>,
    known: Vec<&'static str>,
}

impl<'t, 'i> Fields<'t, 'i> {
    pub(crate) const fn new(table: &'t DeTable<'i>) -> Self {
        Self {
            table,
            known: Vec::new(),
        }
    }

    /// Takes a field whatever it is.
    pub(crate) fn value(&mut self, key: &'static str) -> Option<&'t Spanned<DeValue<'i>>> {
        self.known.push(key);
        self.table.get(key)
    }

    /// Returns whether a field is there, whatever it is.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    /// Takes a text; anything else is an error that shows how to write it.
    pub(crate) fn text(
        &mut self,
        key: &'static str,
        example: &str,
        problems: &mut Problems<'_>,
    ) -> Option<Spanned<String>> {
        let value = self.value(key)?;
        match value.get_ref() {
            DeValue::String(text) => Some(Spanned::new(value.span(), text.clone().into_owned())),
            DeValue::Integer(_) | DeValue::Float(_) => {
                problems
                    .error(value.span(), format!("`{key}` is a bare number"))
                    .help = Some(format!("write it in quotes, as in {key} = \"{example}\""));
                None
            }
            other => {
                problems
                    .error(
                        value.span(),
                        format!("`{key}` is a text, not {}", kind_of(other)),
                    )
                    .help = Some(format!("write {key} = \"{example}\""));
                None
            }
        }
    }

    /// Takes a list of texts, or one text alone.
    pub(crate) fn texts(
        &mut self,
        key: &'static str,
        example: &str,
        problems: &mut Problems<'_>,
    ) -> Vec<String> {
        let Some(value) = self.value(key) else {
            return Vec::new();
        };
        let items: Vec<&Spanned<DeValue<'_>>> = match value.get_ref() {
            DeValue::Array(items) => items.iter().collect(),
            _ => vec![value],
        };
        let mut texts = Vec::new();
        for item in items {
            match item.get_ref() {
                DeValue::String(text) => texts.push(text.clone().into_owned()),
                other => {
                    problems
                        .error(
                            item.span(),
                            format!("`{key}` is a list of texts, not {}", kind_of(other)),
                        )
                        .help = Some(format!("write {key} = [\"{example}\"]"));
                }
            }
        }
        texts
    }

    /// Takes a table.
    pub(crate) fn table(
        &mut self,
        key: &'static str,
        problems: &mut Problems<'_>,
    ) -> Option<(&'t DeTable<'i>, Range<usize>)> {
        let value = self.value(key)?;
        match value.get_ref() {
            DeValue::Table(table) => Some((table, self.span_of(key))),
            other => {
                problems
                    .error(
                        value.span(),
                        format!("`{key}` is a table, not {}", kind_of(other)),
                    )
                    .help = Some(format!("write [{key}] on a line of its own"));
                None
            }
        }
    }

    /// Reports every field that nobody took, with what it might have meant.
    pub(crate) fn finish(self, place: &str, problems: &mut Problems<'_>) {
        for key in self.table.keys() {
            let name: &str = key.get_ref();
            if self.known.contains(&name) {
                continue;
            }
            let problem = problems.error(key.span(), format!("{place} knows no `{name}`"));
            problem.help = Some(match nearest(name, self.known.iter().copied()) {
                Some(meant) => format!("did you mean `{meant}`?"),
                None => format!("known are {}", self.known.join(", ")),
            });
        }
    }

    fn span_of(&self, key: &str) -> Range<usize> {
        self.table
            .get_key_value(key)
            .map_or(0..0, |(key, _)| key.span())
    }
}

/// Returns the tables of an array of tables, `[[key]]`.
pub(crate) fn tables<'t, 'i>(
    key: &str,
    value: &'t Spanned<DeValue<'i>>,
    problems: &mut Problems<'_>,
) -> Vec<(&'t DeTable<'i>, Range<usize>)> {
    let wrong = |problems: &mut Problems<'_>, range: Range<usize>| {
        problems
            .error(
                range,
                format!("`{key}` is written once for each, in double brackets"),
            )
            .help = Some(format!("write [[{key}]]"));
    };
    let DeValue::Array(items) = value.get_ref() else {
        wrong(problems, value.span());
        return Vec::new();
    };
    let mut found = Vec::new();
    for item in items {
        match item.get_ref() {
            DeValue::Table(table) => found.push((table, item.span())),
            _ => wrong(problems, item.span()),
        }
    }
    found
}

fn kind_of(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}
