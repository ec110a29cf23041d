//! Teaching a scale that nobody described: what was heard while known weights stood on the pan
//! becomes a profile, or the reason why it cannot.
//!
//! ```text
//! Lesson ─ text ────────────────────────────▶ Candidate ─┐
//!        └ framing ─ checks, fields, numbers, states ────┴─ rank (the real decoder) ─▶ Taught
//! ```
//!
//! Nothing is guessed silently: a profile says in comments what it rests on, refuses what was never
//! seen, and where two explanations remain neither is chosen. Teaching again with one more capture
//! of the same scale ([`Lesson::hear`]) widens what was seen.
//!
//! | file | idea |
//! |---|---|
//! | `lesson`, `seen` | what was heard and said, and which weights it bears out |
//! | `line_frames`, `lines`, `text`, `low` | candidates of lines of text |
//! | `framing`, `anchor`, `columns` | how bits are cut into frames, and what each byte of them does |
//! | `checks`, `fields`, `numbers`, `shifted`, `states` | what the bytes may be: a check, a number, a point, a state |
//! | `binary`, `binary_settings` | candidates of bits, and a profile of one |
//! | `heard`, `rank`, `evidence` | every candidate against the real decoder, and what speaks for the best |
//! | `advice` | what to do about a doubt |

mod advice;
mod anchor;
mod binary;
mod binary_settings;
mod checks;
mod columns;
mod evidence;
mod fields;
mod framing;
mod heard;
mod lesson;
mod line_frames;
mod lines;
mod low;
mod numbers;
mod rank;
mod seen;
mod shifted;
mod states;
mod text;

use crate::mass::Mass;
use crate::scale::profile::{Profile, Settings};

pub use advice::{Because, Doubt};
pub use lesson::{Aside, Lesson, LessonError, Pan};

/// What came of a lesson.
#[derive(Clone, Debug)]
pub enum Taught {
    /// One explanation, and what else would explain less well.
    Found {
        /// The profile.
        best: Box<Candidate>,
        /// The next ones, the better first.
        others: Vec<Candidate>,
    },
    /// Two remain, and what would tell them apart.
    Doubtful {
        /// Both, the simpler first, and then others.
        candidates: Vec<Candidate>,
        /// What to do.
        doubt: Doubt,
    },
    /// None explains it.
    Nothing(Because),
}

/// A profile that explains the lesson.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Candidate {
    /// The profile; its text has the evidence as comments.
    pub profile: Profile,
    /// What speaks for it, a line each.
    pub evidence: Vec<String>,
}

impl Candidate {
    /// Makes a candidate with its evidence as comments before the profile; `None` where the settings hold together
    /// no profile.
    #[must_use]
    pub fn new(settings: &Settings, evidence: Vec<String>) -> Option<Self> {
        let mut text = String::new();
        for line in &evidence {
            text.push_str("# ");
            // What a scale sent may stand in it, but never a line of the profile.
            text.extend(line.chars().filter(|letter| !letter.is_control()));
            text.push('\n');
        }
        text.push_str(&settings.render());
        let profile = Profile::parse(&text).ok()?;
        Some(Self { profile, evidence })
    }
}

/// Learns what a scale sends.
///
/// # Errors
/// What the lesson lacks.
pub fn teach(lesson: &Lesson) -> Result<Taught, LessonError> {
    lesson.check()?;
    if let Some(taught) = text::find(lesson) {
        return Ok(taught);
    }
    let found = binary::find(lesson);
    let because = Because::of(&found);
    let ranked = rank::rank(found.guesses, lesson);
    let mut candidates: Vec<Candidate> = Vec::new();
    let rival = rank::rival(&ranked);
    let order = (0..ranked.len()).filter(|&at| rival.is_none_or(|(rival, _)| at != rival));
    let mut order: Vec<usize> = order.collect();
    if let Some((at, _)) = rival {
        order.insert(1, at);
    }
    for ranked in order.into_iter().filter_map(|at| ranked.get(at)).take(MOST) {
        candidates.extend(rank::candidate(ranked));
    }
    if candidates.is_empty() {
        return Ok(Taught::Nothing(because));
    }
    Ok(match rival {
        Some((_, rival)) => Taught::Doubtful {
            candidates,
            doubt: Doubt::of(rival, lesson),
        },
        None => Taught::Found {
            best: Box::new(candidates.remove(0)),
            others: candidates,
        },
    })
}

/// Most candidates that are told.
const MOST: usize = 5;

/// Returns a weight unlike those that stood on the pan, and within what the scale takes.
fn another_weight(greatest: Mass) -> Mass {
    let wanted = greatest.abs().micrograms() / 100 * 73;
    let mut step = 1;
    while step * 100 < wanted {
        step *= 10;
    }
    Mass::from_micrograms(wanted / step * step)
}
