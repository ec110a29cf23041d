//! The person's settings: `settings.toml` in the config folder.

mod keys;

use std::io;
use std::ops::Range;
use std::path::{Path, PathBuf};

use clap::builder::PossibleValue;
use clap::{Args, ValueEnum};
use serde::{Deserialize, Deserializer};
use tarehand_mixing::label::Days;
use tarehand_mixing::units::{FluidOunce, Measures, Spoon};

pub(crate) use keys::{KeyName, KeySettings};

/// The person's settings.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub(crate) struct Settings {
    /// Which spoon and which fluid ounce are meant.
    pub(crate) measures: Measures,
    /// How far a slip is put right without asking.
    pub(crate) rescue: RescueSettings,
    /// How the terminal behaves.
    pub(crate) terminal: TerminalSettings,
    /// How the bench behaves.
    pub(crate) bench: BenchSettings,
    /// Which keys of a pedal or a remote control say what.
    pub(crate) keys: KeySettings,
    /// What labels of jars say, and on which sheet.
    pub(crate) label: LabelSettings,
}

/// What labels of jars say, and on which sheet.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub(crate) struct LabelSettings {
    /// How long a mix is good.
    #[serde(deserialize_with = "days")]
    pub(crate) best_before: Option<Days>,
    /// The file of the usual sheet, beside the settings.
    pub(crate) sheet: Option<PathBuf>,
}

fn days<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<Days>, D::Error> {
    let text = String::deserialize(deserializer)?;
    text.parse().map(Some).map_err(serde::de::Error::custom)
}

/// How the bench behaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub(crate) struct BenchSettings {
    /// Whether taps on the pan answer what is asked.
    pub(crate) taps: bool,
}

impl Default for BenchSettings {
    fn default() -> Self {
        Self { taps: true }
    }
}

/// How far a slip is put right without asking.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub(crate) struct RescueSettings {
    /// By how many percent of what was planned a batch may grow; with 0 only what is still to come is re-sized.
    pub(crate) grow_by_percent: u32,
}

impl Default for RescueSettings {
    fn default() -> Self {
        Self {
            grow_by_percent: 10,
        }
    }
}

/// How the terminal behaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub(crate) struct TerminalSettings {
    /// Whether the bell says stop.
    pub(crate) bell: bool,
}

impl Default for TerminalSettings {
    fn default() -> Self {
        Self { bell: true }
    }
}

/// Why the settings cannot be used.
#[derive(Debug, thiserror::Error)]
pub(crate) enum SettingsError {
    /// The file could not be read.
    #[error("cannot read the settings {}", path.display())]
    Read {
        /// Which file.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// The file is not what it should be.
    #[error("{}:{line}:{column}: {message}", path.display())]
    Wrong {
        /// Which file.
        path: PathBuf,
        /// The line, from one.
        line: usize,
        /// The column, from one.
        column: usize,
        /// What is wrong.
        message: String,
    },
}

impl SettingsError {
    /// Returns what the person can do about it.
    pub(crate) const fn hint(&self) -> &'static str {
        match self {
            Self::Read { .. } => "see who owns the file, or name another folder with --config-dir",
            Self::Wrong { .. } => {
                "known are [measures] with spoon (metric, us, australian) and fluid-ounce (us, imperial), [rescue] with grow-by-percent (10), [terminal] with bell (true, false), [bench] with taps (true, false), [label] with best-before (\"90 days\") and sheet (a file), and [keys] with next and undo (lists of keys, as [\"PageDown\"])"
            }
        }
    }
}

/// Reads the settings; without a file everything is as usual.
pub(crate) fn read(path: &Path) -> Result<Settings, SettingsError> {
    let text = match std::fs::read_to_string(path) {
        Ok(text) => text,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Settings::default()),
        Err(source) => {
            return Err(SettingsError::Read {
                path: path.to_owned(),
                source,
            });
        }
    };
    toml::from_str(&text).map_err(|error| {
        let (line, column) = place(&text, error.span());
        SettingsError::Wrong {
            path: path.to_owned(),
            line,
            column,
            message: error.message().to_owned(),
        }
    })
}

fn place(text: &str, span: Option<Range<usize>>) -> (usize, usize) {
    let before = span
        .and_then(|span| text.get(..span.start))
        .unwrap_or_default();
    let line = before.matches('\n').count() + 1;
    let column = before
        .rsplit('\n')
        .next()
        .map_or(1, |last| last.chars().count() + 1);
    (line, column)
}

