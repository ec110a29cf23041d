//! Rehearsals: a batch, or the jars of a set, on a simulated scale with a simulated hand.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use tarehand_mixing::procedure::Procedure;
use tarehand_protocol::api::{Problem, RehearsalRequest, SetRehearsalRequest, View};

use super::Service;
use super::benches::{Answered, new_batch, new_batches};
use super::circumstances::Circumstances;
use super::problem::Failure;
use super::request::Body;
use crate::bench::NewBatch;
use crate::links::rehearsal::{FALL, outfit};

/// How many times as fast as the wall's a rehearsal's clock runs when nobody says.
const USUAL_SPEED: u32 = 10;
/// The fastest: beyond it the wall's own jitter looks like gaps.
const FASTEST: u32 = 60;

/// Open a rehearsal: a batch on a simulated scale with a simulated hand.
#[utoipa::path(post, path = "/v1/rehearsals", request_body = RehearsalRequest, responses(
    (status = 200, body = View),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = 503, body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn rehearse(
    State(service): State<Service>,
    Body(request): Body<RehearsalRequest>,
) -> Answered {
    let speed = speed(request.speed)?;
    let (hand, room) = (&request.batch.hand, &request.batch.room);
    let circumstances = Circumstances::read(hand.as_deref(), room.as_deref())?;
    let batches = vec![new_batch(&service, &request.batch).await?];
    let batches = circumstances.rehearsed(batches);
    begin_rehearsal(&service, batches, request.seed, speed).await
}

/// Open a rehearsal of a set: a batch for each jar, premixes too, on a simulated scale with a simulated hand.
#[utoipa::path(post, path = "/v1/rehearsals/set", request_body = SetRehearsalRequest, responses(
    (status = 200, body = View),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = 503, body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn rehearse_set(
    State(service): State<Service>,
    Body(request): Body<SetRehearsalRequest>,
) -> Answered {
    let speed = speed(request.speed)?;
    let (hand, room) = (&request.set.hand, &request.set.room);
    let circumstances = Circumstances::read(hand.as_deref(), room.as_deref())?;
    let batches = new_batches(&service, request.set).await?;
    let batches = circumstances.rehearsed(batches);
    begin_rehearsal(&service, batches, request.seed, speed).await
}

fn speed(wanted: Option<u32>) -> Result<u32, Failure> {
    let speed = wanted.unwrap_or(USUAL_SPEED);
    if (1..=FASTEST).contains(&speed) {
        return Ok(speed);
    }
    Err(Failure::new(
        "bad-speed",
        StatusCode::UNPROCESSABLE_ENTITY,
        "that speed cannot be rehearsed",
    )
    .detail(format!("{speed}, it must be from 1 to {FASTEST}")))
}

async fn begin_rehearsal(
    service: &Service,
    mut batches: Vec<NewBatch>,
    seed: Option<u64>,
    speed: u32,
) -> Answered {
    for batch in &mut batches {
        batch.limits.fall = FALL;
    }
    let procedures: Vec<Procedure> = batches
        .iter()
        .map(|batch| batch.procedure.clone())
        .collect();
    let plan = outfit(&procedures, seed.unwrap_or(1));
    let bench = service.benches.rehearsal(f64::from(speed)).await?;
    Ok(Json(bench.rehearse(batches, plan).await?))
}
