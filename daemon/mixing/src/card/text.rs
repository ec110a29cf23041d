//! A card as plain text.

use unicode_width::UnicodeWidthStr;

use super::Country;
use super::kitchen::{beside, measures};
use super::parts::Parts;
use super::set_card::SetCard;
use super::set_words;
use super::stand_ins;
use super::value::{Card, Caution, Line, Made};
use super::words;

/// Writes a card as plain text, each premix once below it.
#[must_use]
pub fn text(card: &Card, country: Option<Country>) -> String {
    let mut blocks = vec![title(&card.name, '=')];
    blocks.extend(body(card, country));
    blocks.extend(country.map(words::measures_basis));
    if !card.happened.is_empty() {
        blocks.push(list("What happened", card.happened.iter().cloned()));
    }
    blocks.push(take_care(&card.cautions));
    for premix in &card.premixes {
        blocks.push(title(&format!("Premix: {}", premix.name), '-'));
        blocks.extend(body(premix, country));
    }
    let mut text = blocks.join("\n\n");
    text.push('\n');
    text
}

/// Writes the card of a set as plain text, each premix and jar once below it.
#[must_use]
pub fn set_text(card: &SetCard, country: Option<Country>) -> String {
    let mut blocks = vec![
        title(&card.name, '='),
        set_words::head(card).join("\n"),
        jars(card),
    ];
    blocks.push(numbered(
        set_words::ORDER,
        set_words::order(card).into_iter(),
    ));
    if !card.premixes.is_empty() {
        let premixes = card.premixes.iter().map(set_words::premix);
        blocks.push(list(set_words::PREMIXES, premixes));
    }
    if !card.warnings.is_empty() {
        blocks.push(list(set_words::WARNINGS, card.warnings.iter().cloned()));
    }
    let work = card.work.iter().map(|line| line.text.clone());
    blocks.push(numbered(&set_words::work(card), work));
    blocks.extend(country.map(words::measures_basis));
    blocks.push(take_care(&card.cautions));
    for premix in &card.premixes {
        blocks.push(title(&format!("Premix: {}", premix.card.name), '-'));
        blocks.extend(body(&premix.card, country));
    }
    for (jar, place) in card.jars.iter().zip(1..) {
        blocks.push(title(&set_words::jar_title(place, jar), '-'));
        blocks.extend(body(&jar.card, country));
    }
    let mut text = blocks.join("\n\n");
    text.push('\n');
    text
}

/// Writes the jars of a set as a table, with what its numbers mean below it.
fn jars(card: &SetCard) -> String {
    let mut rows = vec![["", "grams", "ml", "%", ""].map(str::to_owned).to_vec()];
    for (jar, place) in card.jars.iter().zip(1..) {
        rows.push(vec![
            format!("{place}. {}", jar.card.name),
            words::number(jar.card.total),
            set_words::millilitres(jar),
            set_words::share(jar),
            String::new(),
        ]);
    }
    format!(
        "{}\n{}\n  {}",
        set_words::JARS,
        table(&rows),
        set_words::basis(card)
    )
}

fn take_care(cautions: &[Caution]) -> String {
    let cautions = cautions
        .iter()
        .map(|caution| format!("{} ({})", caution.text, caution.about.join(", ")));
    list("Take care", cautions.chain([words::SAFETY.to_owned()]))
}

fn numbered(heading: &str, items: impl Iterator<Item = String>) -> String {
    let items = items
        .zip(1..)
        .map(|(item, number)| format!("{number:>4}. {item}"));
    format!("{heading}\n{}", items.collect::<Vec<_>>().join("\n"))
}

fn title(name: &str, line: char) -> String {
    format!("{name}\n{}", line.to_string().repeat(name.width().max(1)))
}

fn list(heading: &str, items: impl Iterator<Item = String>) -> String {
    let items: Vec<String> = items.map(|item| format!("  - {item}")).collect();
    format!("{heading}\n{}", items.join("\n"))
}

