//! What is advised about thinning, in words.

use tarehand_mixing::session::{Session, Task, ThinNow};
use tarehand_mixing::trail::{Basis, Reason};
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
        Some(ThinNow::Splash { reason, .. }) => reason_text(reason),
        Some(ThinNow::Measure) => "measure the trail now".to_owned(),
        Some(ThinNow::Right) => "the trail is right: next".to_owned(),
        Some(ThinNow::TooThin { unthinned }) => match unthinned {
            Some(mass) => format!(
                "too thin: about {} of the same mix without thinner bring it back; next leaves it so",
                grams(mass)
            ),
            None => "too thin, and these trails do not tell what brings it back; next leaves it so"
                .to_owned(),
        },
        Some(ThinNow::AtMost) => {
            "all the thinner that the recipe allows is in; next leaves it so".to_owned()
        }
    }
}

fn reason_text(reason: Reason) -> String {
    let Reason::Trails {
        basis,
        spread,
        expected_s,
    } = reason
    else {
        return "the recipe's splash: measure the trail before and after it".to_owned();
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
