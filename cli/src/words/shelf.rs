//! The shelf as a message for programs and as a page.

use std::collections::BTreeMap;

use serde::Serialize;
use tarehand_mixing::shelf::{Draw, Pack, Shelf, ShelfItem, Warning, oldest_first, stock};
use tarehand_protocol::Mass;

use super::{Column, exact_grams, shown, table};

/// What is on the shelf.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct ShelfList {
    /// Whether what batches drew is taken off.
    pub(crate) drawn_known: bool,
    /// The ingredients, by key.
    pub(crate) ingredients: Vec<IngredientLine>,
    /// What is worth a second look.
    pub(crate) warnings: Vec<WarningLine>,
}

/// One ingredient.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct IngredientLine {
    /// Its key.
    pub(crate) ingredient: String,
    /// Its name.
    pub(crate) name: String,
    /// What is left in all, in grams; `null` where the shelf does not say.
    pub(crate) left_g: Option<f64>,
    /// What was poured beyond all that its packs held, in grams.
    pub(crate) beyond_g: f64,
    /// Its packs, the one to use first at the head.
    pub(crate) packs: Vec<PackLine>,
    /// Its family of paint.
    pub(crate) family: Option<String>,
    /// What it was mixed from, in shares of one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) made_of: Option<BTreeMap<String, f64>>,
}

/// One pack.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct PackLine {
    /// Its lot.
    pub(crate) lot: Option<String>,
    /// What it held, in grams.
    pub(crate) holds_g: f64,
    /// What is left, in grams.
    pub(crate) left_g: f64,
    /// When that was known last (RFC 3339, UTC).
    pub(crate) weighed: Option<String>,
    /// When it was opened.
    pub(crate) opened: Option<String>,
    /// Until when the maker vouches for it.
    pub(crate) best_before: Option<String>,
    /// Whether it is the one to pour from.
    pub(crate) in_use: bool,
}

/// Something worth a second look.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct WarningLine {
    /// The ingredient.
    pub(crate) ingredient: String,
    /// The lot, where it is about one.
    pub(crate) lot: Option<String>,
    /// Its kind, one word.
    pub(crate) kind: &'static str,
    /// What it is and what to do.
    pub(crate) text: String,
}

/// Gathers what is on the shelf.
pub(crate) fn shelf_list(
    shelf: &Shelf,
    drawn: &BTreeMap<String, Vec<Draw>>,
    drawn_known: bool,
    warnings: &[Warning],
) -> ShelfList {
    let ingredients = shelf.iter().map(|(key, item)| {
        let drawn = drawn.get(key).map_or(&[][..], Vec::as_slice);
        ingredient(key, item, &stock::left(&item.packs, drawn))
    });
    let warnings = warnings.iter().map(|warning| WarningLine {
        ingredient: warning.ingredient.clone(),
        lot: warning.lot.clone(),
        kind: warning.kind.word(),
        text: warning.to_string(),
    });
    ShelfList {
        drawn_known,
        ingredients: ingredients.collect(),
        warnings: warnings.collect(),
    }
}

fn ingredient(key: &str, item: &ShelfItem, left: &stock::Left) -> IngredientLine {
    let order = oldest_first(&item.packs);
    let in_use = order
        .iter()
        .find(|&&place| Mass::ZERO < left.packs[place])
        .copied();
    let packs = order.into_iter().map(|place| {
        let pack: &Pack = &item.packs[place];
        PackLine {
            lot: pack.lot.clone(),
            holds_g: pack.holds.grams(),
            left_g: left.packs[place].grams(),
            weighed: pack.known.as_ref().map(|known| known.weighed.to_string()),
            opened: pack.opened.map(|date| date.to_string()),
            best_before: pack.best_before.map(|date| date.to_string()),
            in_use: in_use == Some(place),
        }
    });
    let left_g = match item.packs.as_slice() {
        [] => item.stock.map(Mass::grams),
        _ => Some(left.total().grams()),
    };
    let shares = item.made_of.as_ref().map(|parts| {
        let shares = parts.iter();
        shares
            .map(|(part, share)| (part.clone(), share.to_f64()))
            .collect()
    });
    IngredientLine {
        ingredient: key.to_owned(),
        name: item.name.clone().unwrap_or_else(|| key.to_owned()),
        left_g,
        beyond_g: left.beyond.grams(),
        packs: packs.collect(),
        family: item.family.clone(),
        made_of: shares,
    }
}

