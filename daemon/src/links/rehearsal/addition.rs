//! What the simulated person remembers of the addition at hand.

use tarehand_protocol::Mass;

use super::plan::{Liquid, Slip};
use super::pour::Flow;

/// At which share of the addition the bottle slips: our own choice.
const SLIPS_AT: f64 = 0.8;

/// One addition, from the first wish for it until another is wished.
#[derive(Clone, Debug)]
pub(super) struct Addition {
    pub(super) flow: Flow,
    /// What the screen asked for when the addition began.
    asked: Mass,
    poured: Mass,
    drops: u32,
    /// How far past the mark the bottle is still to slip.
    slip: Option<Mass>,
}

impl Addition {
    pub(super) const fn new(asked: Mass, liquid: Liquid) -> Self {
        Self {
            flow: Flow::of(liquid),
            asked,
            poured: Mass::ZERO,
            drops: 0,
            slip: None,
        }
    }

    /// Decides that the bottle will slip.
    pub(super) fn will_slip(&mut self, slip: Slip) {
        self.slip = Some(share(self.asked, slip.percent / 100.0));
    }

    pub(super) const fn is_to_slip(&self) -> bool {
        self.slip.is_some()
    }

    /// Returns what is still to gush out if the bottle slips now: near the mark, or when it is being righted.
    pub(super) fn slips_now(&mut self, closing: bool) -> Option<Mass> {
        let due = closing || share(self.asked, SLIPS_AT) <= self.poured;
        let past = self.slip.take_if(|_| due)?;
        Some((self.asked + past - self.poured).max(Mass::ZERO))
    }

    pub(super) fn count_drop(&mut self) {
        self.drops += 1;
    }

    pub(super) const fn drops(&self) -> u32 {
        self.drops
    }

    pub(super) fn add(&mut self, mass: Mass) {
        self.poured += mass;
    }

    /// So much less came than was thought, and no slip any more: there is nothing left to slip.
    pub(super) fn ends_short(&mut self, missed: Mass) {
        self.poured -= missed;
        self.slip = None;
    }

    pub(super) fn has_begun(&self) -> bool {
        Mass::ZERO < self.poured
    }
}

/// Returns a share of a mass, an estimate.
pub(super) fn share(mass: Mass, share: f64) -> Mass {
    Mass::from_estimated_grams(mass.grams() * share)
}
