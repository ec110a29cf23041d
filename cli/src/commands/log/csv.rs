//! Batches as comma-separated values (RFC 4180).

use tarehand_protocol::api::{AgainWord, BatchRecord, BatchStateWord};

use crate::words::exact_grams;

/// The names of the columns. New ones only ever come last: programs find the others by their places too.
pub(super) const HEADING: &str =
    "mark,recipe,state,rehearsal,opened,closed,ingredient,name,planned_g,poured_g,unseen_g,jar";

/// Returns a line for each ingredient of a batch, or for what it took out of a finished jar.
///
/// `jar` is the mark of the batch whose jar it went into or came out of, its own where it made one.
pub(super) fn lines(record: &BatchRecord) -> Vec<String> {
    let contents = record.contents.iter().map(|content| {
        let planned = content.planned_g.map_or_else(String::new, exact_grams);
        let [poured, unseen] = [content.poured_g, content.unseen_g].map(exact_grams);
        let what = [&content.ingredient, &content.name].map(|text| field(text));
        line(record, &what, [planned, poured, unseen])
    });
    let taken_out = record.summary.opened_again.as_ref();
    let taken_out = taken_out.filter(|again| again.how == AgainWord::TakenOut);
    let taken_out = taken_out.map(|again| {
        let what = [String::new(), field(&again.what.join(", "))];
        let grams = [String::new(), exact_grams(again.mass_g), exact_grams(0.0)];
        line(record, &what, grams)
    });
    contents.chain(taken_out).collect()
}

fn line(record: &BatchRecord, what: &[String; 2], grams: [String; 3]) -> String {
    let batch = &record.summary;
    let again = batch.opened_again.as_ref();
    let jar = again.map_or(&batch.mark, |again| &again.jar);
    let [ingredient, name] = what;
    let [planned, poured, unseen] = grams;
    [
        field(&batch.mark),
        field(&batch.recipe),
        field(state_word(batch.state)),
        batch.rehearsal.to_string(),
        field(&batch.opened),
        field(batch.closed.as_deref().unwrap_or_default()),
        ingredient.clone(),
        name.clone(),
        planned,
        poured,
        unseen,
        field(jar),
    ]
    .join(",")
}

/// Names a state as the API does: programs read this.
const fn state_word(state: BatchStateWord) -> &'static str {
    match state {
        BatchStateWord::Idle => "idle",
        BatchStateWord::Running => "running",
        BatchStateWord::Held => "held",
        BatchStateWord::Paused => "paused",
        BatchStateWord::Complete => "complete",
        BatchStateWord::Aborted => "aborted",
    }
}

/// Quotes a field where RFC 4180, section 2, rules 6 and 7, asks for it.
fn field(text: &str) -> String {
    if text.contains(['"', ',', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // The quoting of the examples in RFC 4180, section 2.
    #[test]
    fn fields_are_quoted_as_the_standard_says() {
        assert_eq!(field("aaa"), "aaa");
        assert_eq!(field("b\r\nbb"), "\"b\r\nbb\"");
        assert_eq!(field("b\"bb"), "\"b\"\"bb\"");
        assert_eq!(field("Harbour grey, satin"), "\"Harbour grey, satin\"");
    }
}
