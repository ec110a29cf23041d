//! Take some of the well-stirred mix out, then top up to what fits.

use crate::ratio::Ratio;

use super::RescueKind;
use super::linear::{self, Aim, Shares, Totals};
use super::plain;
use super::situation::Situation;
use super::sourcing::{self, Unknown};
use super::way::Way;

/// Returns the way that takes out as little as can be: down to the jar's limit, or to the planned total.
///
/// What is in the jar makes a batch of `N = max mᵢ/fᵢ`. Of that the jar may keep `C/N`, where that is less than all of
/// it; topped up to `T ≥ N` without a limit, that is `R = M·(1 − C/T)`.
pub(super) fn way(situation: &Situation, jar: &[Ratio], topped_up: &Ratio) -> Way {
    let made = plain::made_by_the_jar(situation).map_or_else(Ratio::zero, |(_, made)| made);
    let limit = match &situation.room {
        Some(_) => situation.most_at_ratio_after_removal(&made),
        None => Some(Ratio::from_mass(situation.planned)),
    };
    let total = limit.map_or_else(|| topped_up.clone(), |limit| limit.min(topped_up.clone()));
    let kept = total
        .checked_div(&made)
        .map_or_else(Ratio::one, |kept| kept.min(Ratio::one()));
    let left = part_of(jar, &kept);
    let content = plain::at_ratio(situation, &total);
    match sourcing::pours(situation, &left, &content) {
        Ok(pours) => removal(
            situation,
            &kept,
            Way::to(RescueKind::TakeOut, situation, content, pours),
        ),
        Err(short) => by_program(situation, jar, &total).unwrap_or_else(|| {
            let pours = sourcing::pours_whatever_the_stock(situation, &left, &content);
            let way = Way::to(RescueKind::TakeOut, situation, content, pours);
            removal(situation, &kept, way.barred_by(situation, &short))
        }),
    }
}

/// A raw ingredient that is short by itself may come in a premix, when more is taken out.
fn by_program(situation: &Situation, jar: &[Ratio], total: &Ratio) -> Option<Way> {
    if situation.is_plain() {
        return None;
    }
    let just = Totals::Just(total.clone());
    let found = linear::solve(situation, Shares::Exact, &just, Aim::MostKept)?;
    let unknown = Unknown::Kept {
        total: total.clone(),
    };
    let (kept, pours) = sourcing::exactly_with(situation, &unknown, &found.pours)?;
    if Ratio::one() < kept || kept.is_negative() || sourcing::short(situation, &pours).is_some() {
        return None;
    }
    let way = Way::by_pours(RescueKind::TakeOut, situation, &part_of(jar, &kept), pours);
    Some(removal(situation, &kept, way))
}

fn part_of(jar: &[Ratio], kept: &Ratio) -> Vec<Ratio> {
    jar.iter().map(|mass| mass * kept).collect()
}

/// Says what is taken out; what lies outside the ratio leaves with the rest, and makes room.
fn removal(situation: &Situation, kept: &Ratio, mut way: Way) -> Way {
    let whole = &situation.in_jar() + &Ratio::from_mass(situation.outside);
    way.take_out = &whole - &(&whole * kept);
    if matches!(
        way.obstacle,
        Some(super::Obstacle::Jar { .. } | super::Obstacle::JarWeight { .. })
    ) {
        way.obstacle = None;
    }
    way
}
