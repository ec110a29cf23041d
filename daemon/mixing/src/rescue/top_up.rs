//! Add more of everything else until the ratio holds exactly.

use tarehand_protocol::Mass;

use crate::ratio::Ratio;

use super::{Part, Pour, RescueKind, RescueOption, Situation, obstacle, shares};

/// Returns the smallest total at which every ingredient can reach its exact share.
///
/// Closed form: T = max(planned, max m_i / f_i) over the ingredients in the jar, and of each ingredient
/// T·f_i − m_i is still to be poured. A pour below the scale's uncertainty is left out.
pub(super) fn option(situation: &Situation) -> RescueOption {
    let total = exact_total(situation);
    let wanted = |part: &Part| {
        let mass = (&total * &part.share).to_mass() - part.poured;
        // An ingredient that still has its own step gets its pour however small; only extra pours must be worth weighing.
        if part.open.is_zero() && mass < situation.least_pour {
            Mass::ZERO
        } else {
            mass.max(Mass::ZERO)
        }
    };
    let pours: Vec<Pour> = situation
        .parts
        .iter()
        .map(|part| Pour {
            key: part.key.clone(),
            name: part.name.clone(),
            mass: wanted(part),
        })
        .filter(|pour| !pour.mass.is_zero())
        .collect();
    let (total, shares) = shares(situation, wanted);
    RescueOption {
        kind: RescueKind::TopUpExact,
        total,
        obstacle: obstacle(situation, &pours),
        pours,
        shares,
    }
}

fn exact_total(situation: &Situation) -> Ratio {
    let needed = situation
        .parts
        .iter()
        .filter_map(|part| Ratio::from_mass(part.poured).checked_div(&part.share));
    needed.fold(Ratio::from_mass(situation.planned), Ord::max)
}
