//! Single words and short sentences.

use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::session::{BatchState, Book, Cue, Verdict};
use tarehand_mixing::units::Volume;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{BatchStateWord, CueLine, VerdictWord};

use super::action::{action, title};

/// Returns the state of a batch in the words of the API.
#[must_use]
pub const fn batch_state(state: BatchState) -> BatchStateWord {
    match state {
        BatchState::Idle => BatchStateWord::Idle,
        BatchState::Running => BatchStateWord::Running,
        BatchState::Held => BatchStateWord::Held,
        BatchState::Paused => BatchStateWord::Paused,
        BatchState::Complete => BatchStateWord::Complete,
        BatchState::Aborted => BatchStateWord::Aborted,
    }
}

/// Returns how a step came out, in the words of the API.
#[must_use]
pub const fn verdict_word(verdict: Verdict) -> VerdictWord {
    match verdict {
        Verdict::Within => VerdictWord::Within,
        Verdict::Overshoot => VerdictWord::Overshoot,
        Verdict::Shortfall => VerdictWord::Shortfall,
        Verdict::Recorded => VerdictWord::Recorded,
        Verdict::Skipped => VerdictWord::Skipped,
    }
}

/// Returns the stable word of a cue.
const fn cue_word(cue: Cue) -> &'static str {
    match cue {
        Cue::Stop => "stop",
        Cue::Begin { .. } => "begin",
        Cue::Judged { .. } => "judged",
        Cue::Rescued { .. } => "rescued",
        Cue::Asks => "asks",
        Cue::TimeIsUp => "time-is-up",
        Cue::LoadGone => "load-gone",
        Cue::ScaleLost => "scale-lost",
        Cue::ScaleBack => "scale-back",
        Cue::FineLost => "fine-lost",
        Cue::FineBack => "fine-back",
        Cue::WaitingToSettle => "waiting-to-settle",
        Cue::JarsTurn => "jars-turn",
        Cue::AsksForJar => "asks-for-jar",
        Cue::Complete => "complete",
        Cue::Aborted => "aborted",
    }
}

/// Returns a cue as the API tells it; `number` counts the cues of the bench.
#[must_use]
pub fn cue_line(number: u64, cue: Cue, book: &Book) -> CueLine {
    let begins = match cue {
        Cue::Begin { task } => Some(task),
        _ => None,
    };
    let of_set = book.procedure().of_set.is_some();
    CueLine {
        number,
        cue: cue_word(cue).to_owned(),
        text: cue_text(cue, book),
        step: begins.map(|task| task.0),
        action: begins
            .and_then(|task| book.task(task))
            .map(|task| action(book, task)),
        verdict: match cue {
            Cue::Judged { verdict } => Some(verdict_word(verdict)),
            _ => None,
        },
        total_g: match cue {
            Cue::Rescued { total } => Some(total.grams()),
            _ => None,
        },
        jar: of_set.then(|| book.procedure().recipe.clone()),
    }
}

/// Returns a cue as a person hears or reads it.
#[must_use]
pub fn cue_text(cue: Cue, book: &Book) -> String {
    match cue {
        Cue::Stop => "stop".to_owned(),
        Cue::Begin { task } => {
            let title = book.task(task).map(|task| title(book, task));
            format!("next: {}", title.unwrap_or_default())
        }
        Cue::Judged { verdict } => match verdict {
            Verdict::Within => "that is right",
            Verdict::Overshoot => "too much",
            Verdict::Shortfall => "less than wanted, going on",
            Verdict::Recorded => "done",
            Verdict::Skipped => "left out",
        }
        .to_owned(),
        Cue::Rescued { total } => {
            format!(
                "the rest is resized, the batch becomes {}; undo takes it back",
                grams(total)
            )
        }
        Cue::Asks => "please decide".to_owned(),
        Cue::TimeIsUp => "time is up".to_owned(),
        Cue::LoadGone => "the jar is off the pan".to_owned(),
        Cue::ScaleLost => "no weight: the scale is away".to_owned(),
        Cue::ScaleBack => "the scale is back".to_owned(),
        Cue::FineLost => "no weight: the finer scale is away".to_owned(),
        Cue::FineBack => "the finer scale is back".to_owned(),
        Cue::WaitingToSettle => "as soon as the weight has settled".to_owned(),
        Cue::JarsTurn => format!("now the jar of {}", book.procedure().recipe),
        Cue::AsksForJar => "please say which jar".to_owned(),
        Cue::Complete if book.procedure().of_set.is_some() => {
            format!("{} is complete", book.procedure().recipe)
        }
        Cue::Complete => "the batch is complete".to_owned(),
        Cue::Aborted => "the batch is given up".to_owned(),
    }
}

/// Writes grams as a person reads them: one decimal from ten grams up, two below, three below one.
pub(super) fn grams(mass: Mass) -> String {
    let decimals = match mass.abs() {
        small if small < Mass::from_grams(1) => 3,
        medium if medium < Mass::from_grams(10) => 2,
        _ => 1,
    };
    let text = mass.grams_text(decimals);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    format!("{text} g")
}

/// Writes how far a mass is from what it should be: `5.7 g less`.
pub(super) fn more_or_less(off: Mass) -> String {
    let which = if off < Mass::ZERO { "less" } else { "more" };
    format!("{} {which}", grams(off.abs()))
}

/// Returns an exact volume in millilitres.
pub(super) fn volume_ml(volume: &Volume) -> f64 {
    (volume.microlitres() * &Ratio::new(1, 1_000)).to_f64()
}

/// Returns a volume in millilitres.
pub(super) fn millilitres(microlitres: u64) -> f64 {
    let whole = i64::try_from(microlitres).unwrap_or(i64::MAX);
    Ratio::new(whole, 1_000).to_f64()
}
