//! Reads what a shelf says of an ingredient as stock: packs, dry tests, when it is low, what it is made of.

use std::collections::BTreeMap;
use std::ops::Range;
use std::str::FromStr;

use tarehand_protocol::Mass;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::data::toml_key;
use super::dry_test::{DryResult, DryTest};
use super::low::Low;
use super::pack::{self, Known, Pack};
use super::parse::parse_mass;
use super::{Price, ShelfItem, weight};
use crate::document::{Fields, Problems, quantity, tables};
use crate::ratio::Ratio;
use crate::units::{Measures, ParseQuantityError, Quantity, parse_number};

/// So many packs an ingredient has at most (our own choice): one a week for nearly ten years. Every draw of all the years
/// is held against each.
const MOST_PACKS: usize = 500;

/// The fields as they stand in the file.
pub(super) struct Kept<'t, 'i> {
    packs: Option<&'t Spanned<DeValue<'i>>>,
    dry_tests: Option<&'t Spanned<DeValue<'i>>>,
    made_of: Option<&'t Spanned<DeValue<'i>>>,
    low: Option<Spanned<String>>,
    family: Option<Spanned<String>>,
}

/// What is known where a field is read.
struct Place<'p> {
    key: &'p str,
    item: &'p ShelfItem,
    measures: &'p Measures,
}

impl<'t, 'i> Kept<'t, 'i> {
    /// Takes the fields out of an ingredient's table.
    pub(super) fn take(fields: &mut Fields<'t, 'i>, problems: &mut Problems<'_>) -> Self {
        Self {
            packs: fields.value("pack"),
            dry_tests: fields.value("dry_test"),
            made_of: fields.value("made_of"),
            low: fields.text("low", "200 g", problems),
            family: fields.text("family", "acrylic", problems),
        }
    }

    /// Reads them into the item, whose density may be needed; stock and price follow from packs.
    pub(super) fn fill(
        self,
        key: &str,
        item: &mut ShelfItem,
        stock_at: Option<&Range<usize>>,
        measures: &Measures,
        problems: &mut Problems<'_>,
    ) {
        let whose = toml_key(key);
        let place = Place {
            key,
            item,
            measures,
        };
        let mut packs = Vec::new();
        if let Some(value) = self.packs {
            let name = format!("ingredient.{whose}.pack");
            let mut written = tables(&name, value, problems);
            if let Some((_, at)) = written.get(MOST_PACKS) {
                let message = format!("`{whose}` has more than {MOST_PACKS} packs");
                problems.error(at.clone(), message).help =
                    Some("take out those that were used up long ago".to_owned());
            }
            written.truncate(MOST_PACKS);
            for (table, at) in written {
                packs.extend(place.pack(table, at, problems));
            }
        }
        let mut dry_tests = Vec::new();
        if let Some(value) = self.dry_tests {
            let name = format!("ingredient.{whose}.dry_test");
            for (table, at) in tables(&name, value, problems) {
                dry_tests.extend(dry_test(table, at, problems));
            }
        }
        let made_of = self.made_of.and_then(|value| made_of(value, problems));
        let low = self.low.and_then(|text| low(&text, &packs, problems));
        if self.packs.is_some()
            && let Some(at) = stock_at
        {
            problems
                .error(at.clone(), "there is `stock` beside packs".to_owned())
                .help = Some("take `stock` out: what is there is the sum of the packs".to_owned());
        }
        if !packs.is_empty() {
            item.stock = pack::known_stock(&packs);
            item.price = pack::price_in_use(&packs).cloned().or(item.price.take());
        }
        item.packs = packs;
        item.dry_tests = dry_tests;
        item.low = low;
        item.made_of = made_of;
        item.family = self
            .family
            .map(|family| family.get_ref().trim().to_lowercase())
            .filter(|family| !family.is_empty());
    }
}

