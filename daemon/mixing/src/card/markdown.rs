//! A card as Markdown (CommonMark with tables).

use super::Country;
use super::kitchen::{beside, measures};
use super::parts::Parts;
use super::set_card::SetCard;
use super::set_words;
use super::stand_ins;
use super::text::{mass_of, planned_of};
use super::value::{Card, Caution, Made};
use super::words;

/// Writes a card as Markdown, each premix once below it.
#[must_use]
pub fn markdown(card: &Card, country: Option<Country>) -> String {
    let mut blocks = vec![format!("# {}", plain(&card.name))];
    blocks.extend(body(card, country));
    blocks.extend(country.map(|country| plain(&words::measures_basis(country))));
    if !card.happened.is_empty() {
        blocks.push("**What happened**".to_owned());
        blocks.push(list(card.happened.iter().cloned()));
    }
    blocks.extend(take_care(&card.cautions));
    for premix in &card.premixes {
        blocks.push(format!("## Premix: {}", plain(&premix.name)));
        blocks.extend(body(premix, country));
    }
    let mut text = blocks.join("\n\n");
    text.push('\n');
    text
}

/// Writes the card of a set as Markdown, each premix and jar once below it.
#[must_use]
pub fn set_markdown(card: &SetCard, country: Option<Country>) -> String {
    let mut blocks = vec![
        format!("# {}", plain(&card.name)),
        list(set_words::head(card).into_iter()),
        jars(card),
        heading(set_words::ORDER),
        numbered(set_words::order(card).into_iter()),
    ];
    if !card.premixes.is_empty() {
        blocks.push(heading(set_words::PREMIXES));
        blocks.push(list(card.premixes.iter().map(set_words::premix)));
    }
    if !card.warnings.is_empty() {
        blocks.push(heading(set_words::WARNINGS));
        blocks.push(list(card.warnings.iter().cloned()));
    }
    blocks.push(heading(&set_words::work(card)));
    blocks.push(numbered(card.work.iter().map(|line| line.text.clone())));
    blocks.extend(country.map(|country| plain(&words::measures_basis(country))));
    blocks.extend(take_care(&card.cautions));
    for premix in &card.premixes {
        blocks.push(format!("## Premix: {}", plain(&premix.card.name)));
        blocks.extend(body(&premix.card, country));
    }
    for (jar, place) in card.jars.iter().zip(1..) {
        blocks.push(format!("## {}", plain(&set_words::jar_title(place, jar))));
        blocks.extend(body(&jar.card, country));
    }
    let mut text = blocks.join("\n\n");
    text.push('\n');
    text
}

fn jars(card: &SetCard) -> String {
    let mut lines = vec![
        "| jar | grams | ml | % |".to_owned(),
        "| --- | ---: | ---: | ---: |".to_owned(),
    ];
    for (jar, place) in card.jars.iter().zip(1..) {
        lines.push(format!(
            "| {place}. {} | {} | {} | {} |",
            plain(&jar.card.name),
            words::number(jar.card.total),
            set_words::millilitres(jar),
            set_words::share(jar)
        ));
    }
    lines.push(String::new());
    lines.push(plain(&set_words::basis(card)));
    lines.join("\n")
}

fn heading(words: &str) -> String {
    format!("**{}**", plain(words))
}

fn take_care(cautions: &[Caution]) -> [String; 2] {
    let cautions = cautions
        .iter()
        .map(|caution| format!("{} ({})", caution.text, caution.about.join(", ")));
    [
        heading("Take care"),
        list(cautions.chain([words::SAFETY.to_owned()])),
    ]
}

fn numbered(items: impl Iterator<Item = String>) -> String {
    let items = items
        .zip(1..)
        .map(|(item, number)| format!("{number}. {}", plain(&item)));
    items.collect::<Vec<_>>().join("\n")
}

