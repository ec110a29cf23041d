//! Checking and sizing recipes, as the command line does without the service.

use std::collections::BTreeMap;

use axum::Json;
use axum::extract::State;
use tarehand_mixing::{recipe, rescue};
use tarehand_protocol::api::{
    CheckAnswer, CheckRequest, Problem, RescueAnswer, RescueRequest, Size, SizeRequest,
    SizedProcedure,
};

use super::apart::apart;
use super::problem::Failure;
use super::request::Body;
use super::{Service, sources, translate};

/// Check recipes and the shelf: everything that is wrong, at once.
#[utoipa::path(post, path = "/v1/recipes/check", request_body = CheckRequest, responses(
    (status = 200, body = CheckAnswer),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn check(Body(request): Body<CheckRequest>) -> Result<Json<CheckAnswer>, Failure> {
    let settings = sources::settings(&request.measures, &request.choices)?;
    let sources = sources::sources(&request.recipes, request.shelf.as_ref());
    let stems: Vec<&String> = request.recipes.keys().collect();
    let left: Vec<Vec<String>> = stems
        .iter()
        .map(|stem| recipe::left_to_choose(&sources, stem, &settings))
        .collect();
    let mut diagnostics = Vec::new();
    let mut choices = BTreeMap::new();
    for (stem, settings) in stems.into_iter().zip(recipe::ask_each(&settings, &left)) {
        let checked = recipe::check_every_option(&sources, stem, &settings);
        for diagnostic in checked.diagnostics {
            let line = translate::diagnostic_line(&diagnostic);
            if !diagnostics.contains(&line) {
                diagnostics.push(line);
            }
        }
        let made = checked.recipe.iter().flat_map(|recipe| recipe.choices());
        let made: Vec<_> = made.map(translate::choice_line).collect();
        if !made.is_empty() {
            choices.insert(stem.clone(), made);
        }
    }
    let good = !diagnostics.iter().any(|line| line.severity == "error");
    Ok(Json(CheckAnswer {
        good,
        diagnostics,
        choices,
    }))
}

/// Size a recipe.
#[utoipa::path(post, path = "/v1/recipes/size", request_body = SizeRequest, responses(
    (status = 200, body = SizedProcedure),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = 503, body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn size(
    State(service): State<Service>,
    Body(request): Body<SizeRequest>,
) -> Result<Json<SizedProcedure>, Failure> {
    let settings = sources::settings(&request.measures, &request.choices)?;
    let log = &service.surroundings.log;
    let shelf = request.shelf.as_ref();
    let texts = sources::with_stock(&request.recipes, shelf, &settings, log).await?;
    apart(move || {
        let (recipe, wanted) = (&request.recipe, &request.size);
        let (sizing, diagnostics) = sources::sized(&texts, recipe, &settings, wanted)?;
        let lines = diagnostics.iter().map(translate::diagnostic_line);
        Ok(Json(translate::sized_procedure(&sizing, lines.collect())))
    })
    .await
}

/// Say what can still be done with a jar, without a scale.
#[utoipa::path(post, path = "/v1/recipes/rescue", request_body = RescueRequest, responses(
    (status = 200, body = RescueAnswer),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = 503, body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn rescue(
    State(service): State<Service>,
    Body(request): Body<RescueRequest>,
) -> Result<Json<RescueAnswer>, Failure> {
    let settings = sources::settings(&request.measures, &request.choices)?;
    let log = &service.surroundings.log;
    let shelf = request.shelf.as_ref();
    let texts = sources::with_stock(&request.recipes, shelf, &settings, log).await?;
    let size = request.make.clone().map_or(Size::AsWritten, Size::Make);
    apart(move || {
        let (sizing, _) = sources::sized(&texts, &request.recipe, &settings, &size)?;
        let told = sources::told(&request, &settings)?;
        let filled = rescue::fill(&sizing.procedure, &told)?;
        Ok(Json(translate::rescue_answer(&filled)))
    })
    .await
}