impl Place<'_> {
    fn pack(
        &self,
        table: &DeTable<'_>,
        at: Range<usize>,
        problems: &mut Problems<'_>,
    ) -> Option<Pack> {
        let mut fields = Fields::new(table);
        let holds = fields.text("holds", "1 kg", problems);
        let left = fields.text("left", "640 g", problems);
        let weighed = fields.text("weighed", "2026-11-02T10:15:00Z", problems);
        let empty = fields.text("empty", "58 g", problems);
        let lot = fields.text("lot", "B7-114", problems);
        let opened = fields.text("opened", "2026-10-02", problems);
        let best_before = fields.text("best_before", "2027-06-01", problems);
        let price = fields.text("price", "24.50 EUR", problems);
        fields.finish("a pack", problems);

        let holds = match holds {
            Some(text) => self.holds(&text, problems),
            None => {
                if table.get("holds").is_none() {
                    problems
                        .error(at, "a pack does not say what it held when it was bought")
                        .help = Some("write holds = \"1 kg\"".to_owned());
                }
                None
            }
        };
        let known = self.known(left, weighed, problems);
        let empty = empty.and_then(|text| parse_mass("empty", &text, problems));
        let opened = opened.and_then(|text| dated(&text, "opened = \"2026-10-02\"", problems));
        let best_before =
            best_before.and_then(|text| dated(&text, "best_before = \"2027-06-01\"", problems));
        // Whatever it held, a price that is none is said.
        let per = holds.unwrap_or(Mass::from_grams(1));
        let price = price.and_then(|text| price_of_pack(&text, per, problems));
        Some(Pack {
            holds: holds?,
            known,
            empty,
            lot: lot.map(|lot| lot.get_ref().trim().to_owned()),
            opened,
            best_before,
            price,
        })
    }

    fn holds(&self, text: &Spanned<String>, problems: &mut Problems<'_>) -> Option<Mass> {
        let mass = self.mass(text, problems)?;
        if mass.is_zero() {
            problems
                .error(
                    text.span(),
                    "a pack held more than nothing when it was bought",
                )
                .help = Some("write holds = \"1 kg\"; what is there now is `left`".to_owned());
            return None;
        }
        Some(mass)
    }

    fn known(
        &self,
        left: Option<Spanned<String>>,
        weighed: Option<Spanned<String>>,
        problems: &mut Problems<'_>,
    ) -> Option<Known> {
        match (left, weighed) {
            (Some(left), Some(weighed)) => {
                let mass = self.mass(&left, problems);
                let weighed = dated(&weighed, "weighed = \"2026-11-02T10:15:00Z\"", problems);
                Some(Known {
                    left: mass?,
                    weighed: weighed?,
                })
            }
            (Some(left), None) => {
                problems
                    .error(left.span(), "`left` does not say when that was: `weighed` is missing")
                    .help = Some(
                    "write weighed = \"2026-11-02T10:15:00Z\" beside it: what was poured since is taken off"
                        .to_owned(),
                );
                None
            }
            (None, Some(weighed)) => {
                problems
                    .error(
                        weighed.span(),
                        "`weighed` does not say what was left: `left` is missing",
                    )
                    .help = Some("write left = \"640 g\" beside it".to_owned());
                None
            }
            (None, None) => None,
        }
    }

    /// Reads a mass, or a volume through the density; nothing is a mass too.
    fn mass(&self, text: &Spanned<String>, problems: &mut Problems<'_>) -> Option<Mass> {
        if let Err(ParseQuantityError::Nothing) = text.get_ref().parse::<Quantity>()
            && !text.get_ref().trim_start().starts_with('-')
        {
            return Some(Mass::ZERO);
        }
        let quantity = quantity(text, problems)?;
        match weight(&quantity, self.item, self.measures) {
            Ok(micrograms) => Some(micrograms.to_mass()),
            Err(missing) => {
                problems.error(text.span(), missing.message(self.key)).help =
                    Some("give it in grams, or give the density too".to_owned());
                None
            }
        }
    }
}

fn price_of_pack(
    text: &Spanned<String>,
    holds: Mass,
    problems: &mut Problems<'_>,
) -> Option<Price> {
    match pack::price_of_pack(text.get_ref(), holds) {
        Ok(price) => Some(price),
        Err(error) => {
            problems.error(text.span(), error.to_string()).help =
                Some("write price = \"24.50 EUR\", for the whole pack".to_owned());
            None
        }
    }
}

