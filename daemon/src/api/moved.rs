//! What left a finished jar without a scale of the bench, as the person says it.

use std::collections::BTreeSet;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use tarehand_mixing::amend::HowMuch;
use tarehand_mixing::document::Source;
use tarehand_mixing::session::{Book, Destination, Entry, Seen};
use tarehand_mixing::shelf::Shelf;
use tarehand_mixing::units::Measures;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{BatchRecord, MovedSaid, Problem};

use super::amend::{amendable, finished, how_much, not_so_much, nothing_left, over, twice, vessel};
use super::problem::Failure;
use super::request::{Body, Place};
use super::{Service, batches};
use crate::journal::{self, Kept};
use crate::log::{Log, LogError};

/// Say that mix left a finished jar without a scale of the bench: into another jar, another vessel, onto the shelf, or away.
///
/// Onto the shelf it goes under a key by which nothing was poured or put there before, and which is no ingredient of the batch.
#[utoipa::path(post, path = "/v1/batches/{mark}/moved", params(("mark" = String, Path, description = "the mark on the jar")),
    request_body = MovedSaid, responses(
        (status = 200, body = BatchRecord),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn moved(
    State(service): State<Service>,
    Place(mark): Place<String>,
    Body(said): Body<MovedSaid>,
) -> Result<Json<BatchRecord>, Failure> {
    let log = &service.surroundings.log;
    let kept = over(log, &mark).await?;
    let from = amendable(log, &kept).await?;
    let mass = match how_much(said.mass.as_ref(), &from)? {
        HowMuch::Mass(mass) => mass,
        HowMuch::All => from.holds,
    };
    let (into, shelf) = (vessel(said.into.as_ref())?, vessel(said.shelf.as_ref())?);
    let to = match (&said.jar, into, shelf) {
        (Some(jar), None, None) => {
            let into = finished(log, jar).await?;
            if into.mark == from.mark {
                return Err(twice(&from.mark));
            }
            Destination::Jar(into.mark)
        }
        (None, Some(name), None) => Destination::Cup(name.to_owned()),
        (None, None, Some(key)) => {
            free_on_shelf(log, &kept, key).await?;
            Destination::Shelf(key.to_owned())
        }
        (None, None, None) => Destination::Waste,
        _ => {
            return Err(Failure::new(
                "bad-body",
                StatusCode::UNPROCESSABLE_ENTITY,
                "it went into one vessel",
            )
            .hint(Some("say one of `jar`, `into` and `shelf`")));
        }
    };
    let seen = Seen::Told;
    let mut entries = vec![Entry::Moved { to, mass, seen }];
    let rest = from.holds - mass;
    if said.rest_is_gone && Mass::ZERO < rest {
        entries.push(Entry::Moved {
            to: Destination::Waste,
            mass: rest,
            seen,
        });
    }
    if !said.only_ask {
        let booked = journal::add_from_jar(log, &kept, entries).await;
        booked.map_err(|error| match error {
            // Somebody else was faster.
            LogError::NotInJar { held_ug } if held_ug <= 0 => nothing_left(&from.mark),
            LogError::NotInJar { held_ug } => {
                not_so_much(mass, Mass::from_micrograms(held_ug), &from.mark)
            }
            LogError::KeyInUse { key } => in_use(&key, "in this log already"),
            error => error.into(),
        })?;
    }
    Ok(Json(batches::record(log, &mark).await?))
}

/// Refuses a key by which something else would be meant.
async fn free_on_shelf(log: &Log, kept: &Kept, key: &str) -> Result<(), Failure> {
    let mark = &kept.mark;
    if ingredients(&kept.book).contains(key) {
        return Err(in_use(key, &format!("an ingredient of {mark} itself")));
    }
    let text = log.batch(kept.id).await?.shelf_text;
    let (shelf, _) = Shelf::parse(&Source::new("shelf.toml", text), &Measures::default());
    if shelf.get(key).is_some() {
        return Err(in_use(
            key,
            &format!("on the shelf that {mark} was made from"),
        ));
    }
    if log.is_on_shelf(key.to_owned()).await? {
        return Err(in_use(key, "in this log already"));
    }
    Ok(())
}

/// Returns the keys of everything that a batch pours, or would have.
fn ingredients(book: &Book) -> BTreeSet<&str> {
    let procedure = book.procedure();
    let poured = procedure.steps.iter();
    let poured = poured.filter_map(|step| step.kind.ingredient());
    let premixes = procedure.premixes.iter();
    let inside = premixes.clone().flat_map(|premix| &premix.parts);
    poured
        .chain(inside.map(|(part, _)| part))
        .map(|ingredient| ingredient.key.as_str())
        .chain(premixes.map(|premix| premix.key.as_str()))
        .collect()
}

fn in_use(key: &str, what: &str) -> Failure {
    Failure::new(
        "key-in-use",
        StatusCode::CONFLICT,
        "that key stands for something else",
    )
    .detail(format!("`{key}` is {what}"))
    .hint(Some("give what is left a key of its own"))
}
