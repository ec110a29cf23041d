//! What the person says: which jar it is, or what is meant for the jar at hand.

use tarehand_protocol::Mass;

use crate::session::{Answer, Command, Input, Refusal};
use crate::settler::{Change, Fact};

use super::{Asks, AtHand, Jars, Wishes};

impl Jars {
    pub(super) fn command(&mut self, wishes: &mut Wishes, command: Command) {
        if let Command::JarIs(key) = &command {
            self.jar_is(wishes, key);
            return;
        }
        match self.asks.clone() {
            Some(Asks::Which { gross, jars }) => self.answer_which(wishes, gross, &jars, command),
            Some(Asks::OutOfTurn { jar, gross }) => {
                self.answer_out_of_turn(wishes, jar, gross, command);
            }
            None => self.for_jar_at_hand(wishes, command),
        }
    }

    fn for_jar_at_hand(&mut self, wishes: &mut Wishes, command: Command) {
        if let (
            AtHand::Bring {
                instead: Some(jar), ..
            },
            Command::Next,
        ) = (self.at_hand(), &command)
        {
            // The person goes on with the jar that is there.
            self.insist(jar);
            return;
        }
        let jar = self.shown();
        self.pass(wishes, jar, Input::Command(command));
        self.forget_done();
    }

    fn insist(&mut self, jar: usize) {
        self.insisted = self.book(jar).current().map(|task| (jar, task.id));
    }

    /// A task that is done is insisted on no longer.
    fn forget_done(&mut self) {
        self.insisted = self.insisted.filter(|&(jar, id)| {
            let current = self.book(jar).current();
            current.is_some_and(|task| task.id == id && task.verdict.is_none())
        });
    }

    fn answer_which(&mut self, wishes: &mut Wishes, gross: Mass, jars: &[usize], command: Command) {
        let chosen = match &command {
            Command::Next | Command::Answer(Answer::Yes) => jars.first(),
            Command::Answer(Answer::Option(number)) => usize::from(*number)
                .checked_sub(1)
                .and_then(|place| jars.get(place)),
            // Of two, the one that it is not leaves the other.
            Command::Answer(Answer::No) if jars.len() == 2 => jars.last(),
            Command::Remark(_) | Command::Abort => {
                let jar = self.shown();
                return self.pass(wishes, jar, Input::Command(command));
            }
            _ => None,
        };
        match (chosen, &command) {
            (Some(&jar), _) => self.it_is(wishes, jar, gross),
            (None, Command::Answer(_)) => wishes.refuse(self.shown(), Refusal::NotAnAnswer),
            (None, _) => wishes.refuse(self.shown(), Refusal::Asked),
        }
    }

    fn answer_out_of_turn(
        &mut self,
        wishes: &mut Wishes,
        jar: usize,
        gross: Mass,
        command: Command,
    ) {
        let change = Change::Gradual;
        let settled = Input::Fact(Fact::Settled { gross, change });
        match command {
            Command::Next | Command::Answer(Answer::Yes) => {
                self.asks = None;
                self.insist(jar);
                self.pass(wishes, jar, settled);
                self.forget_done();
            }
            Command::WasOther(_) => {
                self.asks = None;
                self.insist(jar);
                self.pass(wishes, jar, settled);
                self.pass(wishes, jar, Input::Command(command));
                self.forget_done();
            }
            Command::Remark(_) | Command::Abort => {
                self.pass(wishes, jar, Input::Command(command));
            }
            Command::Answer(_) => wishes.refuse(jar, Refusal::NotAnAnswer),
            _ => wishes.refuse(jar, Refusal::Asked),
        }
    }

    /// The person says which jar stands on the pan.
    fn jar_is(&mut self, wishes: &mut Wishes, key: &str) {
        let named = |jar: &usize| self.of_set(*jar).is_some_and(|place| place.key == key);
        let Some(jar) = (0..self.sessions.len()).find(named) else {
            return wishes.refuse(self.shown(), Refusal::NoSuchJar);
        };
        match (self.asks.clone(), self.on_pan()) {
            (Some(Asks::Which { gross, .. }), _) => self.it_is(wishes, jar, gross),
            (Some(Asks::OutOfTurn { .. }), _) => wishes.refuse(self.shown(), Refusal::Asked),
            (None, Some(there)) if there == jar => {}
            (None, Some(there)) => {
                let book = self.book(there);
                let begun = book
                    .current()
                    .is_some_and(|task| !task.poured.is_zero() || task.verdict.is_some());
                let begun = begun && !book.is_over();
                if begun || book.question().is_some() || book.is_cup_in_hand() {
                    return wishes.refuse(there, Refusal::JarInUse);
                }
                let gross = book.last();
                self.swap(wishes, there, jar, gross);
            }
            (None, None) => match self.load {
                Some(gross) => self.bring(wishes, jar, gross),
                None => wishes.refuse(self.shown(), Refusal::NoJar),
            },
        }
    }

    /// The jar that was asked about is this one.
    fn it_is(&mut self, wishes: &mut Wishes, jar: usize, gross: Mass) {
        match self.on_pan() {
            // It never left, and is lighter or heavier than before: its own session asks what that was.
            Some(there) if there == jar => {
                self.asks = None;
                let change = Change::Unclear;
                self.pass(wishes, jar, Input::Fact(Fact::Settled { gross, change }));
            }
            Some(there) => self.swap(wishes, there, jar, gross),
            None => self.bring(wishes, jar, gross),
        }
    }
}
