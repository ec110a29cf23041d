use super::*;

fn rows(rows: &[&[&str]]) -> Vec<Vec<String>> {
    let row = |row: &&[&str]| row.iter().map(|&cell| cell.to_owned()).collect();
    rows.iter().map(row).collect()
}

fn batches() -> Vec<Vec<String>> {
    rows(&[
        &[
            "K7F2A",
            "2026-11-02 14:03",
            "Harbour grey for the long wall, satin",
            "1044.0 g",
            "of 1040.0",
            "complete",
            "",
        ],
        &[
            "M3T8C",
            "2026-11-02 12:11",
            "Lagoon round",
            "66.2 g",
            "of 60.0",
            "running",
            "rehearsal",
        ],
    ])
}

const LIST: [Column; 7] = [
    Column::Left,
    Column::Left,
    Column::Name,
    Column::Right,
    Column::Left,
    Column::Left,
    Column::Left,
];

#[test]
fn wide_letters_keep_the_columns_straight() {
    let rows = rows(&[&["白", "1.0"], &["grey", "10.0"]]);
    let columns = [Column::Left, Column::Right];
    for width in [Width::Full, Width::Columns(80)] {
        assert_eq!(table(&columns, &rows, width), "  白     1.0\n  grey  10.0");
    }
}

#[test]
fn what_nobody_reads_on_a_terminal_is_never_shortened() {
    insta::assert_snapshot!(table(&LIST, &batches(), Width::Full), @r"
    K7F2A  2026-11-02 14:03  Harbour grey for the long wall, satin  1044.0 g  of 1040.0  complete
    M3T8C  2026-11-02 12:11  Lagoon round                             66.2 g  of 60.0    running   rehearsal
    ");
}

#[test]
fn at_80_columns_a_name_ends_early_and_nothing_else_does() {
    insta::assert_snapshot!(table(&LIST, &batches(), Width::Columns(80)), @r"
    K7F2A  2026-11-02 14:03  Harbour gr…  1044.0 g  of 1040.0  complete
    M3T8C  2026-11-02 12:11  Lagoon rou…    66.2 g  of 60.0    running   rehearsal
    ");
}

#[test]
fn at_40_columns_what_has_no_room_stands_below_in_columns_of_its_own() {
    insta::assert_snapshot!(table(&LIST, &batches(), Width::Columns(40)), @r"
    K7F2A  2026-11-02 14:03  Harbour grey…
        1044.0 g  of 1040.0  complete
    M3T8C  2026-11-02 12:11  Lagoon round
          66.2 g  of 60.0    running
        rehearsal
    ");
}

#[test]
fn words_go_on_below_and_a_number_stays_beside_its_unit() {
    let rows = rows(&[
        &[
            "14:03",
            "poured 12.40 g of chalk white, wanted were 12.00 ± 0.24 g, which is 3 % too much",
        ],
        &["14:04", "stirred"],
    ]);
    let columns = [Column::Left, Column::Prose];
    insta::assert_snapshot!(table(&columns, &rows, Width::Columns(40)), @r"
    14:03  poured 12.40 g of chalk white,
           wanted were 12.00 ± 0.24 g,
           which is 3 % too much
    14:04  stirred
    ");
}

#[test]
fn no_table_is_wider_than_its_terminal_and_none_loses_a_number_or_a_mark() {
    for room in 30..120 {
        let text = table(&LIST, &batches(), Width::Columns(room));
        for line in text.lines() {
            assert!(line.width() <= room, "{room}: {text}");
        }
        for whole in [
            "K7F2A",
            "2026-11-02 14:03",
            "1044.0 g",
            "of 1040.0",
            "complete",
            "rehearsal",
        ] {
            assert!(text.contains(whole), "{room}: {text}");
        }
    }
}

#[test]
fn a_word_wider_than_its_column_is_broken_and_all_of_it_is_there() {
    let path = "/dev/serial/by-id/usb-serial-adapter-of-the-window-bench-if00-port0";
    let rows = rows(&[&[path, "free"]]);
    let text = table(&[Column::Prose, Column::Left], &rows, Width::Columns(40));
    assert!(text.lines().all(|line| line.width() <= 40), "{text}");
    let cells = text.lines().map(|line| line.replace("free", ""));
    let joined: String = cells.map(|line| line.trim().to_owned()).collect();
    assert_eq!(joined, path);
}
