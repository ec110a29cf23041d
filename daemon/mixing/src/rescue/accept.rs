//! Go on as planned and live with the shares that result.

use crate::ratio::Ratio;

use super::RescueKind;
use super::situation::Situation;
use super::sourcing::Pours;
use super::way::Way;

/// Returns what comes of pouring the rest as planned, as far as there is enough of it.
pub(super) fn way(situation: &Situation, jar: &[Ratio]) -> Way {
    let sources = situation.sources.iter().enumerate();
    let pours: Pours = sources
        .filter_map(|(at, source)| {
            let mass = match source.stock.map(Ratio::from_mass) {
                Some(stock) if stock < source.open => stock,
                Some(_) | None => source.open.clone(),
            };
            (!mass.is_zero()).then_some((at, mass))
        })
        .collect();
    Way::by_pours(RescueKind::Accept, situation, jar, pours)
}