fn dated<T>(text: &Spanned<String>, example: &str, problems: &mut Problems<'_>) -> Option<T>
where
    T: FromStr<Err: std::error::Error>,
{
    match text.get_ref().parse() {
        Ok(dated) => Some(dated),
        Err(error) => {
            problems.error(text.span(), error.to_string()).help = Some(format!("write {example}"));
            None
        }
    }
}

fn dry_test(table: &DeTable<'_>, at: Range<usize>, problems: &mut Problems<'_>) -> Option<DryTest> {
    let mut fields = Fields::new(table);
    let date = fields.text("date", "2026-11-02", problems);
    let lot = fields.text("lot", "B7-114", problems);
    let result = fields.text("result", "clear", problems);
    let room = fields.text("room", "21 C, 45 %", problems);
    fields.finish("a dry test", problems);
    for (key, example) in [("date", "2026-11-02"), ("result", "clear")] {
        if table.get(key).is_none() {
            problems
                .error(at.clone(), format!("a dry test does not say its `{key}`"))
                .help = Some(format!("write {key} = \"{example}\""));
        }
    }
    let result = result.and_then(|text| {
        let result = DryResult::from_word(text.get_ref().trim());
        if result.is_none() {
            let words = DryResult::ALL.map(DryResult::word).join(", ");
            problems
                .error(
                    text.span(),
                    format!("`{}` is no result of a dry test", text.get_ref()),
                )
                .help = Some(format!("write one of {words}"));
        }
        result
    });
    let date = date.and_then(|text| dated(&text, "date = \"2026-11-02\"", problems));
    Some(DryTest {
        date: date?,
        lot: lot.map(|lot| lot.get_ref().trim().to_owned()),
        result: result?,
        room: room.map(|room| room.get_ref().trim().to_owned()),
    })
}

fn low(text: &Spanned<String>, packs: &[Pack], problems: &mut Problems<'_>) -> Option<Low> {
    let Ok((number, "%")) = parse_number(text.get_ref().trim()) else {
        return parse_mass("low", text, problems).map(Low::Mass);
    };
    let fraction = Ratio::from_decimal(number) * Ratio::new(1, 100);
    let refused = if packs.is_empty() {
        Some("a percentage is of what a pack holds, and there is no pack")
    } else if fraction.is_zero() || Ratio::one() < fraction {
        Some("`low` lies above 0 % and is at most 100 %")
    } else {
        None
    };
    match refused {
        Some(message) => {
            problems.error(text.span(), message).help = Some("write low = \"200 g\"".to_owned());
            None
        }
        None => Some(Low::Fraction(fraction)),
    }
}

/// Reads what a mix on the shelf was made of: grams as poured, so that the shares are exact.
fn made_of(
    value: &Spanned<DeValue<'_>>,
    problems: &mut Problems<'_>,
) -> Option<BTreeMap<String, Ratio>> {
    const EXAMPLE: &str =
        "write made_of = { \"clear-binder\" = \"52.7 g\", \"soft-water\" = \"21.9 g\" }";
    let DeValue::Table(table) = value.get_ref() else {
        problems
            .error(
                value.span(),
                "`made_of` is a table of ingredients and their masses",
            )
            .help = Some(EXAMPLE.to_owned());
        return None;
    };
    let mut parts = BTreeMap::new();
    for (key, value) in table {
        let DeValue::String(text) = value.get_ref() else {
            problems
                .error(value.span(), format!("`{}` is no mass", key.get_ref()))
                .help = Some(EXAMPLE.to_owned());
            continue;
        };
        let text = Spanned::new(value.span(), text.clone().into_owned());
        if text.get_ref().trim_end().ends_with('%') {
            problems
                .error(
                    text.span(),
                    "what a mix is made of is said in grams, as poured",
                )
                .help = Some(EXAMPLE.to_owned());
            continue;
        }
        if let Some(mass) = parse_mass(key.get_ref(), &text, problems) {
            let name: &str = key.get_ref();
            parts.insert(name.to_owned(), Ratio::from_mass(mass));
        }
    }
    if table.is_empty() {
        problems.error(value.span(), "`made_of` names nothing").help = Some(EXAMPLE.to_owned());
    }
    let sum = parts.values().fold(Ratio::zero(), |sum, part| &sum + part);
    let shares = parts
        .into_iter()
        .map(|(key, part)| Some((key, part.checked_div(&sum)?)));
    shares
        .collect::<Option<BTreeMap<_, _>>>()
        .filter(|shares| !shares.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Source;
    use crate::shelf::Shelf;

    #[test]
    fn of_too_many_packs_the_first_are_read_and_one_problem_says_where_they_are_too_many() {
        let check = |many: usize, expect: &[&str]| {
            let pack = "[[ingredient.chalk.pack]]\nholds = \"1 g\"\n";
            let text = format!("[ingredient.chalk]\n{}", pack.repeat(many));
            let source = Source::new("shelf.toml", text);
            let (shelf, problems) = Shelf::parse(&source, &Measures::default());
            let said: Vec<&str> = problems.iter().map(|said| said.message.as_str()).collect();
            assert_eq!(said, expect);
            let packs = shelf.get("chalk").map(|item| item.packs.len());
            assert_eq!(packs, Some(many.min(MOST_PACKS)));
        };
        check(MOST_PACKS, &[]);
        check(MOST_PACKS + 2, &["`chalk` has more than 500 packs"]);
    }
}
