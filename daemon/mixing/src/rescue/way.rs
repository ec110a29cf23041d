//! One way out, as numbers.

use crate::ratio::Ratio;

use super::RescueKind;
use super::obstacle::Obstacle;
use super::situation::Situation;
use super::sourcing::{self, Pours, Short};

/// One way out: exact micrograms, by the places of components and sources in the situation.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// Which way.
    pub kind: RescueKind,
    /// What the ratio's ingredients come to at the end.
    pub total: Ratio,
    /// What is taken out first, of the well-stirred mix.
    pub take_out: Ratio,
    /// What is still to be poured, by source; sources that give nothing are left out.
    pub pours: Pours,
    /// What is in the jar at the end, for every component.
    pub content: Vec<Ratio>,
    /// Why it cannot be done, where it cannot; the numbers are then those without the obstacle.
    pub obstacle: Option<Obstacle>,
}

impl Way {
    /// Makes the way from `jar` by these pours; the jar's room is looked at.
    pub(super) fn by_pours(
        kind: RescueKind,
        situation: &Situation,
        jar: &[Ratio],
        pours: Pours,
    ) -> Self {
        let content = sourcing::poured(situation, jar, &pours);
        Self::to(kind, situation, content, pours)
    }

    /// Makes the way to a content that these pours lead to; the jar's room is looked at.
    pub(super) fn to(
        kind: RescueKind,
        situation: &Situation,
        content: Vec<Ratio>,
        pours: Pours,
    ) -> Self {
        Self {
            kind,
            total: content.iter().cloned().sum(),
            take_out: Ratio::zero(),
            obstacle: Obstacle::jar(situation, &content),
            pours,
            content,
        }
    }

    /// The same, with what is short as its obstacle.
    pub(super) fn barred_by(mut self, situation: &Situation, short: &Short) -> Self {
        self.obstacle = Some(Obstacle::short(situation, short));
        self
    }

    /// Returns whether it can be done.
    #[must_use]
    pub const fn is_feasible(&self) -> bool {
        self.obstacle.is_none()
    }

    /// Returns the largest fraction of itself by which a share is off; an estimate for comparing and showing.
    #[must_use]
    pub fn worst_deviation(&self, situation: &Situation) -> f64 {
        let total = self.total.estimate();
        let deviations = situation
            .components
            .iter()
            .zip(&self.content)
            .map(|(component, mass)| {
                let planned = component.share.estimate() * total;
                if 0.0 < planned {
                    (mass.estimate() / planned - 1.0).abs()
                } else {
                    0.0
                }
            });
        deviations.fold(0.0, f64::max)
    }

    /// Returns whether every share is within the recipe's tolerances, to a float's last digits.
    #[must_use]
    pub fn is_within(&self, situation: &Situation) -> bool {
        const SLACK: f64 = 1e-9;
        let total = self.total.estimate();
        situation
            .components
            .iter()
            .zip(&self.content)
            .all(|(component, mass)| {
                let (mass, slack) = (mass.estimate(), SLACK * total);
                component.low.estimate() * total - slack <= mass
                    && mass <= component.high.estimate() * total + slack
            })
    }
}
