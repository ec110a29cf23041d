//! The recipe a person names, with what lies beside it.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::recipe::Recipe;
use tarehand_mixing::shelf::Draw;
pub(crate) use tarehandd::whole_file::Existing;
use tarehandd::whole_file::{self, Readers};

/// A recipe larger than this was not written by a person.
const LARGEST: u64 = 4 << 20;

/// Why a file cannot be used.
#[derive(Debug, thiserror::Error)]
pub(crate) enum FilesError {
    /// There is no such file.
    #[error("there is no file {}", path.display())]
    Missing {
        /// Which.
        path: PathBuf,
    },
    /// The file could not be read.
    #[error("cannot read {}", path.display())]
    Read {
        /// Which.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// The file could not be written.
    #[error("cannot write {}", path.display())]
    Write {
        /// Which.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// There is a file already, and nobody said that it may go.
    #[error("there is a file {} already", path.display())]
    Exists {
        /// Which.
        path: PathBuf,
    },
    /// There is a file where a capture was to begin.
    #[error("there is a file {} already", path.display())]
    CaptureThere {
        /// Which.
        path: PathBuf,
    },
    /// The file is too large to be a recipe.
    #[error("{} is too large to be a recipe", path.display())]
    TooLarge {
        /// Which.
        path: PathBuf,
    },
    /// The name does not end in `.toml`.
    #[error("{} is not named like a recipe", path.display())]
    NotToml {
        /// Which.
        path: PathBuf,
    },
}

impl FilesError {
    /// Returns what the person can do about it.
    pub(crate) const fn hint(&self) -> &'static str {
        match self {
            Self::Missing { .. } => "name a recipe file, as in `tarehand check lagoon-round.toml`",
            Self::Read { .. } | Self::Write { .. } => "see who owns it and whether it is a file",
            Self::Exists { .. } => "name another file with -o, or say --yes to replace it",
            Self::CaptureThere { .. } => {
                "name a new file: a capture never takes the place of another"
            }
            Self::TooLarge { .. } => "name the recipe file itself",
            Self::NotToml { .. } => "recipes are TOML files whose name ends in .toml",
        }
    }
}

/// A recipe file with the recipes beside it and the shelf that goes with them.
#[derive(Debug)]
pub(crate) struct Folder {
    /// The stem of the recipe that was named.
    pub(crate) stem: String,
    /// The texts.
    pub(crate) sources: Sources,
}

impl Folder {
    /// Reads the recipe at `path`, its neighbours, and the shelf: the one named, else the one beside
    /// the recipe, else the common one.
    pub(crate) fn read(
        path: &Path,
        shelf: Option<&Path>,
        common_shelf: &Path,
    ) -> Result<Self, FilesError> {
        let path = &completed(path);
        let stem = stem_of(path).ok_or_else(|| FilesError::NotToml { path: path.clone() })?;
        let mut sources = Sources::new().with_recipe(&stem, read_source(path)?);
        let beside = match path.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent,
            _ => Path::new("."),
        };
        for neighbour in neighbours(beside, path)? {
            // What cannot be read cannot be a premix; the check says so where one is wanted.
            if let (Some(stem), Ok(source)) = (stem_of(&neighbour), read_source(&neighbour)) {
                sources = sources.with_recipe(stem, source);
            }
        }
        let own_shelf = beside.join("shelf.toml");
        let shelf = match shelf {
            Some(shelf) => Some(shelf.to_owned()),
            None if own_shelf.is_file() => Some(own_shelf),
            None if common_shelf.is_file() => Some(common_shelf.to_owned()),
            None => None,
        };
        if let Some(shelf) = shelf {
            let shelf = shelf.strip_prefix(".").unwrap_or(&shelf);
            sources = sources.with_shelf(read_source(shelf)?);
        }
        Ok(Self { stem, sources })
    }

    /// Says what batches drew from the shelf.
    pub(crate) fn with_drawn(self, drawn: BTreeMap<String, Vec<Draw>>) -> Self {
        Self {
            sources: self.sources.with_drawn(drawn),
            ..self
        }
    }
}

impl Folder {
    /// Returns the file that was named.
    pub(crate) fn written(&self) -> Source {
        let source = self.sources.recipe(&self.stem);
        source.cloned().unwrap_or_else(|| Source::new("", ""))
    }
}

/// Returns the texts that a recipe is made of: its own, those of its premixes and of its other options, by stem.
pub(crate) fn texts_of(recipe: &Recipe, sources: &Sources) -> BTreeMap<String, String> {
    let mut texts = BTreeMap::new();
    let mut waiting = vec![recipe];
    while let Some(recipe) = waiting.pop() {
        let text = sources.recipe(recipe.stem()).map(Source::text);
        let text = text.unwrap_or_default().to_owned();
        if texts.insert(recipe.stem().to_owned(), text).is_none() {
            // What another option would use is looked up too, though it does not go into this mix.
            for other in recipe.otherwise() {
                if let Some(source) = sources.recipe(other) {
                    let text = || Source::text(source).to_owned();
                    texts.entry(other.clone()).or_insert_with(text);
                }
            }
            waiting.extend(recipe.premixes().map(|(_, premix)| premix));
        }
    }
    texts
}

