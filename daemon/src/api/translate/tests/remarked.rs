//! What is remarked of a recipe, what is the matter with a plan, and what is worth a look on the shelf.

use serde_json::{Value, json};
use tarehand_mixing::diagnostic::Finding;
use tarehand_mixing::label::{About, Remark};
use tarehand_mixing::plan::{Matter, Warning};
use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::shelf::{self, DryResult, WarningKind};
use tarehand_mixing::trail::WaterWarning;
use tarehand_mixing::units::Volume;
use tarehand_protocol::Mass;
use tarehand_protocol::api::LabelSaid;

use super::g;
use crate::api::translate::{label_said, plan, remark_line, shelf as stock};

/// Every finding, with and without what it may leave out.
pub(super) fn remarked() -> Vec<Value> {
    let text = str::to_owned;
    let of = |key: &str, family: &str| (text(key), text(family));
    let small = |assumed| Finding::JarTooSmall {
        contents: Volume::from_millilitres(131),
        jar: Volume::from_millilitres(125),
        assumed,
    };
    let stands_in = |note| Finding::StandsIn {
        missing: text("Open gel"),
        used: text("Slow syrup"),
        note,
    };
    let all = [
        Finding::OnlyShares,
        Finding::PercentNotWhole {
            sum: Ratio::new(1_025, 1_000),
        },
        Finding::AmountsNotMakes {
            sum: g(120_500),
            makes: g(120_000),
        },
        Finding::LetsAllPass { amount: g(500) },
        small(Vec::new()),
        small(vec![text("night-paste"), text("water")]),
        Finding::Families {
            other: of("linseed", "oil"),
            first: of("night-paste", "acrylic"),
        },
        Finding::StockShort {
            ingredient: text("night-paste"),
            needed: g(20_050),
            stock: g(9_995),
        },
        stands_in(Some(text("it dries slower"))),
        stands_in(None),
        Finding::NotOnShelf {
            name: text("nigth-paste"),
            meant: Some(text("night-paste")),
        },
        Finding::NotOnShelf {
            name: text("gold"),
            meant: None,
        },
        Finding::NoShelf {
            name: text("dusk-bleu"),
            meant: Some(text("dusk-blue")),
        },
        Finding::NoShelf {
            name: text("gold"),
            meant: None,
        },
        Finding::Rounded {
            sum: Mass::from_micrograms(100_000_001),
            planned: g(100_000),
        },
        Finding::Assumed {
            ingredients: vec![text("night-paste"), text("water")],
        },
        Finding::Changed {
            name: text("Slow syrup"),
            before: (Ratio::zero(), Mass::ZERO),
            after: (Ratio::new(2, 7), Mass::from_micrograms(28_571_429)),
        },
    ];
    all.iter()
        .map(|finding| json!(remark_line(finding)))
        .collect()
}

/// Every matter of a plan.
pub(super) fn planned() -> Vec<Value> {
    let jar = || "Harbour grey".to_owned();
    let short = |packs| Matter::Short {
        ingredient: "Night paste".to_owned(),
        by: g(70_800),
        packs,
    };
    let all = [
        Matter::JarTooSmall {
            jar: jar(),
            most: Volume::from_millilitres(131),
            holds: Volume::from_millilitres(125),
        },
        Matter::Watery {
            jar: jar(),
            water: WaterWarning {
                fraction: Ratio::new(9, 25),
                limit: Ratio::new(3, 10),
            },
        },
        Matter::Overloaded {
            jar: jar(),
            pvc: Ratio::new(6_235, 10_000),
            critical: Ratio::new(1, 2),
        },
        Matter::LatePowder {
            ingredient: "Matting powder".to_owned(),
            jar: jar(),
        },
        Matter::OutOfOrder {
            jar: jar(),
            trail_s: 4.5,
            behind: "Veil".to_owned(),
            thinner_s: 2.0,
        },
        short(None),
        short(Some((1, g(500_000)))),
        short(Some((3, g(25_000)))),
    ];
    let lines = all.map(|matter| {
        let said = plan::said(&matter);
        let warning = Warning {
            about: "harbour-grey".to_owned(),
            matter,
        };
        json!({"text": warning.matter.to_string(), "basis": warning.basis(), "said": said})
    });
    lines.into_iter().collect()
}

/// Everything that is worth a second look on a shelf.
pub(super) fn looked_at() -> Vec<Value> {
    let date = || "2026-11-30".parse().unwrap();
    let mut all = vec![
        WarningKind::Beyond(g(1_250)),
        WarningKind::Empty,
        WarningKind::Low {
            left: g(9_500),
            below: g(50_000),
        },
        WarningKind::PastBestBefore(date()),
        WarningKind::LongOpen(date()),
    ];
    let tested = DryResult::ALL.map(|result| WarningKind::DryTest {
        date: date(),
        result,
    });
    all.extend(tested);
    let lines = all.into_iter().map(|kind| {
        let said = stock::said(&kind);
        let warning = shelf::Warning {
            ingredient: "Night paste".to_owned(),
            lot: None,
            kind,
        };
        json!({"text": warning.to_string(), "ingredient": "Night paste", "said": said})
    });
    lines.collect()
}

/// Everything that may not be on a label as it should be.
pub(super) fn labelled() -> Vec<Value> {
    const ALL: [About; 7] = [
        About::Name,
        About::Made,
        About::Cautions,
        About::Keeps,
        About::Contents,
        About::Beside,
        About::Premix,
    ];
    let boxed = |about, more, in_code| Remark::Boxed {
        about,
        letters: vec!['語', '漆'],
        more,
        in_code,
    };
    let all = [
        Remark::CodeLacks(ALL.to_vec()),
        Remark::NoCode,
        boxed(About::Name, 0, true),
        boxed(About::Contents, 3, false),
        Remark::KeepsCut("2026-12-30, hardens".to_owned()),
        Remark::Cut(vec![About::Premix]),
    ];
    let lines = all.iter().map(
        |remark| json!({"text": format!("8KER7: {remark}"), "said": label_said("8KER7", remark)}),
    );
    lines
        .chain([json!({"text": "and 960 remarks more", "said": LabelSaid::More { remarks: 960 }})])
        .collect()
}
