//! `tarehand label`: labels for jars, at real size.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use tarehand_mixing::label::Days;
use tarehand_protocol::api::{LabelForm, LabelRequest, LabelSays};

use super::Place;
use super::target::TargetArgs;
use crate::failure::{Exit, Failure};
use crate::files::read_text;
use crate::output::Output;
use crate::service;

const EXAMPLES: &str = "\
Examples:
  tarehand label K7F2A -o k7f2a.pdf
  tarehand label K7F2A 8KER7 --first 5 -o labels.pdf        the first four of the sheet are used up
  tarehand label --set-of K7F2A --sheet jars.toml -o set.pdf
  tarehand label K7F2A --shares --best-before \"12 weeks\" -o k7f2a.svg";

/// Writes labels for the jars of batches: name, mark, date, what is in it, best before, cautions and a QR code.
///
/// They are as large as they are printed: print them at 100 %, not fitted to the page.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct LabelArgs {
    /// The marks of the batches, as `log list` shows them
    #[arg(value_name = "MARK", required_unless_present = "set_of")]
    marks: Vec<String>,
    /// Every jar that was mixed in one run with this one
    #[arg(long, value_name = "MARK")]
    set_of: Option<String>,
    /// The file that describes the sheet of labels [default: as the settings say, else 24 of 70 x 37 mm on A4]
    #[arg(long, value_name = "FILE")]
    sheet: Option<PathBuf>,
    /// The first label of the sheet that is free, counted along its rows
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..))]
    first: u32,
    /// Say shares in percent, not grams
    #[arg(long)]
    shares: bool,
    /// How long a mix is good [default: as the settings say, else only what packs say]
    #[arg(long, value_name = "DAYS")]
    best_before: Option<Days>,
    /// The form [default: as the file's ending says, else PDF]
    #[arg(long, value_enum)]
    format: Option<FormWord>,
    #[command(flatten)]
    target: TargetArgs,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum FormWord {
    /// As many pages as are needed
    Pdf,
    /// One page
    Svg,
}

/// Writes the labels.
pub(crate) async fn run(
    args: &LabelArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let form = args.form()?;
    if args.target.path().is_none() && output.is_terminal() {
        return Err(Failure::Usage {
            what: "labels are no text for a terminal".to_owned(),
            hint: "name a file: -o labels.pdf".to_owned(),
        });
    }
    let settings = place.settings()?.label;
    let sheet = match (&args.sheet, &settings.sheet) {
        (Some(sheet), _) => Some(read_text(sheet)?),
        // Beside the settings that name it.
        (None, Some(sheet)) => {
            let file = place.folders.settings();
            let folder = file.parent().unwrap_or(Path::new("."));
            Some(read_text(&folder.join(sheet))?)
        }
        (None, None) => None,
    };
    let request = LabelRequest {
        marks: args.marks.clone(),
        set_of: args.set_of.clone(),
        sheet,
        first: args.first,
        form,
        says: if args.shares {
            LabelSays::Shares
        } else {
            LabelSays::Grams
        },
        best_before_days: args.best_before.or(settings.best_before).map(Days::number),
    };
    let client = service::ensure(&place.folders).await?;
    let file = client.file("/v1/labels", &request).await?;
    for remark in file.remarks {
        output.say(format_args!("note: {remark}"));
    }
    args.target.write_bytes(&file.bytes, output)
}

impl LabelArgs {
    fn form(&self) -> Result<LabelForm, Failure> {
        let ending = self
            .target
            .path()
            .and_then(Path::extension)
            .map(|ending| ending.to_string_lossy().to_lowercase());
        match (self.format, ending.as_deref()) {
            (Some(FormWord::Pdf), _) | (None, Some("pdf") | None) => Ok(LabelForm::Pdf),
            (Some(FormWord::Svg), _) | (None, Some("svg")) => Ok(LabelForm::Svg),
            (None, Some(other)) => Err(Failure::Usage {
                what: format!("labels are not written as .{other}"),
                hint: "end the file's name in .pdf or .svg, or say --format".to_owned(),
            }),
        }
    }
}
