//! What batches drew, as the service's log knows it.

use std::collections::BTreeMap;

use tarehand_mixing::document::Source;
use tarehand_mixing::shelf::{Draw, Shelf};
use tarehand_mixing::units::Measures;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{ShelfDrawn, StockRequest};
use tarehandd::api::translate::measures_said;

use super::Place;
use crate::client::{Client, ClientError};
use crate::files::Folder;
use crate::output::Output;

/// What was drawn, by ingredient.
pub(super) type Drawn = BTreeMap<String, Vec<Draw>>;

/// Asks a running service what batches drew out of a shelf's packs; `None` where none runs. Starts nothing.
pub(super) async fn ask(
    shelf: &Source,
    measures: Measures,
    place: &Place,
) -> Result<Option<Drawn>, ClientError> {
    let client = Client::new(&place.folders.socket());
    match client.status().await {
        Ok(_) => {}
        Err(ClientError::NotRunning) => return Ok(None),
        Err(error) => return Err(error),
    }
    let request = StockRequest {
        shelf: shelf.text().to_owned(),
        measures: measures_said(measures),
    };
    let answer: ShelfDrawn = client.post("/v1/shelf/drawn", &request).await?;
    Ok(Some(understood(&answer)))
}

/// Takes what batches drew off the stock of the folder's shelf, where a running service knows it; says so where none
/// does. Nothing is started for it, and nothing it wants can end the command.
pub(super) async fn with_stock(
    folder: Folder,
    measures: Measures,
    place: &Place,
    output: &mut Output,
) -> Folder {
    let known = match shelf_of(&folder, measures) {
        Some(shelf) => ask(shelf, measures, place).await,
        None => return folder,
    };
    let why = match known {
        Ok(Some(drawn)) => return folder.with_drawn(drawn),
        Ok(None) => "the service is not running".to_owned(),
        Err(error) => error.to_string(),
    };
    output.say(format_args!(
        "the stock is the shelf file's alone, without what batches drew since: {why}"
    ));
    folder
}

/// The same before a batch: the service that is about to be asked knows the stock itself, so nothing is said.
pub(super) async fn with_known_stock(folder: Folder, measures: Measures, place: &Place) -> Folder {
    let known = match shelf_of(&folder, measures) {
        Some(shelf) => ask(shelf, measures, place).await,
        None => return folder,
    };
    match known {
        Ok(Some(drawn)) => folder.with_drawn(drawn),
        Ok(None) | Err(_) => folder,
    }
}

/// Returns the shelf, where what batches draw counts for anything on it.
fn shelf_of(folder: &Folder, measures: Measures) -> Option<&Source> {
    let source = folder.sources.shelf()?;
    // What is wrong with it is said where it is checked.
    let (shelf, _) = Shelf::parse(source, &measures);
    shelf.has_packs().then_some(source)
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
