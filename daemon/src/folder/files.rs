//! What lies in the folder, and putting a text in the place of another.

use std::fs::{self, File};
use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::io::{self, Read as _};
use std::path::Path;

use super::chosen::FolderError;
use super::stem::Stem;
use crate::whole_file::{self, Existing, Readers};

/// A file larger than this was not written by a person (our own choice).
const LARGEST: u64 = 256 << 10;
/// So many files are read at most, and so much of them in all (our own choice).
const MOST_FILES: usize = 500;
const MOST_BYTES: usize = 4 << 20;

/// What a file is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A recipe.
    Recipe,
    /// The jars of one pour.
    Set,
    /// The ingredients at hand.
    Shelf,
}

/// A file that was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Paper {
    /// Its name.
    pub stem: Stem,
    /// What it is.
    pub kind: Kind,
    /// The name that stands in it.
    pub name: Option<String>,
    /// Whether it is the common shelf, which lies elsewhere.
    pub common: bool,
    /// Its text.
    pub text: String,
}

/// A file that was not.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unread {
    /// Its name.
    pub file: String,
    /// Why.
    pub why: String,
}

/// All that lies there, by name.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Papers {
    /// What was read.
    pub read: Vec<Paper>,
    /// What was not.
    pub unread: Vec<Unread>,
}

/// What a text takes the place of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Replaces {
    /// Nothing: the file is new.
    Nothing,
    /// The text with this mark.
    Marked(String),
}

/// Returns what tells one text from another.
#[must_use]
pub fn mark(text: &[u8]) -> String {
    let mut hasher = DefaultHasher::new();
    text.hash(&mut hasher);
    format!("{:016x}", hasher.finish())
}

impl Paper {
    /// Reads what a text is; one that is no TOML is a recipe still to be put right.
    #[must_use]
    pub fn of(stem: Stem, text: String) -> Self {
        let table: Option<toml::Table> = text.parse().ok();
        let head = |key: &str| table.as_ref()?.get(key)?.as_table();
        let (kind, head) = match (stem.is_shelf(), head("set"), head("recipe")) {
            (true, _, _) => (Kind::Shelf, None),
            (false, Some(head), None) => (Kind::Set, Some(head)),
            (false, _, head) => (Kind::Recipe, head),
        };
        let name = head.and_then(|head| head.get("name")?.as_str());
        Self {
            kind,
            name: name.map(str::to_owned),
            common: false,
            stem,
            text,
        }
    }
}

/// Reads all files of a folder that are named like recipes, and the common shelf where it has none.
pub(super) fn read_all(folder: &Path, common_shelf: &Path) -> Result<Papers, FolderError> {
    let failed = |source| FolderError::Read {
        path: folder.to_owned(),
        source,
    };
    let mut names = Vec::new();
    for entry in fs::read_dir(folder).map_err(failed)? {
        names.push(entry.map_err(failed)?.file_name());
    }
    names.sort();
    let mut papers = Papers::default();
    let mut bytes = 0;
    for name in names {
        let name = name.to_string_lossy();
        let Some(stem) = Stem::of_file(&name) else {
            continue;
        };
        let paper = match stem {
            _ if name.starts_with('.') => continue,
            Err(error) => Err(error.to_string()),
            Ok(_) if papers.read.len() == MOST_FILES => {
                Err(format!("more than {MOST_FILES} files are not read"))
            }
            Ok(stem) => read_one(stem, folder).map_err(|error| error.to_string()),
        };
        match paper {
            Ok(paper) if bytes + paper.text.len() <= MOST_BYTES => {
                bytes += paper.text.len();
                papers.read.push(paper);
            }
            Ok(_) => papers.leave_out(&name, "there is too much in this folder".to_owned()),
            Err(why) => papers.leave_out(&name, why),
        }
    }
    if !papers.read.iter().any(|paper| paper.kind == Kind::Shelf)
        && let Ok(text) = read_text(common_shelf)
        && let Ok(stem) = Stem::SHELF.parse()
    {
        papers.read.push(Paper {
            common: true,
            ..Paper::of(stem, text)
        });
    }
    Ok(papers)
}

impl Papers {
    fn leave_out(&mut self, file: &str, why: String) {
        self.unread.push(Unread {
            file: file.to_owned(),
            why,
        });
    }
}

fn read_one(stem: Stem, folder: &Path) -> io::Result<Paper> {
    let text = read_text(&stem.file_in(folder))?;
    Ok(Paper::of(stem, text))
}

/// Reads a text of at most [`LARGEST`] bytes; what is no file, such as a pipe, is not opened.
fn read_text(path: &Path) -> io::Result<String> {
    let about = fs::metadata(path)?;
    if !about.is_file() {
        return Err(io::Error::other("it is no file"));
    }
    let mut text = String::new();
    let mut file = File::open(path)?.take(LARGEST + 1);
    let length = file.read_to_string(&mut text)?;
    if LARGEST < length as u64 {
        return Err(io::Error::other("it is too large to be a recipe"));
    }
    Ok(text)
}

