//! An honest, helpful person: from any state to a finished batch.

use std::time::Duration;

use tarehand_mixing::Amount;
use tarehand_mixing::procedure::StepKind;
use tarehand_mixing::session::{
    Answer, BatchState, Command, Effect, Input, JarPlace, Question, Undoes,
};
use tarehand_mixing::settler::{Change, Fact, Zero};
use tarehand_protocol::Mass;

use super::witness::Witness;

/// So many actions must do: every task needs a few, and a rescue adds some.
const ENOUGH: usize = 200;

/// Finishes the batch, with a scale that works; panics when that cannot be done.
pub(super) fn finish(witness: &mut Witness) {
    if witness.book().scale_lost() {
        witness.step(Input::Fact(Fact::Back {
            zero: Zero::Trusted,
        }));
    }
    for _ in 0..ENOUGH {
        if witness.book().is_over() {
            return;
        }
        act(witness);
        witness.wait(Duration::from_secs(1));
        witness.wait(Duration::from_secs(1));
    }
    panic!(
        "no end: {:?} at {:?}, jar {:?}, asks {:?}, last {}",
        witness.book().state(),
        witness.book().current(),
        witness.book().jar(),
        witness.book().question(),
        witness.book().last(),
    );
}

fn act(witness: &mut Witness) {
    let book = witness.book();
    let here = book
        .question()
        .and_then(Question::waiting)
        .unwrap_or(book.last());
    match (book.state(), book.jar(), book.question()) {
        (BatchState::Paused, _, _) => say(witness, Command::Resume),
        (_, JarPlace::Awaited, _) => {
            settle(witness, Mass::ZERO);
            settle(witness, Mass::from_grams(50));
        }
        (_, JarPlace::Gone { .. }, _) => {
            // Really off the pan first, then back as it was.
            let empty = witness.book().empty();
            settle(witness, empty);
            settle(witness, here);
        }
        (_, JarPlace::OnPan, Some(_)) => {
            settle(witness, here);
            say(witness, Command::Answer(Answer::Yes));
        }
        (_, JarPlace::OnPan, None) => {
            settle(witness, here);
            work(witness);
        }
    }
}

/// Does what the current task wants.
fn work(witness: &mut Witness) {
    let book = witness.book();
    let (Some(task), None) = (book.current(), book.question()) else {
        return;
    };
    let missing = match (book.step(task), task.target) {
        (StepKind::Add(addition), target) => match (&addition.amount, target) {
            (Amount::Range { low, high }, _) => {
                Mass::from_micrograms(i64::midpoint(low.micrograms(), high.micrograms()))
                    - task.poured
            }
            (_, Some(target)) => target - task.poured,
            (_, None) => Mass::from_grams(1),
        },
        _ => Mass::ZERO,
    };
    let id = task.id;
    let next = if Mass::ZERO < missing {
        book.last() + missing
    } else {
        book.last()
    };
    settle(witness, next);
    witness.wait(Duration::from_secs(1));
    let book = witness.book();
    if !book.is_over()
        && book.question().is_none()
        && book.current().map(|task| task.id) == Some(id)
    {
        say(witness, Command::Next);
    }
}

/// Lets the weight come to rest, so that nothing has to wait for it, with whatever is asked about the pan denied.
pub(super) fn come_to_rest(witness: &mut Witness) {
    let here = witness.book().last();
    settle(witness, here);
    while witness
        .book()
        .question()
        .and_then(Question::waiting)
        .is_some()
    {
        say(witness, Command::Answer(Answer::No));
    }
}

/// Takes back everything there is to take back, and returns how often that was.
pub(super) fn undo_all(witness: &mut Witness) -> usize {
    let mut times = 0;
    while witness.book().undoes().is_some() && !witness.book().is_over() {
        assert!(times < ENOUGH, "undo goes on for ever");
        if witness
            .book()
            .question()
            .and_then(Question::waiting)
            .is_some()
        {
            say(witness, Command::Answer(Answer::No));
            continue;
        }
        let rescue = witness.book().undoes() == Some(Undoes::Rescue);
        let effects = witness.step(Input::Command(Command::Undo));
        assert!(
            !effects
                .iter()
                .any(|effect| matches!(effect, Effect::Refuse(_)))
        );
        if rescue {
            assert!(
                witness
                    .book()
                    .question()
                    .and_then(Question::ways_out)
                    .is_some(),
                "a rescue taken back is asked about again"
            );
        }
        times += 1;
    }
    times
}

fn settle(witness: &mut Witness, gross: Mass) {
    witness.step(Input::Fact(Fact::Settled {
        gross,
        change: Change::Jump,
    }));
}

fn say(witness: &mut Witness, command: Command) {
    witness.step(Input::Command(command));
}
