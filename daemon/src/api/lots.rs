//! Into which jars a lot went.

use axum::Json;
use axum::extract::State;
use tarehand_mixing::composition::{Holding, Packs};
use tarehand_protocol::Mass;
use tarehand_protocol::api::{LotJar, LotTraced, Problem};

use super::Service;
use super::problem::Failure;
use super::request::Place;
use crate::contents::Contents;
use crate::log::{BatchFilter, BatchHead, Log, LogError, Mark, Reality};

/// The jars that a lot went into, straight from its pack or through other jars.
#[utoipa::path(get, path = "/v1/lots/{lot}", params(("lot" = String, Path, description = "the maker's lot, as the shelf has it")),
    responses(
        (status = 200, body = LotTraced),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn trace(
    State(service): State<Service>,
    Place(lot): Place<String>,
) -> Result<Json<LotTraced>, Failure> {
    let log = &service.surroundings.log;
    let mut jars = Vec::new();
    for head in reached(log, &lot).await? {
        let contents = Contents::read(log, head.id).await?;
        let mark = head.mark.as_str();
        let now = of_lot(&contents.of_jar(mark), &contents.packs, &lot);
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
    Ok(Json(LotTraced { lot, jars }))
}

/// Returns the jars that anything of a lot can have come into, in the order they were opened.
async fn reached(log: &Log, lot: &str) -> Result<Vec<BatchHead>, LogError> {
    let filter = BatchFilter {
        with: Some(lot.to_owned()),
        reality: Some(Reality::Real),
        ..BatchFilter::default()
    };
    let mut jars = Vec::new();
    for head in log.batches(filter).await? {
        jars.push(amended(log, &head).await?.unwrap_or(head.mark));
    }
    log.poured_on(jars).await
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
