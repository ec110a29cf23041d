//! `tarehand check`: are these recipes good?

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use clap::Args;
use tarehand_mixing::diagnostic::{Diagnostic, render};
use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::recipe::{self, Settings};
use tarehand_mixing::set;
use tarehand_mixing::shelf::Shelf;
use tarehand_protocol::api::{CheckAnswer, ChoiceLine};

use super::Place;
use super::choose::ReadArgs;
use super::recipe::paint;
use crate::failure::{Exit, Failure};
use crate::files::{Folder, read_source};
use crate::output::Output;
use crate::words::{chosen, quoted, shelf_again};
use tarehandd::api::translate::{choice_line, diagnostic_line as line};

const EXAMPLES: &str = "\
Examples:
  tarehand check lagoon-round.toml
  tarehand check *.toml --shelf ~/studio/shelf.toml
  tarehand check shore-glaze.toml --choose finish=matt
  tarehand check lagoon-round.toml --json";

/// Finds everything that is wrong in recipes and shelves, and says what would be right.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct CheckArgs {
    /// Recipe and set files; a file named shelf.toml is checked as a shelf
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// The shelf [default: shelf.toml beside the recipe, else in the config folder]
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    read: ReadArgs,
}

/// The command that shows a shelf.
const SHELF: &str = "shelf --shelf";

/// One file, with what it is checked with.
enum Subject {
    Shelf(Source),
    Recipe(Folder),
    Set(Folder),
}

/// What was found in one file, with the texts it points at.
struct Found {
    name: String,
    /// The command that comes next for such a file.
    next: &'static str,
    diagnostics: Vec<Diagnostic>,
    /// The choices that a recipe leaves, as they were made, by its stem.
    choices: BTreeMap<String, Vec<ChoiceLine>>,
    sources: Sources,
}

/// Checks the files.
pub(crate) fn run(args: &CheckArgs, place: &Place, output: &mut Output) -> Result<Exit, Failure> {
    let settings = args.read.settings(place)?;
    let mut subjects = Vec::new();
    for file in &args.files {
        subjects.push(Subject::read(file, args.shelf.as_deref(), place)?);
    }
    // One of several files need not leave every choice that is made.
    let left: Vec<Vec<String>> = subjects
        .iter()
        .map(|subject| subject.left(&settings))
        .collect();
    let asked = recipe::ask_each(&settings, &left);
    let names = args.files.iter().map(|file| file.display().to_string());
    let found: Vec<Found> = names
        .zip(subjects)
        .zip(&asked)
        .map(|((name, subject), settings)| subject.check(name, settings))
        .collect();
    let all = || found.iter().flat_map(|found| &found.diagnostics);
    let good = !all().any(Diagnostic::is_error);
    if args.json {
        let choices = found.iter().flat_map(|found| found.choices.clone());
        output.json(&CheckAnswer {
            good,
            diagnostics: all().map(line).collect(),
            choices: choices.collect(),
        })?;
    } else {
        for found in &found {
            show(found, output)?;
        }
        if let (true, Some(first)) = (good, found.first()) {
            // A shelf is named by its own option; what a recipe or a set was checked with goes on with it.
            let with = match first.next {
                SHELF => String::new(),
                _ => shelf_again(args.shelf.as_deref()) + &args.read.again(),
            };
            output.suggest(format_args!(
                "tarehand {} {}{with}",
                first.next,
                quoted(&first.name)
            ));
        }
    }
    Ok(if good { Exit::Done } else { Exit::Failed })
}

impl Subject {
    fn read(file: &Path, shelf: Option<&Path>, place: &Place) -> Result<Self, Failure> {
        if file.file_name().is_some_and(|name| name == "shelf.toml") {
            return Ok(Self::Shelf(read_source(file)?));
        }
        let folder = place.folder(file, shelf)?;
        let source = folder.sources.recipe(&folder.stem);
        Ok(match source.is_some_and(set::is_set) {
            true => Self::Set(folder),
            false => Self::Recipe(folder),
        })
    }

    /// Returns the names of the choices it leaves.
    fn left(&self, settings: &Settings) -> Vec<String> {
        match self {
            Self::Shelf(_) => Vec::new(),
            Self::Recipe(folder) => recipe::left_to_choose(&folder.sources, &folder.stem, settings),
            Self::Set(folder) => set::left_to_choose(&folder.written(), &folder.sources, settings),
        }
    }

    fn check(self, name: String, settings: &Settings) -> Found {
        let mut choices = BTreeMap::new();
        let (next, diagnostics, sources) = match self {
            Self::Shelf(source) => {
                let (_, diagnostics) = Shelf::parse(&source, &settings.measures);
                let sources = Sources::new().with_shelf(source);
                (SHELF, diagnostics, sources)
            }
            Self::Set(folder) => {
                let checked = set::check(&folder.written(), &folder.sources, settings);
                ("plan", checked.diagnostics, folder.sources)
            }
            Self::Recipe(folder) => {
                let (sources, stem) = (folder.sources, folder.stem);
                let checked = recipe::check_every_option(&sources, &stem, settings);
                let made = checked.recipe.iter().flat_map(|recipe| recipe.choices());
                let made: Vec<ChoiceLine> = made.map(choice_line).collect();
                if !made.is_empty() {
                    choices.insert(stem, made);
                }
                ("mix", checked.diagnostics, sources)
            }
        };
        Found {
            name,
            next,
            diagnostics,
            choices,
            sources,
        }
    }
}

fn show(found: &Found, output: &mut Output) -> Result<(), Failure> {
    if !found.diagnostics.is_empty() {
        let text = render(&found.diagnostics, &found.sources, paint(output.ink()));
        output.data(format_args!("{text}\n"))?;
    }
    let errors = found
        .diagnostics
        .iter()
        .filter(|one| one.is_error())
        .count();
    let verdict = match errors {
        0 => "good".to_owned(),
        1 => "1 error".to_owned(),
        errors => format!("{errors} errors"),
    };
    output.data(format_args!("{}: {verdict}", found.name))?;
    let choices: Vec<ChoiceLine> = found.choices.values().flatten().cloned().collect();
    if !choices.is_empty() {
        output.data(chosen(&choices).trim_end())?;
    }
    Ok(())
}
