//! The record of a batch, as a person reads it.

use tarehand_protocol::api::{BatchRecord, OutcomeLine, StepView, WeighedOn};

use super::contents::{amendments, contents_now};
use super::{
    Column, Width, chosen, day_and_time, exact_grams, grams, opened_again, percent, rough_grams,
    short_grams, shown, signed, state, step_number, table, time_of_day, verdict,
};

/// Writes the record of a batch.
pub(crate) fn record(record: &BatchRecord, width: Width) -> String {
    let mut parts = vec![head(record)];
    if let Some(scale) = weighed_on(&record.weighed_on) {
        parts[0].push_str(&format!("\n  scale {scale}"));
    }
    if let Some(room) = &record.room {
        parts[0].push_str(&format!("\n  room {}", shown(room)));
    }
    if let Some(hand) = &record.hand {
        parts[0].push_str(&format!("\n  poured by {}", shown(hand)));
    }
    if let Some(file) = &record.recipe_file {
        let since = if file.changed {
            "has changed since"
        } else {
            "is still the same"
        };
        parts[0].push_str(&format!("\n  its recipe, {}, {since}", shown(&file.file)));
    }
    if let Some(again) = &record.summary.opened_again {
        parts[0].push_str(&format!("\n  {}", opened_again(again)));
    }
    if !record.choices.is_empty() {
        parts[0].push_str(&format!("\n{}", chosen(&record.choices).trim_end()));
    }
    if !record.contents.is_empty() {
        parts.push(format!("As mixed, in grams\n{}", contents(record, width)));
    }
    if record.now.is_some() {
        parts.push(contents_now(record, width));
    }
    if !record.amendments.is_empty() {
        parts.push(format!("Since it was made\n{}", amendments(record, width)));
    }
    if !record.shares.is_empty() {
        parts.push(format!("Shares\n{}", shares(record, width)));
    }
    if !record.rescues.is_empty() {
        parts.push(format!("Put right\n{}", rescues(record)));
    }
    if !record.steps.is_empty() {
        parts.push(format!("Steps\n{}", steps(&record.steps, width)));
    }
    if !record.outcomes.is_empty() {
        parts.push(format!("What became of it\n{}", outcomes(record, width)));
    }
    if !record.poured_into.is_empty() {
        parts.push(format!(
            "Poured into other jars\n{}",
            poured_into(record, width)
        ));
    }
    if !record.entries.is_empty() {
        parts.push(format!("What happened\n{}", entries(record, width)));
    }
    parts.join("\n\n")
}

fn head(record: &BatchRecord) -> String {
    let summary = &record.summary;
    let rehearsal = if summary.rehearsal { "rehearsal, " } else { "" };
    let closed = match &summary.closed {
        Some(closed) => format!("closed {}", day_and_time(closed)),
        None => "still open".to_owned(),
    };
    // An amendment has no jar of its own.
    let in_jar = match record.amends {
        Some(_) => String::new(),
        None => format!("in the jar {} g, ", grams(summary.in_jar_g, 2)),
    };
    format!(
        "{}  ·  {}  ·  {rehearsal}{}\n  opened {}, {closed}\n  planned {} g, {in_jar}the empty jar {} g",
        shown(&summary.mark),
        shown(&summary.recipe),
        state(summary.state),
        day_and_time(&summary.opened),
        grams(summary.planned_g, 2),
        grams(record.tare_g, 2),
    )
}

/// Says what is known of the scale; nothing where nothing is.
fn weighed_on(scale: &WeighedOn) -> Option<String> {
    let division = scale.division_g.map(|d| format!("of {} g", exact_grams(d)));
    let capacity = scale
        .capacity_g
        .map(|most| format!("up to {} g", exact_grams(most)));
    let profile = scale
        .profile
        .as_ref()
        .map(|name| format!("read as {}", shown(name)));
    let known: Vec<String> = division
        .into_iter()
        .chain(capacity)
        .chain(profile)
        .collect();
    (!known.is_empty()).then(|| known.join(", "))
}

/// Says into which other jars this one was poured.
fn poured_into(record: &BatchRecord, width: Width) -> String {
    let rows: Vec<Vec<String>> = record
        .poured_into
        .iter()
        .map(|line| {
            vec![
                format!("{} g", grams(line.poured_g, 2)),
                match line.recipe.as_str() {
                    "" => "not in this log".to_owned(),
                    recipe => shown(recipe).into_owned(),
                },
                shown(&line.batch).into_owned(),
            ]
        })
        .collect();
    table(&[Column::Right, Column::Name, Column::Left], &rows, width)
}

/// Says what became of it, a line for each time it was looked at.
pub(crate) fn outcomes(record: &BatchRecord, width: Width) -> String {
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
    table(&[Column::Left, Column::Prose], &rows, width)
}

fn contents(record: &BatchRecord, width: Width) -> String {
    let mut rows = vec![row(["", "planned", "poured", "", "difference", ""])];
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
            give_or_take(line.uncertainty_g.map(rough_grams)),
            difference.unwrap_or_default(),
            unseen,
        ]);
    }
    let right = Column::Right;
    table(
        &[
            Column::Name,
            right,
            right,
            Column::Left,
            right,
            Column::Prose,
        ],
        &rows,
        width,
    )
}

/// Says how well a number is known (k = 2).
fn give_or_take(known: Option<String>) -> String {
    // An uncertainty has no sign, and that of nothing is nothing.
    known.map_or_else(String::new, |known| {
        format!("± {}", known.trim_start_matches('-'))
    })
}

/// Says which ways out were taken, and what was offered beside each.
fn rescues(record: &BatchRecord) -> String {
    let mut lines = Vec::new();
    for rescue in &record.rescues {
        let by = if rescue.by_limit {
            " (within the limits set)"
        } else {
            ""
        };
        lines.push(format!(
            "  {}  {}{by}",
            time_of_day(&rescue.at),
            shown(&rescue.text)
        ));
        for other in &rescue.others {
            let why = other.why_not.as_ref();
            let why = why.map_or_else(String::new, |why| format!(": not possible, {}", shown(why)));
            lines.push(format!("            or {}{why}", shown(&other.text)));
        }
    }
    lines.join("\n")
}

fn shares(record: &BatchRecord, width: Width) -> String {
    let mut rows = vec![row(["", "planned", "poured", "", "difference"])];
    for share in &record.shares {
        rows.push(vec![
            shown(&share.ingredient).into_owned(),
            percent(share.planned),
            percent(share.result),
            give_or_take(
                share
                    .uncertainty
                    .map(|known| format!("{:.2}", known * 100.0)),
            ),
            format!("{:+.2} points", (share.result - share.planned) * 100.0),
        ]);
    }
    let right = Column::Right;
    let columns = [Column::Name, right, right, Column::Left, right];
    table(&columns, &rows, width)
}

fn steps(steps: &[StepView], width: Width) -> String {
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
    let columns = [right, Column::Prose, right, right, Column::Left];
    table(&columns, &rows, width)
}

fn entries(record: &BatchRecord, width: Width) -> String {
    let rows: Vec<Vec<String>> = record
        .entries
        .iter()
        .map(|entry| vec![time_of_day(&entry.at), shown(&entry.text).into_owned()])
        .collect();
    table(&[Column::Left, Column::Prose], &rows, width)
}

fn row<const N: usize>(cells: [&str; N]) -> Vec<String> {
    cells.map(str::to_owned).into()
}

#[cfg(test)]
pub(super) mod tests;
