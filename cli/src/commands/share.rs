//! `tarehand share`: a recipe, a set or a batch as a card to hand on.

use std::path::{Path, PathBuf};
use std::str::FromStr;

use clap::{Args, ValueEnum};
use tarehand_mixing::recipe::Settings;
use tarehand_mixing::{card, set};
use tarehand_protocol::Mass;
use tarehand_protocol::api::{CardForm, CountryWord, SharedCard};
use tarehandd::api::translate;
use tarehandd::log::Mark;

use super::Place;
use super::choose::ReadArgs;
use super::goal::sized;
use super::plan::planned;
use super::recipe::good;
use super::target::TargetArgs;
use crate::client::segment;
use crate::failure::{Exit, Failure};
use crate::files::{Folder, completed};
use crate::output::Output;
use crate::service;

const EXAMPLES: &str = "\
Examples:
  tarehand share lagoon-round.toml
  tarehand share lagoon-round.toml --make 300g --for us -o lagoon.txt
  tarehand share shore-glaze.toml --choose finish=matt
  tarehand share eight-rounds.toml -o eight-rounds.txt
  tarehand share K7F2A --format markdown
  tarehand share lagoon-round.toml --format json-ld -o lagoon.json";

/// Writes a recipe, a set of jars, or a batch as it was really poured, as a card for somebody else.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct ShareArgs {
    /// A recipe file, a set file, or the mark of a batch as `log list` shows it
    #[arg(value_name = "RECIPE|SET|MARK")]
    what: String,
    /// The form: plain text, Markdown, or a HowTo of schema.org for other programs
    #[arg(long, value_enum, default_value = "text")]
    format: FormWord,
    /// Say spoons, ounces and volumes too, as they are meant there
    #[arg(long = "for", value_name = "COUNTRY", value_enum)]
    country: Option<CountryArg>,
    /// Of a recipe: for how much [default: what the recipe makes]
    #[arg(long, value_name = "MASS")]
    make: Option<Mass>,
    #[command(flatten)]
    target: TargetArgs,
    /// The shelf [default: shelf.toml beside the recipe, else in the config folder]
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
    #[command(flatten)]
    read: ReadArgs,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum FormWord {
    Text,
    Markdown,
    JsonLd,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum CountryArg {
    /// Spoons 4.93 and 14.79 ml, fluid ounce 29.57 ml, ounces
    Us,
    /// Spoons 5 and 15 ml, fluid ounce 28.41 ml, ounces
    Uk,
    /// Spoons 5 and 20 ml
    Au,
    /// Spoons 5 and 15 ml
    Metric,
}

/// What is handed on.
enum Subject<'a> {
    File(&'a Path),
    Batch(Mark),
}

/// Writes the card.
pub(crate) async fn run(
    args: &ShareArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let card = match subject(args)? {
        Subject::File(path) => of_file(args, path, place, output)?,
        Subject::Batch(mark) => of_batch(args, &mark, place).await?,
    };
    args.target.write(&card.text, output)
}

fn subject(args: &ShareArgs) -> Result<Subject<'_>, Failure> {
    let path = Path::new(&args.what);
    let is_file = completed(path).is_file();
    match Mark::from_str(&args.what) {
        Ok(mark) if !is_file => {
            if args.make.is_some() {
                return Err(Failure::Usage {
                    what: "a batch is as large as it was".to_owned(),
                    hint: "leave --make out, or name the recipe file".to_owned(),
                });
            }
            Ok(Subject::Batch(mark))
        }
        Ok(_) => Ok(Subject::File(path)),
        Err(_) if is_file || path.extension().is_some() || 1 < path.components().count() => {
            Ok(Subject::File(path))
        }
        Err(error) => Err(Failure::Refused {
            what: format!(
                "there is no recipe file {0} and no batch of the mark `{0}`",
                path.display()
            ),
            hint: Some(format!(
                "name a recipe file, or a mark as `tarehand log list` shows it ({error})"
            )),
        }),
    }
}

fn of_file(
    args: &ShareArgs,
    path: &Path,
    place: &Place,
    output: &mut Output,
) -> Result<SharedCard, Failure> {
    let settings = args.read.settings(place)?;
    let folder = place.folder(path, args.shelf.as_deref())?;
    match folder.sources.recipe(&folder.stem) {
        Some(source) if set::is_set(source) => of_set(args, &folder, &settings, output),
        _ => of_recipe(args, &folder, &settings, output),
    }
}

fn of_set(
    args: &ShareArgs,
    folder: &Folder,
    settings: &Settings,
    output: &mut Output,
) -> Result<SharedCard, Failure> {
    if args.make.is_some() {
        return Err(Failure::Usage {
            what: "a set is as large as its surface asks for".to_owned(),
            hint: "leave --make out, or change the surface in the set's file".to_owned(),
        });
    }
    let planned = planned(folder, settings, output)?;
    let card = card::of_set(&folder.stem, &planned.set, &planned.plan, &planned.shelf);
    Ok(translate::shared_set(&card, args.form(), args.country()))
}

fn of_recipe(
    args: &ShareArgs,
    folder: &Folder,
    settings: &Settings,
    output: &mut Output,
) -> Result<SharedCard, Failure> {
    let good = good(&folder.stem, &folder.sources, settings, output)?;
    let sizing = sized(&good.recipe, args.make, "say for how much: --make 250g")?;
    let card = card::of_recipe(&good.recipe, &sizing.procedure, &good.shelf);
    Ok(translate::shared_card(&card, args.form(), args.country()))
}

async fn of_batch(args: &ShareArgs, mark: &Mark, place: &Place) -> Result<SharedCard, Failure> {
    let client = service::ensure(&place.folders).await?;
    let country = match args.country {
        None => "",
        Some(CountryArg::Us) => "&for=us",
        Some(CountryArg::Uk) => "&for=uk",
        Some(CountryArg::Au) => "&for=au",
        Some(CountryArg::Metric) => "&for=metric",
    };
    let form = match args.format {
        FormWord::Text => "text",
        FormWord::Markdown => "markdown",
        FormWord::JsonLd => "json-ld",
    };
    let mark = segment(mark.as_str());
    Ok(client
        .get(&format!("/v1/batches/{mark}/card?format={form}{country}"))
        .await?)
}

impl ShareArgs {
    const fn form(&self) -> CardForm {
        match self.format {
            FormWord::Text => CardForm::Text,
            FormWord::Markdown => CardForm::Markdown,
            FormWord::JsonLd => CardForm::JsonLd,
        }
    }

    fn country(&self) -> Option<CountryWord> {
        self.country.map(|country| match country {
            CountryArg::Us => CountryWord::Us,
            CountryArg::Uk => CountryWord::Uk,
            CountryArg::Au => CountryWord::Au,
            CountryArg::Metric => CountryWord::Metric,
        })
    }
}
