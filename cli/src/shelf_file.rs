//! The shelf file: found, read, and replaced whole.

use std::fs::{self, DirBuilder, File};
use std::io;
use std::os::unix::fs::DirBuilderExt;
use std::path::{Path, PathBuf};

use tarehand_mixing::diagnostic::{Diagnostic, Paint, render};
use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::shelf::{Edit, Shelf};
use tarehand_mixing::units::Measures;
use tarehandd::whole_file::{self, Existing, Readers};

use crate::failure::Failure;
use crate::files::{FilesError, read_source};
use crate::output::{Ink, Output};

/// Where a shelf is kept, and its text.
#[derive(Debug)]
pub(crate) struct ShelfFile {
    path: PathBuf,
    source: Source,
}

impl ShelfFile {
    /// Reads the shelf: the one named, else the one in this folder, else the common one.
    pub(crate) fn read(named: Option<&Path>, common: &Path) -> Result<Self, Failure> {
        let path = Self::place(named, common);
        match read_source(&path) {
            Ok(source) => Ok(Self { path, source }),
            Err(FilesError::Missing { path }) => Err(Failure::Refused {
                what: format!("there is no shelf {}", path.display()),
                hint: Some("begin one: tarehand shelf add chalk-white --holds 1kg".to_owned()),
            }),
            Err(error) => Err(error.into()),
        }
    }

    /// Reads the shelf; where there is none it is empty, and is made when it is written.
    pub(crate) fn read_or_begin(named: Option<&Path>, common: &Path) -> Result<Self, Failure> {
        let path = Self::place(named, common);
        let source = match read_source(&path) {
            Err(FilesError::Missing { path }) => Source::new(path.display().to_string(), ""),
            read => read?,
        };
        Ok(Self { path, source })
    }

    fn place(named: Option<&Path>, common: &Path) -> PathBuf {
        let own = Path::new("shelf.toml");
        match named {
            Some(named) => named.to_owned(),
            None if own.is_file() => own.to_owned(),
            None => common.to_owned(),
        }
    }

    /// Returns where it is kept, for people.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// Returns its text, with the name that messages call it by.
    pub(crate) const fn source(&self) -> &Source {
        &self.source
    }

    /// Returns the shelf; every mistake in it is shown, and ends the command.
    pub(crate) fn parsed(&self, measures: Measures, output: &mut Output) -> Result<Shelf, Failure> {
        parsed(&self.source, measures, output)
    }

    /// Begins to change it.
    pub(crate) fn edit(&self) -> Result<Edit, Failure> {
        Ok(Edit::new(self.source.text())?)
    }

    /// Puts the changed text in its place, if it is a shelf still.
    pub(crate) fn replace(
        &self,
        edit: &Edit,
        measures: Measures,
        output: &mut Output,
    ) -> Result<(), Failure> {
        let text = edit.text();
        let _shelf = parsed(
            &Source::new(self.source.file(), text.clone()),
            measures,
            output,
        )?;
        let failed = |source| FilesError::Write {
            path: self.path.clone(),
            source,
        };
        let place = Place::locked(&self.path).map_err(failed)?;
        let changed = || Failure::Refused {
            what: format!(
                "{} was changed by somebody else meanwhile",
                self.path.display()
            ),
            hint: Some("nothing was written; say it again".to_owned()),
        };
        if !place.holds(self.source.text()) {
            return Err(changed());
        }
        place.replace(&text).map_err(|error| match error.kind() {
            io::ErrorKind::AlreadyExists => changed(),
            _ => failed(error).into(),
        })
    }
}

fn parsed(source: &Source, measures: Measures, output: &mut Output) -> Result<Shelf, Failure> {
    let (shelf, problems) = Shelf::parse(source, &measures);
    if problems.iter().any(Diagnostic::is_error) {
        let paint = match output.ink() {
            Ink::Colour => Paint::Colour,
            Ink::Plain => Paint::Plain,
        };
        let sources = Sources::new().with_shelf(source.clone());
        output.say(render(&problems, &sources, paint));
        return Err(Failure::Refused {
            what: format!("{} cannot be used as it is", source.file()),
            hint: Some("put right what is said above; nothing was changed".to_owned()),
        });
    }
    Ok(shelf)
}

