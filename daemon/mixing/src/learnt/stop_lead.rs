//! How much earlier or later than by the flow alone stop is said to a hand, of an ingredient.
//!
//! The flow cue takes one lag, one reaction and one fall for every hand, scale and bottle. What it is wrong by shows in
//! the pours that were stopped after it: most of it grows with the flow and is a time; what still drips, whatever the
//! flow was, is a mass. Both are learnt, and whichever beats the flow cue by more on pours it had not seen is used.

use std::collections::BTreeMap;
use std::num::NonZeroU8;

use serde::{Deserialize, Serialize};
use tarehand_protocol::Mass;

use super::centre::plain_centre;
use super::{Guard, InFlight, Learnt, NEWEST, PourRun, Rule, Standing, Unit};
use crate::ratio::Ratio;

/// The farthest a cue is moved, in seconds: twice the usual lag and reaction together are less (our own choice).
const FARTHEST_S: f64 = 1.0;
/// A pour that came out farther away than what flows in so many seconds was not stopped by the cue (our own choice).
const NO_ANSWER_S: f64 = 3.0;
/// A flow of more than so many times the usual one is a line that stalled, or a gush (our own choice).
const GUSH: f64 = 3.0;
/// So many pours of no error are taken to have gone before, so that a first pour does not decide (our own choice).
const BEFORE: f64 = 0.5;
/// The in-flight rule's fills and part: the usual ones of the published examples.
const FILLS: NonZeroU8 = NonZeroU8::new(4).expect("four is not nothing");
const PART: (i64, i64) = (2, 4);

/// How much earlier than by the flow alone stop is said; below zero it is later.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct StopLead {
    /// By so many microseconds of the flow.
    pub micros: i32,
    /// And by so much, whatever the flow is.
    pub mass: Mass,
}

impl StopLead {
    /// Returns what it comes to at a flow in grams a second.
    #[must_use]
    pub fn at(self, flow_g_s: f64) -> Mass {
        let seconds = f64::from(self.micros) / 1e6;
        Mass::from_estimated_grams(flow_g_s * seconds) + self.mass
    }
}

/// The stop leads that a batch was opened with, by the key of the ingredient.
pub type StopLeads = BTreeMap<String, StopLead>;

/// Learns the stop lead from pours of one ingredient by one hand, the oldest first.
///
/// Returns what was learnt, `None` where no pour tells anything, and the lead to use, `None` while the flow cue alone
/// does as well.
#[must_use]
pub fn stop_lead(pours: &[PourRun]) -> (Option<Learnt>, Option<StopLead>) {
    let answered: Vec<&PourRun> = pours.iter().filter(|pour| is_answer(pour)).collect();
    let newest = &answered[answered.len().saturating_sub(NEWEST)..];
    let Some(usual) = plain_centre(newest.iter().map(|pour| pour.flow_g_s)) else {
        return (None, None);
    };
    let mut learner = Learner::new(usual.middle);
    for pour in newest {
        if pour.flow_g_s <= usual.middle * GUSH {
            learner.pour(pour);
        }
    }
    learner.learnt()
}

/// Returns whether a pour was stopped by its cue, as far as its weight tells.
fn is_answer(pour: &PourRun) -> bool {
    0.0 < pour.flow_g_s && pour.unled().grams().abs() <= pour.flow_g_s * NO_ANSWER_S
}

struct Learner {
    /// By how many seconds each was wrong without a lead. All count alike: hands vary in time, and a flow that a stalled line
    /// made seem large must not count for more.
    seconds: Vec<f64>,
    in_flight: InFlight,
    by_time: Guard,
    by_mass: Guard,
    errors: Vec<f64>,
    farthest: Mass,
}

impl Learner {
    fn new(usual_flow: f64) -> Self {
        let rule = Rule {
            fills: FILLS,
            part: Ratio::new(PART.0, PART.1),
            limit: Mass::from_estimated_grams(usual_flow * NO_ANSWER_S),
        };
        Self {
            seconds: Vec::new(),
            in_flight: InFlight::new(rule, Mass::ZERO),
            by_time: Guard::default(),
            by_mass: Guard::default(),
            errors: Vec::new(),
            farthest: Mass::from_estimated_grams(usual_flow * FARTHEST_S),
        }
    }

    /// Predicts a pour from those before it, compares, and then learns from it.
    fn pour(&mut self, pour: &PourRun) {
        let over_g = pour.unled().grams();
        if !self.seconds.is_empty() {
            let by_time = self.time_s() * pour.flow_g_s;
            self.by_time.saw(over_g - by_time, over_g);
        }
        let allowance = self.allowance();
        if self.seconds.len() >= usize::from(FILLS.get()) {
            self.by_mass.saw(over_g - allowance.grams(), over_g);
        }
        let cut_off = self.in_flight.allowance().to_mass();
        self.in_flight.settled(pour.unled() - cut_off);
        self.seconds.push(over_g / pour.flow_g_s);
        self.errors.push(over_g);
    }

    /// Returns the mass by which the cue is to come earlier.
    fn allowance(&self) -> Mass {
        let learnt = self.in_flight.allowance().to_mass();
        learnt.clamp(Mass::ZERO - self.farthest, self.farthest)
    }

    /// Returns the time by which the cue is to come earlier, drawn towards none while there are few pours.
    fn time_s(&self) -> f64 {
        let Some(found) = plain_centre(self.seconds.iter().copied()) else {
            return 0.0;
        };
        let count = f64::from(u32::try_from(self.seconds.len()).unwrap_or(u32::MAX));
        let drawn = found.middle * count / (count + BEFORE);
        drawn.clamp(-FARTHEST_S, FARTHEST_S)
    }

