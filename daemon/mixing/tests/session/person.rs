//! An honest, helpful person: from any state to a finished batch.

use std::time::Duration;

use tarehand_mixing::Amount;
use tarehand_mixing::procedure::StepKind;
use tarehand_mixing::session::{
    Answer, BatchState, BottleNow, Command, Effect, Input, JarPlace, Question, Undoes,
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
    if book.state() != BatchState::Paused && act_with_bottle(witness) {
        return;
    }
    let book = witness.book();
    match (book.state(), book.jar(), book.question()) {
        (BatchState::Paused, _, _) => say(witness, Command::Resume),
        (_, JarPlace::Awaited, Some(_)) => say(witness, Command::Answer(Answer::Yes)),
        (_, JarPlace::Beside { .. }, Some(question)) if question.waiting().is_none() => {
            say(witness, Command::Answer(Answer::Yes));
        }
        (_, JarPlace::Beside { .. }, _) => {
            settle(witness, here);
            work(witness);
        }
        (_, JarPlace::Awaited, None) if book.current().is_some() && !wants_jar(witness) => {
            say(witness, Command::Next);
        }
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

/// Does what is to be done with a bottle; `false` when the jar is what counts.
fn act_with_bottle(witness: &mut Witness) -> bool {
    let book = witness.book();
    let empty = book.empty();
    let Some(now) = witness.session.bottle_now() else {
        return false;
    };
    match (now, book.question(), book.bottle()) {
        (_, Some(Question::BottleLighter { after, .. }), _) => {
            let after = *after;
            settle(witness, after);
            say(witness, Command::Answer(Answer::Yes));
        }
        (_, Some(_), _) => say(witness, Command::Answer(Answer::Yes)),
        (BottleNow::SetJarAside | BottleNow::TakeAway, ..) => settle(witness, empty),
        (BottleNow::Put, ..) if book.current().is_none() => {
            settle(witness, Mass::ZERO);
            settle(witness, Mass::from_grams(900));
        }
        (BottleNow::Put, ..) => {
            // Unlike the jar, whatever that weighs.
            let gross = book.last() + Mass::from_grams(900);
            settle(witness, empty);
            settle(witness, gross);
        }
        (BottleNow::Pour | BottleNow::InHand, None, Some(bottle)) => {
            let here = bottle.gross;
            if here - empty < Mass::from_grams(300) {
                // It may not hold enough: a full one comes.
                settle(witness, empty);
                settle(witness, here.max(empty) + Mass::from_grams(900));
                return true;
            }
            settle(witness, here);
            work(witness);
        }
        (BottleNow::Pour | BottleNow::InHand, None, None) => {}
    }
    true
}

fn wants_jar(witness: &Witness) -> bool {
    let book = witness.book();
    book.current()
        .is_some_and(|task| book.pours(task).is_some() || book.step(task).lets_out())
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
    let missing = missing.max(Mass::ZERO);
    let next = match book.bottle_in_use() {
        Some(bottle) => bottle.gross - missing,
        None => book.last() + missing,
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
    let book = witness.book();
    let here = book.bottle().map_or(book.last(), |bottle| bottle.gross);
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
