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
        AtHand::Which { jars: alike } => Some(QuestionView {
            about: "which-jar".to_owned(),
            text: "which jar is on the pan?".to_owned(),
            options: (1..)
                .zip(alike)
                .map(|(option, jar)| choice(jars, option, jar))
                .collect(),
            ..QuestionView::default()
        }),
        AtHand::OutOfTurn { jar, poured } => {
            let book = jars.sessions()[jar].book();
            let ingredient = book.current().and_then(|task| book.pours(task));
            let next = ingredient.map_or("its next ingredient", |next| next.name.as_str());
            let (name, by) = (jars.name(jar), grams(poured));
            Some(QuestionView {
                about: "out-of-turn".to_owned(),
                text: format!(
                    "{by} came into {name}, whose turn it is not: was that its {next}? Otherwise name what it was"
                ),
                difference_g: Some(poured.grams()),
                ingredient: ingredient.map(|ingredient| ingredient.name.clone()),
                jar: Some(name.to_owned()),
                ..QuestionView::default()
            })
        }
        AtHand::Jar(_) | AtHand::Bring { .. } | AtHand::Resting(_) => None,
    }
}

fn choice(jars: &Jars, option: u8, jar: usize) -> OptionView {
    let session = &jars.sessions()[jar];
    let poured = in_jar(session);
    let still_empty = session.book().state() == BatchState::Idle;
    let text = if still_empty {
        format!("{}, still empty", jars.name(jar))
    } else {
        format!("{}, {} in it", jars.name(jar), grams(poured))
    };
    OptionView {
        option,
        kind: "jar".to_owned(),
        text,
        feasible: true,
        jar: Some(jars.name(jar).to_owned()),
        still_empty,
        total_g: poured.grams(),
        ..OptionView::default()
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
