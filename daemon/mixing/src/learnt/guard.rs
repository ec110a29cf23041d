//! What is learnt is used only once it beats the default on runs it had not seen.
//!
//! Prequential: each run is predicted from those before it, and only then learnt from. Both predictions of a run, the
//! learnt one and the default's, are compared with what came.

use std::collections::VecDeque;

/// Runs that are compared at most: what is long ago says little of how it is now (our own choice).
const NEWEST: usize = 20;
/// Runs that must have been predicted before anything is used (our own choice).
const FEWEST: usize = 3;
/// What is learnt is taken into use once its misses come to at most this part of the default's (our own choice).
const TAKEN: f64 = 0.8;
/// And is dropped again once they come to more than this part of them: no gain is left (our own choice).
const DROPPED: f64 = 0.95;

/// How far two predictions of the same runs missed, and whether what is learnt is in use.
#[derive(Clone, Debug, Default)]
pub struct Guard {
    misses: VecDeque<Misses>,
    used: bool,
}

#[derive(Clone, Copy, Debug)]
struct Misses {
    learnt: f64,
    default: f64,
}

impl Guard {
    /// Takes a run that neither prediction had seen: how far each was from what came, in any one unit.
    pub fn saw(&mut self, learnt: f64, default: f64) {
        self.misses.push_back(Misses {
            learnt: learnt.abs(),
            default: default.abs(),
        });
        if NEWEST < self.misses.len() {
            self.misses.pop_front();
        }
        let Some(part) = self.part() else { return };
        self.used = if self.used {
            part <= DROPPED
        } else {
            part <= TAKEN
        };
    }

    /// Returns whether what is learnt is in use: it beat the default by a fifth, and has not lost that since.
    #[must_use]
    pub const fn is_used(&self) -> bool {
        self.used
    }

    /// Returns the learnt prediction's misses as a part of the default's; `None` while too few runs were compared, or
    /// where the default never missed.
    #[must_use]
    pub fn part(&self) -> Option<f64> {
        if self.misses.len() < FEWEST {
            return None;
        }
        let (learnt, default) = self.misses.iter().fold((0.0, 0.0), |sum, misses| {
            (sum.0 + misses.learnt, sum.1 + misses.default)
        });
        let part = learnt / default;
        part.is_finite().then_some(part)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn after(runs: &[(f64, f64)]) -> Guard {
        let mut guard = Guard::default();
        for &(learnt, default) in runs {
            guard.saw(learnt, default);
        }
        guard
    }

    #[test]
    fn nothing_is_used_before_three_runs_it_had_not_seen() {
        assert!(!after(&[(0.0, 1.0), (0.0, 1.0)]).is_used());
        assert!(after(&[(0.0, 1.0), (0.0, -1.0), (0.5, 1.0)]).is_used());
    }

    #[test]
    fn a_gain_of_less_than_a_fifth_is_not_taken() {
        assert!(!after(&[(0.85, 1.0); 20]).is_used());
        assert!(after(&[(0.79, 1.0); 3]).is_used());
    }

    #[test]
    fn what_is_no_longer_better_is_dropped_and_must_win_again() {
        let mut guard = after(&[(0.5, 1.0); 4]);
        for _ in 0..5 {
            guard.saw(2.0, 1.0);
        }
        assert!(!guard.is_used(), "{:?}", guard.part());
        guard.saw(0.0, 1.0);
        assert!(!guard.is_used());
    }

    #[test]
    fn a_default_that_never_misses_is_never_beaten() {
        assert!(!after(&[(0.0, 0.0); 5]).is_used());
        assert_eq!(after(&[(0.1, 0.0); 5]).part(), None);
    }
}
