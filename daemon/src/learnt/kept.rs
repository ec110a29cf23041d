//! What the person said about learning: what is off, and since when runs count.

use std::collections::BTreeSet;
use std::io;
use std::path::{Path, PathBuf};

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use tarehand_mixing::learnt::{Kind, Of};

use crate::whole_file::{self, Unread};

/// What is kept. What was learnt itself never is: it follows from the log.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Kept {
    /// The kinds that are not used, by their words.
    #[serde(default)]
    off: BTreeSet<String>,
    /// What was forgotten.
    #[serde(default)]
    forgotten: Vec<Forgotten>,
}

/// That runs before a moment do not count.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Forgotten {
    kind: String,
    /// Of which ingredient or recipe; of all where none is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    of: Option<String>,
    before: Timestamp,
}

/// Why it cannot be kept or read.
#[derive(Debug, thiserror::Error)]
pub enum KeptError {
    /// It cannot be read or written.
    #[error("cannot keep what is learnt from in {}", path.display())]
    File {
        /// Which file.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// It was changed by something else.
    #[error("{} is not what the service wrote: {why}", path.display())]
    Strange {
        /// Which file.
        path: PathBuf,
        /// What is wrong.
        why: String,
    },
}

impl KeptError {
    /// Returns what the person can do about it.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::File { .. } => "see who owns that folder, and whether the disk is full",
            Self::Strange { .. } => {
                "put the file away; everything is on then, and nothing is forgotten"
            }
        }
    }
}

impl Kept {
    /// Reads what was kept; nothing where there is no file.
    pub(super) fn read(path: &Path) -> Result<Self, KeptError> {
        whole_file::read_json(path).map_err(|unread| match unread {
            Unread::File(source) => file(path)(source),
            Unread::Strange(why) => KeptError::Strange {
                path: path.to_owned(),
                why,
            },
        })
    }

    /// Writes it whole or not at all, for its owner's eyes.
    pub(super) fn write(&self, path: &Path) -> Result<(), KeptError> {
        whole_file::write_json(path, self).map_err(file(path))
    }

    pub(super) fn is_on(&self, kind: Kind) -> bool {
        !self.off.contains(kind.word())
    }

    pub(super) fn switch(&mut self, kind: Kind, on: bool) {
        if on {
            self.off.remove(kind.word());
        } else {
            self.off.insert(kind.word().to_owned());
        }
    }

    pub(super) fn forget(&mut self, kind: Kind, of: Option<String>, before: Timestamp) {
        // What is forgotten of all is forgotten of each.
        self.forgotten
            .retain(|one| one.kind != kind.word() || (of.is_some() && one.of != of));
        self.forgotten.push(Forgotten {
            kind: kind.word().to_owned(),
            of,
            before,
        });
    }

    /// Returns whether a run of that moment counts.
    pub(super) fn counts(&self, of: &Of, at: Timestamp) -> bool {
        let mut forgotten = self.forgotten.iter();
        !forgotten.any(|one| {
            let meant = one.of.as_ref().is_none_or(|key| *key == of.key);
            one.kind == of.kind.word() && meant && at <= one.before
        })
    }
}

fn file(path: &Path) -> impl FnOnce(io::Error) -> KeptError {
    move |source| KeptError::File {
        path: path.to_owned(),
        source,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    fn of(kind: Kind, key: &str) -> Of {
        Of {
            kind,
            key: key.to_owned(),
            hand: None,
        }
    }

    fn at(second: i64) -> Timestamp {
        Timestamp::from_second(second).unwrap()
    }

    #[test]
    fn what_is_kept_is_read_again() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("learnt.json");
        assert_eq!(Kept::read(&path).unwrap(), Kept::default());
        let mut kept = Kept::default();
        kept.switch(Kind::Drop, false);
        kept.forget(Kind::StopLead, Some("chalk".to_owned()), at(100));
        kept.write(&path).unwrap();
        assert_eq!(Kept::read(&path).unwrap(), kept);
        fs::write(&path, "[").unwrap();
        let error = Kept::read(&path).unwrap_err();
        assert!(error.to_string().contains("learnt.json is not"), "{error}");
    }

    #[test]
    fn runs_up_to_the_moment_of_forgetting_do_not_count() {
        let mut kept = Kept::default();
        kept.forget(Kind::StopLead, Some("chalk".to_owned()), at(100));
        let (chalk, black) = (of(Kind::StopLead, "chalk"), of(Kind::StopLead, "black"));
        assert!(!kept.counts(&chalk, at(100)));
        assert!(kept.counts(&chalk, at(101)));
        assert!(kept.counts(&black, at(1)));
        assert!(kept.counts(&of(Kind::Drop, "chalk"), at(1)));
        kept.forget(Kind::StopLead, None, at(200));
        assert!(!kept.counts(&black, at(150)) && !kept.counts(&chalk, at(150)));
        assert_eq!(kept.forgotten.len(), 1, "one word for all stands for each");
    }

    #[test]
    fn what_is_off_is_on_again_when_that_is_said() {
        let mut kept = Kept::default();
        assert!(kept.is_on(Kind::StopLead));
        kept.switch(Kind::StopLead, false);
        assert!(!kept.is_on(Kind::StopLead) && kept.is_on(Kind::Drop));
        kept.switch(Kind::StopLead, true);
        assert_eq!(kept, Kept::default());
    }
}
