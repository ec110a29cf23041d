//! Teaching from captures: no scale, no questions.

use std::path::{Path, PathBuf};

use tarehand_protocol::MassUnit;
use tarehand_protocol::scale::capture::{Capture, Captured};
use tarehand_protocol::scale::profile::Reports;
use tarehand_protocol::scale::teach::{Lesson, Taught, teach};

use super::rhythm::reports;
use super::taught::{Told, UNNAMED, page, profile, write};
use super::words::SELDOM;
use super::{TeachArgs, line, slip};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::words::shown;

pub(super) async fn run(
    args: &TeachArgs,
    paths: &[PathBuf],
    output: &mut Output,
) -> Result<Exit, Failure> {
    let mut known = args.known()?;
    let captures: Vec<Capture> = paths
        .iter()
        .map(|path| read(path))
        .collect::<Result<_, _>>()?;
    let said = args.scale.said_unit();
    let unit = said.or_else(|| captures.iter().find_map(displayed));
    let Some(unit) = unit else {
        return Err(Failure::Usage {
            what: "nobody said in which unit the display showed the weight".to_owned(),
            hint: "say it, as in --unit g".to_owned(),
        });
    };
    let serial = captures
        .iter()
        .find_map(|capture| line::of_device(&capture.device));
    known.serial = known.serial.or(serial);
    let on_change = |capture: &Capture| reports(&capture.moments) == Reports::OnChange;
    if captures.iter().any(on_change) {
        known.reports = Reports::OnChange;
    }
    let lesson = captures.iter().fold(Lesson::new(unit), |lesson, capture| {
        lesson.hear(capture, &[])
    });
    let taught = teach(&lesson).map_err(|error| Failure::Refused {
        what: format!("there is nothing to learn from: {error}"),
        hint: Some(error.hint().to_owned()),
    })?;
    output.say(page(&taught));
    let mut told = Told::of(&taught);
    let exit = match &taught {
        Taught::Found { best, .. } => {
            let name = match known.name.as_str() {
                "" => UNNAMED,
                name => name,
            };
            let unproved = "not proved on the scale: compare one more weight before you trust it";
            let text = profile(best, &known, name, Some(unproved.to_owned()))?;
            match (&args.output, args.json) {
                (Some(path), _) => {
                    let path = write(&text, Some(path), Path::new("."), name)?;
                    let path = shown(&path.display().to_string()).into_owned();
                    output.say(format_args!("the profile is in {path}"));
                    output.suggest(format_args!("tarehand watch --port PATH --profile {path}"));
                    told.file = Some(path);
                }
                (None, false) => output.data(text.trim_end())?,
                (None, true) => {}
            }
            told.profile = Some(text);
            Exit::Done
        }
        Taught::Doubtful { doubt, .. } => {
            output.say(format_args!("try: {}", doubt.hint()));
            Exit::Failed
        }
        Taught::Nothing(because) => {
            if let Some(slip) = slip::find(&captures, unit) {
                output.say(format_args!(
                    "Without the note of {slip} on the pan all is explained: was that a slip?"
                ));
            }
            if known.reports == Reports::OnChange {
                output.say(SELDOM);
            }
            output.say(format_args!("try: {}", because.hint()));
            Exit::Failed
        }
    };
    if args.json {
        output.json(&told)?;
    }
    Ok(exit)
}

fn displayed(capture: &Capture) -> Option<MassUnit> {
    capture.moments.iter().find_map(|moment| match moment.what {
        Captured::Display(unit) => Some(unit),
        _ => None,
    })
}

fn read(path: &Path) -> Result<Capture, Failure> {
    let bytes = std::fs::read(path).map_err(|error| Failure::Refused {
        what: format!("cannot read {}: {error}", path.display()),
        hint: Some("name a capture, as `tarehand scales teach --capture` writes it".to_owned()),
    })?;
    // What is no text is no capture either, and is said to be none at its line.
    Capture::parse(&String::from_utf8_lossy(&bytes)).map_err(|error| Failure::Refused {
        what: format!("{} is no capture: {error}", path.display()),
        hint: Some(error.hint().to_owned()),
    })
}