/// Where a shelf is written: nobody else of ours writes there while this lives.
struct Place {
    /// The file itself: what a link points at is what is replaced, not the link.
    path: PathBuf,
    /// Its folder, locked; the file cannot be, for it is another one after every edit.
    _lock: File,
}

impl Place {
    /// Waits until no other edit is being written there.
    fn locked(path: &Path) -> io::Result<Self> {
        let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let folder = whole_file::folder_of(&path);
        DirBuilder::new()
            .recursive(true)
            .mode(0o700)
            .create(folder)?;
        let lock = File::open(folder)?;
        match lock.lock() {
            // Where nothing can be locked, what another edit wrote is still seen before it is written over.
            Err(error) if error.kind() != io::ErrorKind::Unsupported => return Err(error),
            Ok(()) | Err(_) => {}
        }
        Ok(Self { path, _lock: lock })
    }

    /// Returns whether the file still is as it was read; one that is not there is as good as an empty one.
    fn holds(&self, text: &str) -> bool {
        match read_source(&self.path) {
            Ok(now) => now.text() == text,
            Err(FilesError::Missing { .. }) => text.is_empty(),
            Err(_) => false,
        }
    }

    /// Puts the changed text in the place of the file that was read, or where there was none.
    fn replace(&self, text: &str) -> io::Result<()> {
        // Who may read a shelf stays as it was; one that is begun is its owner's alone.
        let (existing, readers) = match self.path.exists() {
            true => (Existing::Replaced, Readers::Usual),
            false => (Existing::Kept, Readers::Owner),
        };
        whole_file::write(&self.path, text.as_bytes(), existing, readers)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_replaced_file_keeps_its_rights_and_leaves_nothing_beside() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("shelf.toml");
        fs::write(&path, "old").unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        Place::locked(&path).unwrap().replace("new").unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), "new");
        assert_eq!(
            fs::metadata(&path).unwrap().permissions().mode() & 0o777,
            0o640
        );
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_shelf_that_is_begun_is_its_owners_alone_and_takes_no_others_place() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("own").join("shelf.toml");
        Place::locked(&path).unwrap().replace("new").unwrap();
        let mode = fs::metadata(&path).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600);
        let place = Place::locked(&path).unwrap();
        assert!(place.holds("new") && !place.holds(""));
    }

    #[test]
    fn a_shelf_that_would_become_wrong_is_left_as_it_is() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("shelf.toml");
        fs::write(&path, "[ingredient.a]\n").unwrap();
        let shelf = ShelfFile::read(Some(&path), &path).unwrap();
        let mut edit = shelf.edit().unwrap();
        edit.set("a", "density", "heavy").unwrap();
        let mut output = Output::of_process();
        assert!(
            shelf
                .replace(&edit, Measures::default(), &mut output)
                .is_err()
        );
        assert_eq!(fs::read_to_string(&path).unwrap(), "[ingredient.a]\n");
    }

    #[test]
    fn of_two_edits_at_once_the_later_one_is_told_and_loses_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("shelf.toml");
        fs::write(&path, "[ingredient.a]\n[ingredient.b]\n").unwrap();
        let edited = |key: &str| {
            let shelf = ShelfFile::read(Some(&path), &path).unwrap();
            let mut edit = shelf.edit().unwrap();
            edit.set(key, "density", "1.1 g/ml").unwrap();
            (shelf, edit)
        };
        let ((one, first), (two, second)) = (edited("a"), edited("b"));
        let mut output = Output::of_process();
        one.replace(&first, Measures::default(), &mut output)
            .unwrap();
        let error = two.replace(&second, Measures::default(), &mut output);
        let Err(Failure::Refused { what, .. }) = error else {
            panic!("the later one is refused, not {error:?}");
        };
        assert!(what.ends_with("was changed by somebody else meanwhile"));
        assert_eq!(fs::read_to_string(&path).unwrap(), first.text());
        let (again, edit) = edited("b");
        again
            .replace(&edit, Measures::default(), &mut output)
            .unwrap();
    }
}
