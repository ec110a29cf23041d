//! `tarehand check`: are these recipes good?

use std::path::{Path, PathBuf};

use clap::Args;
use tarehand_mixing::diagnostic::{Diagnostic, render};
use tarehand_mixing::document::Sources;
use tarehand_mixing::shelf::Shelf;
use tarehand_mixing::units::Measures;
use tarehand_mixing::{recipe, set};
use tarehand_protocol::api::CheckAnswer;

use super::Place;
use super::recipe::paint;
use crate::failure::{Exit, Failure};
use crate::files::{Folder, read_source};
use crate::output::Output;
use crate::settings::MeasureArgs;
use tarehandd::api::translate::diagnostic_line as line;

const EXAMPLES: &str = "\
Examples:
  tarehand check lagoon-round.toml
  tarehand check *.toml --shelf ~/studio/shelf.toml
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
    measures: MeasureArgs,
}

/// What was found in one file, with the texts it points at.
struct Found {
    name: String,
    /// The command that comes next for such a file.
    next: &'static str,
    diagnostics: Vec<Diagnostic>,
    sources: Sources,
}

/// Checks the files.
pub(crate) fn run(args: &CheckArgs, place: &Place, output: &mut Output) -> Result<Exit, Failure> {
    let measures = args.measures.over(place.settings()?.measures);
    let mut found = Vec::new();
    for file in &args.files {
        found.push(check_file(file, args.shelf.as_deref(), measures, place)?);
    }
    let all = || found.iter().flat_map(|found| &found.diagnostics);
    let good = !all().any(Diagnostic::is_error);
    if args.json {
        output.json(&CheckAnswer {
            good,
            diagnostics: all().map(line).collect(),
        })?;
    } else {
        for found in &found {
            show(found, output)?;
        }
        if let (true, Some(first)) = (good, found.first()) {
            output.suggest(format_args!("tarehand {} {}", first.next, first.name));
        }
    }
    Ok(if good { Exit::Done } else { Exit::Failed })
}

fn check_file(
    file: &Path,
    shelf: Option<&Path>,
    measures: Measures,
    place: &Place,
) -> Result<Found, Failure> {
    let name = file.display().to_string();
    if file.file_name().is_some_and(|name| name == "shelf.toml") {
        let source = read_source(file)?;
        let (_, diagnostics) = Shelf::parse(&source, &measures);
        return Ok(Found {
            name,
            next: "shelf --shelf",
            diagnostics,
            sources: Sources::new().with_shelf(source),
        });
    }
    let folder = Folder::read(file, shelf, &place.folders.shelf())?;
    let settings = recipe::Settings { measures };
    let source = folder.sources.recipe(&folder.stem);
    let (next, diagnostics) = match source.filter(|source| set::is_set(source)) {
        Some(source) => {
            let checked = set::check(source, &folder.sources, &settings);
            ("plan", checked.diagnostics)
        }
        None => {
            let checked = recipe::check(&folder.sources, &folder.stem, &settings);
            ("mix", checked.diagnostics)
        }
    };
    Ok(Found {
        name,
        next,
        diagnostics,
        sources: folder.sources,
    })
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
    Ok(())
}
