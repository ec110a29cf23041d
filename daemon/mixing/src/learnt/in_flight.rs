//! The in-flight allowance, as batch controllers learn it: how much is still on its way when a valve is shut.
//!
//! Cut off at target − c; after n settled fills c grows by k × their mean error, and fills whose error is outside a
//! limit are left out (published in the manuals of makers of weighing indicators). Exact.

use std::num::NonZeroU8;

use tarehand_protocol::Mass;

use crate::ratio::Ratio;

/// How an allowance is learnt.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rule {
    /// After how many settled fills it is changed.
    pub fills: NonZeroU8,
    /// By what part of their mean error.
    pub part: Ratio,
    /// A fill whose error is larger than this, above or below, is left out.
    pub limit: Mass,
}

/// An allowance and the fills since it was last changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InFlight {
    rule: Rule,
    allowance: Ratio,
    errors: Vec<Mass>,
}

impl InFlight {
    /// Begins with an allowance.
    #[must_use]
    pub const fn new(rule: Rule, allowance: Mass) -> Self {
        Self {
            rule,
            allowance: Ratio::from_mass(allowance),
            errors: Vec::new(),
        }
    }

    /// Returns how much before the target the stream is cut off, exactly, in micrograms.
    #[must_use]
    pub const fn allowance(&self) -> &Ratio {
        &self.allowance
    }

    /// Takes how far a settled fill came out above its target; below zero where it came out below.
    pub fn settled(&mut self, error: Mass) {
        if self.rule.limit < error.abs() {
            return;
        }
        self.errors.push(error);
        if self.errors.len() < usize::from(self.rule.fills.get()) {
            return;
        }
        let sum: Ratio = self.errors.drain(..).map(Ratio::from_mass).sum();
        let mean = &sum * &Ratio::new(1, i64::from(self.rule.fills.get()));
        self.allowance = &self.allowance + &(&self.rule.part * &mean);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mass(text: &str) -> Mass {
        format!("{text} g").parse().unwrap()
    }

    fn rule(part: Ratio, limit: &str) -> Rule {
        Rule {
            fills: NonZeroU8::new(4).unwrap(),
            part,
            limit: mass(limit),
        }
    }

    #[track_caller]
    fn check(learner: &mut InFlight, errors: &[&str], expect: &str) {
        for error in errors {
            learner.settled(mass(error));
        }
        assert_eq!(learner.allowance(), &Ratio::from_mass(mass(expect)));
    }

    // Makers' indicator manuals: n 4, k 2/4, limit 0.100, from 0.500; the last is printed rounded, as 0.532.
    #[test]
    fn the_published_allowance_by_halves_comes_out_digit_for_digit() {
        let mut learner = InFlight::new(rule(Ratio::new(2, 4), "0.100"), mass("0.500"));
        check(&mut learner, &["0.050", "0.040", "0.070", "0.080"], "0.530");
        let with_one_left_out = ["0.020", "0", "0.010", "0.110", "0.010"];
        check(&mut learner, &with_one_left_out, "0.535");
        let below = ["-0.120", "-0.010", "0.010", "0", "-0.020"];
        check(&mut learner, &below, "0.5325");
    }

    // Makers' indicator manuals: n 4, k 3/4, limit 1.0, from 10.0.
    #[test]
    fn the_published_allowance_by_three_quarters_comes_out_digit_for_digit() {
        let mut learner = InFlight::new(rule(Ratio::new(3, 4), "1.0"), mass("10.0"));
        check(&mut learner, &["0.6", "0.7", "0.6", "0.5"], "10.45");
        check(&mut learner, &["0.1", "0.2", "1.4", "-0.1", "0"], "10.4875");
    }

    #[test]
    fn nothing_changes_before_all_fills_have_settled() {
        let mut learner = InFlight::new(rule(Ratio::one(), "1"), mass("2"));
        check(&mut learner, &["0.5", "0.5", "0.5"], "2");
        check(&mut learner, &["0.5"], "2.5");
    }
}
