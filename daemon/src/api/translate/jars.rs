//! Several jars on one bench: whose turn it is, what is asked about them, how each stands.

use tarehand_mixing::jars::{AtHand, Jars};
use tarehand_mixing::procedure::StepKind;
use tarehand_mixing::session::{BatchState, Session};
use tarehand_mixing::tick::Tick;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{Doing, JarLine, OptionView, QuestionView};

use super::view::{doing, left_ms, task_doing};
use super::words::{batch_state, grams};

/// Returns what is to be done now, on the jar that is at hand or with another one.
#[must_use]
pub fn doing_among(jars: &Jars, now: Tick) -> Doing {
    let shown = &jars.sessions()[jars.shown()];
    match jars.at_hand() {
        AtHand::Jar(_) => doing(shown, now),
        AtHand::Bring { jar, instead } => Doing::ChangeJar {
            jar: jars.name(jar).to_owned(),
            instead: instead.map(|jar| jars.name(jar).to_owned()),
        },
        AtHand::Resting(_) => match shown.book().current() {
            Some(task) => task_doing(shown, task, now),
            None => Doing::Nothing,
        },
        AtHand::Which { .. } | AtHand::OutOfTurn { .. } => Doing::Answer,
    }
}

/// Returns what is asked about the jars themselves, where something is.
#[must_use]
pub fn question_about_jars(jars: &Jars) -> Option<QuestionView> {
    match jars.at_hand() {
        AtHand::Which { jars: alike } => Some(which(alike.iter().map(|&jar| {
            let session = &jars.sessions()[jar];
            let still_empty = session.book().state() == BatchState::Idle;
            (jars.name(jar), (!still_empty).then(|| in_jar(session)))
        }))),
        AtHand::OutOfTurn { jar, poured } => {
            let book = jars.sessions()[jar].book();
            let next = book.current().and_then(|task| book.pours(task));
            let next = next.map(|next| next.name.as_str());
            Some(out_of_turn(jars.name(jar), poured, next))
        }
        AtHand::Jar(_) | AtHand::Bring { .. } | AtHand::Resting(_) => None,
    }
}

/// Asks which jar is on the pan: each by its name, with what is in it where it was begun.
pub(super) fn which<'j>(alike: impl Iterator<Item = (&'j str, Option<Mass>)>) -> QuestionView {
    let options = (1..).zip(alike).map(|(option, (name, begun))| OptionView {
        option,
        kind: "jar".to_owned(),
        text: match begun {
            None => format!("{name}, still empty"),
            Some(poured) => format!("{name}, {} in it", grams(poured)),
        },
        feasible: true,
        jar: Some(name.to_owned()),
        still_empty: begun.is_none(),
        total_g: begun.unwrap_or_default().grams(),
        ..OptionView::default()
    });
    QuestionView {
        about: "which-jar".to_owned(),
        text: "which jar is on the pan?".to_owned(),
        options: options.collect(),
        ..QuestionView::default()
    }
}

/// Asks whether what came into a jar out of its turn was its `next` ingredient.
pub(super) fn out_of_turn(name: &str, poured: Mass, next: Option<&str>) -> QuestionView {
    let by = grams(poured);
    let was = next.unwrap_or("next ingredient");
    QuestionView {
        about: "out-of-turn".to_owned(),
        text: format!(
            "{by} came into {name}, whose turn it is not: was that its {was}? Otherwise name what it was"
        ),
        difference_g: Some(poured.grams()),
        ingredient: next.map(str::to_owned),
        jar: Some(name.to_owned()),
        ..QuestionView::default()
    }
}

fn in_jar(session: &Session) -> Mass {
    session.book().all_tasks().map(|task| task.left).sum()
}

/// Returns how each jar of a set stands; none where one jar is made alone.
#[must_use]
pub fn jar_lines<'m>(jars: &Jars, marks: impl Iterator<Item = &'m str>, now: Tick) -> Vec<JarLine> {
    let (shown, on_pan) = (jars.shown(), jars.on_pan());
    jars.sessions()
        .iter()
        .zip(marks)
        .enumerate()
        .filter_map(|(jar, (session, mark))| {
            let book = session.book();
            let place = book.procedure().of_set.as_ref()?;
            let rests = book
                .current()
                .is_some_and(|task| matches!(book.step(task), StepKind::Rest { .. }));
            Some(JarLine {
                key: place.key.clone(),
                name: book.procedure().recipe.clone(),
                batch: mark.to_owned(),
                state: batch_state(book.state()),
                on_pan: on_pan == Some(jar),
                shown: jar == shown,
                poured_g: in_jar(session).grams(),
                total_g: book.planned().grams(),
                rests_ms: (rests && !book.is_over()).then(|| left_ms(session, now)),
            })
        })
        .collect()
}
