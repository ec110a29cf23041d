//! The recipe folder: naming it, reading it, writing into it.

use axum::Json;
use axum::extract::State;
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use tarehand_mixing::label::Days;
use tarehand_protocol::api::{
    FileWord, FolderAnswer, FolderFile, LeftOut, NameFolder, Problem, RecipeFile, WriteFile,
};

use super::Service;
use super::apart::apart;
use super::problem::Failure;
use super::request::{Body, Place};
use crate::folder::{Chosen, FolderError, Kind, Paper, Papers, RecipeFolder, Replaces, Stem, mark};

/// What is in the recipe folder.
#[utoipa::path(get, path = "/v1/folder", responses(
    (status = 200, body = FolderAnswer),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = "5XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn read(State(service): State<Service>) -> Result<Json<FolderAnswer>, Failure> {
    apart(move || Ok(Json(answer(&service.folder)?))).await
}

/// Name the recipe folder; only the owner may.
#[utoipa::path(put, path = "/v1/folder", request_body = NameFolder, responses(
    (status = 200, body = FolderAnswer),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = "5XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn name(
    State(service): State<Service>,
    Body(said): Body<NameFolder>,
) -> Result<Json<FolderAnswer>, Failure> {
    // Measures nobody knows are said now, not with every recipe.
    let _measures = super::sources::settings(&said.measures, &std::collections::BTreeMap::new())?;
    // So is a time that no label takes.
    if let Some(days) = said.best_before_days
        && Days::new(days).is_none()
    {
        return Err(Failure::new(
            "bad-days",
            StatusCode::UNPROCESSABLE_ENTITY,
            "no mix is good for so many days",
        )
        .detail(format!("`best_before_days` is {days}"))
        .hint(Some("say 1 to 36500 days, or leave it out")));
    }
    apart(move || {
        service.folder.name(Chosen {
            path: said.path.into(),
            measures: said.measures,
            grow_by_percent: said.grow_by_percent,
            best_before_days: said.best_before_days,
        })?;
        Ok(Json(answer(&service.folder)?))
    })
    .await
}

/// Put a text in the place of the one that was read (`If-Match`), or where none is (`If-None-Match: *`).
#[utoipa::path(put, path = "/v1/folder/{stem}", request_body = WriteFile,
    params(
        ("stem" = String, Path, description = "the file's name without its ending"),
        ("if-match" = Option<String>, Header, description = "the mark of the text that is replaced, between quotes"),
        ("if-none-match" = Option<String>, Header, description = "`*`: there is no such file yet"),
    ),
    responses(
        (status = 200, body = FolderFile),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn write(
    State(service): State<Service>,
    Place(stem): Place<String>,
    fields: HeaderMap,
    Body(said): Body<WriteFile>,
) -> Result<Response, Failure> {
    let stem: Stem = stem.parse().map_err(|error: crate::folder::StemError| {
        Failure::new(
            "bad-name",
            StatusCode::UNPROCESSABLE_ENTITY,
            "a file cannot be named so",
        )
        .detail(error.to_string())
    })?;
    let replaces = replaces(&fields)?;
    let paper = apart(move || Ok(service.folder.write(stem, said.text, &replaces)?)).await?;
    let file = file(paper);
    let known = HeaderValue::from_str(&format!("\"{}\"", file.mark));
    let known = known.map(|mark| [(header::ETAG, mark)]);
    Ok(match known {
        Ok(fields) => (fields, Json(file)).into_response(),
        Err(_) => Json(file).into_response(),
    })
}

/// Reads the condition of a write (RFC 9110, section 13.1): without one a text would take the place of one unread.
fn replaces(fields: &HeaderMap) -> Result<Replaces, Failure> {
    let text = |name: HeaderName| fields.get(name).and_then(|value| value.to_str().ok());
    if let Some(known) = text(header::IF_MATCH) {
        return Ok(Replaces::Marked(known.trim().trim_matches('"').to_owned()));
    }
    if text(header::IF_NONE_MATCH).map(str::trim) == Some("*") {
        return Ok(Replaces::Nothing);
    }
    Err(Failure::new(
        "no-condition",
        StatusCode::PRECONDITION_REQUIRED,
        "it must be said what the text replaces",
    )
    .hint(Some(
        "send the mark of what was read in `If-Match`, or `If-None-Match: *` for a new file",
    )))
}

/// Returns the file of a recipe among those of a folder, by its text, else by the name that stands in it.
pub(super) fn file_of(papers: &[Paper], text: &str, name: &str) -> Option<RecipeFile> {
    let recipes = || papers.iter().filter(|paper| paper.kind == Kind::Recipe);
    let same = recipes().find(|paper| paper.text == text);
    let named = || recipes().find(|paper| paper.name.as_deref() == Some(name));
    let file = |paper: &Paper, changed| RecipeFile {
        file: format!("{}.toml", paper.stem.as_str()),
        changed,
    };
    if text.is_empty() {
        return None;
    }
    same.map(|paper| file(paper, false))
        .or_else(|| named().map(|paper| file(paper, true)))
}

fn answer(folder: &RecipeFolder) -> Result<FolderAnswer, FolderError> {
    let (chosen, Papers { read, unread }) = folder.read()?;
    Ok(FolderAnswer {
        path: chosen.path.display().to_string(),
        measures: chosen.measures,
        grow_by_percent: chosen.grow_by_percent,
        best_before_days: chosen.best_before_days,
        files: read.into_iter().map(file).collect(),
        left_out: unread
            .into_iter()
            .map(|left| LeftOut {
                file: left.file,
                why: left.why,
            })
            .collect(),
    })
}

fn file(paper: Paper) -> FolderFile {
    FolderFile {
        stem: paper.stem.as_str().to_owned(),
        kind: match paper.kind {
            Kind::Recipe => FileWord::Recipe,
            Kind::Set => FileWord::Set,
            Kind::Shelf => FileWord::Shelf,
        },
        name: paper.name,
        common: paper.common,
        mark: mark(paper.text.as_bytes()),
        text: paper.text,
    }
}

impl From<FolderError> for Failure {
    fn from(error: FolderError) -> Self {
        let (name, status) = match error {
            FolderError::None => ("no-folder", StatusCode::NOT_FOUND),
            FolderError::NoFolder { .. } => ("bad-folder", StatusCode::UNPROCESSABLE_ENTITY),
            FolderError::Changed => ("changed-meanwhile", StatusCode::PRECONDITION_FAILED),
            FolderError::TooLarge => ("body-too-large", StatusCode::PAYLOAD_TOO_LARGE),
            FolderError::Read { .. } | FolderError::Write { .. } => {
                ("no-file", StatusCode::INTERNAL_SERVER_ERROR)
            }
        };
        let cause = std::error::Error::source(&error).map(|cause| format!(": {cause}"));
        let detail = format!("{error}{}", cause.unwrap_or_default());
        Self::new(name, status, "the recipe folder cannot be used so")
            .detail(detail)
            .hint(Some(error.hint()))
    }
}
