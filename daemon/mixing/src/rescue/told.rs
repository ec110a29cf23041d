//! A way out as a person reads it: named, rounded to what the scale can show, with what really comes of that.

use serde::{Deserialize, Serialize};
use tarehand_protocol::Mass;

use crate::ratio::Ratio;

use super::obstacle::Obstacle;
use super::situation::{Situation, Source};
use super::way::Way;
use super::{RescueKind, sourcing};

/// One way out, complete in itself: it is written down and shown as it is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RescueOption {
    /// Which way.
    pub kind: RescueKind,
    /// The total of the ratio's ingredients at the end.
    pub total: Mass,
    /// What is taken out first, of the well-stirred mix.
    #[serde(default)]
    pub take_out: Mass,
    /// What is still to be poured of each ingredient; ingredients that need nothing are left out.
    pub pours: Vec<Pour>,
    /// The shares that result, for every raw ingredient.
    pub shares: Vec<ShareLine>,
    /// Whether every share is within the recipe's tolerances.
    #[serde(default)]
    pub within: bool,
    /// What the pours cost, where every price is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<Cost>,
    /// Why it cannot be done, where it cannot.
    pub obstacle: Option<Obstacle>,
}

/// One pour of a rescue.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pour {
    /// The ingredient's key.
    pub key: String,
    /// Its name for people.
    pub name: String,
    /// How much is still to be poured.
    pub mass: Mass,
}

/// The share of one raw ingredient, as planned and as it would be.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ShareLine {
    /// The ingredient's key.
    pub key: String,
    /// Its name for people.
    pub name: String,
    /// As the recipe wants it.
    pub planned: Ratio,
    /// As it would be.
    pub result: Ratio,
}

/// Money.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Cost {
    /// How much.
    pub money: Ratio,
    /// The currency, three capital letters (ISO 4217), where the shelf says it.
    pub currency: Option<String>,
}

impl ShareLine {
    /// Returns by which fraction of itself the share is off, without its sign; an estimate for comparing and showing.
    #[must_use]
    pub fn deviation(&self) -> f64 {
        let planned = self.planned.to_f64();
        if 0.0 < planned {
            (self.result.to_f64() / planned - 1.0).abs()
        } else {
            0.0
        }
    }
}

impl RescueOption {
    /// Returns by which fraction the batch grows over what was planned.
    #[must_use]
    pub fn growth(&self, planned: Mass) -> Ratio {
        let grown = Ratio::from_mass(self.total - planned);
        grown
            .checked_div(&Ratio::from_mass(planned))
            .unwrap_or_else(Ratio::zero)
    }

    /// Returns whether it may be chosen: going on as planned always may, since there must be a way on.
    #[must_use]
    pub fn may_be_chosen(&self) -> bool {
        self.obstacle.is_none() || self.kind == RescueKind::Accept
    }
}

impl Way {
    /// Returns what a source gives, rounded to what the scale can show.
    ///
    /// What was not planned anyhow is only poured when it is worth weighing.
    #[must_use]
    pub fn rounded(situation: &Situation, source: &Source, mass: &Ratio) -> Mass {
        let exact = mass.to_mass();
        let scale = situation.scale_for(source, exact);
        if source.open.is_zero() && exact < scale.uncertainty() {
            return Mass::ZERO;
        }
        scale
            .division
            .map_or(exact, |division| exact.rounded_to(division))
    }

    /// Returns the price of what is poured, where every price is known and in the same currency.
    #[must_use]
    pub fn cost(&self, situation: &Situation) -> Option<Cost> {
        let mut currency = None;
        let mut money = Ratio::zero();
        for (at, mass) in &self.pours {
            let price = situation.sources[*at].price.as_ref()?;
            if *currency.get_or_insert(&price.currency) != &price.currency {
                return None;
            }
            money = &money + &price.of(mass);
        }
        Some(Cost {
            money,
            currency: currency.cloned().flatten(),
        })
    }

    /// Returns it as a person reads it.
    #[must_use]
    pub fn told(&self, situation: &Situation) -> RescueOption {
        let rounded: sourcing::Pours = self
            .pours
            .iter()
            .map(|(at, mass)| (*at, Self::rounded(situation, &situation.sources[*at], mass)))
            .filter(|(_, mass)| !mass.is_zero())
            .map(|(at, mass)| (at, Ratio::from_mass(mass)))
            .collect();
        let content = sourcing::poured(situation, &self.left_in_jar(situation), &rounded);
        let total: Ratio = content.iter().cloned().sum();
        let share = |mass: &Ratio| mass.checked_div(&total).unwrap_or_else(Ratio::zero);
        let shares = situation
            .components
            .iter()
            .zip(&content)
            .map(|(component, mass)| ShareLine {
                key: component.key.clone(),
                name: component.name.clone(),
                planned: component.share.clone(),
                result: share(mass),
            });
        RescueOption {
            kind: self.kind,
            // Rounded pours must not be the reason why a jar runs over that was looked at.
            total: match self.kind {
                RescueKind::TakeOut | RescueKind::MakeLess => total.clone().min(self.total.clone()),
                RescueKind::TopUpExact
                | RescueKind::TopUpLeast
                | RescueKind::Accept
                | RescueKind::Unthinned
                | RescueKind::ReadyMade => total.clone(),
            }
            .to_mass(),
            take_out: self.rounded_take_out(situation),
            pours: rounded
                .iter()
                .map(|(at, mass)| Pour {
                    key: situation.sources[*at].key.clone(),
                    name: situation.sources[*at].name.clone(),
                    mass: mass.to_mass(),
                })
                .collect(),
            shares: shares.collect(),
            within: self.is_within(situation),
            cost: self.cost(situation),
            obstacle: self.obstacle.clone(),
        }
    }

    /// Returns what is to be taken out, rounded up to what the scale can show: less would leave too much.
    fn rounded_take_out(&self, situation: &Situation) -> Mass {
        let exact = self.take_out.to_mass();
        let Some(division) = situation.scales.jar.division else {
            return exact;
        };
        let nearest = exact.rounded_to(division);
        if nearest < exact {
            nearest + division
        } else {
            nearest
        }
    }

    /// Returns what stays in the jar of every component once what is to be taken out is out.
    #[must_use]
    pub fn left_in_jar(&self, situation: &Situation) -> Vec<Ratio> {
        let whole = &situation.in_jar() + &Ratio::from_mass(situation.outside);
        let kept = (&whole - &self.take_out)
            .checked_div(&whole)
            .unwrap_or_else(Ratio::one);
        situation
            .components
            .iter()
            .map(|component| &component.in_jar * &kept)
            .collect()
    }
}
