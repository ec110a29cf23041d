//! The guided session: facts and commands in, wishes out.
//!
//! Pure: time comes in as a value. What is certain lives in the [`Book`], the fold of the journal;
//! what is only watched (the live weight, a dwell that runs) lives beside it and is lost on a restart
//! without harm.
//!
//! | file | idea |
//! |---|---|
//! | `book` | what is certain |
//! | `entry`, `question`, `limits` | what is written down, asked, and allowed without asking |
//! | `jar`, `gap`, `gone` | jar on, gaps, jar gone and back, moved zeros: from settled weights to bookings |
//! | `bottle` | weighing out of a bottle, with the jar beside the scale |
//! | `bottle_booked` | what left a bottle: booked, or asked about |
//! | `weigh` | how a step is weighed: what the person says of it |
//! | `fine` | a second, finer scale: which steps are weighed out on it, and what it hears |
//! | `jar_meanwhile` | the jar on its own scale while the finer one counts |
//! | `among` | one jar among several: brought to the pan after another, or mistaken for another |
//! | `answers` | what was asked about a difference, booked |
//! | `judge` | additions: below, inside or above; what comes next |
//! | `way_out` | the way out of a slip: within the limits, or asked for |
//! | `thinning` | trails, and how much thinner comes next |
//! | `water` | a warning of much added water, and a splash that keeps to its limit |
//! | `too_thin` | a mix that is too thin: more of it without thinner |
//! | `slips` | a bottle that is empty, an ingredient named afterwards |
//! | `command` | what the person may say |
//! | `weighings` | from a journal, which readings every mass is the difference of |
//! | `cue` | when to say stop |
//! | `watch`, `shown` | what is watched of the scales but not certain, and what of it is shown |

mod among;
mod answers;
mod book;
mod bottle;
mod bottle_booked;
mod command;
mod cue;
mod entry;
mod fine;
mod gap;
mod gone;
mod input;
mod jar;
mod jar_meanwhile;
mod judge;
mod limits;
mod question;
mod shown;
mod slips;
mod thinning;
mod too_thin;
mod watch;
mod water;
mod way_out;
mod weigh;
mod weighings;

use tarehand_protocol::Mass;

use crate::procedure::{Procedure, StepKind};
use crate::settler::{Change, Fact, Zero};
use crate::tick::Tick;
use crate::weighing::Scale;

pub use book::{
    BatchState, Book, Bottle, BottlePlace, Chosen, FinePan, JarPlace, Purpose, Task, Undoes,
};
pub use bottle::BottleNow;
use cue::StopWatch;
pub use entry::{
    By, Cause, Destination, Entry, Extra, JarThen, Record, Seen, StopSaid, Taken, TaskId, Verdict,
    ZeroCause,
};
use fine::Attention;
pub use input::{Command, Cue, Effect, FineAt, Input, Refusal, SettingDown};
pub use limits::Limits;
pub use question::{Answer, Question, Slip};
pub use shown::PanNow;
pub use thinning::{ThinNow, thinning_slope};
use watch::{PanWatch, Wanted, Watch};
pub use weighings::{Weighing, Weighings};

/// One batch being made.
#[derive(Clone, Debug)]
pub struct Session {
    book: Book,
    watch: Watch,
}

impl Session {
    /// Opens a batch; the effects hold the first record.
    #[must_use]
    pub fn open(
        now: Tick,
        procedure: Procedure,
        limits: Limits,
        scale: Scale,
    ) -> (Self, Vec<Effect>) {
        let entry = Entry::Opened {
            procedure: procedure.clone(),
            limits: limits.clone(),
            scale,
        };
        let session = Self {
            book: Book::open(procedure, limits, scale),
            watch: Watch::default(),
        };
        (
            session,
            vec![Effect::Record(Box::new(Record { at: now, entry }))],
        )
    }

    /// Takes a batch up again from its journal; `None` when it does not begin with an opening.
    ///
    /// The time since the last entry is a gap: the first settled weight is judged against the last one booked.
    #[must_use]
    pub fn rebuild(journal: &[Record]) -> Option<Self> {
        let book = Book::rebuild(journal)?;
        Some(Self {
            book,
            watch: Watch {
                main: PanWatch::after_gap(),
                fine: PanWatch::after_gap(),
                ..Watch::default()
            },
        })
    }

    /// Returns what the batch knows for certain.
    #[must_use]
    pub const fn book(&self) -> &Book {
        &self.book
    }

    /// Returns when a timed step is over.
    #[must_use]
    pub fn due(&self) -> Option<Tick> {
        let task = self.book.current()?;
        match self.book.step(task) {
            StepKind::Stir { time } | StepKind::Rest { time } => Some(self.book.began() + *time),
            StepKind::Add(_)
            | StepKind::Strain { .. }
            | StepKind::Look { .. }
            | StepKind::Trail { .. }
            | StepKind::Thin { .. }
            | StepKind::TakeOut { .. }
            | StepKind::Decant { .. }
            | StepKind::Note { .. } => None,
        }
    }

