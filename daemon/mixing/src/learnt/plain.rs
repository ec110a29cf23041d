//! What is learnt as one number that comes back in every run: a drop's mass, thinner for a gram of mix.

use super::centre::{Counted, centre};
use super::{Guard, Learnt, NEWEST, PlainRun, Standing, Unit};

/// Learns one number from runs, the oldest first; `None` where there are none.
///
/// The default that it is compared with is the newest run's: what the shelf or the set says now.
#[must_use]
pub fn plain(runs: &[PlainRun], unit: Unit) -> Option<Learnt> {
    let newest = &runs[runs.len().saturating_sub(NEWEST)..];
    let mut guard = Guard::default();
    let mut before: Vec<Counted> = Vec::with_capacity(newest.len());
    for run in newest {
        if let (Some(found), Some(default)) = (centre(&before), run.default) {
            guard.saw(run.value - found.middle, run.value - default);
        }
        before.push(Counted {
            value: run.value,
            weight: run.weight,
        });
    }
    let found = centre(&before)?;
    let default = newest.last().and_then(|run| run.default);
    Some(Learnt {
        value: found.middle,
        spread: found.spread,
        unit,
        runs: newest.len(),
        standing: default.map_or(Standing::NoDefault, |default| Standing::of(&guard, default)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(value: f64, default: Option<f64>) -> PlainRun {
        PlainRun {
            value,
            weight: 1.0,
            default,
        }
    }

    fn learnt(values: &[f64], default: Option<f64>) -> Learnt {
        let runs: Vec<PlainRun> = values.iter().map(|&value| run(value, default)).collect();
        plain(&runs, Unit::Grams).unwrap()
    }

    #[test]
    fn drops_that_are_heavier_than_the_shelf_says_beat_it() {
        let heavy = learnt(&[0.040, 0.042, 0.039, 0.041, 0.040], Some(0.031));
        assert!(heavy.standing.is_better(), "{heavy:?}");
        assert!((heavy.value - 0.0404).abs() < 1e-4, "{heavy:?}");
    }

    #[test]
    fn drops_that_weigh_what_the_shelf_says_do_not() {
        let as_said = learnt(&[0.030, 0.032, 0.031, 0.030, 0.033], Some(0.031));
        assert!(!as_said.standing.is_better(), "{as_said:?}");
    }

    #[test]
    fn what_has_no_default_is_only_shown() {
        let shown = learnt(&[0.10, 0.14], None);
        assert_eq!((shown.runs, shown.standing), (2, Standing::NoDefault));
        assert_eq!(plain(&[], Unit::Grams), None);
    }

    #[test]
    fn what_is_long_ago_is_forgotten() {
        let mut values = vec![5.0; 10];
        values.extend([1.0; NEWEST]);
        let learnt = learnt(&values, None);
        assert!((learnt.value - 1.0).abs() < 1e-9, "{learnt:?}");
        assert_eq!(learnt.runs, NEWEST);
    }
}
