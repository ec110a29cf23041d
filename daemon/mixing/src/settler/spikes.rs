//! Single spikes of a fast scale, left out by a median of three.
//!
//! A median is one reading late while the weight grows. Whatever is judged may wait for it; whoever pours must not, so the
//! newest reading can be had too where it only goes on as the two before it did.

use tarehand_protocol::Mass;

/// The newest three readings.
#[derive(Clone, Debug, Default)]
pub(super) struct LastThree(Vec<Mass>);

impl LastThree {
    pub(super) fn clear(&mut self) {
        self.0.clear();
    }

    pub(super) fn push(&mut self, gross: Mass) {
        if self.0.len() == 3 {
            self.0.remove(0);
        }
        self.0.push(gross);
    }

    /// Returns their median; `None` before there are three.
    pub(super) fn median(&self) -> Option<Mass> {
        let mut sorted = self.all()?;
        sorted.sort_unstable();
        Some(sorted[1])
    }

    /// Returns the middle one when it stands apart from both its neighbours.
    pub(super) fn spike(&self, band: Mass) -> Option<Mass> {
        let [before, middle, after] = self.all()?;
        let away = (middle - before).abs().min((middle - after).abs());
        // Its neighbours may differ a little, as in a pour, but far less than it differs from them.
        let apart = (after - before).abs().micrograms() < away.micrograms() / 4;
        (band + band < away && apart).then_some(middle)
    }

    /// Returns how far the newest is ahead of the median where the three go one way, at most twice as fast at the
    /// end as at the beginning (our own choice); else nothing: it may be a spike, or the last digit that flickers.
    pub(super) fn ahead(&self, band: Mass) -> Mass {
        let Some([before, middle, after]) = self.all() else {
            return Mass::ZERO;
        };
        let one_way = (before < middle && middle < after) || (after < middle && middle < before);
        let begun = (middle - before).abs();
        let goes_on = one_way && (after - middle).abs() <= begun + begun + band;
        if goes_on { after - middle } else { Mass::ZERO }
    }

    fn all(&self) -> Option<[Mass; 3]> {
        self.0.as_slice().try_into().ok()
    }
}
