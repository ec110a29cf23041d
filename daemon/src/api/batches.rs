//! The record of batches.

use std::str::FromStr;

use axum::Json;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use serde::Deserialize;
use tarehand_mixing::outcome::Outcome;
use tarehand_mixing::session::Entry;
use tarehand_mixing::shelf::{Date, Moment};
use tarehand_protocol::Mass;
use tarehand_protocol::api::{BatchList, BatchRecord, OutcomeSaid, PouredInto, Problem};
use tarehand_protocol::scale::Profile;

use super::apart::apart;
use super::problem::Failure;
use super::request::{Asked, Body, Place, written};
use super::{Service, folder, translate};
use crate::contents::Contents;
use crate::journal::{self, Kept};
use crate::log::{Batch, BatchFilter, Flow, Log, LogError, Mark, Vessel};

/// Which batches to list.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(super) struct Wanted {
    /// At most so many, 50 by default.
    #[serde(default)]
    #[param(minimum = 0, maximum = 10000)]
    limit: Option<u32>,
    /// Only where this is a part of the mark, the recipe, what is in the jar, its lots or what was said of it, in any case
    /// of letters.
    #[serde(default)]
    find: Option<String>,
    /// Only with this part of a word in the name, key or lot of something in the jar.
    #[serde(default)]
    with: Option<String>,
    /// Only opened at or after this day or moment (RFC 3339, UTC): `2026-11-02`.
    #[serde(default)]
    from: Option<String>,
    /// Only opened before this day or moment.
    #[serde(default)]
    until: Option<String>,
    /// Only older than the batch of this mark: where the next page of a list begins.
    #[serde(default)]
    before: Option<String>,
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
    for (name, said) in [("find", &wanted.find), ("with", &wanted.with)] {
        said.as_deref().map_or(Ok(()), |text| written(name, text))?;
    }
    for (name, said) in [("from", &wanted.from), ("until", &wanted.until)] {
        let is_time =
            |text: &String| text.parse::<Date>().is_ok() || text.parse::<Moment>().is_ok();
        if let Some(text) = said.as_ref().filter(|text| !is_time(text)) {
            return Err(Failure::new(
                "bad-query",
                StatusCode::UNPROCESSABLE_ENTITY,
                "the query is not what this path takes",
            )
            .detail(format!("`{name}` is `{text}`, which is no day"))
            .hint(Some("write a day as 2026-11-02")));
        }
    }
    let log = &service.surroundings.log;
    let before = match &wanted.before {
        Some(mark) => Some(log.batch(parse(mark)?).await?.head.id),
        None => None,
    };
    let filter = BatchFilter {
        find: wanted.find,
        with: wanted.with,
        opened_from: wanted.from,
        opened_until: wanted.until,
        before,
        at_most: Some(limit),
        ..BatchFilter::default()
    };
    let heads = log.batches(filter).await?;
    let batches = heads.into_iter().map(translate::summary_of_head).collect();
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
    let batch = log.batch(parse(&mark)?).await?;
    let kept = journal::read_entries(log, batch.head.clone()).await?;
    let record = record_of(log, &batch, &kept).await?;
    let recipe = record.summary.recipe.clone();
    let recipe_file = apart(move || {
        // The folder may not be named, or not be there: then nothing is said of it.
        let papers = service.folder.read().map(|(_, papers)| papers.read);
        let papers = papers.unwrap_or_default();
        Ok(folder::file_of(&papers, &batch.recipe_text, &recipe))
    })
    .await?;
    Ok(Json(BatchRecord {
        recipe_file,
        ..record
    }))
}

pub(super) async fn record(log: &Log, mark: &str) -> Result<BatchRecord, Failure> {
    let batch = log.batch(parse(mark)?).await?;
    let kept = journal::read_entries(log, batch.head.clone()).await?;
    record_of(log, &batch, &kept).await
}

/// Returns the record of a batch that was read already.
pub(super) async fn record_of(
    log: &Log,
    batch: &Batch,
    kept: &Kept,
) -> Result<BatchRecord, Failure> {
    let mut record = translate::record(kept, &batch.head);
    record.weighed_on.profile = Profile::parse(&batch.profile_text)
        .ok()
        .filter(|_| !batch.profile_text.is_empty())
        .map(|profile| profile.settings().name.clone());
    if kept.book.procedure().amends.is_none() {
        let contents = Contents::read(log, kept.id).await?;
        record.now = Some(translate::jar_now(&contents, &kept.mark));
        record.amendments = translate::amendments(&contents, &kept.mark);
        record.poured_into = poured_into(log, &kept.mark, &contents.flows).await?;
    }
    Ok(record)
}

