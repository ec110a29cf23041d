//! What the bench learnt from its own record, and forgetting it.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use tarehand_mixing::learnt::{Kind, Standing};
use tarehand_protocol::api::{
    ForgetLearnt, LearntKind, LearntLine, LearntList, LearntWord, Problem, SwitchLearnt,
};

use super::Service;
use super::apart::apart;
use super::problem::Failure;
use super::request::{Body, Place};
use crate::learnt::{KeptError, Learning, Lesson};

/// What was learnt, with what it rests on.
#[utoipa::path(get, path = "/v1/learnt", responses(
    (status = 200, body = LearntList),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = 503, body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn list(State(service): State<Service>) -> Result<Json<LearntList>, Failure> {
    answer(&service.learning).await
}

/// Forget what was learnt: no run up to now counts any more.
#[utoipa::path(post, path = "/v1/learnt/forget", request_body = ForgetLearnt, responses(
    (status = 200, body = LearntList),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = "5XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn forget(
    State(service): State<Service>,
    Body(said): Body<ForgetLearnt>,
) -> Result<Json<LearntList>, Failure> {
    let learning = service.learning.clone();
    apart(move || Ok(learning.forget(kind(said.kind), said.of)?)).await?;
    answer(&service.learning).await
}

/// Use what was learnt of a kind, or do not; it is still shown.
#[utoipa::path(put, path = "/v1/learnt/{kind}", request_body = SwitchLearnt,
    params(("kind" = LearntWord, Path, description = "what")),
    responses(
        (status = 200, body = LearntList),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn switch(
    State(service): State<Service>,
    Place(word): Place<String>,
    Body(said): Body<SwitchLearnt>,
) -> Result<Json<LearntList>, Failure> {
    let Some(kind) = Kind::from_word(&word) else {
        let words = Kind::ALL.map(Kind::word).join(", ");
        return Err(Failure::new(
            "not-learnt",
            StatusCode::NOT_FOUND,
            "nothing of that kind is learnt",
        )
        .detail(format!("`{word}`"))
        .hint(Some(format!("one of {words}"))));
    };
    let learning = service.learning.clone();
    apart(move || Ok(learning.switch(kind, said.on)?)).await?;
    answer(&service.learning).await
}

async fn answer(learning: &Learning) -> Result<Json<LearntList>, Failure> {
    let lessons = learning.lessons().await?;
    let kinds = Kind::ALL.map(|kind| LearntKind {
        kind: word(kind),
        on: learning.is_on(kind),
        used_in: used_in(kind).to_owned(),
        lines: lessons
            .iter()
            .filter(|lesson| lesson.of.kind == kind)
            .map(line)
            .collect(),
    });
    Ok(Json(LearntList {
        kinds: kinds.into(),
    }))
}

/// Returns an estimate with the digits that mean something.
fn rounded(estimate: f64) -> f64 {
    (estimate * 10_000.0).round() / 10_000.0
}

fn line(lesson: &Lesson) -> LearntLine {
    let (default, misses) = match lesson.learnt.standing {
        Standing::NoDefault => (None, None),
        Standing::NotBetter { default } => (Some(default), None),
        Standing::Better { default, misses } => (Some(default), Some(misses)),
    };
    LearntLine {
        of: lesson.of.key.clone(),
        name: lesson.name.clone(),
        hand: lesson.of.hand.clone(),
        value: rounded(lesson.learnt.value),
        spread: rounded(lesson.learnt.spread),
        unit: lesson.learnt.unit.symbol().to_owned(),
        runs: u32::try_from(lesson.learnt.runs).unwrap_or(u32::MAX),
        default: default.map(rounded),
        better: lesson.learnt.standing.is_better(),
        misses_percent: misses.map(|part| (part * 100.0).round()),
        used: lesson.used,
    }
}

const fn used_in(kind: Kind) -> &'static str {
    match kind {
        Kind::StopLead => "when stop is said",
        Kind::Drop => "advice: the ingredient's `drop` on the shelf",
        Kind::Teaspoon | Kind::Tablespoon => "advice: the ingredient's spoon on the shelf",
        Kind::Thinner => "advice: where thinning begins",
        Kind::Stick => "advice: what to mix more of",
        Kind::Yield => "advice: the set's `yield`",
    }
}

const fn word(kind: Kind) -> LearntWord {
    match kind {
        Kind::StopLead => LearntWord::StopLead,
        Kind::Drop => LearntWord::Drop,
        Kind::Teaspoon => LearntWord::Teaspoon,
        Kind::Tablespoon => LearntWord::Tablespoon,
        Kind::Thinner => LearntWord::Thinner,
        Kind::Stick => LearntWord::Stick,
        Kind::Yield => LearntWord::Yield,
    }
}

const fn kind(word: LearntWord) -> Kind {
    match word {
        LearntWord::StopLead => Kind::StopLead,
        LearntWord::Drop => Kind::Drop,
        LearntWord::Teaspoon => Kind::Teaspoon,
        LearntWord::Tablespoon => Kind::Tablespoon,
        LearntWord::Thinner => Kind::Thinner,
        LearntWord::Stick => Kind::Stick,
        LearntWord::Yield => Kind::Yield,
    }
}

impl From<KeptError> for Failure {
    fn from(error: KeptError) -> Self {
        let status = StatusCode::INTERNAL_SERVER_ERROR;
        Self::new("not-kept", status, "that cannot be kept")
            .detail(error.to_string())
            .hint(Some(error.hint()))
    }
}
