//! What may replace an ingredient that is not to be had.

use std::collections::BTreeMap;

use tarehand_protocol::Decimal;
use toml::de::{DeTable, DeValue};

use crate::diagnostic::nearest;
use crate::document::{Fields, Problems, tables};
use crate::ratio::Ratio;

/// What may replace an ingredient, and what else that changes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StandIn {
    /// The key of what is used instead.
    pub uses: String,
    /// Grams of it for one gram.
    pub ratio: Ratio,
    /// Grams more of others for one gram, less where below zero.
    pub also: BTreeMap<String, Ratio>,
    /// What comes out differently, in the shelf's own words.
    pub note: Option<String>,
}

/// Reads `[[ingredient.x.stand_in]]`, the best one first.
///
/// `all` is everything on the shelf: what stands in must be there too.
pub(super) fn stand_ins(
    fields: &mut Fields<'_, '_>,
    all: &DeTable<'_>,
    problems: &mut Problems<'_>,
) -> Vec<StandIn> {
    let Some(value) = fields.value("stand_in") else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for (table, range) in tables("stand_in", value, problems) {
        let mut fields = Fields::new(table);
        let uses = fields.text("use", "slow-syrup", problems);
        let ratio = fields.text("ratio", "0.6", problems);
        let also = fields.table("also", problems);
        let note = fields.text("note", "dries slower", problems);
        fields.finish("a stand-in", problems);
        let ratio = match &ratio {
            None => Some(Ratio::one()),
            Some(text) => self::ratio(text.get_ref()),
        };
        let also = also.map_or_else(
            || Some(BTreeMap::new()),
            |(table, _)| others(table, problems),
        );
        match (uses, ratio, also) {
            (None, ..) => {
                problems.error(range, "what stands in is not said").help = Some(
                    "write use = \"…\", the key of another ingredient of the shelf".to_owned(),
                );
            }
            (Some(uses), ..) if !all.contains_key(uses.get_ref().trim()) => {
                let key = uses.get_ref().trim();
                let others = all.keys().map(|other| other.get_ref().as_ref());
                problems
                    .error(uses.span(), format!("`{key}` is not on the shelf"))
                    .help = Some(nearest(key, others).map_or_else(
                    || {
                        "put what stands in on the shelf too, with its own [ingredient.…]"
                            .to_owned()
                    },
                    |meant| format!("did you mean `{meant}`?"),
                ));
            }
            (Some(_), None, _) => {
                problems
                    .error(range, "a stand-in's ratio is a number above zero")
                    .help =
                    Some("write ratio = \"0.6\" for 0.6 g of it instead of each gram".to_owned());
            }
            (Some(uses), Some(ratio), Some(also)) => found.push(StandIn {
                uses: uses.get_ref().trim().to_owned(),
                ratio,
                also,
                note: note.map(|note| note.get_ref().trim().to_owned()),
            }),
            (Some(_), Some(_), None) => {}
        }
    }
    found
}

/// Reads how many grams take the place of one.
pub(crate) fn ratio(text: &str) -> Option<Ratio> {
    number(text).filter(|ratio| Ratio::zero() < *ratio)
}

/// Reads a number that may be below zero.
fn number(text: &str) -> Option<Ratio> {
    let text = text.trim();
    let (sign, digits) = match text.strip_prefix(['-', '−']) {
        Some(digits) => (-1, digits),
        None => (1, text.strip_prefix('+').unwrap_or(text)),
    };
    let number: Decimal = digits.trim().parse().ok()?;
    let ratio = &Ratio::from_decimal(number) * &Ratio::new(sign, 1);
    (ratio.abs() <= Ratio::new(1_000, 1)).then_some(ratio)
}

fn others(table: &DeTable<'_>, problems: &mut Problems<'_>) -> Option<BTreeMap<String, Ratio>> {
    let mut also = BTreeMap::new();
    for (key, value) in table {
        let grams = match value.get_ref() {
            DeValue::String(text) => number(text),
            _ => None,
        };
        match grams {
            Some(grams) => {
                also.insert(key.get_ref().to_string(), grams);
            }
            None => {
                let message = "what else changes is grams for each gram, more or less";
                problems.error(value.span(), message).help =
                    Some(format!("write {} = \"+0.4\" or \"-0.4\"", key.get_ref()));
                return None;
            }
        }
    }
    Some(also)
}
