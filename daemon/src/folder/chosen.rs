//! Which folder it is, shared by all handlers and kept over a restart.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use serde::{Deserialize, Serialize};
use tarehand_protocol::api::MeasuresSaid;

use super::files::{self, Paper, Papers, Replaces};
use super::stem::Stem;
use crate::whole_file::{self, Unread};

/// The folder that was named, and how its recipes are meant.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Chosen {
    /// Its whole path.
    pub path: PathBuf,
    /// Which kitchen measures its recipes mean.
    #[serde(default)]
    pub measures: MeasuresSaid,
    /// A rescue may make a batch grow by at most so many percent without asking.
    #[serde(default)]
    pub grow_by_percent: Option<u32>,
    /// For how many days a mix is good.
    #[serde(default)]
    pub best_before_days: Option<u32>,
}

/// The recipe folder of one service.
#[derive(Clone, Debug)]
pub struct RecipeFolder(Arc<Shared>);

#[derive(Debug)]
struct Shared {
    /// The file that says which folder it is.
    kept: PathBuf,
    common_shelf: PathBuf,
    /// Held while a file is written too: of two who write at once one is late, and is told.
    chosen: Mutex<Option<Chosen>>,
}

/// Why the folder cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum FolderError {
    /// None was named.
    #[error("no recipe folder was named")]
    None,
    /// It is no folder, or not a whole path.
    #[error("{} is no folder of this machine", path.display())]
    NoFolder {
        /// What was named.
        path: PathBuf,
    },
    /// It cannot be read.
    #[error("cannot read {}", path.display())]
    Read {
        /// What.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// It cannot be written.
    #[error("cannot write {}", path.display())]
    Write {
        /// What.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// Somebody else wrote it meanwhile.
    #[error("the file was changed meanwhile, or is there already")]
    Changed,
    /// The text is longer than a recipe is.
    #[error("the text is too long for a recipe")]
    TooLarge,
}

impl FolderError {
    /// Returns what the person can do about it.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::None => "name it at the machine: tarehand page --recipes DIR",
            Self::NoFolder { .. } => "name a folder that is there, by its whole path",
            Self::Read { .. } => "see who owns it",
            Self::Write { .. } => "see who owns it, and whether the disk is full",
            Self::Changed => "read it again, and put your change into that",
            Self::TooLarge => "make it shorter",
        }
    }
}

impl RecipeFolder {
    /// Takes up the folder that was named before; a file that cannot be read names none, which is said in the log.
    #[must_use]
    pub fn take_up(kept: PathBuf, common_shelf: PathBuf) -> Self {
        let chosen = whole_file::read_json(&kept).unwrap_or_else(|unread| {
            let why = match unread {
                Unread::File(error) => error.to_string(),
                Unread::Strange(why) => why,
            };
            tracing::warn!(path = %kept.display(), %why, "no recipe folder is known");
            None
        });
        Self(Arc::new(Shared {
            kept,
            common_shelf,
            chosen: Mutex::new(chosen),
        }))
    }

    fn chosen(&self) -> MutexGuard<'_, Option<Chosen>> {
        self.0.chosen.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Names the folder.
    ///
    /// # Errors
    /// When it is none, or cannot be kept.
    pub fn name(&self, chosen: Chosen) -> Result<(), FolderError> {
        if !chosen.path.is_absolute() || !chosen.path.is_dir() {
            return Err(FolderError::NoFolder { path: chosen.path });
        }
        let mut known = self.chosen();
        whole_file::write_json(&self.0.kept, &chosen)
            .map_err(|source| write_failed(&self.0.kept, source))?;
        *known = Some(chosen);
        drop(known);
        Ok(())
    }

    /// Reads all that lies in it.
    ///
    /// # Errors
    /// When none was named, or it cannot be read.
    pub fn read(&self) -> Result<(Chosen, Papers), FolderError> {
        let chosen = self.chosen().clone().ok_or(FolderError::None)?;
        let papers = files::read_all(&chosen.path, &self.0.common_shelf)?;
        Ok((chosen, papers))
    }

    /// Puts a text in the place of another, and returns it as it is read from now on.
    ///
    /// A shelf that the folder does not have is the common one, which is written where it lies.
    ///
    /// # Errors
    /// When none was named, somebody else was faster, or it cannot be written.
    pub fn write(
        &self,
        stem: Stem,
        text: String,
        replaces: &Replaces,
    ) -> Result<Paper, FolderError> {
        let known = self.chosen();
        let folder = known.as_ref().ok_or(FolderError::None)?;
        let own = stem.file_in(&folder.path);
        let common = stem.is_shelf() && !own.exists() && self.0.common_shelf.exists();
        let path = if common { &self.0.common_shelf } else { &own };
        files::write(path, &text, replaces)?;
        drop(known);
        Ok(Paper {
            common,
            ..Paper::of(stem, text)
        })
    }
}

fn write_failed(path: &Path, source: io::Error) -> FolderError {
    FolderError::Write {
        path: path.to_owned(),
        source,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_folder_is_known_again_after_a_restart() {
        let home = tempfile::tempdir().unwrap();
        let kept = home.path().join("recipes.json");
        let take_up = || RecipeFolder::take_up(kept.clone(), home.path().join("none"));
        assert!(matches!(take_up().read(), Err(FolderError::None)));
        let chosen = Chosen {
            path: home.path().to_owned(),
            measures: MeasuresSaid::default(),
            grow_by_percent: Some(5),
            best_before_days: Some(84),
        };
        take_up().name(chosen.clone()).unwrap();
        assert_eq!(take_up().read().unwrap().0, chosen);
        let nowhere = Chosen {
            path: home.path().join("nowhere"),
            ..chosen
        };
        let error = take_up().name(nowhere).unwrap_err();
        assert!(matches!(error, FolderError::NoFolder { .. }), "{error:?}");
    }
}
