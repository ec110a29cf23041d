//! The record of a batch, as a person reads it.

use tarehand_protocol::api::{BatchRecord, BatchSummary, OutcomeLine, StepView};

use super::{
    Column, chosen, day_and_time, grams, percent, rough_grams, short_grams, shown, state,
    step_number, table, time_of_day, verdict,
};

/// Writes the record of a batch.
pub(crate) fn record(record: &BatchRecord) -> String {
    let mut parts = vec![head(&record.summary, record.tare_g)];
    if let Some(room) = &record.room {
        parts[0].push_str(&format!("\n  room {}", shown(room)));
    }
    if !record.choices.is_empty() {
        parts[0].push_str(&format!("\n{}", chosen(&record.choices).trim_end()));
    }
    if !record.contents.is_empty() {
        parts.push(format!("In the jar, in grams\n{}", contents(record)));
    }
    if !record.shares.is_empty() {
        parts.push(format!("Shares\n{}", shares(record)));
    }
    if !record.steps.is_empty() {
        parts.push(format!("Steps\n{}", steps(&record.steps)));
    }
    if !record.outcomes.is_empty() {
        parts.push(format!("What became of it\n{}", outcomes(record)));
    }
    if !record.poured_into.is_empty() {
        parts.push(format!("Poured into other jars\n{}", poured_into(record)));
    }
    if !record.entries.is_empty() {
        parts.push(format!("What happened\n{}", entries(record)));
    }
    parts.join("\n\n")
}

fn head(summary: &BatchSummary, tare_g: f64) -> String {
    let rehearsal = if summary.rehearsal { "rehearsal, " } else { "" };
    let closed = match &summary.closed {
        Some(closed) => format!("closed {}", day_and_time(closed)),
        None => "still open".to_owned(),
    };
    format!(
        "{}  ·  {}  ·  {rehearsal}{}\n  opened {}, {closed}\n  planned {} g, in the jar {} g, the empty jar {} g",
        shown(&summary.mark),
        shown(&summary.recipe),
        state(summary.state),
        day_and_time(&summary.opened),
        grams(summary.planned_g, 2),
        grams(summary.in_jar_g, 2),
        grams(tare_g, 2),
    )
}

/// Says into which other jars this one was poured.
fn poured_into(record: &BatchRecord) -> String {
    let rows: Vec<Vec<String>> = record
        .poured_into
        .iter()
        .map(|line| {
            vec![
                format!("{} g", grams(line.poured_g, 2)),
                shown(&line.recipe).into_owned(),
                shown(&line.batch).into_owned(),
            ]
        })
        .collect();
    table(&[Column::Right, Column::Left, Column::Left], &rows)
}

