//! What the bench learns from its own record: plain statistics of runs, each with how many there were.
//!
//! Pure: runs come out of journals, and what was learnt is worked out from them anew each time; nothing is kept. What
//! has a default is used only once it beats that on runs it had not seen ([`Guard`]); what has none is only shown.
//!
//! | file | idea |
//! |---|---|
//! | `kind` | the kinds of things that are learnt, and where each is used |
//! | `runs` | what one batch's journal tells |
//! | `in_flight` | the in-flight allowance, as batch controllers learn it |
//! | `stop_lead` | how much earlier or later stop is said to this hand, of this ingredient |
//! | `plain` | what a drop or a spoon weighs, thinner, what a stick carries away, what an area takes |
//! | `guard` | whether what is learnt beats the default |
//! | `centre` | the middle of few numbers, some of them wild |

mod centre;
mod guard;
mod in_flight;
mod kind;
mod plain;
mod runs;
mod stop_lead;

pub use guard::Guard;
pub use in_flight::{InFlight, Rule};
pub use kind::Kind;
pub use plain::plain;
pub use runs::{Of, PlainRun, PourRun, Run, Told, runs};
pub use stop_lead::{StopLead, StopLeads, stop_lead};

/// Runs that are looked at, the newest: hands, bottles and paints change (our own choice).
pub const NEWEST: usize = 40;

/// What was learnt, with what it rests on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Learnt {
    /// The estimate, in `unit`.
    pub value: f64,
    /// One standard deviation of a single run about it, in `unit`.
    pub spread: f64,
    /// What both are counted in.
    pub unit: Unit,
    /// How many runs it rests on.
    pub runs: usize,
    /// Whether it beats the default.
    pub standing: Standing,
}

/// What an estimate is counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Seconds.
    Seconds,
    /// Grams.
    Grams,
    /// Grams of thinner for a gram of mix.
    GramsPerGram,
    /// Grams for a square metre.
    GramsPerSquareMetre,
}

impl Unit {
    /// Returns its symbol.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Seconds => "s",
            Self::Grams => "g",
            Self::GramsPerGram => "g/g",
            Self::GramsPerSquareMetre => "g/m2",
        }
    }
}

/// Whether what was learnt beats the default.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Standing {
    /// There is no default: it is only shown.
    NoDefault,
    /// It does not, or too few runs were compared to tell.
    NotBetter {
        /// The default, in the unit of the estimate.
        default: f64,
    },
    /// It does.
    Better {
        /// The default, in the unit of the estimate.
        default: f64,
        /// Its misses as a part of the default's, on runs it had not seen.
        misses: f64,
    },
}

impl Standing {
    fn of(guard: &Guard, default: f64) -> Self {
        match guard.part().filter(|_| guard.is_used()) {
            Some(misses) => Self::Better { default, misses },
            None => Self::NotBetter { default },
        }
    }

    /// Returns whether it beats a default.
    #[must_use]
    pub const fn is_better(self) -> bool {
        matches!(self, Self::Better { .. })
    }
}
