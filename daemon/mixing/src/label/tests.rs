//! Tests of labels: what they say, where it stands, and that nothing is ever cut or overlaps.

mod any;
mod drawn;
mod keeps;
mod now;
mod said;
mod sheets;

use tarehand_protocol::Mass;

use super::{Content, Days, Keeps, Label, Measured, Part, Placed, Says, Sheet, Within, labels};
use crate::provenance::Run;
use crate::ratio::Ratio;

pub(super) fn part(name: &str, milligrams: i64, percent: Option<i64>) -> Part {
    Part {
        key: name.to_lowercase().replace(' ', "-"),
        name: name.to_owned(),
        mass: Mass::from_milligrams(milligrams),
        share: percent.map(|percent| Ratio::new(percent, 100)),
    }
}

/// A jar as they usually are.
pub(super) fn lagoon() -> Content {
    Content {
        mark: "8KER7".to_owned(),
        name: "Lagoon round, pearl blue".to_owned(),
        day: "2026-11-30".parse().ok(),
        run: Run::Real,
        in_jar: Mass::from_milligrams(168_300),
        parts: vec![
            part("Slow medium", 92_880, Some(57)),
            part("Satin blend", 41_200, Some(25)),
            part("Pearl blue", 29_220, Some(18)),
        ],
        beside: vec![part("Water", 5_000, None)],
        premixes: vec![Within {
            name: "Satin blend".to_owned(),
            parts: vec![
                part("Gloss medium", 40_800, Some(99)),
                part("Levelling drops", 400, Some(1)),
            ],
        }],
        chosen: vec!["finish: satin".to_owned()],
        trail: Some(Measured::Found(3.0)),
        pot_life: None,
        keeps: Keeps::AsSet {
            until: "2027-02-28".parse().unwrap(),
            days: Days::new(90).unwrap(),
        },
        cautions: vec!["ventilate".to_owned(), "not for skin".to_owned()],
    }
}

/// Lays one label out.
pub(super) fn one(content: &Content, sheet: &Sheet) -> Label {
    let labels = labels(std::slice::from_ref(content), Says::Grams, sheet, 1).unwrap();
    let Placed { label, .. } = labels.pages[0][0].clone();
    label
}

pub(super) fn sheet(text: &str) -> Sheet {
    let source = crate::document::Source::new("sheet.toml", text);
    let (sheet, problems) = Sheet::parse(&source);
    sheet.unwrap_or_else(|| panic!("{problems:?}"))
}
