//! The choices of a recipe as written: `[choice.finish]` and a line for each option.

use std::collections::BTreeMap;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::document::{Fields, Problems};
use crate::ratio::Ratio;
use crate::recipe::fields;
use crate::shelf::stand_in_ratio;

/// A choice as written.
pub(in crate::recipe) struct WrittenChoice {
    pub name: Spanned<String>,
    /// The options in the order they are written; the first is taken where nobody chooses.
    pub options: Vec<WrittenOption>,
    /// Whether every option could be read.
    pub complete: bool,
}

/// One option of a choice.
pub(in crate::recipe) struct WrittenOption {
    pub name: Spanned<String>,
    /// What each name stands for, by name.
    pub meanings: BTreeMap<String, Meaning>,
}

/// What a name stands for.
pub(in crate::recipe) struct Meaning {
    /// Where the name is written.
    pub at: Range<usize>,
    pub uses: Uses,
}

/// What is used for a name.
#[derive(Clone)]
pub(in crate::recipe) enum Uses {
    /// Nothing: the steps that say the name are left out.
    Nothing,
    /// An ingredient or premix.
    This {
        add: Spanned<String>,
        /// Grams of it for one gram that a step says.
        ratio: Ratio,
    },
}

impl Uses {
    /// Returns whether both come to the same, wherever they are written.
    pub(super) fn is_same(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Nothing, Self::Nothing) => true,
            (Self::This { add, ratio }, Self::This { add: b, ratio: r }) => {
                add.get_ref() == b.get_ref() && ratio == r
            }
            (Self::Nothing, Self::This { .. }) | (Self::This { .. }, Self::Nothing) => false,
        }
    }
}

/// Reads all choices of a recipe.
pub(in crate::recipe) fn read(
    value: &Spanned<DeValue<'_>>,
    problems: &mut Problems<'_>,
) -> Vec<WrittenChoice> {
    let DeValue::Table(table) = value.get_ref() else {
        not_a_choice("choice", value.span(), problems);
        return Vec::new();
    };
    in_order(table)
        .into_iter()
        .filter_map(|(name, value)| {
            let DeValue::Table(options) = value.get_ref() else {
                not_a_choice(name.get_ref(), value.span(), problems);
                return None;
            };
            let mut choice = WrittenChoice {
                complete: is_word(&name, problems),
                name,
                options: Vec::new(),
            };
            for (name, value) in in_order(options) {
                match read_option(name, value, problems) {
                    Some(option) => choice.options.push(option),
                    None => choice.complete = false,
                }
            }
            Some(choice)
        })
        .collect()
}

/// Returns the entries of a table in the order they are written.
fn in_order<'t, 'i>(table: &'t DeTable<'i>) -> Vec<(Spanned<String>, &'t Spanned<DeValue<'i>>)> {
    let mut entries: Vec<_> = table
        .iter()
        .map(|(key, value)| (Spanned::new(key.span(), key.get_ref().to_string()), value))
        .collect();
    entries.sort_by_key(|(key, _)| key.span().start);
    entries
}

fn not_a_choice(what: &str, at: Range<usize>, problems: &mut Problems<'_>) {
    problems
        .error(at, format!("`{what}` is a table with a line for each option"))
        .help = Some(
        "write [choice.finish] on a line of its own, and under it matt = { base = \"matt-medium\" }"
            .to_owned(),
    );
}

/// Returns whether it is a word that can be written behind `--choose`, or says so.
fn is_word(name: &Spanned<String>, problems: &mut Problems<'_>) -> bool {
    let word = |c: char| c.is_alphanumeric() || c == '-' || c == '_';
    let good = !name.get_ref().is_empty() && name.get_ref().chars().all(word);
    if !good {
        problems
            .error(
                name.span(),
                format!("`{}` is no word to choose by", name.get_ref()),
            )
            .help = Some("use letters, digits, `-` and `_`".to_owned());
    }
    good
}

fn read_option(
    name: Spanned<String>,
    value: &Spanned<DeValue<'_>>,
    problems: &mut Problems<'_>,
) -> Option<WrittenOption> {
    let good = is_word(&name, problems);
    let table = match value.get_ref() {
        DeValue::Table(table) if !table.is_empty() => table,
        _ => {
            let option = name.get_ref();
            problems
                .error(
                    value.span(),
                    format!("`{option}` does not say what stands for what"),
                )
                .help = Some(format!(
                "write {option} = {{ base = \"matt-medium\" }}: a name that steps say, and what it stands for"
            ));
            return None;
        }
    };
    let mut meanings = BTreeMap::new();
    let mut complete = good;
    for (word, value) in in_order(table) {
        match read_uses(word.get_ref(), value, problems) {
            Some(uses) => {
                let at = word.span();
                meanings.insert(word.into_inner(), Meaning { at, uses });
            }
            None => complete = false,
        }
    }
    complete.then_some(WrittenOption { name, meanings })
}

/// Reads what a name stands for: an ingredient, one with a ratio of its own, or `none`.
fn read_uses(
    word: &str,
    value: &Spanned<DeValue<'_>>,
    problems: &mut Problems<'_>,
) -> Option<Uses> {
    let table = match value.get_ref() {
        DeValue::String(text) => {
            let text = Spanned::new(value.span(), text.to_string());
            let add = fields::name(&text, problems)?;
            return Some(if add.get_ref() == "none" {
                Uses::Nothing
            } else {
                let ratio = Ratio::one();
                Uses::This { add, ratio }
            });
        }
        DeValue::Table(table) => table,
        _ => {
            problems
                .error(value.span(), format!("`{word}` stands for an ingredient"))
                .help = Some(format!(
                "write {word} = \"matt-medium\", or {word} = {{ add = \"matt-medium\", ratio = \"0.8\" }}"
            ));
            return None;
        }
    };
    let mut fields = Fields::new(table);
    let add = fields.text("add", "matt-medium", problems);
    let ratio = fields.text("ratio", "0.8", problems);
    let before = problems.has_errors();
    fields.finish("what a name stands for", problems);
    let Some(add) = add else {
        if !before && !table.contains_key("add") {
            problems
                .error(
                    value.span(),
                    format!("what `{word}` stands for is not said"),
                )
                .help = Some("write add = \"…\" in it, the key of an ingredient".to_owned());
        }
        return None;
    };
    let add = fields::name(&add, problems)?;
    let ratio = match ratio {
        None => Ratio::one(),
        Some(text) => match stand_in_ratio(text.get_ref()) {
            Some(ratio) => ratio,
            None => {
                problems
                    .error(text.span(), "a ratio is a number above zero")
                    .help =
                    Some("write ratio = \"0.8\" for 0.8 g of it instead of each gram".to_owned());
                return None;
            }
        },
    };
    Some(Uses::This { add, ratio })
}
