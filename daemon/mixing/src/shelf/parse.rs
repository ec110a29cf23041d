//! Reads a shelf file.

use std::collections::BTreeMap;

use tarehand_protocol::Mass;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::film_fields::FilmFields;
use super::kept::Kept;
use super::stand_in::stand_ins;
use super::{Price, ShelfItem, weight};
use crate::diagnostic::Diagnostic;
use crate::document::{Fields, Problems, Source, quantity};
use crate::units::{Density, Measures, ParseQuantityError, Quantity};

pub(super) fn parse(
    source: &Source,
    measures: &Measures,
) -> (BTreeMap<String, ShelfItem>, Vec<Diagnostic>) {
    let (mut problems, document) = Problems::parse(source);
    let mut fields = Fields::new(&document);
    let mut items = BTreeMap::new();
    if let Some((table, _)) = fields.table("ingredient", &mut problems) {
        for (key, value) in table {
            let name: &str = key.get_ref();
            let DeValue::Table(ingredient) = value.get_ref() else {
                problems
                    .error(key.span(), format!("`{name}` stands outside an ingredient"))
                    .help =
                    Some("begin each ingredient with a line [ingredient.its-key]".to_owned());
                continue;
            };
            items.insert(
                name.to_owned(),
                parse_item(name, ingredient, table, measures, &mut problems),
            );
        }
    }
    fields.finish("a shelf", &mut problems);
    (items, problems.into_list())
}

fn parse_item(
    key: &str,
    table: &DeTable<'_>,
    all: &DeTable<'_>,
    measures: &Measures,
    problems: &mut Problems<'_>,
) -> ShelfItem {
    let mut fields = Fields::new(table);
    let name = fields.text("name", "Chalk, fine", problems);
    let density = fields.text("density", "1.06 g/ml", problems);
    let drop = fields.text("drop", "31 mg", problems);
    let teaspoon = fields.text("teaspoon", "4.1 g", problems);
    let tablespoon = fields.text("tablespoon", "12.3 g", problems);
    let stock = fields.text("stock", "750 g", problems);
    let price = fields.text("price", "18.40 EUR per 250 g", problems);
    let cautions = fields.texts("caution", "ventilate", problems);
    let film = FilmFields::take(&mut fields, problems);
    let kept = Kept::take(&mut fields, problems);
    let stand_ins = stand_ins(&mut fields, all, problems);
    fields.finish("an ingredient", problems);

    let mut item = ShelfItem {
        name: name.map(|name| name.get_ref().trim().to_owned()),
        density: density.and_then(|text| parse_density(&text, problems)),
        drop: drop.and_then(|text| parse_mass("drop", &text, problems)),
        teaspoon: teaspoon.and_then(|text| parse_mass("teaspoon", &text, problems)),
        tablespoon: tablespoon.and_then(|text| parse_mass("tablespoon", &text, problems)),
        stock: None,
        price: price.and_then(|text| parse_price(&text, problems)),
        cautions,
        film: film.film(problems),
        form: film.form(problems),
        stand_ins,
        ..ShelfItem::default()
    };
    let stock_at = stock.as_ref().map(Spanned::span);
    item.stock = stock.and_then(|text| parse_stock(key, &text, &item, measures, problems));
    kept.fill(key, &mut item, stock_at.as_ref(), measures, problems);
    item
}

pub(super) fn parse_density(
    text: &Spanned<String>,
    problems: &mut Problems<'_>,
) -> Option<Density> {
    match text.get_ref().parse() {
        Ok(density) => Some(density),
        Err(error) => {
            problems.error(text.span(), error.to_string());
            None
        }
    }
}

pub(super) fn parse_mass(
    key: &str,
    text: &Spanned<String>,
    problems: &mut Problems<'_>,
) -> Option<Mass> {
    let quantity = quantity(text, problems)?;
    let mass = quantity.mass().filter(|mass| Mass::ZERO < *mass);
    if mass.is_none() {
        problems
            .error(
                text.span(),
                format!("`{key}` is a mass that can be weighed"),
            )
            .help = Some(format!("write {key} = \"31 mg\" or the like"));
    }
    mass
}

fn parse_stock(
    key: &str,
    text: &Spanned<String>,
    item: &ShelfItem,
    measures: &Measures,
    problems: &mut Problems<'_>,
) -> Option<Mass> {
    // Nothing left is a stock too, although nothing is never an amount.
    if let Err(ParseQuantityError::Nothing) = text.get_ref().parse::<Quantity>() {
        return Some(Mass::ZERO);
    }
    let quantity = quantity(text, problems)?;
    match weight(&quantity, item, measures) {
        Ok(micrograms) => Some(micrograms.to_mass()),
        Err(missing) => {
            problems.error(text.span(), missing.message(key)).help =
                Some("give the stock in grams, or give the density too".to_owned());
            None
        }
    }
}

fn parse_price(text: &Spanned<String>, problems: &mut Problems<'_>) -> Option<Price> {
    match text.get_ref().parse() {
        Ok(price) => Some(price),
        Err(error) => {
            problems.error(text.span(), format!("{error}")).help =
                Some("write price = \"18.40 EUR per 250 g\"".to_owned());
            None
        }
    }
}
