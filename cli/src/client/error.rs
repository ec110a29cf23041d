//! Why the service could not be asked.

use std::io;
use std::path::PathBuf;
use std::time::Duration;

use tarehand_protocol::api::Problem;

use crate::failure::Exit;

/// Why the service could not be asked, or what it answered.
#[derive(Debug, thiserror::Error)]
pub(crate) enum ClientError {
    /// Nobody listens on the socket.
    #[error("the service is not running")]
    NotRunning,
    /// The socket could not be used.
    #[error("cannot reach the service at {}", socket.display())]
    Connect {
        /// Where.
        socket: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// The service did not answer in time.
    #[error("the service did not answer within {} s ({what})", limit.as_secs())]
    TimedOut {
        /// What was asked.
        what: String,
        /// How long we waited.
        limit: Duration,
    },
    /// The conversation broke off.
    #[error("the conversation with the service broke off ({what})")]
    Broken {
        /// What was asked.
        what: String,
        /// Why.
        source: Box<dyn std::error::Error + Send + Sync>,
    },
    /// The answer has a form this version does not know.
    #[error("the service's answer to {what} is not understood")]
    NotUnderstood {
        /// What was asked.
        what: String,
        /// Why.
        source: serde_json::Error,
    },
    /// The service speaks another version of the API.
    #[error(
        "this command speaks API {ours}, the running service (version {version}) speaks API {theirs}"
    )]
    ApiDiffers {
        /// Our number.
        ours: u32,
        /// The service's number.
        theirs: u32,
        /// The service's version.
        version: String,
    },
    /// The service refused, and said why.
    #[error("{}", problem_text(.0))]
    Problem(Box<Problem>),
}

fn problem_text(problem: &Problem) -> String {
    match &problem.detail {
        // What is wrong in this case may say all that is wrong in general.
        Some(detail) if begins_alike(detail, &problem.title) => detail.clone(),
        Some(detail) => format!("{}: {detail}", problem.title),
        None => problem.title.clone(),
    }
}

fn begins_alike(text: &str, beginning: &str) -> bool {
    text.to_lowercase().starts_with(&beginning.to_lowercase())
}

impl ClientError {
    /// Returns the code a command exits with.
    pub(crate) const fn exit(&self) -> Exit {
        match self {
            Self::NotRunning
            | Self::Connect { .. }
            | Self::TimedOut { .. }
            | Self::Broken { .. }
            | Self::ApiDiffers { .. } => Exit::Unavailable,
            Self::NotUnderstood { .. } => Exit::Failed,
            Self::Problem(problem) => match problem.status {
                429 => Exit::TryAgain,
                503 => Exit::Unavailable,
                _ => Exit::Failed,
            },
        }
    }

    /// Returns what the person can do about it.
    pub(crate) fn hint(&self) -> Option<String> {
        let hint = match self {
            Self::NotRunning => "`tarehand mix RECIPE` starts it when it is needed",
            Self::Connect { .. } => "see who owns that socket and its folder",
            Self::TimedOut { .. } => {
                "ask again; if it stays silent, end it with `tarehand stop` and start anew: the log keeps the batch"
            }
            Self::Broken { .. } => {
                "ask again; `tarehand status` tells whether the service still runs"
            }
            Self::NotUnderstood { .. } => {
                "service and command may be of different versions: `tarehand status` shows the service's"
            }
            Self::ApiDiffers { ours, theirs, .. } if ours < theirs => {
                "update this command, or end the newer service with its own `tarehand stop`"
            }
            Self::ApiDiffers { .. } => {
                "update the service: `tarehand stop` ends the old one, the next command starts the new one"
            }
            Self::Problem(problem) => return problem.hint.clone(),
        };
        Some(hint.to_owned())
    }

    /// Returns whether asking again later may work.
    pub(crate) const fn is_passing(&self) -> bool {
        match self {
            Self::NotRunning
            | Self::Connect { .. }
            | Self::TimedOut { .. }
            | Self::Broken { .. } => true,
            Self::NotUnderstood { .. } | Self::ApiDiffers { .. } | Self::Problem(_) => false,
        }
    }
}
