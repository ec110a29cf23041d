//! What is advised about thinning, in words.

use tarehand_mixing::procedure::StepKind;
use tarehand_mixing::session::{Book, Limits, Session, Task, TaskId, ThinNow};
use tarehand_mixing::trail::{Basis, Reason, Unthinned, WATER_BASIS};
use tarehand_protocol::Mass;

use super::words::grams;

/// Returns how much of the splash is still to come.
pub(super) fn splash(session: &Session, task: &Task) -> Option<Mass> {
    match session.thin_now()? {
        ThinNow::Splash { until, .. } => Some((until - task.poured).max(Mass::ZERO)),
        ThinNow::Measure | ThinNow::Right | ThinNow::TooThin { .. } | ThinNow::AtMost => None,
    }
}

/// Returns what is advised and why; empty where the step thins nothing.
pub(super) fn advice_text(session: &Session) -> String {
    match session.thin_now() {
        None => String::new(),
        Some(ThinNow::Splash { reason, .. }) => reason_text(reason, session.book().limits()),
        Some(ThinNow::Measure) => "measure the trail now".to_owned(),
        Some(ThinNow::Right) => "the trail is right: next".to_owned(),
        Some(ThinNow::TooThin { unthinned }) => match unthinned {
            Unthinned::Told(mass) => format!(
                "too thin: about {} of the same mix without thinner bring it back; say the trail again for the ways, \
                 next leaves it so",
                grams(mass)
            ),
            Unthinned::Tried(mass) => format!(
                "too thin, and these trails do not tell what brings it back: try {} of the same mix without thinner; \
                 say the trail again for the ways, next leaves it so",
                grams(mass)
            ),
            Unthinned::Never => {
                "too thin, and not by the thinner: more of the same mix does not bring it back; next leaves it so"
                    .to_owned()
            }
        },
        Some(ThinNow::AtMost) => {
            "all the thinner that the recipe allows is in; next leaves it so".to_owned()
        }
    }
}

/// Returns the warning of much added water.
pub(super) fn water_text(session: &Session) -> Option<String> {
    let warning = session.water_warning()?;
    Some(format!("{warning} ({WATER_BASIS}): the film may not hold"))
}

fn reason_text(reason: Reason, limits: &Limits) -> String {
    let (basis, spread, expected_s) = match reason {
        Reason::Recipe => {
            return "the recipe's splash: measure the trail before and after it".to_owned();
        }
        Reason::WaterLimit => {
            return format!(
                "as far as the limit of {:.0} % added water ({WATER_BASIS}), not the whole splash: measure the trail then",
                limits.water_warning.to_f64() * 100.0
            );
        }
        Reason::Trails {
            basis,
            spread,
            expected_s,
        } => (basis, spread, expected_s),
    };
    let basis = match basis {
        Basis::ThisJar { points } => format!("by {points} trails of this jar"),
        Basis::EarlierBatches { batches: 1 } => "by an earlier batch".to_owned(),
        Basis::EarlierBatches { batches } => format!("by {batches} earlier batches"),
    };
    format!(
        "{basis}, a way known to ± {:.0} %: about {expected_s:.1} s after it",
        spread * 100.0
    )
}

/// Returns the question about a mix that is too thin.
pub(super) fn question_text(book: &Book, task: TaskId) -> String {
    let wanted = book.task(task).and_then(|task| match book.step(task) {
        StepKind::Thin { wanted_s, .. } => *wanted_s,
        _ => None,
    });
    let wanted = wanted.map_or_else(String::new, |wanted| format!(" and {wanted} s is wanted"));
    let is = match book.trails().last().map(|last| last.trail) {
        Some(trail) if trail.is_none_left() => "it leaves no trail".to_owned(),
        Some(trail) => format!("the trail is {} s", trail.seconds()),
        None => "the trail is too short".to_owned(),
    };
    format!("too thin: {is}{wanted}: which way out?")
}
