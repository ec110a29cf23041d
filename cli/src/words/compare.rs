//! Two batches side by side, as a person reads them.

use tarehand_protocol::api::{BatchRecord, ComparedBatches, ComparedIngredient, Pair, StepView};

use super::{
    Column, Width, day_and_time, grams, outcomes, percent, short_grams, shown, state, table,
    verdict,
};

/// Writes two batches side by side.
pub(crate) fn compared(both: &ComparedBatches, width: Width) -> String {
    let recipe = if both.same_recipe {
        "made from the same recipe"
    } else {
        "made from different recipes, or one that was changed"
    };
    let mut parts = vec![format!("{}\n  {recipe}", heads(both, width))];
    if !both.ingredients.is_empty() {
        parts.push(format!("Poured, in grams\n{}", ingredients(both, width)));
    }
    if !both.one.steps.is_empty() || !both.other.steps.is_empty() {
        parts.push(format!("Steps\n{}", steps(both, width)));
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
                outcomes(record, width)
            ));
        }
    }
    parts.join("\n\n")
}

fn mark(record: &BatchRecord) -> String {
    shown(&record.summary.mark).into_owned()
}

fn heads(both: &ComparedBatches, width: Width) -> String {
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
    table(&[left, left, Column::Name, right, left, left], &rows, width)
}

/// Says what the jar holds now; an amendment has none of its own.
fn in_jar(record: &BatchRecord) -> String {
    match record.amends {
        Some(_) => "–".to_owned(),
        None => format!("{} g", grams(record.summary.in_jar_g, 2)),
    }
}

fn ingredients(both: &ComparedBatches, width: Width) -> String {
    let number = |value: Option<f64>| value.map_or_else(|| "–".to_owned(), |value| grams(value, 2));
    let share = |value: Option<f64>| value.map_or_else(|| "–".to_owned(), percent);
    let cells = |pair: &Pair<Option<f64>>, text: &dyn Fn(Option<f64>) -> String| {
        [text(pair.one), text(pair.other)]
    };
    let (one, other) = (mark(&both.one), mark(&both.other));
    let none = "";
    let mut rows = vec![
        [none, &one, none, none, &other, none, none]
            .map(str::to_owned)
            .to_vec(),
        [
            none, "planned", "poured", "share", "planned", "poured", "share",
        ]
        .map(str::to_owned)
        .to_vec(),
    ];
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
        &[Column::Name, right, right, right, right, right, right],
        &rows,
        width,
    )
}

fn steps(both: &ComparedBatches, width: Width) -> String {
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
    let (left, right, title) = (Column::Left, Column::Right, Column::Prose);
    table(&[title, right, left, title, right, left], &rows, width)
}

fn trail_list(seconds: &[f64]) -> String {
    let each: Vec<String> = seconds.iter().map(f64::to_string).collect();
    if each.is_empty() {
        "none measured".to_owned()
    } else {
        each.join(", ")
    }
}

#[cfg(test)]
mod tests {
    use super::super::record::tests::example;
    use super::*;

    #[test]
    fn two_batches_side_by_side_have_room_on_usual_and_narrow_terminals() {
        let mut other = example();
        other.summary.mark = "M3T8C".to_owned();
        let line = |name: &str, grams: f64| ComparedIngredient {
            ingredient: name.to_lowercase(),
            name: name.to_owned(),
            planned_g: Pair {
                one: Some(grams),
                other: Some(grams / 2.0),
            },
            poured_g: Pair {
                one: Some(grams + 0.5),
                other: None,
            },
            part: Pair {
                one: Some(0.25),
                other: None,
            },
        };
        let both = ComparedBatches {
            one: example(),
            other,
            same_recipe: true,
            ingredients: vec![line("Chalk white, matt", 1_024.0), line("Linen", 8.0)],
            trails_s: Pair::default(),
        };
        insta::assert_snapshot!(compared(&both, Width::Columns(80)), @r"
          K7F2A  2026-03-01 09:30  Lagoon pale  66.25 g  of 60.00  complete
          M3T8C  2026-03-01 09:30  Lagoon pale  66.25 g  of 60.00  complete
          made from the same recipe

        Poured, in grams
                               K7F2A                     M3T8C
                             planned   poured   share  planned  poured  share
          Chalk white, matt  1024.00  1024.50  25.0 %   512.00       –      –
          Linen                 8.00     8.50  25.0 %     4.00       –      –

        Steps
          Lagoon blue paste  20.0 g  within    Lagoon blue paste  20.0 g  within
          Linen white        44.0 g  too much  Linen white        44.0 g  too much
          Lagoon blue paste  2.05 g  within    Lagoon blue paste  2.05 g  within

        What became of K7F2A
          2026-03-04 08:00  dried clear; better than M3T8C; picture panel-3.jpg

        What became of M3T8C
          2026-03-04 08:00  dried clear; better than M3T8C; picture panel-3.jpg
        ");
        insta::assert_snapshot!(compared(&both, Width::Columns(40)), @r"
          K7F2A  2026-03-01 09:30  Lagoon pale
              66.25 g  of 60.00  complete
          M3T8C  2026-03-01 09:30  Lagoon pale
              66.25 g  of 60.00  complete
          made from the same recipe

        Poured, in grams
                          K7F2A
                M3T8C
                        planned   poured   share
              planned  poured  share
          Chalk white…  1024.00  1024.50  25.0 %
               512.00       –      –
          Linen            8.00     8.50  25.0 %
                 4.00       –      –

        Steps
          Lagoon blue paste  20.0 g  within
              Lagoon blue paste  20.0 g
              within
          Linen white        44.0 g  too much
              Linen white        44.0 g
              too much
          Lagoon blue paste  2.05 g  within
              Lagoon blue paste  2.05 g
              within

        What became of K7F2A
          2026-03-04 08:00  dried clear; better
                            than M3T8C; picture
                            panel-3.jpg

        What became of M3T8C
          2026-03-04 08:00  dried clear; better
                            than M3T8C; picture
                            panel-3.jpg
        ");
    }
}
