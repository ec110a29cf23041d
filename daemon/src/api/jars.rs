//! Which finished jar stands on the pan of a bench where nothing is made.

use axum::Json;
use axum::extract::State;
use tarehand_mixing::finished::{FinishedJar, fitting};
use tarehand_protocol::Mass;
use tarehand_protocol::api::{JarOnPan, KnownJar, Problem};

use super::Service;
use super::benches::known;
use super::problem::Failure;
use super::request::Place;
use crate::bench::Resting;
use crate::journal::{self, Kept};
use crate::log::{BatchFilter, BatchId, BatchState, Ending, Log, LogError, Reality};

/// So many finished jars are remembered by their weight, the newest (our own choice): with more of them two are soon
/// alike.
const REMEMBERED: u32 = 60;

/// Which finished jar stands on the pan, by its weight: none, one, or several too alike.
///
/// Only where no batch is being made. Jars that were emptied since, and those of rehearsals, are none.
#[utoipa::path(get, path = "/v1/benches/{bench}/jar", params(("bench" = String, Path, description = "its name")),
    responses(
        (status = 200, body = JarOnPan),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = 503, body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn on_pan(
    State(service): State<Service>,
    Place(name): Place<String>,
) -> Result<Json<JarOnPan>, Failure> {
    let Some(Resting { gross, scale }) = known(&service, &name)?.resting().await? else {
        return Ok(Json(JarOnPan {
            gross_g: None,
            fits: Vec::new(),
        }));
    };
    let jars = finished(&service.surroundings.log).await?;
    let fits = fitting(jars, gross, scale).into_iter().map(|jar| KnownJar {
        mark: jar.what.mark,
        recipe: jar.what.book.procedure().recipe.clone(),
        closed: jar.what.closed,
        gross_g: jar.gross.grams(),
    });
    Ok(Json(JarOnPan {
        gross_g: Some(gross.grams()),
        fits: fits.collect(),
    }))
}

/// Reads the newest finished jars that hold anything.
async fn finished(log: &Log) -> Result<Vec<FinishedJar<Kept>>, LogError> {
    let filter = BatchFilter {
        state: Some(BatchState::Ended(Ending::Complete)),
        reality: Some(Reality::Real),
        // Emptied ones, and amendments, which have no jar of their own, take no place of one that stands somewhere.
        holds_above_ug: Some(0),
        at_most: Some(REMEMBERED),
        ..BatchFilter::default()
    };
    let mut jars = Vec::new();
    for head in log.batches(filter).await? {
        let id = head.id;
        let kept = match journal::read_entries(log, head).await {
            Ok(kept) => kept,
            Err(error) => {
                tracing::warn!(%error, "a finished jar is not known by its weight");
                continue;
            }
        };
        let Standing {
            inside,
            weighed_since,
        } = standing(log, id).await?;
        let weighed_on = kept.book.scale();
        let amends = kept.book.procedure().amends.is_some();
        if amends || inside <= weighed_on.uncertainty() {
            continue;
        }
        jars.push(FinishedJar {
            gross: kept.book.tare() + inside,
            weighed_since,
            weighed_on,
            what: kept,
        });
    }
    Ok(jars)
}

/// What the ledger says of a finished jar.
pub(super) struct Standing {
    /// What is in it.
    pub inside: Mass,
    /// How many weighings of other batches changed that.
    pub weighed_since: u32,
}

/// Reads what is in a batch's jar by the ledger.
pub(super) async fn standing(log: &Log, id: BatchId) -> Result<Standing, LogError> {
    let holdings = log.jar(id).await?;
    let inside: i64 = holdings.iter().map(|holding| holding.mass_ug).sum();
    let transfers = log.transfers(id).await?;
    let since = transfers.iter().filter(|transfer| transfer.batch != id);
    Ok(Standing {
        inside: Mass::from_micrograms(inside),
        weighed_since: u32::try_from(since.count()).unwrap_or(u32::MAX),
    })
}

#[cfg(test)]
mod tests;
