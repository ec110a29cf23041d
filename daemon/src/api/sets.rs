//! Planning sets, as the command line does without the service.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use tarehand_mixing::diagnostic::{Diagnostic, Paint, render};
use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::plan::{self as planning, Plan};
use tarehand_mixing::recipe::Settings;
use tarehand_mixing::set::{self, Set};
use tarehand_mixing::shelf::Shelf;
use tarehand_protocol::api::{PlanAnswer, PlanRequest, Problem};

use super::apart::apart;
use super::problem::Failure;
use super::request::Body;
use super::{Service, sources, translate};

/// Say what a set takes: every jar, the premixes, the shelf, the cost and the order of work.
#[utoipa::path(post, path = "/v1/sets/plan", request_body = PlanRequest, responses(
    (status = 200, body = PlanAnswer),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = 503, body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn plan(
    State(service): State<Service>,
    Body(request): Body<PlanRequest>,
) -> Result<Json<PlanAnswer>, Failure> {
    let settings = sources::settings(&request.measures, &request.choices)?;
    let log = &service.surroundings.log;
    let shelf = request.shelf.as_ref();
    let texts = sources::with_stock(&request.recipes, shelf, &settings, log).await?;
    apart(move || {
        let planned = planned(request.set, &texts, &settings)?;
        let lines = planned.remarks.iter().map(translate::diagnostic_line);
        Ok(Json(translate::plan_answer(
            &planned.set,
            &planned.plan,
            lines.collect(),
        )))
    })
    .await
}

/// A set that was planned, and what was said about it.
pub(super) struct Planned {
    /// The set.
    pub set: Set,
    /// What it takes.
    pub plan: Plan,
    /// The shelf it was planned with.
    pub shelf: Shelf,
    /// Warnings and notes on its files.
    pub remarks: Vec<Diagnostic>,
}

/// Checks and plans the text of a set.
pub(super) fn planned(
    text: String,
    texts: &Sources,
    settings: &Settings,
) -> Result<Planned, Failure> {
    let source = Source::new("set.toml", text);
    let checked = set::check(&source, texts, settings);
    let Some(set) = checked.set else {
        let errors = checked.diagnostics.into_iter().filter(Diagnostic::is_error);
        let shown = texts.clone().with_recipe("set", source);
        return Err(Failure::new(
            "bad-set",
            StatusCode::UNPROCESSABLE_ENTITY,
            "the set cannot be planned",
        )
        .detail(render(&errors.collect::<Vec<_>>(), &shown, Paint::Plain))
        .hint(Some("put right what is marked and plan it again")));
    };
    let plan = planning::plan(&set, &checked.shelf).map_err(|error| {
        Failure::new(
            "bad-size",
            StatusCode::UNPROCESSABLE_ENTITY,
            "the set cannot be planned",
        )
        .detail(error.to_string())
        .hint(Some("change the surface or the shares"))
    })?;
    Ok(Planned {
        set,
        plan,
        shelf: checked.shelf,
        remarks: checked.diagnostics,
    })
}