/// Which spoon and which ounce, for this once.
#[derive(Args, Clone, Copy, Debug, Default)]
pub(crate) struct MeasureArgs {
    /// Which measuring spoons are meant [default: as the settings say]
    #[arg(long, value_name = "SPOON")]
    spoon: Option<SpoonWord>,
    /// Which fluid ounce is meant [default: as the settings say]
    #[arg(long, value_name = "OUNCE")]
    fluid_ounce: Option<OunceWord>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum SpoonWord {
    /// 5 and 15 ml.
    Metric,
    /// 4.93 and 14.79 ml.
    Us,
    /// 5 and 20 ml.
    Australian,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum OunceWord {
    /// 29.57 ml.
    Us,
    /// 28.41 ml.
    Imperial,
}

impl MeasureArgs {
    /// Returns the words of the command line that say the same again, each with a space before it.
    pub(crate) fn again(self) -> String {
        let value = |word: Option<PossibleValue>| word.map(|word| word.get_name().to_owned());
        let spoon = value(self.spoon.and_then(|word| word.to_possible_value()));
        let ounce = value(self.fluid_ounce.and_then(|word| word.to_possible_value()));
        let spoon = spoon.map_or_else(String::new, |word| format!(" --spoon {word}"));
        let ounce = ounce.map_or_else(String::new, |word| format!(" --fluid-ounce {word}"));
        spoon + &ounce
    }

    /// Returns the settings' measures, with what was said for this once in their place.
    pub(crate) fn over(self, measures: Measures) -> Measures {
        let spoon = self.spoon.map(|word| match word {
            SpoonWord::Metric => Spoon::Metric,
            SpoonWord::Us => Spoon::Us,
            SpoonWord::Australian => Spoon::Australian,
        });
        let ounce = self.fluid_ounce.map(|word| match word {
            OunceWord::Us => FluidOunce::Us,
            OunceWord::Imperial => FluidOunce::Imperial,
        });
        Measures {
            spoon: spoon.or(measures.spoon),
            fluid_ounce: ounce.or(measures.fluid_ounce),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str) -> Result<Settings, String> {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("settings.toml");
        std::fs::write(&path, text).unwrap();
        read(&path).map_err(|error| {
            let text = error.to_string();
            text.replace(&folder.path().display().to_string(), "DIR")
        })
    }

    #[test]
    fn spoon_ounce_and_bell_are_read() {
        let settings = check(
            "[measures]\nspoon = \"us\"\nfluid-ounce = \"imperial\"\n[terminal]\nbell = false\n",
        );
        let settings = settings.unwrap();
        assert_eq!(settings.measures.spoon, Some(Spoon::Us));
        assert_eq!(settings.measures.fluid_ounce, Some(FluidOunce::Imperial));
        assert!(!settings.terminal.bell);
    }

    #[test]
    fn an_unknown_setting_is_an_error_with_its_place() {
        let error = check("[measures]\nspoom = \"us\"\n").unwrap_err();
        assert!(error.starts_with("DIR/settings.toml:2:1: "), "{error}");
        assert!(error.contains("spoom"), "{error}");
    }

    #[test]
    fn taps_and_the_keys_of_a_pedal_are_read() {
        let settings = check("[bench]\ntaps = false\n[keys]\nnext = [\"F7\", \"g\"]\n").unwrap();
        assert!(!settings.bench.taps);
        assert_eq!(settings.keys.next.len(), 2);
        assert_eq!(settings.keys.undo, KeySettings::default().undo);
        assert!(check("").unwrap().bench.taps);
    }

    #[test]
    fn how_long_a_mix_is_good_is_read_in_days_and_weeks() {
        let settings = check("[label]\nbest-before = \"12 weeks\"\nsheet = \"jars.toml\"\n");
        let settings = settings.unwrap().label;
        assert_eq!(settings.best_before, Days::new(84));
        assert_eq!(settings.sheet, Some(PathBuf::from("jars.toml")));
        let error = check("[label]\nbest-before = \"soon\"\n").unwrap_err();
        assert!(error.starts_with("DIR/settings.toml:2:15: "), "{error}");
        assert!(error.contains("as in \"90 days\""), "{error}");
    }

    #[test]
    fn a_key_that_is_none_is_an_error_with_its_place() {
        let error = check("[keys]\nnext = [\"Enter\", \"PageDwn\"]\n").unwrap_err();
        assert!(error.starts_with("DIR/settings.toml:2:"), "{error}");
        assert!(error.contains("no key is called `PageDwn`"), "{error}");
        let error = check("[keys]\nnext = [\"PageUp\"]\n").unwrap_err();
        assert!(error.contains("both next and undo"), "{error}");
    }

    #[test]
    fn without_a_file_everything_is_as_usual() {
        let nowhere = Path::new("/nowhere/settings.toml");
        assert_eq!(read(nowhere).unwrap(), Settings::default());
    }

    #[test]
    fn what_is_said_for_this_once_goes_before_the_settings() {
        let args = MeasureArgs {
            spoon: Some(SpoonWord::Australian),
            fluid_ounce: None,
        };
        let measures = args.over(Measures {
            spoon: Some(Spoon::Us),
            fluid_ounce: Some(FluidOunce::Us),
        });
        assert_eq!(measures.spoon, Some(Spoon::Australian));
        assert_eq!(measures.fluid_ounce, Some(FluidOunce::Us));
    }
}
