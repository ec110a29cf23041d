//! What is remarked of a recipe when a batch of it is opened.

use tarehand_mixing::Procedure;
use tarehand_mixing::diagnostic::{Diagnostic, Finding, Severity};
use tarehand_mixing::sizing::Sizing;
use tarehand_protocol::api::ConcernLine;

use super::translate::remark_line;

/// Returns the notes of its sizing and the warnings of its check, as far as they are about this batch.
pub(super) fn remarked(
    recipe: &str,
    sizing: &Sizing,
    diagnostics: &[Diagnostic],
) -> Vec<ConcernLine> {
    let warnings = diagnostics
        .iter()
        .filter(|diagnostic| diagnostic.severity == Severity::Warning)
        .filter(|diagnostic| is_of_this_batch(diagnostic, recipe, &sizing.procedure))
        .map(|diagnostic| match &diagnostic.finding {
            Some(finding) => remark_line(finding),
            None => {
                let ways_round = diagnostic.help.iter().cloned().collect();
                ConcernLine::remark(diagnostic.message.clone(), ways_round)
            }
        });
    let notes = sizing.notes();
    notes.iter().map(remark_line).chain(warnings).collect()
}

/// Returns whether a warning says something of a batch as it is to be made.
///
/// What of the shelf a premix's file would take at a size of its own is none of this batch's; and what this batch pours
/// itself is held against the shelf at its own size, among what speaks against it.
fn is_of_this_batch(diagnostic: &Diagnostic, recipe: &str, procedure: &Procedure) -> bool {
    let Some(Finding::StockShort { ingredient, .. }) = &diagnostic.finding else {
        return true;
    };
    let steps = procedure.steps.iter();
    let mut poured = steps.filter_map(|step| step.kind.ingredient());
    diagnostic.file == format!("{recipe}.toml") && poured.all(|poured| poured.key != *ingredient)
}

#[cfg(test)]
mod tests {
    use tarehand_mixing::document::{Source, Sources};
    use tarehand_mixing::recipe::{Settings, check};
    use tarehand_mixing::sizing::{Goal, size};

    use super::*;

    #[test]
    fn too_little_on_the_shelf_is_said_once_and_only_of_what_this_batch_takes() {
        let glaze = "[recipe]\nname = \"Glaze\"\nmakes = \"50 g\"\n[[step]]\nadd = \"paste\"\namount = \"25 g\"\n[[step]]\nadd = \"wash\"\namount = \"25 g\"\n";
        let wash = "[recipe]\nname = \"Wash\"\nmakes = \"900 g\"\n[[step]]\nadd = \"binder\"\namount = \"900 g\"\n";
        let shelf = "[ingredient.paste]\nstock = \"20 g\"\n[ingredient.binder]\nstock = \"20 g\"\n";
        let sources = Sources::new()
            .with_recipe("glaze", Source::new("glaze.toml", glaze))
            .with_recipe("wash", Source::new("wash.toml", wash))
            .with_shelf(Source::new("shelf.toml", shelf));
        let checked = check(&sources, "glaze", &Settings::default());
        let recipe = checked.recipe.unwrap();
        let sizing = size(&recipe, &Goal::Make(recipe.makes().unwrap())).unwrap();
        let said = remarked("glaze", &sizing, &checked.diagnostics);
        let texts: Vec<&str> = said.iter().map(|line| line.text.as_str()).collect();
        // Of the paste it is a concern of the batch's own; 900 g of the binder are what the wash would take by itself.
        assert_eq!(
            texts,
            ["up to 25 g of binder are needed and 20 g are on the shelf"]
        );
        assert!(3 <= checked.diagnostics.len(), "{:?}", checked.diagnostics);
    }
}