/// The weight over time of a batch, as a picture.
#[utoipa::path(get, path = "/v1/batches/{mark}/plot", params(("mark" = String, Path, description = "the mark on the jar")),
    responses(
        (status = 200, body = String, content_type = "image/svg+xml"),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn plot(
    State(service): State<Service>,
    Place(mark): Place<String>,
) -> Result<Response, Failure> {
    let log = &service.surroundings.log;
    let kept = journal::read(log, parse(&mark)?).await?;
    let trace = log.trace(kept.id).await?;
    let picture = translate::plot(&kept, &trace).svg();
    Ok(([(header::CONTENT_TYPE, "image/svg+xml")], picture).into_response())
}

/// Say what became of a jar, days after it was mixed.
#[utoipa::path(post, path = "/v1/batches/{mark}/outcomes", params(("mark" = String, Path, description = "the mark on the jar")),
    request_body = OutcomeSaid, responses(
        (status = 200, body = BatchRecord),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn came_out(
    State(service): State<Service>,
    Place(mark): Place<String>,
    Body(said): Body<OutcomeSaid>,
) -> Result<Json<BatchRecord>, Failure> {
    let log = &service.surroundings.log;
    let kept = journal::read(log, parse(&mark)?).await?;
    if !kept.is_over() {
        return Err(Failure::new(
            "batch-not-over",
            StatusCode::CONFLICT,
            "the batch is still being made",
        )
        .hint(Some("say it as a remark, or wait for its end")));
    }
    let better_than = match &said.better_than {
        Some(other) => Some(
            log.batch(parse(other)?)
                .await?
                .head
                .mark
                .as_str()
                .to_owned(),
        ),
        None => None,
    };
    let outcome = Outcome {
        found: said.found,
        note: said.note,
        pictures: said.pictures,
        better_than,
    }
    .tidied();
    if outcome.better_than.as_deref() == Some(kept.mark.as_str()) {
        return Err(Failure::new(
            "same-jar",
            StatusCode::UNPROCESSABLE_ENTITY,
            "a jar is no better than itself",
        )
        .detail(kept.mark)
        .hint(Some("name the batch that did worse in the same place")));
    }
    if outcome.is_empty() {
        return Err(Failure::new(
            "bad-body",
            StatusCode::UNPROCESSABLE_ENTITY,
            "nothing is said of the jar",
        )
        .hint(Some(
            "say what was found, a note, a picture or a batch that did worse",
        )));
    }
    journal::add(log, &kept, Entry::CameOut { outcome }).await?;
    Ok(Json(record(log, &mark).await?))
}

/// Returns what was poured out of a batch's jar into the jars of others, also of those that are not in this log, in the order
/// of the first pours. An amendment has no jar of its own.
async fn poured_into(log: &Log, mark: &str, flows: &[Flow]) -> Result<Vec<PouredInto>, Failure> {
    let mut by_jar: Vec<(&str, i128)> = Vec::new();
    for flow in flows {
        let mass = i128::from(flow.booked.mass_ug.get());
        let (jar, mass) = match (&flow.booked.from, &flow.booked.to) {
            (Vessel::JarOf(from), Vessel::JarOf(to)) if from == mark => (to, mass),
            // What settled lower in the other jar went back, or was never there.
            (Vessel::JarOf(from), Vessel::JarOf(to))
                if to == mark && flow.batch.as_str() != mark =>
            {
                (from, -mass)
            }
            _ => continue,
        };
        match by_jar.iter_mut().find(|(known, _)| known == jar) {
            Some((_, sum)) => *sum += mass,
            None => by_jar.push((jar, mass)),
        }
    }
    let mut lines = Vec::new();
    for (batch, mass_ug) in by_jar {
        if mass_ug <= 0 {
            continue;
        }
        let recipe = match Mark::from_str(batch) {
            Ok(mark) => match log.batch(mark).await {
                Ok(batch) => batch.head.recipe,
                Err(LogError::NoBatch { .. }) => String::new(),
                Err(error) => return Err(error.into()),
            },
            Err(_) => String::new(),
        };
        let mass = Mass::from_micrograms(i64::try_from(mass_ug).unwrap_or(i64::MAX));
        lines.push(PouredInto {
            batch: batch.to_owned(),
            recipe,
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