/// Says what became of it, a line for each time it was looked at.
pub(crate) fn outcomes(record: &BatchRecord) -> String {
    let line = |line: &OutcomeLine| {
        let better = line.better_than.as_ref();
        let better = better.map(|mark| format!("better than {mark}"));
        let pictures = line.pictures.iter().map(|place| format!("picture {place}"));
        let said: Vec<String> = (line.found.iter().cloned())
            .chain(better)
            .chain(line.note.clone())
            .chain(pictures)
            .collect();
        vec![day_and_time(&line.at), shown(&said.join("; ")).into_owned()]
    };
    let rows: Vec<Vec<String>> = record.outcomes.iter().map(line).collect();
    table(&[Column::Left, Column::Left], &rows)
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
                    format!("{} ± {}", short_grams(target), rough_grams(within))
                }
                (Some(target), None) => short_grams(target),
                (None, _) => String::new(),
            };
            vec![
                step_number(step.step).to_string(),
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
        .map(|entry| vec![time_of_day(&entry.at), shown(&entry.text).into_owned()])
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

#[cfg(test)]
mod tests {
    use super::*;
    use tarehand_protocol::api::{
        BatchEntry, BatchStateWord, ChoiceLine, ContentLine, PouredInto, ShareView, StepStatus,
        VerdictWord,
    };

    fn step(number: u32, title: &str, target_g: f64, poured_g: f64) -> StepView {
        StepView {
            step: number,
            title: title.to_owned(),
            action: None,
            extra: false,
            target_g: Some(target_g),
            within_g: Some(0.4),
            widened: false,
            poured_g: Some(poured_g),
            status: StepStatus::Done,
            verdict: Some(VerdictWord::Within),
            note: None,
            cautions: Vec::new(),
        }
    }

    fn example() -> BatchRecord {
        let content = |ingredient: &str, name: &str, planned_g, poured_g, unseen_g| ContentLine {
            ingredient: ingredient.to_owned(),
            name: name.to_owned(),
            planned_g,
            poured_g,
            unseen_g,
        };
        let share = |ingredient: &str, planned, result| ShareView {
            ingredient: ingredient.to_owned(),
            planned,
            result,
        };
        let entry = |seq, at: &str, text: &str| BatchEntry {
            seq,
            at: at.to_owned(),
            kind: "judged".to_owned(),
            text: text.to_owned(),
        };
        let mut over = step(2, "Linen white", 40.0, 44.0);
        over.verdict = Some(VerdictWord::Overshoot);
        let mut extra = step(3, "Lagoon blue paste", 2.0, 2.05);
        extra.extra = true;
        BatchRecord {
            summary: BatchSummary {
                mark: "K7Q2".to_owned(),
                recipe: "Lagoon pale".to_owned(),
                state: BatchStateWord::Complete,
                rehearsal: true,
                opened: "2026-03-01T09:30:00Z".to_owned(),
                closed: Some("2026-03-01T09:41:12Z".to_owned()),
                planned_g: 60.0,
                in_jar_g: 66.25,
            },
            tare_g: 112.4,
            choices: vec![ChoiceLine {
                name: "finish".to_owned(),
                chosen: "glossy".to_owned(),
                others: vec!["matt".to_owned()],
            }],
            room: Some("21 °C, 45 %".to_owned()),
            outcomes: vec![OutcomeLine {
                at: "2026-03-04T08:00:00Z".to_owned(),
                found: vec!["dried clear".to_owned()],
                note: None,
                pictures: vec!["panel-3.jpg".to_owned()],
                better_than: Some("M3T9".to_owned()),
            }],
            contents: vec![
                content("lagoon-paste", "Lagoon blue paste", Some(20.0), 22.05, 0.0),
                content("linen-white", "Linen white", Some(40.0), 44.0, 1.5),
                content("soft-water", "Soft water", None, 0.2, 0.0),
            ],
            poured_into: vec![PouredInto {
                batch: "M3T9".to_owned(),
                recipe: "Harbour at dusk".to_owned(),
                poured_g: 25.5,
            }],
            shares: vec![
                share("Lagoon blue paste", 1.0 / 3.0, 0.3338),
                share("Linen white", 2.0 / 3.0, 0.6662),
            ],
            steps: vec![step(1, "Lagoon blue paste", 20.0, 20.0), over, extra],
            entries: vec![
                entry(
                    1,
                    "2026-03-01T09:31:00Z",
                    "Lagoon blue paste: 20.0 g, within",
                ),
                entry(
                    2,
                    "2026-03-01T09:33:20Z",
                    "rescue: 2.0 g Lagoon blue paste more, 66.0 g in all",
                ),
            ],
        }
    }

    #[test]
    fn a_record_says_what_was_planned_what_was_poured_and_what_was_rescued() {
        insta::assert_snapshot!(record(&example()), @r"
        K7Q2  ·  Lagoon pale  ·  rehearsal, complete
          opened 2026-03-01 09:30, closed 2026-03-01 09:41
          planned 60.00 g, in the jar 66.25 g, the empty jar 112.40 g
          room 21 °C, 45 %
          finish: glossy (or matt)

        In the jar, in grams
                             planned  poured  difference
          Lagoon blue paste    20.00   22.05       +2.05
          Linen white          40.00   44.00       +4.00  1.50 poured unseen
          Soft water               –    0.20

        Shares
                             planned  poured    difference
          Lagoon blue paste   33.3 %  33.4 %  +0.05 points
          Linen white         66.7 %  66.6 %  -0.05 points

        Steps
          2  Lagoon blue paste           20.0 ± 0.4  20.0 g  within
          3  Linen white                 40.0 ± 0.4  44.0 g  too much
          4  Lagoon blue paste (rescue)   2.0 ± 0.4  2.05 g  within

        What became of it
          2026-03-04 08:00  dried clear; better than M3T9; picture panel-3.jpg

        Poured into other jars
          25.50 g  Harbour at dusk  M3T9

        What happened
          09:31:00  Lagoon blue paste: 20.0 g, within
          09:33:20  rescue: 2.0 g Lagoon blue paste more, 66.0 g in all
        ");
    }
}