/// Writes the shelf as a page.
pub(crate) fn shelf_page(list: &ShelfList) -> String {
    let grams = |grams: f64| format!("{} g", exact_grams(grams));
    let mut rows = Vec::new();
    for line in &list.ingredients {
        rows.push(vec![
            shown(&line.ingredient).into_owned(),
            line.left_g.map_or_else(|| "–".to_owned(), grams),
            String::new(),
            shown(&line.name).into_owned(),
        ]);
        for pack in &line.packs {
            let lot = pack.lot.as_deref().unwrap_or("–");
            rows.push(vec![
                format!("{} {}", if pack.in_use { "▸" } else { "·" }, shown(lot)),
                grams(pack.left_g),
                format!("of {}", grams(pack.holds_g)),
                dates(pack),
            ]);
        }
    }
    let (left, right) = (Column::Left, Column::Right);
    let mut page = table(&[left, right, right, left], &rows);
    if !list.warnings.is_empty() {
        let lines = list.warnings.iter();
        let lines: Vec<String> = lines
            .map(|warning| format!("! {}", shown(&warning.text)))
            .collect();
        page.push_str(&format!("\n\n{}", lines.join("\n")));
    }
    page
}

fn dates(pack: &PackLine) -> String {
    let opened = pack.opened.as_ref().map(|date| format!("opened {date}"));
    let best = pack
        .best_before
        .as_ref()
        .map(|date| format!("best before {date}"));
    let dates: Vec<String> = opened.into_iter().chain(best).collect();
    dates.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use tarehand_mixing::document::Source;
    use tarehand_mixing::shelf::warnings;
    use tarehand_mixing::units::Measures;

    const SHELF: &str = r#"
[ingredient.clear-binder]
name = "Clear binder"
[[ingredient.clear-binder.pack]]
holds       = "1 kg"
lot         = "C2-031"
[[ingredient.clear-binder.pack]]
holds       = "1 kg"
left        = "640 g"
weighed     = "2026-11-02T10:15:00Z"
lot         = "B7-114"
opened      = "2026-10-02"
best_before = "2026-11-20"
[ingredient.soft-water]
name = "Soft water"
[ingredient.soot-paste]
stock = "150 g"
"#;

    #[test]
    fn the_shelf_is_listed_with_the_pack_in_use_first_and_what_is_worth_a_look() {
        let source = Source::new("shelf.toml", SHELF);
        let (shelf, problems) = Shelf::parse(&source, &Measures::default());
        assert_eq!(problems, []);
        let draw = Draw {
            at: "2026-11-20T08:00:00Z".parse().unwrap(),
            batch: "8KER7".to_owned(),
            mass: "79.06 g".parse().unwrap(),
        };
        let drawn = BTreeMap::from([("clear-binder".to_owned(), vec![draw])]);
        let warnings = warnings(&shelf, &drawn, "2026-11-25".parse().unwrap());
        let list = shelf_list(&shelf, &drawn, true, &warnings);
        insta::assert_snapshot!(shelf_page(&list), @r"
          clear-binder  1560.94 g               Clear binder
          ▸ B7-114       560.94 g  of 1000.0 g  opened 2026-10-02, best before 2026-11-20
          · C2-031       1000.0 g  of 1000.0 g
          soft-water            –               Soft water
          soot-paste      150.0 g               soot-paste

        ! `clear-binder`, lot B7-114 is past its best before, 2026-11-20: test it before it is used
        ");
    }
}
