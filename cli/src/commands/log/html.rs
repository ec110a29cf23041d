//! Batches as one page of HTML that needs nothing else: no network, no script, no other file.

use tarehand_mixing::markup::escaped;
use tarehand_protocol::api::{BatchRecord, OutcomeLine, StepView};

use crate::words::{day_and_time, grams, opened_again, percent, short_grams, state, verdict};

/// How the page begins.
pub(super) const HEAD: &str = "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\
<meta name=\"viewport\" content=\"width=device-width\"><meta name=\"color-scheme\" content=\"light dark\"><title>Batches</title><style>\
body{font:16px/1.4 system-ui,'DejaVu Sans',sans-serif;max-width:60em;margin:1em auto;padding:0 1em}\
table{border-collapse:collapse;width:100%}td,th{text-align:left;padding:.2em .8em .2em 0;border-bottom:1px solid #8888}\
.n{text-align:right;font-variant-numeric:tabular-nums}svg{width:100%;height:auto}article{padding-bottom:2em}\
@media print{article{break-after:page}}</style></head><body><main>";

/// How it ends.
pub(super) const TAIL: &str = "</main></body></html>";

/// Writes one batch.
pub(super) fn article(record: &BatchRecord, picture: &str) -> String {
    let batch = &record.summary;
    let rehearsal = if batch.rehearsal { "rehearsal, " } else { "" };
    let closed = batch.closed.as_deref().map(day_and_time);
    let mut parts = vec![
        format!(
            "<article id=\"{mark}\"><h1>{} · {mark}</h1>",
            escaped(&batch.recipe),
            mark = escaped(&batch.mark)
        ),
        format!(
            "<p>{rehearsal}{}, opened {}{}, the empty jar {} g{}</p>",
            state(batch.state),
            day_and_time(&batch.opened),
            closed
                .map(|closed| format!(", closed {closed}"))
                .unwrap_or_default(),
            grams(record.tare_g, 2),
            record
                .room
                .as_ref()
                .map(|room| format!(", room {}", escaped(room)))
                .unwrap_or_default(),
        ),
    ];
    parts.extend(batch.opened_again.as_ref().map(|again| {
        let said = escaped(&opened_again(again));
        format!("<p><a href=\"#{}\">{said}</a></p>", escaped(&again.jar))
    }));
    let contents = record.contents.iter().map(|line| {
        vec![
            escaped(&line.name),
            line.planned_g
                .map_or_else(|| "–".to_owned(), |planned| grams(planned, 2)),
            grams(line.poured_g, 2),
        ]
    });
    parts.push(table(
        "What went in",
        ["ingredient", "planned, g", "poured, g"],
        contents,
    ));
    parts.extend(changed_since(record));
    let shares = record.shares.iter().map(|share| {
        vec![
            escaped(&share.ingredient),
            percent(share.planned),
            percent(share.result),
        ]
    });
    parts.push(table("Ratio", ["ingredient", "planned", "poured"], shares));
    parts.push(table(
        "Steps",
        ["step", "poured, g", "came out"],
        record.steps.iter().map(step),
    ));
    if !record.outcomes.is_empty() {
        let lines = record.outcomes.iter().map(outcome);
        parts.push(table("What became of it", ["when", "found", "more"], lines));
    }
    parts.push(picture.to_owned());
    let entries = record.entries.iter().map(|entry| {
        format!(
            "<li>{}: {}</li>",
            day_and_time(&entry.at),
            escaped(&entry.text)
        )
    });
    parts.push(format!(
        "<h2>What happened</h2><ol>{}</ol></article>",
        entries.collect::<String>()
    ));
    parts.join("\n")
}

/// What came into the finished jar or out of it, and what is in it now; nothing where it is as it was made.
fn changed_since(record: &BatchRecord) -> Option<String> {
    let now = record.now.as_ref()?;
    if record.amendments.is_empty() {
        return None;
    }
    let since = record.amendments.iter().map(|line| {
        vec![
            day_and_time(&line.at),
            escaped(&line.what),
            grams(line.mass_g, 2),
            escaped(&line.batch),
        ]
    });
    let inside = now.contents.iter().map(|line| {
        let lots = line.lots.iter().map(|lot| escaped(&lot.lot));
        vec![
            escaped(&line.name),
            grams(line.mass_g, 2),
            percent(line.share),
            lots.collect::<Vec<_>>().join(", "),
        ]
    });
    let since = table(
        "Since it was made",
        ["when", "what", "grams", "batch"],
        since,
    );
    let title = format!("In the jar now, {} g", grams(now.mass_g, 2));
    let inside = table(&title, ["ingredient", "grams", "part", "lots"], inside);
    Some(format!("{since}\n{inside}"))
}

fn step(step: &StepView) -> Vec<String> {
    vec![
        escaped(&step.title),
        step.poured_g.map_or_else(String::new, short_grams),
        step.verdict.map_or("not done", verdict).to_owned(),
    ]
}

fn outcome(line: &OutcomeLine) -> Vec<String> {
    let better = line
        .better_than
        .as_ref()
        .map(|mark| format!("better than {mark}"));
    let more: Vec<String> = better
        .into_iter()
        .chain(line.note.clone())
        .chain(line.pictures.clone())
        .collect();
    vec![
        day_and_time(&line.at),
        escaped(&line.found.join("; ")),
        escaped(&more.join("; ")),
    ]
}

/// Writes a table; all columns but the first and the last hold numbers.
fn table<const N: usize>(
    title: &str,
    columns: [&str; N],
    rows: impl Iterator<Item = Vec<String>>,
) -> String {
    let head: String = columns
        .iter()
        .map(|column| format!("<th scope=\"col\">{column}</th>"))
        .collect();
    let row = |cells: Vec<String>| {
        let cells = cells.iter().map(|cell| {
            let number = cell.starts_with(|sign: char| sign.is_ascii_digit() || sign == '-');
            let class = if number { " class=\"n\"" } else { "" };
            format!("<td{class}>{cell}</td>")
        });
        format!("<tr>{}</tr>", cells.collect::<String>())
    };
    let rows: String = rows.map(row).collect();
    format!("<h2>{title}</h2><table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>")
}