/// Writes what every card has: its head, what goes in, what to do.
fn body(card: &Card, country: Option<Country>) -> Vec<String> {
    let mut blocks = vec![words::head(card).join("  ·  ")];
    if card.inside().next().is_some() {
        blocks.push(ratio(card, country));
    }
    let outside: Vec<String> = card.outside().map(|line| beside(line, country)).collect();
    if !outside.is_empty() {
        blocks.push(list("Outside the ratio", outside.into_iter()));
    }
    let stand_ins = stand_ins::sentences(card);
    if !stand_ins.is_empty() {
        blocks.push(list(words::STAND_INS, stand_ins.into_iter()));
    }
    if !card.tools.is_empty() {
        blocks.push(format!("Needed: {}", card.tools.join(", ")));
    }
    match (card.steps.is_empty(), &card.made) {
        (true, Made::Composition) => blocks.push(words::NO_STEPS.to_owned()),
        (true, Made::Recipe | Made::Batch { .. }) => {}
        (false, _) => blocks.push(steps(card)),
    }
    blocks
}

fn steps(card: &Card) -> String {
    let lines = card.steps.iter().zip(1..).map(|(step, number)| {
        let note = step.note.as_ref().map(|note| format!("\n      {note}"));
        format!("{number:>4}. {}{}", step.text, note.unwrap_or_default())
    });
    format!("In order\n{}", lines.collect::<Vec<_>>().join("\n"))
}

/// Writes what is inside the ratio as a table, with what its numbers mean below it.
fn ratio(card: &Card, country: Option<Country>) -> String {
    let shares: Vec<_> = card
        .inside()
        .filter_map(|line| line.portion.share().cloned())
        .collect();
    let in_parts = Parts::of(&shares);
    let planned = matches!(card.made, Made::Batch { .. });
    let mut rows = vec![head_row(planned)];
    for ((line, share), part) in card.inside().zip(&shares).zip(words::parts(&in_parts)) {
        let mut row = vec![line.name.clone(), mass_of(line)];
        if planned {
            row.push(planned_of(line));
        }
        row.extend([
            part,
            words::percent(share),
            measures(line, country).join(", "),
        ]);
        rows.push(row);
    }
    let mut total = vec!["total".to_owned(), words::number(card.total)];
    if planned {
        total.push(String::new());
    }
    total.extend([String::new(), "100".to_owned(), String::new()]);
    rows.push(total);
    let mut text = table(&rows);
    text.push_str(&format!("\n  {}", words::basis(&in_parts)));
    text
}

fn head_row(planned: bool) -> Vec<String> {
    let words: &[&str] = if planned {
        &["", "grams", "planned", "parts", "%", ""]
    } else {
        &["", "grams", "parts", "%", ""]
    };
    words.iter().map(|&word| word.to_owned()).collect()
}

pub(super) fn mass_of(line: &Line) -> String {
    line.portion.mass().map_or_else(String::new, words::number)
}

pub(super) fn planned_of(line: &Line) -> String {
    let planned = line.planned.as_ref();
    let mass = planned.and_then(super::value::Portion::mass);
    mass.map_or_else(|| "–".to_owned(), words::number)
}

/// Sets rows in columns: the first and the last hold words, those between them numbers.
fn table(rows: &[Vec<String>]) -> String {
    let columns = rows.first().map_or(0, Vec::len);
    let widths: Vec<usize> = (0..columns)
        .map(|column| {
            let cells = rows.iter().filter_map(|row| row.get(column));
            cells.map(|cell| cell.width()).max().unwrap_or(0)
        })
        .collect();
    let lines = rows.iter().map(|row| {
        let cells = row.iter().zip(&widths).enumerate();
        let cells = cells.map(|(column, (cell, width))| {
            let room = " ".repeat(width.saturating_sub(cell.width()));
            if column == 0 || column + 1 == columns {
                format!("  {cell}{room}")
            } else {
                format!("  {room}{cell}")
            }
        });
        cells.collect::<String>().trim_end().to_owned()
    });
    lines.collect::<Vec<_>>().join("\n")
}
