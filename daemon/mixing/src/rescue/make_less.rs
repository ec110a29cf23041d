//! Make a smaller batch: an ingredient is running out, or the jar is full.

use crate::ratio::Ratio;

use super::RescueKind;
use super::linear::{self, Aim, Shares, Totals};
use super::obstacle::Obstacle;
use super::plain;
use super::situation::Situation;
use super::sourcing::{self, Unknown};
use super::way::Way;

/// Returns the way to the largest total, at most the planned one, that jar and shelf allow at the recipe's ratio.
pub(super) fn way(situation: &Situation, jar: &[Ratio]) -> Way {
    let planned = Ratio::from_mass(situation.planned);
    let most = match situation.most_at_ratio() {
        Some(limit) => limit.min(planned),
        None => planned,
    };
    let at = |total: &Ratio| {
        let content = plain::at_ratio(situation, total);
        let pours = sourcing::pours_whatever_the_stock(situation, jar, &content);
        Way::to(RescueKind::MakeLess, situation, content, pours)
    };
    if let Some((component, makes)) =
        plain::made_by_the_jar(situation).filter(|(_, makes)| most < *makes)
    {
        let mut way = at(&makes);
        way.obstacle = Some(Obstacle::TooMuchIn {
            name: component.name.clone(),
            makes: makes.to_mass(),
            most: most.to_mass(),
        });
        return way;
    }
    let content = plain::at_ratio(situation, &most);
    match sourcing::pours(situation, jar, &content) {
        Ok(pours) => Way::to(RescueKind::MakeLess, situation, content, pours),
        Err(short) if situation.is_plain() => {
            let (enough_for, name) = served(situation).unwrap_or((most, String::new()));
            match plain::made_by_the_jar(situation).filter(|(_, makes)| enough_for < *makes) {
                Some((of, makes)) => {
                    let mut way = at(&makes);
                    way.obstacle = Some(Obstacle::Outrun {
                        name,
                        enough_for: enough_for.to_mass(),
                        of: of.name.clone(),
                        makes: makes.to_mass(),
                    });
                    way
                }
                None if enough_for.is_zero() => at(&enough_for).barred_by(situation, &short),
                None => at(&enough_for),
            }
        }
        Err(short) => by_program(situation, jar, &most).unwrap_or_else(|| {
            let total =
                plain::made_by_the_jar(situation).map_or_else(Ratio::zero, |(_, makes)| makes);
            at(&total).barred_by(situation, &short)
        }),
    }
}

/// Returns the largest batch that jar and shelf serve, and what is short; of a plain recipe.
fn served(situation: &Situation) -> Option<(Ratio, String)> {
    let batches = situation.sources.iter().filter_map(|source| {
        let component = &situation.components[source.made_of[0].0];
        let there = &component.in_jar + &Ratio::from_mass(source.stock?);
        Some((there.checked_div(&component.share)?, source))
    });
    batches
        .min_by(|(one, _), (other, _)| one.cmp(other))
        .map(|(total, source)| (total, source.name.clone()))
}

fn by_program(situation: &Situation, jar: &[Ratio], most: &Ratio) -> Option<Way> {
    let found = linear::solve(
        situation,
        Shares::Exact,
        &Totals::AtMost(most.clone()),
        Aim::MostTotal,
    )?;
    let (total, pours) = sourcing::exactly_with(situation, &Unknown::Total, &found.pours)?;
    if total <= Ratio::zero() || *most < total || sourcing::short(situation, &pours).is_some() {
        return None;
    }
    let content = plain::at_ratio(situation, &total);
    let pours = sourcing::pours(situation, jar, &content).unwrap_or(pours);
    Some(Way::to(RescueKind::MakeLess, situation, content, pours))
}
