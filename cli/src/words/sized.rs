//! A recipe sized for one jar, as a page.

use tarehand_protocol::api::{ChoiceLine, SizedProcedure};

use super::{Column, Width, percent, rough_grams, short_grams, shown, table};

/// Writes what was chosen and what could be, a line for each choice.
pub(crate) fn chosen(choices: &[ChoiceLine]) -> String {
    let lines = choices.iter().map(|choice| {
        format!(
            "  {}: {} (or {})\n",
            shown(&choice.name),
            shown(&choice.chosen),
            shown(&choice.others.join(", "))
        )
    });
    lines.collect()
}

/// Writes a sized recipe as a page.
pub(crate) fn sized_page(sized: &SizedProcedure, width: Width) -> String {
    let mut rows = Vec::new();
    for (index, step) in sized.steps.iter().enumerate() {
        let grams = step.grams.map(|grams| format!("{} g", short_grams(grams)));
        let within = step
            .within_g
            .map(|within| format!("± {}", rough_grams(within)));
        rows.push(vec![
            (index + 1).to_string(),
            shown(&step.text).into_owned(),
            grams.unwrap_or_default(),
            within.unwrap_or_default(),
            step.share.map_or_else(String::new, percent),
            step.count.clone().unwrap_or_default(),
        ]);
    }
    let right = Column::Right;
    let columns = [right, Column::Prose, right, right, right, Column::Left];
    format!(
        "{}: {} g\n{}{}",
        shown(&sized.recipe),
        short_grams(sized.total_g),
        chosen(&sized.choices),
        table(&columns, &rows, width)
    )
}
