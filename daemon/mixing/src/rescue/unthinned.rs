//! A mix that is too thin: more of everything but the thinner, or more of the same mix from another jar.
//!
//! The thinner lies outside the ratio, so nothing is off that a top-up would mend; what is asked for is so many
//! grams of what the jar held before it was thinned.

use tarehand_protocol::Mass;

use crate::ratio::Ratio;

use super::situation::{Level, Situation, Source};
use super::sourcing;
use super::told::RescueOption;
use super::way::Way;
use super::{RescueKind, accept, going_on, jar, plain};

/// Returns the ways out of a mix that is too thin, the one to be proposed first: so much of the mix without thinner
/// is wanted, as far as it is in the jar by now, where it helps at all. To leave it so is always among them.
///
/// What is still to be poured as planned grows with it. A jar of the same mix that was made before has everything in
/// it, so it serves only where nothing is still to come.
#[must_use]
pub fn unthinned(situation: &Situation, mix: Option<Mass>, recipe: &str) -> Vec<RescueOption> {
    let mut options = Vec::new();
    let planned = Ratio::from_mass(situation.planned);
    let open: Ratio = situation
        .sources
        .iter()
        .map(|source| source.open.clone())
        .sum();
    let in_by_now = (&planned - &open)
        .checked_div(&planned)
        .filter(|part| Ratio::zero() < *part);
    if let Some((mix, in_by_now)) = mix.zip(in_by_now) {
        let more = Ratio::from_mass(mix).checked_div(&in_by_now);
        let total = &planned + &more.unwrap_or_else(Ratio::zero);
        options.push(by_ingredients(situation, &total).told(situation));
        let named = situation.sources.iter().any(|source| source.key == recipe);
        if open.is_zero() && !named {
            options.push(by_another_jar(situation, mix, recipe));
        }
    }
    options.push(going_on(situation).told(situation));
    // What cannot be done is shown last, with what is in its way.
    options.sort_by_key(|option| !option.may_be_chosen());
    options
}

/// The ratio comes out exact wherever a total that large allows it; where the jar is within its tolerances and a
/// little more makes it exact, it is that little more. A ratio that is off beyond them, which somebody has accepted,
/// is not put right on the way: every ingredient gets its share.
fn by_ingredients(situation: &Situation, total: &Ratio) -> Way {
    let kind = RescueKind::Unthinned;
    let jar = jar(situation);
    let exact = plain::made_by_the_jar(situation).map_or_else(Ratio::zero, |(_, made)| made);
    let as_planned = accept::way(situation, &jar);
    let content = if exact <= *total || as_planned.is_within(situation) {
        plain::at_ratio(situation, &exact.max(total.clone()))
    } else {
        let grown = total - &Ratio::from_mass(situation.planned);
        let grown = plain::at_ratio(situation, &grown);
        let each = as_planned.content.iter().zip(&grown);
        each.map(|(planned, more)| planned + more).collect()
    };
    match sourcing::pours(situation, &jar, &content) {
        Ok(pours) => Way::to(kind, situation, content, pours),
        Err(short) => {
            let pours = sourcing::pours_whatever_the_stock(situation, &jar, &content);
            Way::to(kind, situation, content, pours).barred_by(situation, &short)
        }
    }
}

fn by_another_jar(situation: &Situation, mix: Mass, recipe: &str) -> RescueOption {
    let mut with_it = situation.clone();
    let shares = situation.components.iter().enumerate();
    with_it.sources.push(Source {
        key: recipe.to_owned(),
        name: format!("{recipe} without thinner, made before"),
        level: Level::Addition,
        made_of: shares
            .map(|(at, component)| (at, component.share.clone()))
            .collect(),
        within: None,
        open: Ratio::zero(),
        stock: None,
        price: None,
    });
    let pours = vec![(situation.sources.len(), Ratio::from_mass(mix))];
    Way::by_pours(RescueKind::ReadyMade, &with_it, &jar(situation), pours).told(&with_it)
}