fn body(card: &Card, country: Option<Country>) -> Vec<String> {
    let mut blocks = vec![plain(&words::head(card).join(" · "))];
    if card.inside().next().is_some() {
        blocks.push(ratio(card, country));
    }
    let outside: Vec<String> = card.outside().map(|line| beside(line, country)).collect();
    if !outside.is_empty() {
        blocks.push("**Outside the ratio**".to_owned());
        blocks.push(list(outside.into_iter()));
    }
    let stand_ins = stand_ins::sentences(card);
    if !stand_ins.is_empty() {
        blocks.push(heading(words::STAND_INS));
        blocks.push(list(stand_ins.into_iter()));
    }
    if !card.tools.is_empty() {
        blocks.push(format!("Needed: {}", plain(&card.tools.join(", "))));
    }
    if card.steps.is_empty() {
        if card.made == Made::Composition {
            blocks.push(words::NO_STEPS.to_owned());
        }
    } else {
        blocks.push("**In order**".to_owned());
        blocks.push(steps(card));
    }
    blocks
}

fn list(items: impl Iterator<Item = String>) -> String {
    let items: Vec<String> = items.map(|item| format!("- {}", plain(&item))).collect();
    items.join("\n")
}

fn steps(card: &Card) -> String {
    let lines = card.steps.iter().zip(1..).map(|(step, number)| {
        let note = step
            .note
            .as_ref()
            .map(|note| format!(" – *{}*", plain(note)));
        format!(
            "{number}. {}{}",
            plain(&step.text),
            note.unwrap_or_default()
        )
    });
    lines.collect::<Vec<_>>().join("\n")
}

fn ratio(card: &Card, country: Option<Country>) -> String {
    let shares: Vec<_> = card
        .inside()
        .filter_map(|line| line.portion.share().cloned())
        .collect();
    let in_parts = Parts::of(&shares);
    let parts = words::parts(&in_parts);
    let is_batch = matches!(card.made, Made::Batch { .. });
    let (planned_head, planned_rule) = if is_batch {
        (" planned |", " ---: |")
    } else {
        ("", "")
    };
    let mut lines = vec![
        format!("| ingredient | grams |{planned_head} parts | % | measures |"),
        format!("| --- | ---: |{planned_rule} ---: | ---: | --- |"),
    ];
    for ((line, share), part) in card.inside().zip(&shares).zip(&parts) {
        let planned = if is_batch {
            format!(" {} |", planned_of(line))
        } else {
            String::new()
        };
        lines.push(format!(
            "| {} | {} |{planned} {part} | {} | {} |",
            plain(&line.name),
            mass_of(line),
            words::percent(share),
            plain(&measures(line, country).join(", ")),
        ));
    }
    let planned = if is_batch { "  |" } else { "" };
    lines.push(format!(
        "| **total** | **{}** |{planned}  | 100 |  |",
        words::number(card.total)
    ));
    lines.push(String::new());
    lines.push(plain(&words::basis(&in_parts)));
    lines.join("\n")
}

/// Writes a text so that nothing in it is markup.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let text = text.trim();
    // At the beginning of a list item these would open a list of their own.
    let digits = text.chars().take_while(char::is_ascii_digit).count();
    for (place, c) in text.chars().enumerate() {
        let is_markup = match c {
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '~' | '#' | '&' | '$' => true,
            '-' | '+' | '=' => place == 0,
            '.' | ')' => 0 < place && place == digits,
            _ => false,
        };
        if is_markup {
            out.push('\\');
        }
        out.push(c);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_in_a_name_is_markup() {
        assert_eq!(
            plain("**Grey** | [x](http://a) <b> `c` #1 &amp; a_b"),
            r"\*\*Grey\*\* \| \[x\](http://a) \<b\> \`c\` \#1 \&amp; a\_b"
        );
        assert_eq!(plain("- a - b"), r"\- a - b");
        assert_eq!(plain("1. first"), r"1\. first");
        assert_eq!(
            plain("add 0.4 g Blue, satin (± 1 g)"),
            "add 0.4 g Blue, satin (± 1 g)"
        );
    }
}
