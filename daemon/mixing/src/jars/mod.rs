//! Several jars mixed side by side on one scale: which one stands on the pan, and whose turn it is.
//!
//! Each jar is a batch with a [`Session`] and a journal of its own; what is kept here is only watched and
//! is found again from the journals after a restart. At most one session hears the scale: the jar on the
//! pan, or the one that stood there last. A jar that is set down is known by its weight; where two are too
//! alike, or none fits, the person is asked. One jar alone is passed through as it is.
//!
//! | file | idea |
//! |---|---|
//! | `turn` | whose turn it is: the walk, what rests, what waits for a premix |
//! | `known` | which jar weighs so much |
//! | `pan` | what is set down, lifted, and poured into the wrong jar |
//! | `fine` | a second, finer scale: which jar its weights are about |
//! | `said` | what the person says: which jar it is, or what is meant for the jar at hand |

mod fine;
mod known;
mod pan;
mod said;
mod turn;

use tarehand_protocol::Mass;

use crate::procedure::OfSet;
use crate::session::{Cue, Effect, Input, JarPlace, Refusal, Session, TaskId};
use crate::tick::Tick;

/// The jars that are being mixed on one scale.
#[derive(Clone, Debug)]
pub struct Jars {
    sessions: Vec<Session>,
    pan: Pan,
    /// What the pan showed last without a jar.
    empty: Option<Mass>,
    asks: Option<Asks>,
    /// What settled on the pan, where it is no jar that is known.
    load: Option<Mass>,
    /// What was asked about the load that has just been lifted, and which jar was proposed.
    proposed: Option<(Mass, usize)>,
    /// The task that goes on although it is another jar's turn.
    insisted: Option<(usize, TaskId)>,
    /// Whose turn it was when something was heard last: what runs into that jar is finished first.
    had_turn: Option<usize>,
    /// What a finished jar weighed when it was seen last, the empty pan left out.
    finished: Vec<Option<Mass>>,
    /// Whether nobody could see the pan for a while: the jars may have been changed.
    unwatched: bool,
    /// The last time that was heard of: rests go on without a word.
    now: Tick,
}

/// What stands on the pan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Pan {
    /// This jar.
    Jar(usize),
    /// None that is known.
    Free {
        /// The jar that stood there last.
        last: usize,
    },
}

/// What is asked about the jars themselves.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Asks {
    /// Which jar is this?
    Which {
        /// What the scale shows.
        gross: Mass,
        /// Those it may be, the likeliest first.
        jars: Vec<usize>,
    },
    /// Something came into a jar whose turn it is not: was it this jar's own next ingredient?
    OutOfTurn {
        /// The jar.
        jar: usize,
        /// What the scale shows.
        gross: Mass,
    },
}

/// What one jar wishes to happen.
#[derive(Clone, Debug, PartialEq)]
pub struct Wish {
    /// Which jar, from 0.
    pub jar: usize,
    /// What.
    pub effect: Effect,
}

/// What the person is at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AtHand {
    /// This jar; it is on the pan, or was just lifted, or is the first.
    Jar(usize),
    /// This jar belongs on the pan now.
    Bring {
        /// Which.
        jar: usize,
        /// What stands there instead.
        instead: Option<usize>,
    },
    /// Nothing can be done before this jar has rested.
    Resting(usize),
    /// Which jar is on the pan?
    Which {
        /// Those it may be, the likeliest first.
        jars: Vec<usize>,
    },
    /// Was this jar's own next ingredient poured into it, though it is another one's turn?
    OutOfTurn {
        /// The jar on the pan.
        jar: usize,
        /// How much came into it.
        poured: Mass,
    },
}

impl Jars {
    /// Takes the sessions of jars that are mixed side by side, in the order of the set; `None` where there is none.
    #[must_use]
    pub fn new(sessions: Vec<Session>, now: Tick) -> Option<Self> {
        if sessions.is_empty() {
            return None;
        }
        let finished = vec![None; sessions.len()];
        let mut jars = Self {
            sessions,
            pan: Pan::Free { last: 0 },
            empty: None,
            asks: None,
            load: None,
            proposed: None,
            insisted: None,
            had_turn: None,
            finished,
            unwatched: true,
            now,
        };
        jars.pan = jars.found_on_pan();
        Some(jars)
    }

    /// Returns what stands on the pan as the journals tell it.
    fn found_on_pan(&self) -> Pan {
        let stands = |jar: &usize| self.book(*jar).jar() == JarPlace::OnPan;
        let jars = || 0..self.sessions.len();
        let unfinished = jars().find(|jar| stands(jar) && !self.book(*jar).is_over());
        // That a finished jar is lifted is not written down: it stands there while nothing was written since.
        let newest = jars().map(|jar| self.book(jar).written()).max();
        let finished =
            || jars().find(|jar| stands(jar) && Some(self.book(*jar).written()) == newest);
        match unfinished.or_else(finished) {
            Some(jar) => Pan::Jar(jar),
            None => Pan::Free {
                last: self.wanted().unwrap_or(0),
            },
        }
    }

    /// Returns the session of every jar.
    #[must_use]
    pub fn sessions(&self) -> &[Session] {
        &self.sessions
    }

    /// Returns whether every jar is made or given up.
    #[must_use]
    pub fn is_over(&self) -> bool {
        self.sessions.iter().all(|session| session.book().is_over())
    }

