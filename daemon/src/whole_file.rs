//! Files that are written whole or not at all: a crash leaves the old one or the new one.

use std::ffi::OsString;
use std::fs::{self, File, OpenOptions, Permissions};
use std::io::{self, Write as _};
use std::os::unix::fs::{OpenOptionsExt as _, PermissionsExt as _};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

use serde::Serialize;
use serde::de::DeserializeOwned;

/// What becomes of a file that is there already.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Existing {
    /// It stays, and nothing is written.
    Kept,
    /// It goes, once the new one is whole; who may read it stays as it was.
    Replaced,
}

/// Who may read a file that is new.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Readers {
    /// Whoever the person's own files are open to.
    Usual,
    /// The owner alone.
    Owner,
}

impl Readers {
    const fn mode(self) -> u32 {
        match self {
            Self::Usual => 0o666,
            Self::Owner => 0o600,
        }
    }
}

/// Writes a file.
///
/// # Errors
/// [`io::ErrorKind::AlreadyExists`] where a file is to be kept; else what the system says. Nothing has changed then.
pub fn write(path: &Path, bytes: &[u8], existing: Existing, readers: Readers) -> io::Result<()> {
    write_by(&beside(path), path, bytes, existing, readers)
}

/// Writes a file by way of `new`, which takes its name only when it is whole.
fn write_by(
    new: &Path,
    path: &Path,
    bytes: &[u8],
    existing: Existing,
    readers: Readers,
) -> io::Result<()> {
    let mut file = begin(new, readers)?;
    if let (Existing::Replaced, Ok(old)) = (existing, fs::metadata(path)) {
        let mode = old.permissions().mode() & readers.mode();
        // A file system without such rights keeps its own.
        let _kept = file.set_permissions(Permissions::from_mode(mode));
    }
    let written = file
        .write_all(bytes)
        .and_then(|()| file.sync_all())
        .and_then(|()| match existing {
            Existing::Kept => put(new, path),
            Existing::Replaced => fs::rename(new, path),
        })
        .and_then(|()| sync_folder(path));
    // After a rename it is gone already.
    let _gone = fs::remove_file(new);
    written
}

/// Returns where a new file is written until it is whole: a name that no other write of this process has.
fn beside(path: &Path) -> PathBuf {
    static WRITES: AtomicU64 = AtomicU64::new(0);
    let number = WRITES.fetch_add(1, Ordering::Relaxed);
    let mut name = OsString::from(".");
    name.push(path.file_name().unwrap_or_default());
    name.push(format!(".{}.{number}.new", std::process::id()));
    folder_of(path).join(name)
}

/// Makes an empty file in place of one that an earlier try left, which was cut short: process ids come again.
///
/// # Errors
/// When the one that was left cannot be removed, or none can be made.
pub fn begin(path: &Path, readers: Readers) -> io::Result<File> {
    match fs::remove_file(path) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
        _ => OpenOptions::new()
            .write(true)
            .create_new(true)
            .mode(readers.mode())
            .open(path),
    }
}

/// Puts a file that is whole and on disk where none is yet; its old name may stay.
///
/// # Errors
/// [`io::ErrorKind::AlreadyExists`] where there is one; else what the system says.
pub fn put(new: &Path, path: &Path) -> io::Result<()> {
    put_by(new, path, |new, path| fs::hard_link(new, path))
}

/// Makes the names in a file's folder last through a power cut.
///
/// # Errors
/// What the system says.
pub fn sync_folder(path: &Path) -> io::Result<()> {
    File::open(folder_of(path))?.sync_all()
}

/// Returns the folder that a file is in.
#[must_use]
pub fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// Why a file that a program keeps for itself gives nothing.
#[derive(Debug)]
pub enum Unread {
    /// It cannot be read.
    File(io::Error),
    /// It is not what was written.
    Strange(String),
}

/// Reads what [`write_json`] wrote; the usual where there is no file.
///
/// # Errors
/// When it cannot be read, or was changed by something else.
pub fn read_json<T: Default + DeserializeOwned>(path: &Path) -> Result<T, Unread> {
    match fs::read(path) {
        Ok(text) => {
            serde_json::from_slice(&text).map_err(|error| Unread::Strange(error.to_string()))
        }
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(T::default()),
        Err(error) => Err(Unread::File(error)),
    }
}

