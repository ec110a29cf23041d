//! What was drawn from the shelf, as a message.

use std::collections::BTreeMap;

use tarehand_mixing::shelf::Draw;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{DrawLine, IngredientDrawn, ShelfDrawn};

/// Says what was drawn out of the packs of a shelf.
pub(in crate::api) fn drawn(drawn: BTreeMap<String, Vec<Draw>>) -> ShelfDrawn {
    let ingredients = drawn.into_iter().map(|(ingredient, draws)| {
        let sum: Mass = draws.iter().map(|draw| draw.mass).sum();
        let lines = draws.into_iter().map(|draw| DrawLine {
            at: draw.at.to_string(),
            batch: draw.batch,
            drawn_g: draw.mass.grams(),
        });
        IngredientDrawn {
            ingredient,
            drawn_g: sum.grams(),
            draws: lines.collect(),
        }
    });
    ShelfDrawn {
        ingredients: ingredients.collect(),
    }
}
