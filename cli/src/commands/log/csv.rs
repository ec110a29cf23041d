//! Batches as comma-separated values (RFC 4180).

use tarehand_protocol::api::{BatchRecord, BatchStateWord};

use crate::words::exact_grams;

/// The names of the columns.
pub(super) const HEADING: &str =
    "mark,recipe,state,rehearsal,opened,closed,ingredient,name,planned_g,poured_g,unseen_g";

/// Returns a line for each ingredient of a batch.
pub(super) fn lines(record: &BatchRecord) -> Vec<String> {
    let batch = &record.summary;
    let lines = record.contents.iter().map(|content| {
        [
            field(&batch.mark),
            field(&batch.recipe),
            field(state_word(batch.state)),
            batch.rehearsal.to_string(),
            field(&batch.opened),
            field(batch.closed.as_deref().unwrap_or_default()),
            field(&content.ingredient),
            field(&content.name),
            content.planned_g.map_or_else(String::new, exact_grams),
            exact_grams(content.poured_g),
            exact_grams(content.unseen_g),
        ]
        .join(",")
    });
    lines.collect()
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
