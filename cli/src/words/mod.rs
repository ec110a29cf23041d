//! What is shown, in words: the same for the live view, for plain lines and for pages.
//!
//! | file | idea |
//! |---|---|
//! | `doing`, `bottle`, `taps`, `trouble` | what is to be done at the bench, and what is wrong there |
//! | `record`, `contents`, `again`, `compare` | batches and finished jars |
//! | `plan`, `sized`, `rescue`, `shelf`, `learnt` | the pages of the commands of these names |
//! | `table`, `bytes`, `moment` | tables that fit, bytes for the eye, times on the person's clock |

mod again;
mod bottle;
mod bytes;
mod compare;
mod contents;
mod doing;
mod learnt;
mod moment;
mod plan;
mod record;
mod rescue;
mod shelf;
mod sized;
mod table;
mod taps;
mod trouble;

use std::borrow::Cow;
use std::path::Path;

use tarehand_protocol::Mass;
use tarehand_protocol::api::{BatchStateWord, VerdictWord, View, WeightState};

pub(crate) use again::{by_how_much, done_again, opened_again, which_jar};
pub(crate) use bytes::as_bytes;
pub(crate) use compare::compared;
pub(crate) use contents::jar_now;
pub(crate) use doing::{option_line, pours_unsaid, step_number, step_of, told};
pub(crate) use learnt::{learnt_page, learnt_word};
pub(crate) use moment::{day_and_time, time_of_day};
pub(crate) use plan::{plan_page, pours_page};
pub(crate) use record::{outcomes, record};
pub(crate) use rescue::rescue_page;
pub(crate) use shelf::shelf_page;
pub(crate) use sized::{chosen, sized_page};
pub(crate) use table::{Column, Width, table};
pub(crate) use taps::taps;
pub(crate) use trouble::Troubles;

/// Makes a text harmless: a name from a file must not steer the terminal.
pub(crate) fn shown(text: &str) -> Cow<'_, str> {
    if text.chars().any(char::is_control) {
        text.chars()
            .map(|c| if c.is_control() { ' ' } else { c })
            .collect()
    } else {
        text.into()
    }
}

/// Returns a word as a shell takes it.
pub(crate) fn quoted(word: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || "-_./~=:,%".contains(c);
    match !word.is_empty() && word.chars().all(plain) {
        true => word.to_owned(),
        false => format!("'{}'", word.replace('\'', "'\\''")),
    }
}

/// Returns the words of the command line that name the same shelf again, with a space before them.
pub(crate) fn shelf_again(shelf: Option<&Path>) -> String {
    shelf.map_or_else(String::new, |shelf| {
        format!(" --shelf {}", quoted(&shelf.display().to_string()))
    })
}

/// Writes grams with a fixed count of decimals, half to even; no number is a dash.
pub(crate) fn grams(grams: f64, decimals: u8) -> String {
    if grams.is_finite() {
        Mass::from_estimated_grams(grams).grams_text(decimals)
    } else {
        "–".to_owned()
    }
}

/// Writes a difference in grams with its sign; nothing has none.
fn signed(value: f64, decimals: u8) -> String {
    let text = grams(value, decimals);
    if text.starts_with('-') || text.trim_matches(['0', '.']).is_empty() {
        text
    } else {
        format!("+{text}")
    }
}

/// Writes grams as exactly as they are kept, with one decimal at least: `12.0`, `0.000135`.
pub(crate) fn exact_grams(value: f64) -> String {
    at_most(value, 6)
}

/// Writes grams as a person reads them, with one decimal at least: `30.46`, `0.135`.
///
/// A milligram is worth saying below a gram, not above.
pub(crate) fn short_grams(value: f64) -> String {
    at_most(value, if value.abs() < 1.0 { 3 } else { 2 })
}

/// Writes a tolerance to two figures: `1.8`, `0.4`, `0.07`.
pub(crate) fn rough_grams(value: f64) -> String {
    let decimals = match value.abs() {
        small if small < 0.01 => 4,
        small if small < 0.1 => 3,
        small if small < 0.95 => 2,
        _ => 1,
    };
    at_most(value, decimals)
}

