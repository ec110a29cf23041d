//! What a tap on the pan says at this moment: only where something waits for an answer.
//!
//! While anything is poured, counted, stirred, rested or lifted a tap says nothing. One is yes and go on, two are
//! back; no is said by lifting the jar, a key or the command line.

use tarehand_mixing::jars::{AtHand, Jars};
use tarehand_mixing::session::{Answer, Command, Session, ThinNow};
use tarehand_mixing::tap::Tap;
use tarehand_mixing::tick::Tick;
use tarehand_protocol::api::Doing;

use crate::api::translate;

/// What one tap or two may say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Act {
    /// Yes.
    Yes,
    /// The way out of this number, from one.
    Option(u8),
    /// Go on.
    Next,
    /// Go on after a pause.
    Resume,
    /// The line was drawn.
    TrailStart,
    /// The line has sunk back.
    TrailStop,
    /// Take the last judgement back.
    Undo,
    /// Go back to the step before.
    Back,
}

impl From<Act> for Command {
    fn from(act: Act) -> Self {
        match act {
            Act::Yes => Self::Answer(Answer::Yes),
            Act::Option(number) => Self::Answer(Answer::Option(number)),
            Act::Next => Self::Next,
            Act::Resume => Self::Resume,
            Act::TrailStart => Self::TrailStart,
            Act::TrailStop => Self::TrailStop,
            Act::Undo => Self::Undo,
            Act::Back => Self::Back,
        }
    }
}

/// Something that waits for an answer a tap can give.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Waits {
    /// What one tap says.
    pub(crate) once: Act,
    /// What two say, where there is anything to take back.
    pub(crate) twice: Option<Act>,
    /// Whose answer it is, and when something was written for that jar last: afterwards it is another question.
    about: (usize, Tick),
}

impl Waits {
    /// Returns what a tap says.
    pub(super) fn answer(self, tap: Tap) -> Option<Act> {
        match tap {
            Tap::Once => Some(self.once),
            Tap::Twice => self.twice,
        }
    }
}

/// Returns what waits for an answer that a tap can give.
pub(super) fn waits(jars: &Jars, now: Tick) -> Option<Waits> {
    let session = &jars.sessions()[jars.shown()];
    let (once, twice) = acts(jars, session, now)?;
    Some(Waits {
        once,
        twice,
        about: (jars.shown(), session.book().written()),
    })
}

fn acts(jars: &Jars, session: &Session, now: Tick) -> Option<(Act, Option<Act>)> {
    match jars.at_hand() {
        AtHand::Which { jars } => return (!jars.is_empty()).then_some((Act::Option(1), None)),
        AtHand::OutOfTurn { .. } => return Some((Act::Yes, None)),
        AtHand::Bring { .. } | AtHand::Resting(_) => return None,
        AtHand::Jar(_) => {}
    }
    // With a bottle in use the pan is not the jar's.
    if session.bottle_now().is_some() {
        return None;
    }
    let timing = session.times_trail();
    match translate::doing(session, now) {
        Doing::ConfirmJar => Some((Act::Next, None)),
        Doing::Paused => Some((Act::Resume, None)),
        Doing::Answer => asked(session),
        Doing::Trail { .. } | Doing::Thin { .. } if timing => {
            // Said again, the line was drawn again.
            Some((Act::TrailStop, Some(Act::TrailStart)))
        }
        Doing::Trail { .. } => Some((Act::TrailStart, takes_back(session))),
        Doing::Thin { .. } => match session.thin_now()? {
            ThinNow::Splash { .. } => None,
            ThinNow::Measure => Some((Act::TrailStart, takes_back(session))),
            ThinNow::Right | ThinNow::TooThin { .. } | ThinNow::AtMost => {
                Some((Act::Next, takes_back(session)))
            }
        },
        Doing::Look { .. } | Doing::Note { .. } | Doing::Strain { .. } => {
            Some((Act::Next, takes_back(session)))
        }
        Doing::Nothing
        | Doing::ClearPan
        | Doing::PutJar
        | Doing::ChangeJar { .. }
        | Doing::Pour { .. }
        | Doing::Count { .. }
        | Doing::PourBetween { .. }
        | Doing::PourByEye { .. }
        | Doing::Stir { .. }
        | Doing::Rest { .. }
        | Doing::TakeOut { .. }
        | Doing::Decant { .. }
        | Doing::JarGone
        | Doing::Complete
        | Doing::Aborted => None,
    }
}

fn asked(session: &Session) -> Option<(Act, Option<Act>)> {
    let question = session.book().question()?;
    let Some((_, options)) = question.ways_out() else {
        // About a difference: it stays open until it is answered.
        return Some((Act::Yes, None));
    };
    let first = options.iter().position(|option| option.may_be_chosen())?;
    let number = u8::try_from(first + 1).ok()?;
    let undo = session.book().undoes().map(|_| Act::Undo);
    Some((Act::Option(number), undo))
}

fn takes_back(session: &Session) -> Option<Act> {
    let undo = session.book().undoes().map(|_| Act::Undo);
    undo.or_else(|| session.book().previous().map(|_| Act::Back))
}

#[cfg(test)]
mod tests;
