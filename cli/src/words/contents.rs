//! What is in a finished jar now, and what changed it since it was made.

use tarehand_protocol::api::{BatchRecord, CostLine, JarNow, LotLine, NowLine};

use super::{Column, Width, day_and_time, grams, percent, shown, signed, table};

/// Says what is in the jar of a batch now.
pub(crate) fn jar_now(record: &BatchRecord, width: Width) -> String {
    let head = format!(
        "{}  ·  {}",
        shown(&record.summary.mark),
        shown(&record.summary.recipe)
    );
    let mut parts = vec![head];
    parts.push(contents_now(record, width));
    if !record.amendments.is_empty() {
        parts.push(format!("Since it was made\n{}", amendments(record, width)));
    }
    parts.join("\n\n")
}

/// Says what is in the jar by raw ingredient, and what it cost.
pub(super) fn contents_now(record: &BatchRecord, width: Width) -> String {
    let Some(now) = &record.now else {
        return "the jar is another's".to_owned();
    };
    let title = format!("In the jar now, {} g", grams(now.mass_g, 2));
    if now.contents.is_empty() {
        return title;
    }
    let rows: Vec<Vec<String>> = now.contents.iter().map(row).collect();
    let right = Column::Right;
    let lines = table(&[Column::Name, right, right, Column::Prose], &rows, width);
    let mut text = format!("{title}\n{lines}");
    for line in cost(now) {
        text.push_str(&format!("\n  {line}"));
    }
    text
}

fn row(line: &NowLine) -> Vec<String> {
    let lot = |lot: &LotLine| {
        let through = if lot.drawn == line.ingredient {
            String::new()
        } else {
            format!(" in {}", shown(&lot.drawn))
        };
        format!(
            "{} g of lot {}{through}",
            grams(lot.mass_g, 2),
            shown(&lot.lot)
        )
    };
    let lots: Vec<String> = line.lots.iter().map(lot).collect();
    vec![
        shown(&line.name).into_owned(),
        grams(line.mass_g, 2),
        percent(line.share),
        lots.join(", "),
    ]
}

fn cost(now: &JarNow) -> Vec<String> {
    let line = |line: &CostLine| {
        let currency = line.currency.as_deref().unwrap_or("in the shelf's money");
        format!(
            "cost {:.2} {}, {:.4} a gram",
            line.money,
            shown(currency),
            line.per_g
        )
    };
    let mut lines: Vec<String> = now.cost.iter().map(line).collect();
    if !lines.is_empty() && 0.0 < now.unpriced_g {
        lines.push(format!(
            "without the price of {} g, which nobody knows",
            grams(now.unpriced_g, 2)
        ));
    }
    lines
}

/// Says what came into the jar or out of it since it was made.
pub(super) fn amendments(record: &BatchRecord, width: Width) -> String {
    let rows: Vec<Vec<String>> = record
        .amendments
        .iter()
        .map(|line| {
            let way = match (line.jar.is_some(), line.mass_g < 0.0) {
                (true, true) => "into ",
                (true, false) => "from ",
                (false, _) => "",
            };
            vec![
                day_and_time(&line.at),
                format!("{} g", signed(line.mass_g, 2)),
                format!("{way}{}", shown(&line.what)),
                shown(&line.batch).into_owned(),
                if line.unseen { "unseen" } else { "" }.to_owned(),
            ]
        })
        .collect();
    let left = Column::Left;
    // The names of other jars end with their marks.
    let columns = [left, Column::Right, Column::Prose, left, left];
    table(&columns, &rows, width)
}
