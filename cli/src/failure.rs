//! What ends a command early, and the code it exits with.

use std::error::Error;
use std::process::ExitCode;

use tarehand_mixing::shelf::EditError;
use tarehandd::folders::FoldersError;

use crate::client::ClientError;
use crate::files::FilesError;
use crate::output::OutputError;
use crate::service::ServiceError;
use crate::settings::SettingsError;
use crate::terminal::TerminalError;

/// The codes a command exits with; the same as in `sysexits.h` where one fits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Exit {
    /// It was done.
    Done = 0,
    /// It failed, or the batch was given up.
    Failed = 1,
    /// It was called wrongly.
    Usage = 2,
    /// The service or a scale cannot be reached.
    Unavailable = 69,
    /// Not now; later it may work.
    TryAgain = 75,
    /// A setting is wrong.
    Configuration = 78,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit as u8)
    }
}

/// Why a command could not do its work.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Failure {
    /// Talking to the service failed.
    #[error(transparent)]
    Client(#[from] ClientError),
    /// The service could not be started.
    #[error(transparent)]
    Service(#[from] ServiceError),
    /// A file could not be read.
    #[error(transparent)]
    Files(#[from] FilesError),
    /// The settings are wrong.
    #[error(transparent)]
    Settings(#[from] SettingsError),
    /// There is no place to keep things.
    #[error(transparent)]
    Folders(#[from] FoldersError),
    /// The output could not be written.
    #[error(transparent)]
    Output(#[from] OutputError),
    /// The terminal could not be used.
    #[error(transparent)]
    Terminal(#[from] TerminalError),
    /// The shelf could not be changed as wished.
    #[error(transparent)]
    Shelf(#[from] EditError),
    /// The command was called in a way that cannot work.
    #[error("{what}")]
    Usage {
        /// What is wrong.
        what: String,
        /// What would be right.
        hint: String,
    },
    /// The work could not be done, in the command's own words.
    #[error("{what}")]
    Refused {
        /// What happened.
        what: String,
        /// What to do next.
        hint: Option<String>,
    },
    /// Something that must be there is not.
    #[error("{what}")]
    Missing {
        /// What happened.
        what: String,
        /// What to do next.
        hint: String,
    },
}

impl Failure {
    /// Returns the code to exit with.
    pub(crate) fn exit(&self) -> Exit {
        match self {
            Self::Client(error) => error.exit(),
            Self::Service(error) => error.exit(),
            Self::Settings(_) | Self::Folders(_) => Exit::Configuration,
            Self::Usage { .. } => Exit::Usage,
            Self::Missing { .. } => Exit::Unavailable,
            Self::Output(OutputError::Closed) => Exit::Done,
            Self::Output(OutputError::Io { .. })
            | Self::Files(_)
            | Self::Shelf(_)
            | Self::Terminal(_)
            | Self::Refused { .. } => Exit::Failed,
        }
    }

    /// Returns what the person can do about it.
    pub(crate) fn hint(&self) -> Option<String> {
        match self {
            Self::Client(error) => error.hint(),
            Self::Service(error) => Some(error.hint()),
            Self::Files(error) => Some(error.hint().to_owned()),
            Self::Shelf(error) => Some(error.hint()),
            Self::Settings(error) => Some(error.hint().to_owned()),
            Self::Folders(error) => Some(error.hint().to_owned()),
            Self::Usage { hint, .. } | Self::Missing { hint, .. } => Some(hint.clone()),
            Self::Refused { hint, .. } => hint.clone(),
            Self::Output(_) | Self::Terminal(_) => None,
        }
    }

    /// Returns whether there is anything left to tell.
    pub(crate) const fn is_silent(&self) -> bool {
        matches!(self, Self::Output(OutputError::Closed))
    }

    /// Returns the causes, outermost first.
    pub(crate) fn causes(&self) -> Vec<String> {
        let mut causes = Vec::new();
        let mut next = self.source();
        while let Some(cause) = next {
            causes.push(cause.to_string());
            next = cause.source();
        }
        causes
    }
}