/// Writes what a program keeps for itself, for its owner's eyes.
///
/// # Errors
/// As [`write()`].
///
/// # Panics
/// When it holds what JSON cannot say, such as keys that are no text.
pub fn write_json(path: &Path, kept: &impl Serialize) -> io::Result<()> {
    let text = serde_json::to_vec(kept).expect("what is kept is JSON");
    write(path, &text, Existing::Replaced, Readers::Owner)
}

/// Puts a file where none is yet. Unlike a rename, a link never takes the place of a file; where the file system knows
/// no links, the place is taken with an empty file first, and only that one is replaced.
fn put_by(
    new: &Path,
    path: &Path,
    link: impl Fn(&Path, &Path) -> io::Result<()>,
) -> io::Result<()> {
    match link(new, path) {
        Err(error) if error.kind() != io::ErrorKind::AlreadyExists => {
            let _taken = File::create_new(path)?;
            fs::rename(new, path).inspect_err(|_| {
                // It is ours and empty; the error says what is the matter.
                let _gone = fs::remove_file(path);
            })
        }
        linked => linked,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder(files: &[(&str, &str)]) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        for (name, text) in files {
            fs::write(folder.path().join(name), text).unwrap();
        }
        folder
    }

    #[test]
    fn a_file_that_is_there_stays_until_it_may_go() {
        let folder = folder(&[("a.toml", "old")]);
        let path = folder.path().join("a.toml");
        let error = write(&path, b"new", Existing::Kept, Readers::Usual).unwrap_err();
        assert_eq!(error.kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(fs::read_to_string(&path).unwrap(), "old");
        write(&path, b"new", Existing::Replaced, Readers::Usual).unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), "new");
        let other = folder.path().join("b.toml");
        write(&other, b"b", Existing::Kept, Readers::Usual).unwrap();
        let names = fs::read_dir(folder.path()).unwrap();
        assert_eq!(names.count(), 2, "nothing is left lying about");
    }

    #[test]
    fn who_may_read_a_file_stays_as_it_was_and_the_owners_are_the_owners_alone() {
        let folder = folder(&[("a.toml", "old")]);
        let path = folder.path().join("a.toml");
        let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
        fs::set_permissions(&path, Permissions::from_mode(0o640)).unwrap();
        write(&path, b"new", Existing::Replaced, Readers::Usual).unwrap();
        assert_eq!(mode(&path), 0o640);
        write(&path, b"new", Existing::Replaced, Readers::Owner).unwrap();
        assert_eq!(mode(&path), 0o600);
    }

    #[test]
    fn what_a_crash_left_is_in_nobodys_way_when_the_process_id_comes_again() {
        let folder = folder(&[("a.toml", "old")]);
        let path = folder.path().join("a.toml");
        let left = beside(&path);
        for existing in [Existing::Replaced, Existing::Kept] {
            let other = folder.path().join(format!("{existing:?}.toml"));
            fs::write(&left, "half of i").unwrap();
            write_by(&left, &other, b"new", existing, Readers::Usual).unwrap();
            assert_eq!(fs::read_to_string(&other).unwrap(), "new");
        }
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 3);
    }

    #[test]
    fn two_writers_of_one_file_at_once_leave_what_one_of_them_wrote() {
        let folder = folder(&[]);
        let path = folder.path().join("a.toml");
        let texts = ["a", "b"].map(|letter| letter.repeat(100_000));
        std::thread::scope(|scope| {
            for text in &texts {
                let path = &path;
                scope.spawn(move || {
                    for _ in 0..20 {
                        write(path, text.as_bytes(), Existing::Replaced, Readers::Usual).unwrap();
                    }
                });
            }
        });
        assert!(texts.contains(&fs::read_to_string(&path).unwrap()));
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn where_nothing_can_be_linked_a_file_is_put_there_all_the_same_and_takes_no_others_place() {
        let folder = folder(&[("new", "text"), ("old", "old")]);
        let at = |name: &str| folder.path().join(name);
        let none = |_: &Path, _: &Path| Err(io::Error::from(io::ErrorKind::PermissionDenied));
        let error = put_by(&at("new"), &at("old"), none).unwrap_err();
        assert_eq!(error.kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(fs::read_to_string(at("old")).unwrap(), "old");
        put_by(&at("new"), &at("card"), none).unwrap();
        assert_eq!(fs::read_to_string(at("card")).unwrap(), "text");
        assert!(!at("new").exists());
    }
}