/// Writes a text in the place of the one that was read.
///
/// The text of before is kept beside it, named with a `~` behind (common practice of editors).
pub(super) fn write(path: &Path, text: &str, replaces: &Replaces) -> Result<(), FolderError> {
    let failed = |source: io::Error| FolderError::Write {
        path: path.to_owned(),
        source,
    };
    if LARGEST < text.len() as u64 {
        return Err(FolderError::TooLarge);
    }
    let there = match fs::read(path) {
        Ok(bytes) => Some(bytes),
        Err(error) if error.kind() == io::ErrorKind::NotFound => None,
        Err(error) => return Err(failed(error)),
    };
    let existing = match (replaces, &there) {
        (Replaces::Nothing, None) => Existing::Kept,
        (Replaces::Marked(known), Some(bytes)) if *known == mark(bytes) => {
            let mut before = path.as_os_str().to_owned();
            before.push("~");
            whole_file::write(
                Path::new(&before),
                bytes,
                Existing::Replaced,
                Readers::Usual,
            )
            .map_err(failed)?;
            Existing::Replaced
        }
        (Replaces::Nothing, Some(_)) | (Replaces::Marked(_), _) => {
            return Err(FolderError::Changed);
        }
    };
    whole_file::write(path, text.as_bytes(), existing, Readers::Usual).map_err(|error| match error
        .kind()
    {
        io::ErrorKind::AlreadyExists => FolderError::Changed,
        _ => failed(error),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_what_stands_in_it() {
        let paper = |name: &str, text: &str| Paper::of(name.parse().unwrap(), text.to_owned());
        let recipe = paper("a", "[recipe]\nname = \"Lagoon\"\n");
        assert_eq!(
            (recipe.kind, recipe.name.as_deref()),
            (Kind::Recipe, Some("Lagoon"))
        );
        let set = paper("b", "[set]\nname = \"Eight rounds\"\n");
        assert_eq!(
            (set.kind, set.name.as_deref()),
            (Kind::Set, Some("Eight rounds"))
        );
        assert_eq!(paper("shelf", "").kind, Kind::Shelf);
        assert_eq!(paper("c", "[recipe").kind, Kind::Recipe);
    }

    #[test]
    fn what_cannot_be_read_is_named_and_hides_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        fs::write(at("a.toml"), "[recipe]").unwrap();
        fs::write(at("b.toml"), [0xff, 0xfe]).unwrap();
        fs::write(
            at("c.toml"),
            " ".repeat(usize::try_from(LARGEST + 1).unwrap()),
        )
        .unwrap();
        fs::create_dir(at("d.toml")).unwrap();
        fs::write(at("notes.txt"), "").unwrap();
        fs::write(at(".a.toml.1.new.toml"), "").unwrap();
        let papers = read_all(folder.path(), &at("none")).unwrap();
        let read: Vec<&str> = papers
            .read
            .iter()
            .map(|paper| paper.stem.as_str())
            .collect();
        let unread: Vec<&str> = papers
            .unread
            .iter()
            .map(|left| left.file.as_str())
            .collect();
        assert_eq!(read, ["a"]);
        assert_eq!(unread, ["b.toml", "c.toml", "d.toml"]);
    }

    #[test]
    fn the_common_shelf_serves_where_the_folder_has_none() {
        let folder = tempfile::tempdir().unwrap();
        let common = folder.path().join("elsewhere");
        fs::write(&common, "# common").unwrap();
        let papers = read_all(folder.path(), &common).unwrap();
        assert!(papers.read[0].common);
        fs::write(folder.path().join("shelf.toml"), "# own").unwrap();
        let papers = read_all(folder.path(), &common).unwrap();
        assert_eq!((papers.read.len(), papers.read[0].common), (1, false));
    }

    #[test]
    fn a_text_takes_the_place_of_the_one_that_was_read_and_of_no_other() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.toml");
        write(&path, "one", &Replaces::Nothing).unwrap();
        let again = write(&path, "two", &Replaces::Nothing);
        assert!(matches!(again, Err(FolderError::Changed)), "{again:?}");
        write(&path, "two", &Replaces::Marked(mark(b"one"))).unwrap();
        let late = write(&path, "three", &Replaces::Marked(mark(b"one")));
        assert!(matches!(late, Err(FolderError::Changed)), "{late:?}");
        assert_eq!(fs::read_to_string(&path).unwrap(), "two");
        assert_eq!(
            fs::read_to_string(folder.path().join("a.toml~")).unwrap(),
            "one"
        );
    }
}
