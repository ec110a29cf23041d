//! What is advised about thinning, in words and as data.

use tarehand_mixing::session::{Limits, Session, Task, ThinNow};
use tarehand_mixing::trail::{Basis, Reason, Unthinned, WATER_BASIS, WaterWarning};
use tarehand_protocol::Mass;
use tarehand_protocol::api::{Advised, Watered};

use super::words::grams;

/// Returns how much of the splash is still to come.
pub(super) fn splash(session: &Session, task: &Task) -> Option<Mass> {
    match session.thin_now()? {
        ThinNow::Splash { until, .. } => Some((until - task.poured).max(Mass::ZERO)),
        ThinNow::Measure | ThinNow::Right | ThinNow::TooThin { .. } | ThinNow::AtMost => None,
    }
}

/// Returns what is advised and why.
pub(super) fn advice_text(now: ThinNow, limits: &Limits) -> String {
    match now {
        ThinNow::Splash { reason, .. } => reason_text(reason, limits),
        ThinNow::Measure => "measure the trail now".to_owned(),
        ThinNow::Right => "the trail is right: next".to_owned(),
        ThinNow::TooThin { unthinned } => match unthinned {
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
        ThinNow::AtMost => {
            "all the thinner that the recipe allows is in; next leaves it so".to_owned()
        }
    }
}

/// Returns what is advised and why, as data.
pub(super) fn advised(now: ThinNow, limits: &Limits) -> Advised {
    match now {
        ThinNow::Splash { reason, .. } => match reason {
            Reason::Recipe => Advised::RecipeSplash,
            Reason::WaterLimit => Advised::WaterLimit {
                limit: limits.water_warning.to_f64(),
            },
            Reason::Trails {
                basis,
                spread,
                expected_s,
            } => match basis {
                Basis::ThisJar { points } => Advised::ByThisJar {
                    points: count(points),
                    spread,
                    expected_s,
                },
                Basis::EarlierBatches { batches } => Advised::ByEarlierBatches {
                    batches: count(batches),
                    spread,
                    expected_s,
                },
            },
        },
        ThinNow::Measure => Advised::Measure,
        ThinNow::Right => Advised::Right,
        ThinNow::TooThin { unthinned } => match unthinned {
            Unthinned::Told(mass) => Advised::TooThin {
                unthinned_g: mass.grams(),
            },
            Unthinned::Tried(mass) => Advised::TooThinUntold {
                unthinned_g: mass.grams(),
            },
            Unthinned::Never => Advised::TooThinAnyway,
        },
        ThinNow::AtMost => Advised::AtMost,
    }
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// Returns the warning of much added water, as data.
pub(super) fn watered(warning: &WaterWarning) -> Watered {
    Watered {
        share: warning.fraction.to_f64(),
        limit: warning.limit.to_f64(),
    }
}

/// Returns the warning of much added water.
pub(super) fn water_text(warning: &WaterWarning) -> String {
    format!("{warning} ({WATER_BASIS}): the film may not hold")
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
