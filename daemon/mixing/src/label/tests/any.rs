//! Whatever a jar is called and whatever is in it: no box leaves its label, none overlap, none is empty.

use proptest::collection::vec;
use proptest::prelude::*;
use tarehand_protocol::Mass;

use super::sheet;
use crate::label::{
    Content, Days, Keeps, Label, Measured, Part, SMALLEST_PT, Says, Sheet, Within, labels,
};
use crate::provenance::Run;
use crate::ratio::Ratio;
use crate::shelf::Date;

const EPS: f64 = 1e-6;

fn name(most: usize) -> impl Strategy<Value = String> {
    let letter = prop_oneof![
        8 => proptest::char::range('a', 'z'),
        2 => Just(' '),
        1 => proptest::char::range('À', 'ſ'),
        1 => proptest::char::range('А', 'я'),
        1 => proptest::char::range('\u{300}', '\u{36f}'),
        1 => proptest::char::range('Ạ', 'ỹ'),
        1 => any::<char>(),
    ];
    vec(letter, 1..=most).prop_map(|letters| letters.into_iter().collect())
}

prop_compose! {
    fn part()(name in name(80), micrograms in 1_i64..2_000_000_000, percent in proptest::option::of(0_i64..=100)) -> Part {
        Part {
            key: name.clone(),
            name,
            mass: Mass::from_micrograms(micrograms),
            share: percent.map(|percent| Ratio::new(percent, 100)),
        }
    }
}

prop_compose! {
    fn within()(name in name(60), parts in vec(part(), 0..6)) -> Within {
        Within { name, parts }
    }
}

fn until() -> impl Strategy<Value = Keeps> {
    let days = Days::new(90).unwrap();
    let until = Date::new(2027, 2, 28).unwrap();
    prop_oneof![
        Just(Keeps::Unsaid),
        Just(Keeps::AsSet { until, days }),
        name(80).prop_map(move |of| Keeps::AsPack { until, of }),
        (1_u64..100_000).prop_map(|seconds| Keeps::Hardens {
            within: std::time::Duration::from_secs(seconds)
        }),
    ]
}

prop_compose! {
    fn content()(
        mark in "[2-8ACDEFHJKMNPRTVXY]{5,12}",
        name in name(200),
        real in any::<bool>(),
        parts in vec(part(), 0..30),
        beside in vec(part(), 0..5),
        premixes in vec(within(), 0..4),
        chosen in vec(name(40), 0..3),
        trail in proptest::option::of(0.0..60.0),
        keeps in until(),
        cautions in vec(name(120), 0..12),
    ) -> Content {
        Content {
            mark,
            name,
            day: Date::new(2026, 11, 30),
            run: if real { Run::Real } else { Run::Rehearsal },
            in_jar: parts.iter().map(|part: &Part| part.mass).sum(),
            parts,
            beside,
            premixes,
            chosen,
            trail: trail.map(Measured::Found),
            pot_life: None,
            keeps,
            cautions,
        }
    }
}

prop_compose! {
    fn any_sheet()(width in 22.0..120.0_f64, height in 13.0..120.0_f64, corner in 0.0..6.0_f64) -> Sheet {
        sheet(&format!(
            "[page]\nwidth = \"{width:.2} mm\"\nheight = \"{height:.2} mm\"\n\
             [label]\nwidth = \"{width:.2} mm\"\nheight = \"{height:.2} mm\"\ncorner = \"{corner:.2} mm\"\n[grid]\n"
        ))
    }
}

/// Left, upper, right and lower edge.
type Edges = [f64; 4];

fn boxes(label: &Label) -> Vec<Edges> {
    let lines = label
        .lines
        .iter()
        .map(|line| [line.x, line.y, line.x + line.width, line.y + line.height]);
    let code = label
        .code
        .iter()
        .map(|code| [code.x, code.y, code.x + code.side, code.y + code.side]);
    lines.chain(code).collect()
}

fn overlap(one: &Edges, other: &Edges) -> bool {
    one[0] + EPS < other[2]
        && other[0] + EPS < one[2]
        && one[1] + EPS < other[3]
        && other[1] + EPS < one[3]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn no_box_leaves_its_label_none_overlap_and_none_is_empty(content in content(), sheet in any_sheet(), shares in any::<bool>()) {
        let says = if shares { Says::Shares } else { Says::Grams };
        let labels = labels(std::slice::from_ref(&content), says, &sheet, 1).unwrap();
        let label = &labels.pages[0][0].label;
        let (size, border) = (sheet.label(), sheet.border());
        let boxes = boxes(label);
        for (place, edges) in boxes.iter().enumerate() {
            prop_assert!(border <= edges[0] + EPS && edges[2] <= size.width - border + EPS, "{label:#?}");
            prop_assert!(border <= edges[1] + EPS && edges[3] <= size.height - border + EPS, "{label:#?}");
            for other in &boxes[..place] {
                prop_assert!(!overlap(edges, other), "{label:#?}");
            }
        }
        for line in &label.lines {
            prop_assert!(!line.text.trim().is_empty() && 0.0 < line.width, "{line:?}");
            prop_assert!(SMALLEST_PT * 25.4 / 72.0 <= line.size + EPS);
        }
        prop_assert!(label.lines.iter().any(|line| line.text == content.mark));
        if let Some(code) = &label.code {
            prop_assert!(0.33 <= code.side / f64::from(code.modules) + EPS);
            prop_assert!(code.text.starts_with(&content.mark));
        }
        // Both writers take whatever the layout gives.
        prop_assert!(crate::label::pdf(&labels).starts_with(b"%PDF-"));
        prop_assert!(crate::label::svg(&labels, 0).is_some());
    }

    #[test]
    fn what_is_not_said_whole_is_remarked(content in content()) {
        let label = super::one(&content, &Sheet::usual());
        let shortened = label.lines.iter().any(|line| line.text.contains('…'));
        let remarked = label.remarks.iter().any(|remark| remark.to_string().contains("no room"));
        // A name may have the sign itself.
        let own = content.name.contains('…') || content.cautions.iter().any(|caution| caution.contains('…'));
        prop_assert!(!shortened || remarked || own, "{label:#?}");
    }

    #[test]
    fn reading_the_file_of_a_sheet_never_panics(text in "(\\[(page|label|grid)\\]\n|(width|height|columns|rows|corner|left|border) = (\"-?[0-9]{0,12}(\\.[0-9]{0,3})? ?(mm|cm|in|m|)\"|-?[0-9]{0,25})\n){0,12}") {
        let _checked = Sheet::parse(&crate::document::Source::new("sheet.toml", text));
    }
}
