//! What is written of a layout.

use super::lagoon;
use crate::label::{Says, Sheet, labels, pdf, svg};

#[test]
fn a_page_of_svg_has_its_real_size_and_every_text() {
    let labels = labels(&[lagoon()], Says::Grams, &Sheet::usual(), 1).unwrap();
    let svg = svg(&labels, 0).unwrap();
    assert!(svg.contains("width=\"210mm\" height=\"297mm\" viewBox=\"0 0 210 297\""));
    for line in &labels.pages[0][0].label.lines {
        assert!(
            svg.contains(&format!("<title>{}</title>", line.text)),
            "{}",
            line.text
        );
    }
    assert!(
        !svg.contains("<text"),
        "no letter depends on a font of the reader"
    );
    assert_eq!(crate::label::svg(&labels, 1), None);
}

#[test]
fn what_a_name_says_never_becomes_markup() {
    let mut content = lagoon();
    content.name = "<script>\"&'".to_owned();
    let labels = labels(&[content], Says::Grams, &Sheet::usual(), 1).unwrap();
    let svg = svg(&labels, 0).unwrap();
    assert!(!svg.contains("<script"));
    assert!(svg.contains("&lt;script&gt;&quot;&amp;'"));
}

#[test]
fn the_same_labels_are_the_same_file_with_only_the_part_of_the_font_that_is_used() {
    let labels = labels(&vec![lagoon(); 30], Says::Grams, &Sheet::usual(), 1).unwrap();
    let file = pdf(&labels);
    assert_eq!(file, pdf(&labels));
    assert!(file.len() < 500_000, "{}", file.len());
}
