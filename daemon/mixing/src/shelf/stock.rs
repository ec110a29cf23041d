//! What is left of each pack: what it held when that was known last, less what batches poured since.

use tarehand_protocol::Mass;

use super::date::Moment;
use super::pack::{Pack, oldest_first};

/// What a batch took from an ingredient in one go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Draw {
    /// When it was booked.
    pub at: Moment,
    /// The batch that took it, by its mark.
    pub batch: String,
    /// How much; below zero where a booking was taken back.
    pub mass: Mass,
}

/// What is left of an ingredient.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Left {
    /// What is left of each pack, in the order of the file; never below zero.
    pub packs: Vec<Mass>,
    /// What was poured beyond all that the packs are known to have held: a pack is not on the shelf's
    /// list, or was not weighed right.
    pub beyond: Mass,
    /// Out of which pack each draw came, in the order of time; what was taken back is taken off again.
    pub taken: Vec<Taken>,
}

/// Where a draw came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// The pack at this place.
    Pack(usize),
    /// None of them.
    Beyond,
    /// One that was weighed since.
    Weighed,
}

/// What went out of one pack in one go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// The batch that took it, by its mark.
    pub batch: String,
    /// Out of which pack.
    pub origin: Origin,
    /// How much, less what was taken back.
    pub mass: Mass,
}

impl Left {
    /// Returns what is left in all.
    #[must_use]
    pub fn total(&self) -> Mass {
        self.packs.iter().copied().sum()
    }
}

/// Takes what was drawn out of the packs, the oldest first.
///
/// A draw from before a pack's last weighing is in that weighing already, where the pack still had
/// something then. What is taken back goes back to where it came from; what came from before a
/// weighing stays out, because the scale has seen the pack since.
#[must_use]
pub fn left(packs: &[Pack], drawn: &[Draw]) -> Left {
    let mut left = Left {
        packs: packs.iter().map(Pack::last_known).collect(),
        beyond: Mass::ZERO,
        taken: Vec::new(),
    };
    let order = oldest_first(packs);
    let since: Vec<Option<Moment>> = packs.iter().map(Pack::since).collect();
    let mut draws: Vec<&Draw> = drawn.iter().collect();
    draws.sort_by(|a, b| a.at.cmp(&b.at));
    for draw in draws {
        if draw.mass < Mass::ZERO {
            give_back(&mut left, draw);
            continue;
        }
        let mut wanted = draw.mass;
        let take = |origin: Origin, mass: Mass, left: &mut Left| {
            match origin {
                Origin::Pack(place) => left.packs[place] -= mass,
                Origin::Beyond => left.beyond += mass,
                Origin::Weighed => {}
            }
            left.taken.push(Taken {
                batch: draw.batch.clone(),
                origin,
                mass,
            });
        };
        // Where every pack was weighed since, what is not in those weighings cannot be said any more.
        let mut rest = Origin::Weighed;
        for &place in &order {
            if since[place].as_ref().is_none_or(|since| *since <= draw.at) {
                rest = Origin::Beyond;
                let part = wanted.min(left.packs[place]);
                // Of packs that were used up nothing is written down, draw after draw.
                if !part.is_zero() {
                    take(Origin::Pack(place), part, &mut left);
                    wanted -= part;
                }
            } else if Mass::ZERO < packs[place].last_known() {
                rest = Origin::Weighed;
                break;
            }
            if wanted.is_zero() {
                break;
            }
        }
        if !wanted.is_zero() {
            take(rest, wanted, &mut left);
        }
    }
    left
}

/// Puts what a batch takes back where the batch took it last.
fn give_back(left: &mut Left, draw: &Draw) {
    let mut back = draw.mass.abs();
    let own = left.taken.iter_mut().rev();
    for took in own.filter(|took| took.batch == draw.batch) {
        let part = back.min(took.mass);
        match took.origin {
            Origin::Pack(place) => left.packs[place] += part,
            Origin::Beyond => left.beyond -= part,
            Origin::Weighed => {}
        }
        took.mass -= part;
        back -= part;
        if back.is_zero() {
            break;
        }
    }
}

#[cfg(test)]
mod tests;
