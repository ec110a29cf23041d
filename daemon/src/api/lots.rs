//! Into which jars a lot went.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use serde::Deserialize;
use tarehand_mixing::composition::{Holding, Packs};
use tarehand_protocol::Mass;
use tarehand_protocol::api::{LotJar, LotTraced, Problem};

use super::Service;
use super::problem::Failure;
use super::request::{Asked, Place, written};
use crate::contents::Contents;
use crate::journal::ReadError;
use crate::log::{BatchFilter, BatchHead, Log, LogError, Mark, Reality};

/// How many jars are looked into when nobody says.
const USUAL: u32 = 50;
/// The most that may be asked for at once; the document says so too. Each jar is read with all that led to it.
const MOST: u32 = 1_000;

/// How far back a lot is traced.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(super) struct Reach {
    /// At most so many jars are looked into, the newest, 50 by default; how many more there may be is said.
    #[serde(default)]
    #[param(minimum = 1, maximum = 1000)]
    limit: Option<u32>,
}

/// The jars that a lot went into, straight from its pack or through other jars.
#[utoipa::path(get, path = "/v1/lots/{lot}", params(("lot" = String, Path, description = "the maker's lot, as the shelf has it"), Reach),
    responses(
        (status = 200, body = LotTraced),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn trace(
    State(service): State<Service>,
    Place(lot): Place<String>,
    Asked(reach): Asked<Reach>,
) -> Result<Json<LotTraced>, Failure> {
    written("lot", &lot)?;
    let limit = reach.limit.unwrap_or(USUAL);
    if !(1..=MOST).contains(&limit) {
        return Err(Failure::new(
            "bad-query",
            StatusCode::UNPROCESSABLE_ENTITY,
            "the query is not what this path takes",
        )
        .detail(format!("`limit` is {limit}, it must be from 1 to {MOST}")));
    }
    Ok(Json(traced(&service.surroundings.log, lot, limit).await?))
}

/// Finds the jars that have something of a lot among the newest that it can have come into.
///
/// # Errors
/// When the log cannot be read.
pub async fn traced(log: &Log, lot: String, limit: u32) -> Result<LotTraced, ReadError> {
    let mut jars = Vec::new();
    let reached = reached(log, &lot, limit).await?;
    for head in reached.jars {
        let contents = Contents::read(log, head.id).await?;
        let mark = head.mark.as_str();
        let now = match contents.with_leftover_as_pack(mark, &lot) {
            Some((jar, packs)) => of_lot(&jar, &packs, &lot),
            None => of_lot(&contents.of_jar(mark), &contents.packs, &lot),
        };
        let (straight, packs) = contents.straight_from_shelf(mark);
        let straight = of_lot(&straight, &packs, &lot);
        // A batch is found by every lot that was at hand, used or not.
        if now.mass.is_zero() && straight.mass.is_zero() {
            continue;
        }
        let mut drawn = [now.drawn, straight.drawn].concat();
        drawn.sort();
        drawn.dedup();
        jars.push(LotJar {
            batch: mark.to_owned(),
            recipe: head.recipe,
            opened: head.opened,
            mass_g: now.mass.grams(),
            straight_g: straight.mass.grams(),
            drawn,
        });
    }
    let older = reached.older;
    Ok(LotTraced { lot, jars, older })
}

/// The newest jars that anything of a lot can have come into.
struct Reached {
    /// In the order they were opened.
    jars: Vec<BatchHead>,
    /// How many older ones there may be.
    older: u32,
}

async fn reached(log: &Log, lot: &str, limit: u32) -> Result<Reached, LogError> {
    let at_hand = BatchFilter {
        with: Some(lot.to_owned()),
        reality: Some(Reality::Real),
        ..BatchFilter::default()
    };
    let all = log.count(at_hand.clone()).await?;
    let newest = BatchFilter {
        at_most: Some(limit),
        ..at_hand
    };
    let heads = log.batches(newest).await?;
    let left = all.saturating_sub(count(&heads));
    let mut marks = Vec::new();
    for head in heads {
        marks.push(amended(log, &head).await?.unwrap_or(head.mark));
    }
    let mut jars = log.poured_on(marks).await?;
    // One jar may have been poured into many.
    let more = jars
        .len()
        .saturating_sub(usize::try_from(limit).unwrap_or(usize::MAX));
    let older = left.saturating_add(count(&jars[..more]));
    jars.drain(..more);
    Ok(Reached { jars, older })
}

fn count(heads: &[BatchHead]) -> u32 {
    u32::try_from(heads.len()).unwrap_or(u32::MAX)
}

/// Returns the batch whose jar a batch amends, where it does.
async fn amended(log: &Log, head: &BatchHead) -> Result<Option<Mark>, LogError> {
    let batch = log.batch(head.id).await?;
    let procedure: Option<serde_json::Value> = serde_json::from_str(&batch.procedure).ok();
    let mark = procedure.and_then(|value| value["amends"]["mark"].as_str()?.parse().ok());
    Ok(mark)
}

/// What a vessel holds of a lot.
struct OfLot {
    mass: Mass,
    drawn: Vec<String>,
}

fn of_lot(holding: &Holding, packs: &Packs, lot: &str) -> OfLot {
    let parts = holding.parts().filter_map(|(part, mass)| {
        let facts = packs.of(part)?;
        (facts.lot.as_deref() == Some(lot)).then(|| (facts.drawn.clone(), mass))
    });
    let (drawn, masses): (Vec<String>, Vec<Mass>) = parts.unzip();
    OfLot {
        mass: masses.into_iter().sum(),
        drawn,
    }
}
