//! Which of the texts that a batch was made from can no longer be read.
//!
//! Nothing that was weighed rests on them: a batch whose texts an older version wrote, or somebody broke, is a record still.
//! So it is taken in, and what is missing with them is said.

use tarehand_mixing::diagnostic::Diagnostic;
use tarehand_mixing::document::Source;
use tarehand_mixing::shelf::Shelf;
use tarehand_mixing::units::Measures;

/// Returns what cannot be read of a batch's recipe and shelf, a sentence each; nothing where all can.
#[must_use]
pub fn unreadable(recipe_text: &str, shelf_text: &str) -> Vec<String> {
    let recipe = broken(recipe_text).map(|found| {
        format!(
            "its recipe text cannot be read, {found}; what went in is known all the same: `repeat --as-poured` makes it again"
        )
    });
    let source = Source::new("shelf.toml", shelf_text);
    let (_, problems) = Shelf::parse(&source, &Measures::default());
    let shelf = problems.iter().find(|problem| problem.is_error());
    let shelf = shelf.map(|Diagnostic { line, message, .. }| {
        format!(
            "its shelf text cannot be read, line {line}: {message}; lots and prices that stood there are not known of this batch"
        )
    });
    recipe.into_iter().chain(shelf).collect()
}

/// Returns where a text is no TOML, and why.
fn broken(text: &str) -> Option<String> {
    let error = text.parse::<toml::Table>().err()?;
    let before = error.span().and_then(|span| text.get(..span.start));
    let line = before.unwrap_or_default().matches('\n').count() + 1;
    let why = error.message().lines().collect::<Vec<_>>().join(", ");
    Some(format!("line {line}: {why}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_can_be_read_is_passed_over_and_what_cannot_is_said_with_its_line() {
        let check = |recipe, shelf| unreadable(recipe, shelf).join("\n");
        assert_eq!(check("", ""), "");
        assert_eq!(
            check(
                "[recipe]\nname = \"Grey\"\n",
                "[ingredient.ash]\nprice = \"3 EUR per 100 g\"\n"
            ),
            ""
        );
        insta::assert_snapshot!(check("[recipe]\nname = ", "[ingredient.ash]\nprice = \"much\"\n"), @"its recipe text cannot be read, line 2: string values must be quoted, expected literal string; what went in is known all the same: `repeat --as-poured` makes it again
its shelf text cannot be read, line 2: a price says for how much; lots and prices that stood there are not known of this batch");
        insta::assert_snapshot!(check("", "[ingredient.ash\n"), @"its shelf text cannot be read, line 1: unclosed table, expected `]`; lots and prices that stood there are not known of this batch");
    }
}