    /// Takes one input and returns what is wished, in order.
    pub fn step(&mut self, now: Tick, input: Input) -> Vec<Effect> {
        let mut turn = Turn {
            now,
            effects: Vec::new(),
        };
        match input {
            Input::Command(command) => self.command(&mut turn, command),
            Input::Fact(fact) if !self.book.is_over() => self.fact(&mut turn, fact),
            Input::Fine(fact) if !self.book.is_over() => {
                self.fine_fact(&mut turn, fact, Attention::Here);
            }
            Input::FineAside { fact, at } if !self.book.is_over() => {
                self.fine_fact(&mut turn, fact, Attention::Aside(at));
            }
            Input::FineEmpty(gross) if !self.book.is_over() => {
                self.fine_empty_is(&mut turn, gross);
            }
            Input::FineScale(scale) if !self.book.is_over() => {
                self.fine_known(&mut turn, scale);
            }
            Input::Scale(scale) if !self.book.is_over() => {
                if scale != self.book.scale() {
                    self.record(&mut turn, Entry::ScaleKnown { scale });
                    self.choose_scale(&mut turn);
                    // What was flicker to a coarser division may be a gram to this one.
                    if let Some(gross) = self.watch.main.settled {
                        self.settled(&mut turn, gross, Change::Unclear);
                    }
                }
            }
            Input::EarlierThinning(slopes) if !self.book.is_over() => {
                self.thinning_known(&mut turn, &slopes);
            }
            Input::Room(room) if !self.book.is_over() => {
                self.record(&mut turn, Entry::RoomKnown { room });
            }
            Input::Wake if !self.book.is_over() => self.wake(&mut turn),
            Input::Brought {
                empty,
                gross,
                setting_down,
            } if !self.book.is_over() => self.brought(&mut turn, empty, gross, setting_down),
            Input::TakenAway if !self.book.is_over() => self.taken_away(&mut turn),
            Input::Fact(_)
            | Input::Scale(_)
            | Input::Fine(_)
            | Input::FineAside { .. }
            | Input::FineEmpty(_)
            | Input::FineScale(_)
            | Input::EarlierThinning(_)
            | Input::Room(_)
            | Input::Wake
            | Input::Brought { .. }
            | Input::TakenAway => {}
        }
        turn.effects
    }

    fn fact(&mut self, turn: &mut Turn, fact: Fact) {
        match fact {
            Fact::Live(live) => {
                self.watch.main.no_weight = None;
                self.watch.main.live = Some(live);
                if !live.quiet {
                    self.watch.main.settled = None;
                }
                if self.book.on_fine() {
                    return;
                }
                if !live.quiet {
                    self.watch.inside_since = None;
                }
                self.say_stop_in_time(turn, live);
            }
            Fact::Settled { gross, change } => {
                self.watch.main.no_weight = None;
                self.watch.main.settled = Some(gross);
                self.settled(turn, gross, change);
            }
            Fact::Unloaded { gross } => {
                if !self.book.on_fine() && self.bottle_unloaded(turn, gross) {
                    return;
                }
                let scooped = self.may_be_scooped(gross);
                if self.book.jar() == JarPlace::OnPan && self.watch.main.gap.is_none() && !scooped {
                    self.record(turn, Entry::LoadGone { gross });
                    turn.cue(Cue::LoadGone);
                }
            }
            Fact::Spike { .. } => {}
            Fact::NoWeight(why) => {
                self.watch.main.no_weight = Some(why);
                self.blind();
                // Nobody sees what is poured meanwhile: a gap like silence.
                self.watch.main.gap.get_or_insert(Zero::Trusted);
            }
            Fact::Lost => {
                self.blind();
                self.watch.wanted = None;
                self.watch.main.gap.get_or_insert(Zero::Trusted);
                if !self.book.scale_lost() {
                    self.record(turn, Entry::ScaleLost);
                    turn.cue(Cue::ScaleLost);
                }
            }
            Fact::Back { zero } => {
                self.blind();
                self.watch.main.back(zero);
                if self.book.scale_lost() {
                    self.record(turn, Entry::ScaleBack);
                    turn.cue(Cue::ScaleBack);
                }
            }
        }
    }

    /// Forgets every weight: there is none that could be judged.
    fn blind(&mut self) {
        self.watch.main.blind();
        self.watch.inside_since = None;
        self.watch.stop = StopWatch::default();
    }

    fn wake(&mut self, turn: &mut Turn) {
        self.judge(turn);
        let Some(due) = self.due() else { return };
        if self.book.state() != BatchState::Running || self.watch.time_said {
            return;
        }
        if turn.now < due {
            turn.effects.push(Effect::WakeAt(due));
            return;
        }
        self.watch.time_said = true;
        turn.cue(Cue::TimeIsUp);
        self.finish(turn, Verdict::Recorded);
    }

    /// Writes an entry down and takes it in: the only way a book changes.
    fn record(&mut self, turn: &mut Turn, entry: Entry) {
        let record = Record {
            at: turn.now,
            entry,
        };
        if let Entry::ZeroMoved { before, after, .. } = &record.entry {
            // The pan that was seen empty before shows other numbers now, too.
            let by = *after - *before;
            self.watch.empty_seen = self.watch.empty_seen.map(|empty| empty + by);
        }
        self.book.fold(&record);
        turn.effects.push(Effect::Record(Box::new(record)));
    }

    /// The smallest thing that may be a jar: 5 g or twenty divisions (our own choice; thin paper cups weigh 6 g).
    pub(crate) fn least_jar(&self) -> Mass {
        let twenty =
            Mass::from_micrograms(self.book.scale().flicker().micrograms().saturating_mul(20));
        Mass::from_grams(5).max(twenty)
    }

    /// The smallest change that is not just the display's flicker or the weighing's uncertainty.
    pub(crate) fn noticeable(&self) -> Mass {
        noticeable(self.book.scale())
    }

    /// The smallest change that is not just flicker, on the scale that the current step is weighed on.
    fn noticeable_here(&self) -> Mass {
        noticeable(self.book.scale_here())
    }
}

fn noticeable(scale: Scale) -> Mass {
    let flicker = scale.flicker();
    (flicker + flicker).max(scale.uncertainty())
}

/// One call of [`Session::step`]: the moment and the wishes so far.
struct Turn {
    now: Tick,
    effects: Vec<Effect>,
}

impl Turn {
    fn cue(&mut self, cue: Cue) {
        self.effects.push(Effect::Cue(cue));
    }
}

#[cfg(test)]
mod tests;