/// Reads a file as a source under the name the person knows it by.
pub(crate) fn read_source(path: &Path) -> Result<Source, FilesError> {
    let failed = |source: io::Error| match source.kind() {
        io::ErrorKind::NotFound => FilesError::Missing {
            path: path.to_owned(),
        },
        _ => FilesError::Read {
            path: path.to_owned(),
            source,
        },
    };
    let size = std::fs::metadata(path).map_err(failed)?.len();
    if LARGEST < size {
        return Err(FilesError::TooLarge {
            path: path.to_owned(),
        });
    }
    let bytes = std::fs::read(path).map_err(failed)?;
    Ok(Source::from_bytes(path.display().to_string(), &bytes))
}

/// Reads a text that is sent on as it is.
pub(crate) fn read_text(path: &Path) -> Result<String, FilesError> {
    std::fs::read_to_string(path).map_err(|source| FilesError::Read {
        path: path.to_owned(),
        source,
    })
}

/// Writes a file whole or not at all: a crash leaves the old one or the new one.
pub(crate) fn write_text(path: &Path, text: &str, existing: Existing) -> Result<(), FilesError> {
    write_whole(path, text.as_bytes(), existing)
}

/// Writes bytes as [`write_text`] writes a text.
pub(crate) fn write_whole(path: &Path, bytes: &[u8], existing: Existing) -> Result<(), FilesError> {
    let failed = |source: io::Error| match source.kind() {
        io::ErrorKind::AlreadyExists => FilesError::Exists {
            path: path.to_owned(),
        },
        _ => FilesError::Write {
            path: path.to_owned(),
            source,
        },
    };
    whole_file::write(path, bytes, existing, Readers::Usual).map_err(failed)
}

/// Lets a person leave the ending out: `lagoon-round` is `lagoon-round.toml` where only that exists.
pub(crate) fn completed(path: &Path) -> PathBuf {
    let longer = path.with_added_extension("toml");
    if !path.exists() && longer.exists() {
        longer
    } else {
        path.to_owned()
    }
}

fn stem_of(path: &Path) -> Option<String> {
    let toml = path.extension().is_some_and(|ending| ending == "toml");
    let stem = path.file_stem().and_then(|stem| stem.to_str());
    stem.filter(|_| toml).map(str::to_owned)
}

fn neighbours(folder: &Path, path: &Path) -> Result<Vec<PathBuf>, FilesError> {
    let failed = |source: io::Error| FilesError::Read {
        path: folder.to_owned(),
        source,
    };
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(failed)? {
        let name = entry.map_err(failed)?.file_name();
        if name != "shelf.toml" && Some(name.as_os_str()) != path.file_name() {
            let neighbour = folder.join(name);
            found.push(neighbour.strip_prefix(".").unwrap_or(&neighbour).to_owned());
        }
    }
    found.retain(|neighbour| neighbour.extension().is_some_and(|ending| ending == "toml"));
    found.sort();
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder(files: &[(&str, &str)]) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        for (name, text) in files {
            std::fs::write(folder.path().join(name), text).unwrap();
        }
        folder
    }

    #[test]
    fn the_recipes_beside_it_and_the_shelf_beside_it_come_along() {
        let folder = folder(&[
            ("a.toml", "a"),
            ("b.toml", "b"),
            ("shelf.toml", "own"),
            ("notes.txt", "no recipe"),
        ]);
        let common = folder.path().join("b.toml");
        let read = Folder::read(&folder.path().join("a"), None, &common).unwrap();
        assert_eq!(read.stem, "a");
        assert_eq!(read.sources.stems().collect::<Vec<_>>(), ["a", "b"]);
        assert_eq!(read.sources.shelf().map(Source::text), Some("own"));
    }

    #[test]
    fn the_common_shelf_serves_where_there_is_none_beside_and_the_named_one_goes_before_all() {
        let folder = folder(&[("a.toml", "a"), ("common.toml", "common")]);
        let (a, common) = (
            folder.path().join("a.toml"),
            folder.path().join("common.toml"),
        );
        let read = Folder::read(&a, None, &common).unwrap();
        assert_eq!(read.sources.shelf().map(Source::text), Some("common"));
        let read = Folder::read(&a, Some(&a), &common).unwrap();
        assert_eq!(read.sources.shelf().map(Source::text), Some("a"));
    }

    #[test]
    fn a_missing_file_is_named() {
        let error = Folder::read(
            Path::new("/nowhere/a.toml"),
            None,
            Path::new("/nowhere/shelf.toml"),
        );
        assert_eq!(
            error.unwrap_err().to_string(),
            "there is no file /nowhere/a.toml"
        );
    }
}
