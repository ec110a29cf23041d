//! The shelf as a page.

use tarehand_protocol::api::{PackLine, ShelfStock};

use super::{Column, Width, exact_grams, shown, table};

/// Writes the shelf as a page.
pub(crate) fn shelf_page(list: &ShelfStock, width: Width) -> String {
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
    let mut page = table(&[left, right, right, Column::Prose], &rows, width);
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
    use std::collections::BTreeMap;

    use super::*;
    use tarehand_mixing::document::Source;
    use tarehand_mixing::shelf::{Draw, Shelf, warnings};
    use tarehand_mixing::units::Measures;
    use tarehandd::api::translate::shelf_stock;

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
        let list = shelf_stock(&shelf, &drawn, true, &warnings);
        insta::assert_snapshot!(shelf_page(&list, Width::Full), @r"
          clear-binder  1560.94 g               Clear binder
          ▸ B7-114       560.94 g  of 1000.0 g  opened 2026-10-02, best before 2026-11-20
          · C2-031       1000.0 g  of 1000.0 g
          soft-water            –               Soft water
          soot-paste      150.0 g               soot-paste

        ! `clear-binder`, lot B7-114 is past its best before, 2026-11-20: test it before it is used
        ");
    }
}
