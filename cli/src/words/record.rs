//! The record of a batch, as a person reads it.

use tarehand_protocol::api::{BatchRecord, BatchSummary, StepView};

use super::{Column, grams, percent, short_grams, shown, state, table, verdict};

/// Writes the record of a batch.
pub(crate) fn record(record: &BatchRecord) -> String {
    let mut parts = vec![head(&record.summary, record.tare_g)];
    if !record.contents.is_empty() {
        parts.push(format!("In the jar, in grams\n{}", contents(record)));
    }
    if !record.shares.is_empty() {
        parts.push(format!("Shares\n{}", shares(record)));
    }
    if !record.steps.is_empty() {
        parts.push(format!("Steps\n{}", steps(&record.steps)));
    }
    if !record.entries.is_empty() {
        parts.push(format!("What happened\n{}", entries(record)));
    }
    parts.join("\n\n")
}

fn head(summary: &BatchSummary, tare_g: f64) -> String {
    let rehearsal = if summary.rehearsal { "rehearsal, " } else { "" };
    let closed = match &summary.closed {
        Some(closed) => format!("closed {closed}"),
        None => "still open".to_owned(),
    };
    format!(
        "{}  ·  {}  ·  {rehearsal}{}\n  opened {}, {closed}\n  planned {} g, in the jar {} g, the empty jar {} g",
        shown(&summary.mark),
        shown(&summary.recipe),
        state(summary.state),
        summary.opened,
        grams(summary.planned_g, 2),
        grams(summary.in_jar_g, 2),
        grams(tare_g, 2),
    )
}

fn contents(record: &BatchRecord) -> String {
    let mut rows = vec![row(["", "planned", "poured", "difference", ""])];
    for line in &record.contents {
        let planned = line.planned_g.map(|planned| grams(planned, 2));
        let difference = line
            .planned_g
            .map(|planned| signed(line.poured_g - planned, 2));
        let unseen = if 0.0 < line.unseen_g {
            format!("{} poured unseen", grams(line.unseen_g, 2))
        } else {
            String::new()
        };
        rows.push(vec![
            shown(&line.name).into_owned(),
            planned.unwrap_or_else(|| "–".to_owned()),
            grams(line.poured_g, 2),
            difference.unwrap_or_default(),
            unseen,
        ]);
    }
    let right = Column::Right;
    table(&[Column::Left, right, right, right, Column::Left], &rows)
}

fn shares(record: &BatchRecord) -> String {
    let mut rows = vec![row(["", "planned", "poured", "difference"])];
    for share in &record.shares {
        rows.push(vec![
            shown(&share.ingredient).into_owned(),
            percent(share.planned),
            percent(share.result),
            format!("{:+.2} points", (share.result - share.planned) * 100.0),
        ]);
    }
    let right = Column::Right;
    table(&[Column::Left, right, right, right], &rows)
}

fn steps(steps: &[StepView]) -> String {
    let rows: Vec<Vec<String>> = steps
        .iter()
        .map(|step| {
            let added = if step.extra { " (rescue)" } else { "" };
            let target = match (step.target_g, step.within_g) {
                (Some(target), Some(within)) => {
                    format!("{} ± {}", short_grams(target), short_grams(within))
                }
                (Some(target), None) => short_grams(target),
                (None, _) => String::new(),
            };
            vec![
                step.step.to_string(),
                format!("{}{added}", shown(&step.title)),
                target,
                step.poured_g
                    .map_or_else(String::new, |poured| format!("{} g", short_grams(poured))),
                step.verdict.map_or("not done", verdict).to_owned(),
            ]
        })
        .collect();
    let right = Column::Right;
    table(&[right, Column::Left, right, right, Column::Left], &rows)
}

fn entries(record: &BatchRecord) -> String {
    let rows: Vec<Vec<String>> = record
        .entries
        .iter()
        .map(|entry| {
            let clock = entry
                .at
                .split_once('T')
                .map_or(entry.at.as_str(), |(_, clock)| clock);
            vec![
                clock.get(..8).unwrap_or(clock).to_owned(),
                shown(&entry.text).into_owned(),
            ]
        })
        .collect();
    table(&[Column::Left, Column::Left], &rows)
}

fn signed(value: f64, decimals: u8) -> String {
    let text = grams(value, decimals);
    if text.starts_with('-') || text.trim_matches(['0', '.']).is_empty() {
        text
    } else {
        format!("+{text}")
    }
}

fn row<const N: usize>(cells: [&str; N]) -> Vec<String> {
    cells.map(str::to_owned).into()
}
