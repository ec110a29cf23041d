//! The service's voice, for browsers that have none.

use axum::Json;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use tarehand_protocol::api::{LanguageWord, Problem, SayAloud, VoiceState};

use super::Service;
use super::problem::Failure;
use super::request::Body;
use crate::speech::{Language, SpeechError, Text};

/// Which languages the service speaks; none where it has no voice.
#[utoipa::path(get, path = "/v1/page/voice", responses(
    (status = 200, body = VoiceState),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn languages(State(service): State<Service>) -> Json<VoiceState> {
    let languages = if service.speech.is_there().await {
        vec![LanguageWord::En, LanguageWord::De]
    } else {
        Vec::new()
    };
    Json(VoiceState { languages })
}

/// Say a text: the sound of it, as a WAV file.
#[utoipa::path(post, path = "/v1/page/voice", request_body = SayAloud, responses(
    (status = 200, description = "the sound", body = Vec<u8>, content_type = "audio/wav"),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = 503, body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn say(
    State(service): State<Service>,
    Body(said): Body<SayAloud>,
) -> Result<Response, Failure> {
    let text = Text::new(said.text).ok_or_else(|| {
        let status = StatusCode::UNPROCESSABLE_ENTITY;
        let most = Text::MOST;
        Failure::new("not-sayable", status, "that cannot be said").hint(Some(format!(
            "send at least one character and at most {most}"
        )))
    })?;
    let language = match said.language {
        LanguageWord::En => Language::English,
        LanguageWord::De => Language::German,
    };
    let sound = service.speech.say(language, &text).await?;
    let fields = [
        (header::CONTENT_TYPE, "audio/wav"),
        (header::CACHE_CONTROL, "no-store"),
    ];
    Ok((fields, sound).into_response())
}

impl From<SpeechError> for Failure {
    fn from(error: SpeechError) -> Self {
        let name = match error {
            SpeechError::Missing => "no-voice",
            SpeechError::TooSlow => "voice-slow",
            SpeechError::NoSound | SpeechError::System(_) => "voice-failed",
        };
        let status = StatusCode::SERVICE_UNAVAILABLE;
        Self::new(name, status, "the service has no voice now")
            .detail(error.to_string())
            .hint(Some(error.hint()))
    }
}
