//! Add more of everything else, until the ratio holds exactly or every share is within its tolerance.

use crate::ratio::Ratio;

use super::RescueKind;
use super::linear::{self, Aim, Shares, Totals};
use super::plain;
use super::situation::{Room, Situation};
use super::sourcing::{self, Unknown};
use super::way::Way;

/// Returns the way to the smallest total at which every ingredient has its exact share.
pub(super) fn exact(situation: &Situation, jar: &[Ratio], total: &Ratio) -> Way {
    let kind = RescueKind::TopUpExact;
    let content = plain::at_ratio(situation, total);
    match sourcing::pours(situation, jar, &content) {
        Ok(pours) => Way::to(kind, situation, content, pours),
        Err(short) => larger_exact(situation, jar).unwrap_or_else(|| {
            let pours = sourcing::pours_whatever_the_stock(situation, jar, &content);
            Way::to(kind, situation, content, pours).barred_by(situation, &short)
        }),
    }
}

/// A raw ingredient that is short by itself may come in a premix, when the batch grows more than it would have to.
fn larger_exact(situation: &Situation, jar: &[Ratio]) -> Option<Way> {
    if situation.is_plain() {
        return None;
    }
    let least = Totals::AtLeast(Ratio::from_mass(situation.planned));
    let found = linear::solve(situation, Shares::Exact, &least, Aim::LeastTotal)?;
    let (total, pours) = sourcing::exactly_with(situation, &Unknown::Total, &found.pours)?;
    // What the solver takes for possible may be just beyond it.
    if total < Ratio::from_mass(situation.planned) || sourcing::short(situation, &pours).is_some() {
        return None;
    }
    let content = plain::at_ratio(situation, &total);
    let pours = sourcing::pours(situation, jar, &content).unwrap_or(pours);
    Some(Way::to(RescueKind::TopUpExact, situation, content, pours))
}

/// Returns the way to the smallest total at which every share is within its tolerance; of all mixes with that
/// total, the one nearest to the recipe.
pub(super) fn least(situation: &Situation, jar: &[Ratio]) -> Way {
    let total = plain::least_total(situation);
    let way = by_breakpoints(situation, jar, &total);
    // Which mix it is decides what a premix can bring, and how much room it takes.
    let may_differ = !situation.is_plain() || matches!(situation.room, Some(Room::Volume(_)));
    if !way.is_feasible() && may_differ {
        return by_program(situation, jar).unwrap_or(way);
    }
    way
}

fn by_breakpoints(situation: &Situation, jar: &[Ratio], total: &Ratio) -> Way {
    let kind = RescueKind::TopUpLeast;
    let unlimited = vec![None; situation.components.len()];
    let most = if situation.is_plain() {
        what_there_is(situation)
    } else {
        unlimited.clone()
    };
    if let Some(content) = plain::nearest_mix(situation, total, &most)
        && let Ok(pours) = sourcing::pours(situation, jar, &content)
    {
        return Way::to(kind, situation, content, pours);
    }
    let content = plain::nearest_mix(situation, total, &unlimited)
        .unwrap_or_else(|| plain::at_ratio(situation, total));
    let pours = sourcing::pours_whatever_the_stock(situation, jar, &content);
    let short = sourcing::short(situation, &pours);
    let way = Way::to(kind, situation, content, pours);
    match short {
        Some(short) => way.barred_by(situation, &short),
        None => way,
    }
}

/// What each component can come to with what is in the jar and on the shelf; of a plain recipe.
fn what_there_is(situation: &Situation) -> Vec<Option<Ratio>> {
    let mut most = vec![None; situation.components.len()];
    for source in &situation.sources {
        let component = source.made_of[0].0;
        let in_jar = &situation.components[component].in_jar;
        most[component] = source.stock.map(|stock| in_jar + &Ratio::from_mass(stock));
    }
    most
}

fn by_program(situation: &Situation, jar: &[Ratio]) -> Option<Way> {
    let solve =
        |totals: &Totals, aim| linear::solve(situation, Shares::WithinTolerance, totals, aim);
    let least = Totals::AtLeast(Ratio::from_mass(situation.planned));
    let found = solve(&least, Aim::LeastTotal)?;
    let total = Totals::Just(sourcing::as_exact(found.total)?);
    // The smallest total is where the solver's rounding may leave no room at all: then its own mix has to do.
    let nearest = solve(&total, Aim::Nearest).unwrap_or(found);
    let deviation = sourcing::worst_deviation(situation, &nearest.pours);
    let named = solve(&total, Aim::NamedSources { deviation });
    let pours = sourcing::as_found(&named.unwrap_or(nearest).pours);
    let mut way = Way::by_pours(RescueKind::TopUpLeast, situation, jar, pours);
    // The program has kept to the jar; what is over is rounding.
    way.obstacle = None;
    Some(way)
}
