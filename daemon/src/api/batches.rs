//! The record of batches.

use std::collections::BTreeMap;
use std::str::FromStr;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use serde::Deserialize;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{BatchList, BatchRecord, PouredInto, Problem};

use super::problem::Failure;
use super::request::{Asked, Place};
use super::{Service, translate};
use crate::journal;
use crate::log::{BatchFilter, BatchId, Log, Mark, Vessel};

/// Which batches to list.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(super) struct Wanted {
    /// At most so many, 50 by default.
    #[serde(default)]
    #[param(minimum = 0, maximum = 10000)]
    limit: Option<u32>,
    /// Only recipes whose name contains this, in any case of letters.
    #[serde(default)]
    find: Option<String>,
}

/// How many batches are listed when nobody says.
const USUAL: u32 = 50;
/// The most that may be asked for at once; the document says so too.
const MOST: u32 = 10_000;

/// The batches, newest first.
#[utoipa::path(get, path = "/v1/batches", params(Wanted), responses(
    (status = 200, body = BatchList),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = 503, body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn list(
    State(service): State<Service>,
    Asked(wanted): Asked<Wanted>,
) -> Result<Json<BatchList>, Failure> {
    let limit = wanted.limit.unwrap_or(USUAL);
    if MOST < limit {
        return Err(Failure::new(
            "bad-query",
            StatusCode::UNPROCESSABLE_ENTITY,
            "the query is not what this path takes",
        )
        .detail(format!("`limit` is {limit}, it must be at most {MOST}")));
    }
    let limit = usize::try_from(limit).unwrap_or(usize::MAX);
    let find = wanted.find.map(|find| find.to_lowercase());
    let log = &service.surroundings.log;
    let mut batches = Vec::new();
    for head in log.batches(BatchFilter::default()).await? {
        if batches.len() == limit {
            break;
        }
        let fits = find
            .as_ref()
            .is_none_or(|find| head.recipe.to_lowercase().contains(find));
        if fits {
            // A batch that cannot be read does not hide the others.
            match journal::read_entries(log, head).await {
                Ok(kept) => batches.push(translate::summary(&kept)),
                Err(error) => tracing::warn!(%error, "a batch is left out of the list"),
            }
        }
    }
    Ok(Json(BatchList { batches }))
}

/// One batch whole.
#[utoipa::path(get, path = "/v1/batches/{mark}", params(("mark" = String, Path, description = "the mark on the jar")),
    responses(
        (status = 200, body = BatchRecord),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn show(
    State(service): State<Service>,
    Place(mark): Place<String>,
) -> Result<Json<BatchRecord>, Failure> {
    let log = &service.surroundings.log;
    let kept = journal::read(log, parse(&mark)?).await?;
    let poured_into = poured_into(log, kept.id).await?;
    Ok(Json(BatchRecord {
        poured_into,
        ..translate::record(&kept)
    }))
}

/// Returns what other batches poured out of this one's jar.
async fn poured_into(log: &Log, id: BatchId) -> Result<Vec<PouredInto>, Failure> {
    let mut by_batch: BTreeMap<BatchId, i128> = BTreeMap::new();
    for transfer in log.transfers(id).await? {
        let mass = i128::from(transfer.booked.mass_ug.get());
        let out = match (&transfer.booked.from, &transfer.booked.to) {
            (Vessel::Jar(from), _) if *from == id => mass,
            (_, Vessel::Jar(to)) if *to == id => -mass,
            _ => 0,
        };
        if transfer.batch != id {
            *by_batch.entry(transfer.batch).or_default() += out;
        }
    }
    let mut lines = Vec::new();
    for (batch, mass_ug) in by_batch {
        let head = log.batch(batch).await?.head;
        let mass = Mass::from_micrograms(i64::try_from(mass_ug).unwrap_or(i64::MAX));
        lines.push(PouredInto {
            batch: head.mark.as_str().to_owned(),
            recipe: head.recipe,
            poured_g: mass.grams(),
        });
    }
    Ok(lines)
}

/// Reads the mark of a path; what is no mark names no batch.
pub(super) fn parse(mark: &str) -> Result<Mark, Failure> {
    Mark::from_str(mark).map_err(|error| {
        Failure::new(
            "no-such-batch",
            StatusCode::NOT_FOUND,
            "there is no such batch",
        )
        .detail(error.to_string())
        .hint(Some("see `tarehand log list`"))
    })
}
