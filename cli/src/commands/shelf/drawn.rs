//! What batches drew, as the service's log knows it.

use std::collections::BTreeMap;

use tarehand_mixing::shelf::{Draw, Moment, Shelf};
use tarehand_protocol::Mass;
use tarehand_protocol::api::ShelfDrawn;

use super::Place;
use crate::client::{Client, ClientError, segment};
use crate::failure::Failure;
use crate::output::Output;

/// What was drawn, by ingredient.
pub(super) type Drawn = BTreeMap<String, Vec<Draw>>;

/// Asks a running service what batches drew; `None`, and said, where none runs. Starts nothing.
pub(super) async fn ask(
    shelf: &Shelf,
    place: &Place,
    output: &mut Output,
) -> Result<Option<Drawn>, Failure> {
    let client = Client::new(&place.folders.socket());
    match client.status().await {
        Ok(_) => {}
        Err(ClientError::NotRunning) => {
            output.say(
                "the service is not running: what batches drew since is not taken off; `tarehand log list` starts it",
            );
            return Ok(None);
        }
        Err(error) => return Err(error.into()),
    }
    let path = match earliest(shelf) {
        Some(since) => format!("/v1/shelf/drawn?since={}", segment(&since.to_string())),
        None => "/v1/shelf/drawn".to_owned(),
    };
    let answer: ShelfDrawn = client.get(&path).await?;
    Ok(Some(understood(&answer)))
}

/// Returns since when anything may count; `None` where all of it may.
fn earliest(shelf: &Shelf) -> Option<Moment> {
    let packs = shelf.iter().flat_map(|(_, item)| &item.packs);
    let since: Option<Vec<Moment>> = packs.map(tarehand_mixing::shelf::Pack::since).collect();
    since?.into_iter().min()
}

fn understood(answer: &ShelfDrawn) -> Drawn {
    let draws = answer.ingredients.iter().map(|drawn| {
        let draws = drawn.draws.iter().filter_map(|line| {
            Some(Draw {
                at: line.at.parse().ok()?,
                batch: line.batch.clone(),
                mass: Mass::from_estimated_grams(line.drawn_g),
            })
        });
        (drawn.ingredient.clone(), draws.collect())
    });
    draws.collect()
}