    fn learnt(&self) -> (Option<Learnt>, Option<StopLead>) {
        let by_mass = match (self.by_mass.part(), self.by_time.part()) {
            _ if !self.by_mass.is_used() => false,
            (Some(by_mass), Some(by_time)) if self.by_time.is_used() => by_mass < by_time,
            (_, _) => true,
        };
        let runs = self.seconds.len();
        if by_mass {
            let mass = self.allowance();
            let spread = plain_centre(self.errors.iter().copied());
            let learnt = spread.map(|found| Learnt {
                value: mass.grams(),
                spread: found.spread,
                unit: Unit::Grams,
                runs,
                standing: Standing::of(&self.by_mass, 0.0),
            });
            let lead = StopLead { micros: 0, mass };
            return (learnt, Some(lead));
        }
        let time_s = self.time_s();
        let learnt = plain_centre(self.seconds.iter().copied()).map(|found| Learnt {
            value: time_s,
            spread: found.spread,
            unit: Unit::Seconds,
            runs,
            standing: Standing::of(&self.by_time, 0.0),
        });
        let lead = self.by_time.is_used().then(|| StopLead {
            micros: micros(time_s),
            mass: Mass::ZERO,
        });
        (learnt, lead)
    }
}

fn micros(seconds: f64) -> i32 {
    // Rounded as masses are, and bounded by FARTHEST_S.
    i32::try_from(Mass::from_estimated_grams(seconds).micrograms()).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pour(flow_g_s: f64, over_g: f64) -> PourRun {
        PourRun {
            flow_g_s,
            over: Mass::from_estimated_grams(over_g),
            lead: Mass::ZERO,
        }
    }

    fn lead(pours: &[(f64, f64)]) -> Option<StopLead> {
        let pours: Vec<PourRun> = pours.iter().map(|&(flow, over)| pour(flow, over)).collect();
        stop_lead(&pours).1
    }

    #[test]
    fn a_hand_that_is_always_late_is_told_earlier_in_proportion_to_its_flow() {
        let late = [
            (4.0, 2.0),
            (8.0, 4.2),
            (2.0, 0.9),
            (5.0, 2.5),
            (9.0, 4.4),
            (3.0, 1.6),
        ];
        let lead = lead(&late).unwrap();
        assert!((400_000..550_000).contains(&lead.micros), "{lead:?}");
        let (slow, fast) = (lead.at(2.0).grams(), lead.at(10.0).grams());
        assert!((fast / slow - 5.0).abs() < 1e-3, "{slow} {fast}");
    }

    #[test]
    fn a_quick_hand_is_told_later() {
        let lead = lead(&[(5.0, -1.0), (5.0, -1.1), (5.0, -0.9), (5.0, -1.0)]).unwrap();
        assert!(lead.at(5.0) < Mass::ZERO, "{lead:?}");
    }

    #[test]
    fn what_drips_whatever_the_flow_was_is_learnt_as_a_mass() {
        let flows = [1.0, 12.0, 2.0, 9.0, 1.5, 14.0, 3.0, 10.0];
        let pours: Vec<(f64, f64)> = flows.iter().cycle().take(24).map(|&f| (f, 1.0)).collect();
        let lead = lead(&pours).unwrap();
        assert_eq!(lead.micros, 0);
        assert!((0.9..1.1).contains(&lead.mass.grams()), "{lead:?}");
    }

    #[test]
    fn a_hand_the_flow_cue_fits_keeps_the_flow_cue() {
        let fits = [0.3, -0.2, 0.1, -0.3, 0.25, -0.15, 0.2, -0.25, 0.05, -0.1];
        assert_eq!(lead(&fits.map(|over| (5.0, over))), None);
    }

    #[test]
    fn a_pour_that_was_not_stopped_teaches_nothing() {
        let heard = [(5.0, 2.0), (5.0, 2.1), (5.0, 1.9), (5.0, 2.0)];
        let mut with_deaf = heard.to_vec();
        with_deaf.insert(2, (5.0, 40.0));
        assert_eq!(lead(&heard), lead(&with_deaf));
    }

    #[test]
    fn a_stalled_line_that_made_a_flow_seem_large_teaches_nothing() {
        let steady = [(5.0, 2.0), (5.0, 2.1), (5.0, 1.9), (5.0, 2.0), (5.0, 2.0)];
        let mut with_stall = steady.to_vec();
        with_stall.insert(3, (40.0, 2.0));
        assert_eq!(lead(&steady), lead(&with_stall));
    }

    #[test]
    fn what_a_lead_took_off_already_is_no_sign_that_none_is_needed() {
        let unled: Vec<PourRun> = (0..6).map(|_| pour(5.0, 2.0)).collect();
        let mut led = unled.clone();
        for pour in &mut led[3..] {
            (pour.over, pour.lead) = (Mass::ZERO, Mass::from_grams(2));
        }
        assert_eq!(stop_lead(&unled), stop_lead(&led));
    }

    #[test]
    fn no_cue_is_moved_by_more_than_a_second() {
        for over in [14.0, -14.0] {
            let lead = lead(&[(5.0, over); 12]).unwrap();
            assert_eq!(lead.at(5.0).abs(), Mass::from_grams(5), "{lead:?}");
        }
    }

    #[test]
    fn one_pour_is_shown_and_not_used() {
        let (learnt, lead) = stop_lead(&[pour(5.0, 2.0)]);
        assert_eq!(learnt.map(|learnt| learnt.runs), Some(1));
        assert_eq!(lead, None);
    }
}
