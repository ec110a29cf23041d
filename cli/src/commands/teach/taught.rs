//! What came of a lesson: in words, in JSON, and as the profile that is written.

use std::path::{Path, PathBuf};

use serde::Serialize;
use tarehand_protocol::scale::profile::{Bluetooth, Notified, Reports, Settings, Source, Uuid};
use tarehand_protocol::scale::teach::{Candidate, Doubt, Taught};

use crate::failure::Failure;
use crate::files::{Existing, write_text};

/// What a scale is called when nobody says.
pub(super) const UNNAMED: &str = "taught scale";

/// What came of it, as `--json` says it.
#[derive(Debug, Default, Serialize)]
pub(super) struct Told {
    /// `found`, `doubtful`, `nothing`, or `stopped` before anything was learnt.
    outcome: &'static str,
    /// What speaks for the explanation, or for each of those that remain.
    explanations: Vec<Vec<String>>,
    /// Why there is no profile.
    #[serde(skip_serializing_if = "Option::is_none")]
    why: Option<String>,
    /// What would help.
    #[serde(skip_serializing_if = "Option::is_none")]
    hint: Option<String>,
    /// What should be weighed to tell what remains apart.
    #[serde(skip_serializing_if = "Option::is_none")]
    weigh_g: Option<f64>,
    /// The profile.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) profile: Option<String>,
    /// Where it was written.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) file: Option<String>,
    /// How it was proved on the scale.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) proof: Option<super::proof::Proof>,
}

impl Told {
    /// Nothing was learnt yet.
    pub(super) fn nothing_yet() -> Self {
        Self {
            outcome: "stopped",
            ..Self::default()
        }
    }

    pub(super) fn of(taught: &Taught) -> Self {
        let evidence = |candidate: &Candidate| candidate.evidence.clone();
        match taught {
            Taught::Found { best, others } => Self {
                outcome: "found",
                explanations: std::iter::once(best.as_ref())
                    .chain(others)
                    .map(evidence)
                    .collect(),
                ..Self::default()
            },
            Taught::Doubtful { candidates, doubt } => Self {
                outcome: "doubtful",
                explanations: candidates.iter().map(evidence).collect(),
                why: Some(doubt.to_string()),
                hint: Some(doubt.hint().to_owned()),
                weigh_g: match doubt {
                    Doubt::Weigh { weigh } => Some(weigh.grams()),
                    Doubt::Twin => None,
                },
                ..Self::default()
            },
            Taught::Nothing(because) => Self {
                outcome: "nothing",
                why: Some(because.to_string()),
                hint: Some(because.hint().to_owned()),
                ..Self::default()
            },
        }
    }
}

/// Says what came of it.
pub(super) fn page(taught: &Taught) -> String {
    match taught {
        Taught::Found { best, others } => {
            let sure = match others.len() {
                0 => "Nothing else explains what came.".to_owned(),
                1 => "One other explanation fits less well, or says the same.".to_owned(),
                count => format!("{count} other explanations fit less well, or say the same."),
            };
            format!("Found, because:\n{}\n{sure}", list(best))
        }
        Taught::Doubtful { candidates, doubt } => {
            let both: Vec<String> = candidates
                .iter()
                .zip(["Either", "Or"])
                .map(|(candidate, word)| format!("{word}:\n{}", list(candidate)))
                .collect();
            format!("Not sure: {doubt}.\n{}", both.join("\n"))
        }
        Taught::Nothing(because) => format!("Nothing explains what came: {because}."),
    }
}

fn list(candidate: &Candidate) -> String {
    let lines = candidate.evidence.iter();
    let lines: Vec<String> = lines
        .map(|line| format!("  - {}", crate::words::shown(line)))
        .collect();
    lines.join("\n")
}

