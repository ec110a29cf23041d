//! What was drawn from the shelf, as a message.

use std::collections::BTreeMap;

use tarehand_mixing::shelf::Draw;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{DrawLine, IngredientDrawn, ShelfDrawn};

use crate::log::Drawn;

/// Gathers what was drawn by ingredient; the log gives it in that order.
pub(in crate::api) fn drawn(since: Option<String>, drawn: Vec<Drawn>) -> ShelfDrawn {
    let mut ingredients: Vec<(Mass, IngredientDrawn)> = Vec::new();
    for draw in drawn {
        let mass = Mass::from_micrograms(draw.mass_ug);
        let line = DrawLine {
            at: draw.at,
            batch: draw.batch.to_string(),
            drawn_g: mass.grams(),
        };
        match ingredients.last_mut() {
            Some((sum, last)) if last.ingredient == draw.ingredient => {
                *sum += mass;
                last.drawn_g = sum.grams();
                last.draws.push(line);
            }
            _ => ingredients.push((
                mass,
                IngredientDrawn {
                    ingredient: draw.ingredient,
                    drawn_g: mass.grams(),
                    draws: vec![line],
                },
            )),
        }
    }
    ShelfDrawn {
        since,
        ingredients: ingredients.into_iter().map(|(_, drawn)| drawn).collect(),
    }
}

/// Says what was drawn out of the packs of a shelf.
pub(in crate::api) fn drawn_of_shelf(drawn: BTreeMap<String, Vec<Draw>>) -> ShelfDrawn {
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
        since: None,
        ingredients: ingredients.collect(),
    }
}