    /// Returns the jar on the pan, where it is known.
    #[must_use]
    pub const fn on_pan(&self) -> Option<usize> {
        match self.pan {
            Pan::Jar(jar) => Some(jar),
            Pan::Free { .. } => None,
        }
    }

    /// Returns what the person is at.
    #[must_use]
    pub fn at_hand(&self) -> AtHand {
        match &self.asks {
            Some(Asks::Which { jars, .. }) => return AtHand::Which { jars: jars.clone() },
            Some(Asks::OutOfTurn { jar, gross }) => {
                let poured = *gross - self.book(*jar).last();
                return AtHand::OutOfTurn { jar: *jar, poured };
            }
            None => {}
        }
        let Some(wanted) = self.wanted() else {
            return AtHand::Jar(self.here());
        };
        match self.pan {
            Pan::Jar(jar) | Pan::Free { last: jar } if jar == wanted => AtHand::Jar(jar),
            Pan::Free { .. } if self.sessions.iter().all(Self::is_awaited) => AtHand::Jar(wanted),
            _ if self.at_bottle() == Some(wanted) => AtHand::Jar(wanted),
            _ if self.is_resting(wanted) => AtHand::Resting(wanted),
            Pan::Jar(jar) => AtHand::Bring {
                jar: wanted,
                instead: Some(jar),
            },
            Pan::Free { .. } => AtHand::Bring {
                jar: wanted,
                instead: None,
            },
        }
    }

    /// Returns the jar whose words and steps are shown, and to which commands go.
    #[must_use]
    pub fn shown(&self) -> usize {
        match self.at_hand() {
            AtHand::Jar(jar)
            | AtHand::Bring { jar, .. }
            | AtHand::Resting(jar)
            | AtHand::OutOfTurn { jar, .. } => jar,
            AtHand::Which { jars } => jars.first().copied().unwrap_or_else(|| self.here()),
        }
    }

    /// Returns the name of a jar for people.
    #[must_use]
    pub fn name(&self, jar: usize) -> &str {
        &self.book(jar).procedure().recipe
    }

    /// Takes one input and returns what is wished, in order.
    pub fn step(&mut self, now: Tick, input: Input) -> Vec<Wish> {
        let mut wishes = Wishes {
            now,
            list: Vec::new(),
        };
        self.now = now;
        if self.sessions.len() == 1 {
            self.pass(&mut wishes, 0, input);
            return wishes.list;
        }
        let before = (self.wanted(), self.asks.is_some());
        match input {
            Input::Fact(fact) => self.fact(&mut wishes, fact),
            Input::Command(command) => self.command(&mut wishes, command),
            Input::Fine(fact) => self.fine(&mut wishes, fact),
            Input::Scale(_) | Input::FineScale(_) | Input::Wake => {
                for jar in 0..self.sessions.len() {
                    self.pass(&mut wishes, jar, input.clone());
                }
            }
            Input::EarlierThinning(_)
            | Input::Room(_)
            | Input::FineAside { .. }
            | Input::FineEmpty(_)
            | Input::Brought { .. }
            | Input::TakenAway => {
                let jar = self.here();
                self.pass(&mut wishes, jar, input);
            }
        }
        self.share_fine_zero(&mut wishes);
        self.tell(&mut wishes, before);
        self.had_turn = self.wanted();
        wishes.list
    }

    /// Says whose turn it is now, where that has changed, and leaves out what would contradict it.
    fn tell(&self, wishes: &mut Wishes, (before, asked): (Option<usize>, bool)) {
        let wanted = self.wanted();
        wishes.list.retain(|wish| {
            !matches!(wish.effect, Effect::Cue(Cue::Begin { .. })) || Some(wish.jar) == wanted
        });
        if let (Some(jar), true) = (wanted, wanted != before && wanted != self.on_pan()) {
            wishes.add(jar, Effect::Cue(Cue::JarsTurn));
        }
        if self.asks.is_some() && !asked {
            wishes.add(self.shown(), Effect::Cue(Cue::AsksForJar));
        }
    }

    /// Hands an input to one jar's session.
    fn pass(&mut self, wishes: &mut Wishes, jar: usize, input: Input) {
        let effects = self.sessions[jar].step(wishes.now, input);
        for effect in effects {
            wishes.add(jar, effect);
        }
    }

    fn book(&self, jar: usize) -> &crate::session::Book {
        self.sessions[jar].book()
    }

    fn of_set(&self, jar: usize) -> Option<&OfSet> {
        self.book(jar).procedure().of_set.as_ref()
    }

    fn is_awaited(session: &Session) -> bool {
        session.book().jar() == JarPlace::Awaited
    }

    /// The jar on the pan, or the one that stood there last.
    const fn here(&self) -> usize {
        match self.pan {
            Pan::Jar(jar) | Pan::Free { last: jar } => jar,
        }
    }

    /// What the scale shows with an empty pan, as far as it is known.
    fn empty_pan(&self) -> Option<Mass> {
        self.empty.or_else(|| {
            let book = self.book(self.here());
            (book.jar() != JarPlace::Awaited).then(|| book.empty())
        })
    }
}

/// One call of [`Jars::step`]: the moment and the wishes so far.
struct Wishes {
    now: Tick,
    list: Vec<Wish>,
}

impl Wishes {
    fn add(&mut self, jar: usize, effect: Effect) {
        self.list.push(Wish { jar, effect });
    }

    fn refuse(&mut self, jar: usize, refusal: Refusal) {
        self.add(jar, Effect::Refuse(refusal));
    }
}

#[cfg(test)]
mod tests;
