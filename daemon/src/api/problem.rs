//! Problem documents (RFC 9457) from whatever went wrong.

use axum::Json;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use tarehand_mixing::rescue::FillError;
use tarehand_mixing::session::Refusal;
use tarehand_mixing::sizing::SizeError;
use tarehand_protocol::api::Problem;

use crate::bench::BenchError;
use crate::bench::attach::AttachError;
use crate::journal::ReadError;
use crate::log::LogError;

/// A request that failed, on its way to the client.
#[derive(Debug)]
pub struct Failure(Box<Problem>);

impl Failure {
    /// Makes a failure: a stable name, the HTTP status, and the kind in a few words.
    #[must_use]
    pub fn new(name: &str, status: StatusCode, title: &str) -> Self {
        Self(Box::new(Problem {
            kind: format!("urn:tarehand:problem:{name}"),
            title: title.to_owned(),
            status: status.as_u16(),
            detail: None,
            reason: None,
            hint: None,
        }))
    }

    /// Adds what happened.
    #[must_use]
    pub fn detail(mut self, detail: impl Into<String>) -> Self {
        self.0.detail = Some(detail.into());
        self
    }

    /// Adds which of the reasons of its kind it is, as a stable word.
    #[must_use]
    pub fn reason(mut self, word: Option<&str>) -> Self {
        self.0.reason = word.map(str::to_owned);
        self
    }

    /// Adds what the person can do about it.
    #[must_use]
    pub fn hint(mut self, hint: Option<impl Into<String>>) -> Self {
        self.0.hint = hint.map(Into::into);
        self
    }
}

impl IntoResponse for Failure {
    fn into_response(self) -> Response {
        let status =
            StatusCode::from_u16(self.0.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        let mut response = (status, Json(&*self.0)).into_response();
        response.headers_mut().insert(
            header::CONTENT_TYPE,
            HeaderValue::from_static("application/problem+json"),
        );
        response
    }
}

impl From<BenchError> for Failure {
    fn from(error: BenchError) -> Self {
        let (name, status, title) = match &error {
            BenchError::Refused(refusal) => refused(*refusal),
            BenchError::Busy { .. } => {
                ("bench-busy", StatusCode::CONFLICT, "a batch is being made")
            }
            BenchError::NoBatch => ("no-batch", StatusCode::CONFLICT, "no batch is being made"),
            BenchError::OnlyHeard => (
                "scale-only-heard",
                StatusCode::CONFLICT,
                "the scale is only heard",
            ),
            BenchError::NoScale => ("no-scale", StatusCode::CONFLICT, "no scale is attached"),
            BenchError::SamePort { .. } => (
                "same-port",
                StatusCode::CONFLICT,
                "that port is the other scale",
            ),
            BenchError::Attach(error) => attach(error),
            BenchError::Log(error) => return Self::from(error.clone()),
            BenchError::Stopped => (
                "stopping",
                StatusCode::SERVICE_UNAVAILABLE,
                "the service is stopping",
            ),
        };
        let reason = match &error {
            BenchError::Refused(refusal) => Some(refusal.word()),
            _ => None,
        };
        Self::new(name, status, title)
            .detail(error.to_string())
            .reason(reason)
            .hint(error.hint())
    }
}

const fn refused(refusal: Refusal) -> (&'static str, StatusCode, &'static str) {
    match refusal {
        Refusal::NotATrail => (
            "not-a-trail",
            StatusCode::UNPROCESSABLE_ENTITY,
            "that is no trail",
        ),
        Refusal::NoSuchJar => ("no-such-jar", StatusCode::NOT_FOUND, "there is no such jar"),
        Refusal::NotAnAnswer => (
            "not-an-answer",
            StatusCode::UNPROCESSABLE_ENTITY,
            "that is no answer",
        ),
        Refusal::Over
        | Refusal::NoJar
        | Refusal::NoWeight
        | Refusal::Paused
        | Refusal::NotPaused
        | Refusal::NothingBefore
        | Refusal::NothingToUndo
        | Refusal::NothingAsked
        | Refusal::Asked
        | Refusal::NotFeasible
        | Refusal::NothingPoured
        | Refusal::SameIngredient
        | Refusal::NotTiming
        | Refusal::BottleAway
        | Refusal::NotTheJar
        | Refusal::WeighedSo
        | Refusal::JarInUse
        | Refusal::NotGone => ("not-now", StatusCode::CONFLICT, "that cannot be done now"),
    }
}

const fn attach(error: &AttachError) -> (&'static str, StatusCode, &'static str) {
    match error {
        AttachError::Unit(_) => (
            "unknown-unit",
            StatusCode::UNPROCESSABLE_ENTITY,
            "the unit is not known",
        ),
        AttachError::Profile(_) => (
            "bad-profile",
            StatusCode::UNPROCESSABLE_ENTITY,
            "the scale profile is wrong",
        ),
        AttachError::NoPort => (
            "no-port",
            StatusCode::UNPROCESSABLE_ENTITY,
            "the port has no name",
        ),
        AttachError::NoPlace => (
            "no-place",
            StatusCode::UNPROCESSABLE_ENTITY,
            "one scale is needed",
        ),
        AttachError::FineHeard => (
            "fine-heard",
            StatusCode::UNPROCESSABLE_ENTITY,
            "the finer scale cannot be heard",
        ),
        AttachError::NotByRadio => (
            "not-by-radio",
            StatusCode::UNPROCESSABLE_ENTITY,
            "the scale profile says nothing of Bluetooth",
        ),
    }
}

impl From<LogError> for Failure {
    fn from(error: LogError) -> Self {
        let (name, status, title) = match &error {
            LogError::NoBatch { .. } => (
                "no-such-batch",
                StatusCode::NOT_FOUND,
                "there is no such batch",
            ),
            _ => (
                "log-trouble",
                StatusCode::SERVICE_UNAVAILABLE,
                "the log cannot be used",
            ),
        };
        Self::new(name, status, title)
            .detail(error.to_string())
            .hint(error.hint())
    }
}

impl From<ReadError> for Failure {
    fn from(error: ReadError) -> Self {
        match error {
            ReadError::Log(error) => error.into(),
            ReadError::Entry { .. } | ReadError::NoOpening { .. } => Self::new(
                "unreadable-batch",
                StatusCode::INTERNAL_SERVER_ERROR,
                "the batch cannot be read",
            )
            .detail(error.to_string())
            .hint(Some(
                "was it written by a newer version? update the service",
            )),
        }
    }
}

impl From<FillError> for Failure {
    fn from(error: FillError) -> Self {
        Self::new(
            "no-such-jar",
            StatusCode::UNPROCESSABLE_ENTITY,
            "what is told of the jar does not fit",
        )
        .detail(error.to_string())
        .hint(Some(error.hint()))
    }
}

impl From<SizeError> for Failure {
    fn from(error: SizeError) -> Self {
        Self::new(
            "not-sizeable",
            StatusCode::UNPROCESSABLE_ENTITY,
            "the recipe cannot be sized so",
        )
        .detail(error.to_string())
    }
}
