//! A long record of draws, shortened where that changes nothing: which batches' draws count as one each.

use tarehand_protocol::Mass;

use super::date::Moment;
use super::pack::Pack;
use super::stock::Draw;

/// All that a batch drew of an ingredient, from its first draw to its last.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// The batch, by its mark.
    pub batch: String,
    /// When the first draw was booked.
    pub first: Moment,
    /// When the last one was booked, or the last was taken back.
    pub last: Moment,
    /// How much was taken in all.
    pub out: Mass,
    /// How much of it was taken back.
    pub back: Mass,
}

/// Stretches told apart by how they must be read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Shortened {
    /// Draws that stand for a whole stretch each.
    pub whole: Vec<Draw>,
    /// The marks of the batches of which each draw must be read by itself.
    pub singly: Vec<String>,
}

/// Shortens what batches drew out of packs, so that [`left`](super::stock::left) comes to the same.
///
/// Draws of one batch that no other batch's draw falls between empty the packs as one draw would; unless a pack was
/// weighed or opened meanwhile, or something was taken back.
#[must_use]
pub fn shortened(packs: &[Pack], mut stretches: Vec<Stretch>) -> Shortened {
    stretches.sort_by(|a, b| (&a.first, &a.last).cmp(&(&b.first, &b.last)));
    let since: Vec<Moment> = packs.iter().filter_map(Pack::since).collect();
    let cut = |stretch: &Stretch| {
        since
            .iter()
            .any(|since| stretch.first < *since && *since <= stretch.last)
    };
    let mut found = Shortened::default();
    let mut latest: Option<Moment> = None;
    let mut rest = stretches.into_iter().peekable();
    while let Some(stretch) = rest.next() {
        let after_all = latest.as_ref().is_none_or(|latest| *latest < stretch.first);
        let before_all = rest.peek().is_none_or(|next| stretch.last < next.first);
        if latest.as_ref().is_none_or(|latest| *latest < stretch.last) {
            latest = Some(stretch.last.clone());
        }
        if after_all && before_all && stretch.back.is_zero() && !cut(&stretch) {
            found.whole.push(Draw {
                at: stretch.first,
                batch: stretch.batch,
                mass: stretch.out,
            });
        } else {
            found.singly.push(stretch.batch);
        }
    }
    found
}

#[cfg(test)]
mod tests;
