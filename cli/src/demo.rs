//! The recipe that is rehearsed when none is named; the studio and its palette are invented.

use tarehand_mixing::document::{Source, Sources};

/// The recipe of the demo.
pub(crate) const STEM: &str = "lagoon-round";

/// Returns the demo's recipe, its premixes and its shelf.
pub(crate) fn sources() -> Sources {
    let files = [
        (
            "lagoon-round",
            include_str!("../../fixtures/studio/lagoon-round.toml"),
        ),
        (
            "slow-medium",
            include_str!("../../fixtures/studio/slow-medium.toml"),
        ),
        (
            "pearl-medium",
            include_str!("../../fixtures/studio/pearl-medium.toml"),
        ),
    ];
    let shelf = Source::new(
        "shelf.toml",
        include_str!("../../fixtures/studio/shelf.toml"),
    );
    let sources = Sources::new().with_shelf(shelf);
    files.into_iter().fold(sources, |sources, (stem, text)| {
        sources.with_recipe(stem, Source::new(format!("{stem}.toml"), text))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use tarehand_mixing::recipe::{Settings, check};

    #[test]
    fn the_demo_can_be_made_with_nothing_to_complain_about() {
        let checked = check(&sources(), STEM, &Settings::default());
        assert!(checked.recipe.is_some(), "{:?}", checked.diagnostics);
        assert!(checked.is_clean(), "{:?}", checked.diagnostics);
    }
}
