//! What a label says, and where.

use super::{lagoon, one, part, sheet};
use crate::label::{Keeps, Label, Says, Sheet, labels};
use crate::provenance::Run;

/// Writes a layout as text: place and size in millimetres.
fn told(label: &Label) -> String {
    let mut lines: Vec<String> = label
        .lines
        .iter()
        .map(|line| {
            format!(
                "{:5.2} {:5.2}  {:5.2} x {:4.2}  {}",
                line.x, line.y, line.width, line.height, line.text
            )
        })
        .collect();
    lines.extend(label.code.iter().map(|code| {
        format!(
            "{:5.2} {:5.2}  {:5.2} of {} modules\n{}",
            code.x, code.y, code.side, code.modules, code.text
        )
    }));
    lines.extend(
        label
            .remarks
            .iter()
            .map(|remark| format!("remark: {remark}")),
    );
    lines.join("\n")
}

#[test]
fn a_usual_label_says_everything() {
    let label = one(&lagoon(), &Sheet::usual());
    insta::assert_snapshot!(told(&label), @r"
    46.82 25.66  16.69 x 7.34  8KER7
     4.00  4.00  24.00 x 2.75  Lagoon round, pearl blue
     4.00  6.75  34.19 x 2.75  2026-11-30 · 168.3 g · finish: satin ·
     4.00  9.50   7.17 x 2.75  trail 3 s
     4.00 12.25  32.76 x 2.75  Slow medium 92.88 g, Satin blend
     4.00 15.01  24.65 x 2.75  41.2 g, Pearl blue 29.22 g
     4.00 17.76  17.90 x 2.75  besides: Water 5 g
     4.00 20.51  37.95 x 2.75  Satin blend holds Gloss medium 40.8 g,
     4.00 23.26  19.94 x 2.75  Levelling drops 0.4 g
     4.00 26.01  22.56 x 2.75  best before 2027-02-28
     4.00 28.76  29.02 x 2.75  Caution: ventilate; not for skin
    44.34  4.00  21.66 of 65 modules
    8KER7
    Lagoon round, pearl blue
    2026-11-30 · 168.3 g · finish: satin · trail 3 s
    Slow medium 92.88 g, Satin blend 41.2 g, Pearl blue 29.22 g
    besides: Water 5 g
    Satin blend holds Gloss medium, Levelling drops
    best before 2027-02-28
    Caution: ventilate; not for skin
    remark: the code has no room for all of what a premix holds, the best before
    remark: it has no room for all of: best before 2027-02-28 (90 days, as the studio sets it)
    remark: at 6 points it has no room for all of the best before
    ");
}

#[test]
fn a_narrow_label_has_the_code_below() {
    let sheet = sheet(
        "[page]\nwidth=\"40 mm\"\nheight=\"60 mm\"\n[label]\nwidth=\"40 mm\"\nheight=\"60 mm\"\n[grid]\n",
    );
    insta::assert_snapshot!(told(&one(&lagoon(), &sheet)), @r"
     2.00  2.00  16.69 x 7.34  8KER7
     2.00  9.34  24.00 x 2.75  Lagoon round, pearl blue
     2.00 12.09  34.19 x 2.75  2026-11-30 · 168.3 g · finish: satin ·
     2.00 14.84   7.17 x 2.75  trail 3 s
     2.00 17.59  32.76 x 2.75  Slow medium 92.88 g, Satin blend
     2.00 20.34  24.65 x 2.75  41.2 g, Pearl blue 29.22 g
     2.00 23.10  17.90 x 2.75  besides: Water 5 g
     2.00 25.85  26.40 x 2.75  Satin blend holds … 2 more
     2.00 28.60  22.56 x 2.75  best before 2027-02-28
     2.00 31.35  29.02 x 2.75  Caution: ventilate; not for skin
     8.24 34.48  23.52 of 69 modules
    8KER7
    Lagoon round, pearl blue
    2026-11-30 · 168.3 g · finish: satin · trail 3 s
    Slow medium 92.88 g, Satin blend 41.2 g, Pearl blue 29.22 g
    besides: Water 5 g
    Satin blend holds Gloss medium 40.8 g, Levelling drops 0.4 g
    best before 2027-02-28 (90 days, as the studio sets it)
    Caution: ventilate; not for skin
    remark: it has no room for all of: best before 2027-02-28 (90 days, as the studio sets it)
    remark: at 6 points it has no room for all of the best before, what a premix holds
    ");
}

#[test]
fn a_label_too_small_for_all_says_what_is_missing() {
    let sheet = sheet(
        "[page]\nwidth=\"40 mm\"\nheight=\"20 mm\"\n[label]\nwidth=\"40 mm\"\nheight=\"20 mm\"\n[grid]\n",
    );
    insta::assert_snapshot!(told(&one(&lagoon(), &sheet)), @r"
    28.25 15.25   6.26 x 2.75  8KER7
     2.00  2.00  15.12 x 2.75  Lagoon round…
     2.00  4.75  12.97 x 2.75  2026-11-30…
     2.00  7.50   9.30 x 2.75  … 3 more
     2.00 10.25  15.89 x 2.75  until 2027-02-28
     2.00 13.01  17.90 x 2.75  Caution: … 2 more
    24.75  2.00  13.25 of 37 modules
    8KER7
    Lagoon round, pearl …
    remark: the code has no room for all of what a premix holds, the best before, what is in it, what lies outside the ratio, the cautions, date, weight and trail, the name
    remark: it has no room for all of: best before 2027-02-28 (90 days, as the studio sets it)
    remark: at 6 points it has no room for all of the name, date, weight and trail, the cautions, the best before, what is in it, what lies outside the ratio, what a premix holds
    ");
}

#[test]
fn shares_are_said_where_they_are_wanted_and_grams_where_there_is_no_share() {
    let said = labels(&[lagoon()], Says::Shares, &Sheet::usual(), 1).unwrap();
    let code = said.pages[0][0].label.code.clone().unwrap();
    assert!(code.text.contains("Slow medium 57 %"), "{}", code.text);
    assert!(code.text.contains("besides: Water 5 g"), "{}", code.text);
    assert!(!code.text.contains("92.88"), "{}", code.text);
}

#[test]
fn a_rehearsal_never_looks_like_a_jar_of_something() {
    let mut content = lagoon();
    content.run = Run::Rehearsal;
    let label = one(&content, &Sheet::usual());
    let text: Vec<&str> = label.lines.iter().map(|line| line.text.as_str()).collect();
    assert!(
        text.join(" ").contains("rehearsal: nothing poured"),
        "{text:?}"
    );
}

#[test]
fn a_letter_that_the_font_lacks_is_a_box_and_a_remark_and_stays_in_the_code() {
    let mut content = lagoon();
    content.name = "青い lagoon שלום".to_owned();
    content.keeps = Keeps::Unsaid;
    let label = one(&content, &Sheet::usual());
    assert_eq!(label.lines[1].text, "□□ lagoon □□□□");
    assert_eq!(
        label.remarks[0].to_string(),
        "the name has letters that the label's font cannot draw, they stand as □: 青 (U+9752) い (U+3044) ש (U+05E9) \
         ל (U+05DC) ו (U+05D5) ם (U+05DD); the code on the label says them"
    );
    assert!(label.code.unwrap().text.contains("青い lagoon שלום"));
}

#[test]
fn letters_that_neither_the_label_nor_its_code_says_are_to_be_written_on_by_hand() {
    let mut content = lagoon();
    content.name = "حبر".repeat(60);
    let label = one(&content, &Sheet::usual());
    assert!(
        label.remarks.iter().any(|remark| {
            remark.to_string().contains("ح (U+062D)")
                && remark
                    .to_string()
                    .ends_with("does not say all of them: write them on by hand")
        }),
        "{:?}",
        label.remarks
    );
}

#[test]
fn text_from_the_right_is_never_drawn_in_the_order_of_the_left() {
    let mut content = lagoon();
    content.parts[0].name = "אבג def".to_owned();
    let label = one(&content, &Sheet::usual());
    let text: Vec<&str> = label.lines.iter().map(|line| line.text.as_str()).collect();
    let text = text.join(" ");
    assert!(text.contains("□□□ def"), "{text}");
    assert!(!text.contains(['א', 'ב', 'ג']), "{text}");
}

#[test]
fn what_is_shortened_is_shortened_from_its_end_and_the_cautions_last() {
    let mut content = lagoon();
    content.parts = (1..=40)
        .map(|n| part(&format!("Ingredient number {n}"), 1000 * n, Some(2)))
        .collect();
    let label = one(&content, &Sheet::usual());
    let text: Vec<&str> = label.lines.iter().map(|line| line.text.as_str()).collect();
    let text = text.join(" ");
    assert!(text.contains("Caution: ventilate; not for skin"), "{text}");
    assert!(text.contains("Ingredient number 1 1 g"), "{text}");
    assert!(
        text.contains("Ingredient number 3 3 g, ") && text.contains(" more"),
        "{text}"
    );
    assert!(
        label
            .remarks
            .iter()
            .any(|remark| remark.to_string().contains("what is in it")),
        "{:?}",
        label.remarks
    );
}

#[test]
fn labels_go_on_from_the_first_free_one_to_the_next_page() {
    let contents = vec![lagoon(); 4];
    let said = labels(&contents, Says::Grams, &Sheet::usual(), 23).unwrap();
    assert_eq!(said.pages.iter().map(Vec::len).collect::<Vec<_>>(), [2, 2]);
    let first = said.pages[0][0].at;
    assert!(
        (first.x - 70.0).abs() < 1e-9 && (first.y - 259.5).abs() < 1e-9,
        "{first:?}"
    );
    let error = labels(&contents, Says::Grams, &Sheet::usual(), 25).unwrap_err();
    assert_eq!(
        error.to_string(),
        "the sheet has no label 25: it has 1 to 24, counted along its rows"
    );
    labels(&contents, Says::Grams, &Sheet::usual(), 0).unwrap_err();
}