/// Returns the text of the profile: what was learnt, and what is known of how the scale is opened and when it speaks.
pub(super) fn profile(
    candidate: &Candidate,
    known: &Settings,
    name: &str,
    proof: Option<String>,
) -> Result<String, Failure> {
    let learnt = candidate.profile.settings().clone();
    let settings = Settings {
        name: name.to_owned(),
        reports: known.reports,
        serial: known.serial.or(learnt.serial),
        poll: known.poll.clone().or(learnt.poll),
        bluetooth: known.bluetooth.clone().or(learnt.bluetooth),
        division: known.division.or(learnt.division),
        capacity: known.capacity.or(learnt.capacity),
        lag: known.lag.or(learnt.lag),
        ..learnt
    };
    let rhythm = match known.reports {
        Reports::OnChange => Some("it was silent while nothing changed".to_owned()),
        Reports::Stream | Reports::Finished => None,
    };
    let evidence = candidate.evidence.iter().cloned();
    let evidence = evidence.chain(rhythm).chain(proof).collect();
    match Candidate::new(&settings, evidence) {
        Some(candidate) => Ok(candidate.profile.source().to_owned()),
        None => Err(Failure::Refused {
            what: "what was learnt and what was said of the scale go together to no profile"
                .to_owned(),
            hint: Some("teach without --profile".to_owned()),
        }),
    }
}

/// The open Weight Scale Service: what is heard of a radio scale of which nothing is known (Assigned Numbers, 3.4, 3.8).
pub(super) const fn open_service() -> Bluetooth {
    Bluetooth {
        name: None,
        source: Source::Characteristic(Notified {
            service: Uuid::assigned(0x181d),
            characteristic: Uuid::assigned(0x2a9d),
            start: None,
        }),
    }
}

pub(super) fn there_already(path: &Path) -> Failure {
    Failure::Refused {
        what: format!("there is a file {} already", path.display()),
        hint: Some("name another file with -o: a profile is never written over".to_owned()),
    }
}

/// Writes the profile to the file that was named, else to the next free name in this folder; returns its path.
pub(super) fn write(
    text: &str,
    named: Option<&Path>,
    folder: &Path,
    name: &str,
) -> Result<PathBuf, Failure> {
    if let Some(path) = named {
        return match write_text(path, text, Existing::Kept) {
            Err(crate::files::FilesError::Exists { path }) => Err(there_already(&path)),
            written => Ok(written.map(|()| path.to_owned())?),
        };
    }
    std::fs::create_dir_all(folder).map_err(|source| crate::files::FilesError::Write {
        path: folder.to_owned(),
        source,
    })?;
    let stem = stem(name);
    for number in 1..1_000_u16 {
        let file = match number {
            1 => format!("{stem}.toml"),
            number => format!("{stem}-{number}.toml"),
        };
        let path = folder.join(file);
        match write_text(&path, text, Existing::Kept) {
            Ok(()) => return Ok(path),
            Err(crate::files::FilesError::Exists { .. }) => {}
            Err(error) => return Err(error.into()),
        }
    }
    Err(there_already(&folder.join(format!("{stem}.toml"))))
}

/// Makes a name of a file of what a scale is called.
fn stem(name: &str) -> String {
    let words = name.split(|letter: char| !letter.is_alphanumeric());
    let words: Vec<String> = words
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    match words.join("-") {
        stem if stem.is_empty() => "scale".to_owned(),
        stem => stem.chars().take(60).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_named_as_the_scale_and_none_is_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let scales = folder.path().join("scales");
        let write = |text| write(text, None, &scales, "My scale, at the window!").unwrap();
        let (first, second) = (write("one"), write("two"));
        assert_eq!(first, scales.join("my-scale-at-the-window.toml"));
        assert_eq!(second, scales.join("my-scale-at-the-window-2.toml"));
        assert_eq!(std::fs::read_to_string(first).unwrap(), "one");
        assert_eq!(stem("../.."), "scale");
    }

    #[test]
    fn a_file_that_was_named_and_is_there_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.toml");
        std::fs::write(&path, "mine").unwrap();
        let failure = write("new", Some(&path), folder.path(), "a").unwrap_err();
        assert!(failure.to_string().contains("already"), "{failure}");
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "mine");
    }
}
