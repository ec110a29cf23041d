//! What a batch can be found by beside its name.

use std::collections::BTreeSet;

use tarehand_mixing::document::Source;
use tarehand_mixing::procedure::Procedure;
use tarehand_mixing::shelf::Shelf;
use tarehand_mixing::units::Measures;

/// Returns what a batch can be found by: what goes into it, by key and name, and the lots of it that were at hand.
#[must_use]
pub fn things(procedure: &Procedure, shelf_text: &str) -> String {
    // What is wrong with the shelf was said when the recipe was checked.
    let source = Source::new("shelf.toml", shelf_text);
    let (shelf, _) = Shelf::parse(&source, &Measures::default());
    let poured = procedure
        .steps
        .iter()
        .filter_map(|step| step.kind.ingredient());
    let within = procedure.premixes.iter().flat_map(|premix| &premix.parts);
    let keys = poured
        .map(|ingredient| (&ingredient.key, &ingredient.name))
        .chain(within.map(|(part, _)| (&part.key, &part.name)));
    let mut things = BTreeSet::new();
    for (key, name) in keys {
        let packs = shelf.get(key).map(|item| item.packs.as_slice());
        let lots = packs
            .unwrap_or_default()
            .iter()
            .filter_map(|pack| pack.lot.clone());
        things.extend(lots.chain([key.clone(), name.clone()]));
    }
    things.into_iter().collect::<Vec<_>>().join("\n")
}
