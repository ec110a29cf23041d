//! Putting a copy of the log back, while no service runs.

use std::path::Path;

use super::instance::{Instance, InstanceError};
use crate::folders::{Folders, FoldersError};
use crate::log::{LogError, Restored, restore_file};

/// Why a copy was not put back.
#[derive(Debug, thiserror::Error)]
pub enum RestoreError {
    /// The folders are not to be had.
    #[error(transparent)]
    Folders(#[from] FoldersError),
    /// The service runs.
    #[error(transparent)]
    Instance(#[from] InstanceError),
    /// The copy or the log cannot be read or written.
    #[error(transparent)]
    Log(#[from] LogError),
}

impl RestoreError {
    /// Returns what the person can do about it.
    #[must_use]
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::Folders(error) => Some(error.hint()),
            Self::Instance(InstanceError::Running { .. }) => Some(
                "stop it first: tarehand stop; a batch that runs is in the log that is set aside",
            ),
            Self::Instance(error) => Some(error.hint()),
            Self::Log(error) => error.hint(),
        }
    }
}

/// Puts a copy in the place of the log, which is kept beside it.
///
/// # Errors
/// While a service runs, or when the copy is not whole: nothing has changed then.
pub fn restore(folders: &Folders, from: &Path) -> Result<Restored, RestoreError> {
    folders.make()?;
    // As long as this is held no service begins.
    let instance = Instance::claim(folders)?;
    let moment = jiff::Timestamp::now().strftime("%Y%m%dT%H%M%SZ");
    let restored = restore_file(from, &folders.log(), &moment.to_string());
    drop(instance);
    Ok(restored?)
}
