//! Go on as planned and live with the shares that result.

use super::{Pour, RescueKind, RescueOption, Situation, shares};

/// Returns what comes of pouring the rest as planned.
///
/// It has no obstacle: what stands in the way of the plan itself stood there before, and there must always be a way on.
pub(super) fn option(situation: &Situation) -> RescueOption {
    let pours: Vec<Pour> = situation
        .parts
        .iter()
        .filter(|part| !part.open.is_zero())
        .map(|part| Pour {
            key: part.key.clone(),
            name: part.name.clone(),
            mass: part.open,
        })
        .collect();
    let (total, shares) = shares(situation, |part| part.open);
    RescueOption {
        kind: RescueKind::Accept,
        total,
        obstacle: None,
        pours,
        shares,
    }
}
