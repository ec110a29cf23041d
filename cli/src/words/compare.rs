//! Two batches side by side, as a person reads them.

use tarehand_protocol::api::{BatchRecord, ComparedBatches, ComparedIngredient, Pair, StepView};

use super::{
    Column, day_and_time, grams, outcomes, percent, short_grams, shown, state, table, verdict,
};

/// Writes two batches side by side.
pub(crate) fn compared(both: &ComparedBatches) -> String {
    let recipe = if both.same_recipe {
        "made from the same recipe"
    } else {
        "made from different recipes, or one that was changed"
    };
    let mut parts = vec![format!("{}\n  {recipe}", heads(both))];
    if !both.ingredients.is_empty() {
        parts.push(format!("Poured, in grams\n{}", ingredients(both)));
    }
    if !both.one.steps.is_empty() || !both.other.steps.is_empty() {
        parts.push(format!("Steps\n{}", steps(both)));
    }
    let trails = &both.trails_s;
    if !trails.one.is_empty() || !trails.other.is_empty() {
        parts.push(format!(
            "Trails, in seconds\n  {}  {}\n  {}  {}",
            mark(&both.one),
            trail_list(&trails.one),
            mark(&both.other),
            trail_list(&trails.other)
        ));
    }
    for record in [&both.one, &both.other] {
        if !record.outcomes.is_empty() {
            parts.push(format!(
                "What became of {}\n{}",
                mark(record),
                outcomes(record)
            ));
        }
    }
    parts.join("\n\n")
}

fn mark(record: &BatchRecord) -> String {
    shown(&record.summary.mark).into_owned()
}

fn heads(both: &ComparedBatches) -> String {
    let row = |record: &BatchRecord| {
        let batch = &record.summary;
        vec![
            shown(&batch.mark).into_owned(),
            day_and_time(&batch.opened),
            shown(&batch.recipe).into_owned(),
            in_jar(record),
            format!("of {}", grams(batch.planned_g, 2)),
            state(batch.state).to_owned(),
        ]
    };
    let (left, right) = (Column::Left, Column::Right);
    let rows = [row(&both.one), row(&both.other)];
    table(&[left, left, left, right, left, left], &rows)
}

/// Says what the jar holds now; an amendment has none of its own.
fn in_jar(record: &BatchRecord) -> String {
    match record.amends {
        Some(_) => "–".to_owned(),
        None => format!("{} g", grams(record.summary.in_jar_g, 2)),
    }
}

fn ingredients(both: &ComparedBatches) -> String {
    let number = |value: Option<f64>| value.map_or_else(|| "–".to_owned(), |value| grams(value, 2));
    let share = |value: Option<f64>| value.map_or_else(|| "–".to_owned(), percent);
    let cells = |pair: &Pair<Option<f64>>, text: &dyn Fn(Option<f64>) -> String| {
        [text(pair.one), text(pair.other)]
    };
    let (one, other) = (mark(&both.one), mark(&both.other));
    let title = |what: &str, mark: &str| format!("{what} {mark}");
    let mut rows = vec![vec![
        String::new(),
        title("planned", &one),
        title("poured", &one),
        title("share", &one),
        title("planned", &other),
        title("poured", &other),
        title("share", &other),
    ]];
    for line in &both.ingredients {
        let ComparedIngredient {
            name,
            planned_g,
            poured_g,
            part,
            ..
        } = line;
        let [first, second] = cells(planned_g, &number);
        let [poured, repoured] = cells(poured_g, &number);
        let [own, new] = cells(part, &share);
        let name = shown(name).into_owned();
        rows.push(vec![name, first, poured, own, second, repoured, new]);
    }
    let right = Column::Right;
    table(
        &[Column::Left, right, right, right, right, right, right],
        &rows,
    )
}

fn steps(both: &ComparedBatches) -> String {
    let most = both.one.steps.len().max(both.other.steps.len());
    let cell = |step: Option<&StepView>| match step {
        None => ["–".to_owned(), String::new(), String::new()],
        Some(step) => [
            shown(&step.title).into_owned(),
            step.poured_g
                .map_or_else(String::new, |poured| format!("{} g", short_grams(poured))),
            step.verdict.map_or("not done", verdict).to_owned(),
        ],
    };
    let rows: Vec<Vec<String>> = (0..most)
        .map(|place| {
            let one = cell(both.one.steps.get(place));
            let other = cell(both.other.steps.get(place));
            [one, other].concat()
        })
        .collect();
    let (left, right) = (Column::Left, Column::Right);
    table(&[left, right, left, left, right, left], &rows)
}

fn trail_list(seconds: &[f64]) -> String {
    let each: Vec<String> = seconds.iter().map(f64::to_string).collect();
    if each.is_empty() {
        "none measured".to_owned()
    } else {
        each.join(", ")
    }
}