fn at_most(value: f64, decimals: u8) -> String {
    let text = grams(value, decimals);
    let short = text.trim_end_matches('0');
    if short.ends_with('.') {
        format!("{short}0")
    } else {
        short.to_owned()
    }
}

/// Returns how many decimals a scale's division shows; one where none is known.
pub(crate) fn decimals(view: &View) -> u8 {
    let division = view.scale_in_use().and_then(|scale| scale.division_g);
    match division {
        Some(division) if division < 0.000_95 => 4,
        Some(division) if division < 0.009_5 => 3,
        Some(division) if division < 0.095 => 2,
        Some(division) if 0.95 <= division => 0,
        _ => 1,
    }
}

/// Writes seconds as a person reads them: `20 s`, `2:05`, `8:00:00`.
pub(crate) fn time(seconds: u64) -> String {
    match seconds {
        0..60 => format!("{seconds} s"),
        60..3600 => format!("{}:{:02}", seconds / 60, seconds % 60),
        _ => format!(
            "{}:{:02}:{:02}",
            seconds / 3600,
            seconds / 60 % 60,
            seconds % 60
        ),
    }
}

/// Writes an age as a person reads it: `0.4 s`, `12 s`, `2:05`.
pub(crate) fn age(milliseconds: u64) -> String {
    if milliseconds < 10_000 {
        format!("{}.{} s", milliseconds / 1000, milliseconds / 100 % 10)
    } else {
        time(milliseconds / 1000)
    }
}

/// Writes a share in percent.
pub(crate) fn percent(share: f64) -> String {
    format!("{:.1} %", share * 100.0)
}

/// Names a state of a batch.
pub(crate) const fn state(state: BatchStateWord) -> &'static str {
    match state {
        BatchStateWord::Idle => "idle",
        BatchStateWord::Running => "running",
        BatchStateWord::Held => "held",
        BatchStateWord::Paused => "paused",
        BatchStateWord::Complete => "complete",
        BatchStateWord::Aborted => "given up",
    }
}

/// Says how a step came out.
pub(crate) const fn verdict(verdict: VerdictWord) -> &'static str {
    match verdict {
        VerdictWord::Within => "within",
        VerdictWord::Overshoot => "too much",
        VerdictWord::Shortfall => "too little",
        VerdictWord::Recorded => "recorded",
        VerdictWord::Skipped => "left out",
    }
}

/// Says what a reading tells about the weight.
pub(crate) const fn weight_state(state: WeightState) -> &'static str {
    match state {
        WeightState::Stable => "stable",
        WeightState::Moving => "moving",
        WeightState::Unknown => "unmarked",
        WeightState::Over => "overload: no weight",
        WeightState::Under => "below zero: no weight",
        WeightState::Fault => "the scale reports a fault: no weight",
        WeightState::Rejected => "not understood: no weight",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grams_are_rounded_once_half_to_even() {
        assert_eq!(grams(12.25, 1), "12.2");
        assert_eq!(grams(-0.04, 1), "0.0");
        assert_eq!(grams(f64::NAN, 1), "–");
        assert_eq!(exact_grams(12.0), "12.0");
        assert_eq!(exact_grams(0.000135), "0.000135");
        assert_eq!(short_grams(30.460536), "30.46");
        assert_eq!(short_grams(0.150_2), "0.15");
        assert_eq!(rough_grams(1.839), "1.8");
        assert_eq!(rough_grams(0.4), "0.4");
        assert_eq!(rough_grams(0.0163), "0.016");
    }

    #[test]
    fn times_are_read_at_a_glance() {
        assert_eq!(time(59), "59 s");
        assert_eq!(time(125), "2:05");
        assert_eq!(time(28_800), "8:00:00");
        assert_eq!(age(1_550), "1.5 s");
        assert_eq!(age(12_900), "12 s");
    }

    #[test]
    fn a_name_cannot_steer_the_terminal() {
        assert_eq!(shown("a\u{1b}[2Jb\nc"), "a [2Jb c");
    }
}
