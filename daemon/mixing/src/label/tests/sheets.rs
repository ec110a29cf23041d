//! Files of sheets.

use crate::diagnostic::Diagnostic;
use crate::document::Source;
use crate::label::Sheet;

const GOOD: &str = "\
[page]
width  = \"210 mm\"
height = \"297 mm\"

[label]
width  = \"63.5 mm\"
height = \"1.5 in\"
corner = \"2 mm\"

[grid]
columns = 3
rows    = 7
left    = \"7.2 mm\"
top     = \"15.1 mm\"
across  = \"2.5 mm\"
";

fn problems(text: &str) -> Vec<String> {
    let (sheet, problems) = Sheet::parse(&Source::new("sheet.toml", text));
    assert_eq!(sheet.is_none(), problems.iter().any(Diagnostic::is_error));
    problems
        .into_iter()
        .map(|problem| {
            let help = problem.help.map(|help| format!(" ({help})"));
            format!(
                "{}:{}: {}{}",
                problem.line,
                problem.column,
                problem.message,
                help.unwrap_or_default()
            )
        })
        .collect()
}

#[test]
fn a_sheet_is_read_in_millimetres_or_inches() {
    let (sheet, problems) = Sheet::parse(&Source::new("sheet.toml", GOOD));
    assert_eq!(problems, []);
    let sheet = sheet.unwrap();
    assert_eq!(sheet.labels(), 21);
    assert!((sheet.label().height - 38.1).abs() < 1e-9);
    let place = sheet.place(4);
    assert!((place.x - (7.2 + 63.5 + 2.5)).abs() < 1e-9 && (place.y - (15.1 + 38.1)).abs() < 1e-9);
    assert!(
        (sheet.border() - 2.0).abs() < 1e-9,
        "the border when nobody says"
    );
}

#[test]
fn a_round_corner_keeps_the_border_wide_enough() {
    let round = GOOD.replace("corner = \"2 mm\"", "corner = \"10 mm\"");
    let sheet = Sheet::parse(&Source::new("sheet.toml", round)).0.unwrap();
    // The corner of what is printed lies on the arc: (r - b)² + (r - b)² = r².
    let from_middle = (sheet.corner() - sheet.border()) * std::f64::consts::SQRT_2;
    assert!((from_middle - sheet.corner()).abs() < 1e-9);
}

#[test]
fn labels_that_do_not_fit_the_page_are_told_with_their_place() {
    let wide = GOOD.replace("columns = 3", "columns = 4");
    insta::assert_debug_snapshot!(problems(&wide), @r#"
    [
        "11:11: 4 columns come to 268.7 mm with what lies before and between them, and the page is 210 mm wide (take fewer columns, or measure the label, `left` and the gap again)",
    ]
    "#);
    let high = GOOD.replace("rows    = 7", "rows    = 8");
    insta::assert_debug_snapshot!(problems(&high), @r#"
    [
        "12:11: 8 rows come to 319.9 mm with what lies before and between them, and the page is 297 mm high (take fewer rows, or measure the label, `top` and the gap again)",
    ]
    "#);
}

#[test]
fn what_is_wrong_is_told_with_what_would_be_right() {
    let wrong = GOOD
        .replace("corner", "corners")
        .replace("rows    = 7", "rows    = \"seven\"")
        .replace("\"7.2 mm\"", "7.2")
        .replace("\"15.1 mm\"", "\"15.1 pt\"");
    insta::assert_debug_snapshot!(problems(&wrong), @r#"
    [
        "8:1: a label knows no `corners` (did you mean `corner`?)",
        "12:11: `rows` is a whole number from 1 to 100 (write rows = 3)",
        "13:11: `left` is a bare number (write it in quotes, as in left = \"5 mm\")",
        "14:11: `pt` is not a unit of length; known are mm, cm, m, in and ft (write top = \"10 mm\")",
    ]
    "#);
    insta::assert_debug_snapshot!(problems("[page]\nwidth = \"0 mm\"\n[lable]\n"), @r#"
    [
        "1:1: a sheet of labels has no [label] (a sheet has [page], [label] and [grid])",
        "1:1: a sheet of labels has no [grid] (a sheet has [page], [label] and [grid])",
        "1:2: `height` is missing (write height = \"297 mm\")",
        "2:9: `width` is nothing (write width = \"210 mm\")",
        "3:2: a sheet of labels knows no `lable` (did you mean `label`?)",
    ]
    "#);
    let tiny = GOOD.replace("63.5 mm", "20 mm").replace("1.5 in", "12 mm");
    insta::assert_debug_snapshot!(problems(&tiny), @r#"
    [
        "6:10: inside its border of 2.0 mm the label is 16.0 mm wide, too little to be read (at least 18 mm are needed there)",
        "7:10: inside its border of 2.0 mm the label is 8.0 mm high, too little to be read (at least 9 mm are needed there)",
    ]
    "#);
    let rounder = GOOD.replace("corner = \"2 mm\"", "corner = \"20 mm\"");
    insta::assert_debug_snapshot!(problems(&rounder), @r#"
    [
        "8:10: the corners are rounder than the label is wide or high",
    ]
    "#);
    let endless = GOOD.replace("210 mm", "210 m");
    insta::assert_debug_snapshot!(problems(&endless), @r#"
    [
        "2:10: `width` is longer than a sheet of A0 (write width = \"210 mm\")",
    ]
    "#);
}
