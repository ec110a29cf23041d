//! The bytes by which a frame is known among others.

use super::layout::Binary;

/// Bytes that stand in every frame at the same places.
#[derive(Clone, Debug)]
pub(super) struct Marks {
    /// From the frame's start, in order of their places.
    fixed: Vec<(usize, u8)>,
    /// At the end of a frame.
    pub(super) ends: Vec<u8>,
}

impl Marks {
    pub(super) fn of(binary: &Binary) -> Self {
        let mut fixed: Vec<(usize, u8)> = binary.start.iter().copied().enumerate().collect();
        for constant in &binary.constants {
            let from = usize::from(constant.at);
            fixed.extend(
                constant
                    .bytes
                    .iter()
                    .enumerate()
                    .map(|(at, &byte)| (from + at, byte)),
            );
        }
        fixed.sort_unstable();
        fixed.dedup();
        Self {
            fixed,
            ends: binary.ends.clone(),
        }
    }

    /// Returns whether only the end of a frame can be seen.
    pub(super) const fn only_ends(&self) -> bool {
        self.fixed.is_empty()
    }

    /// Returns how many bytes of a frame show that one begins there.
    pub(super) fn ahead(&self) -> usize {
        let Some(&(first, _)) = self.fixed.first() else {
            return 0;
        };
        let run = self.fixed.iter().enumerate();
        let run = run.take_while(|&(at, &(place, _))| place == first + at);
        first + run.count()
    }

    /// Returns whether the bytes can be those a frame begins with, as far as they go.
    pub(super) fn begin(&self, bytes: &[u8]) -> bool {
        let mut seen = self
            .fixed
            .iter()
            .map_while(|&(at, mark)| Some(*bytes.get(at)? == mark));
        seen.all(|same| same)
    }

    /// Returns whether all marks of a whole frame are there.
    pub(super) fn fit(&self, frame: &[u8]) -> bool {
        let last = self.fixed.last().map_or(0, |&(at, _)| at + 1);
        last <= frame.len() && self.begin(frame) && frame.ends_with(&self.ends)
    }

    /// Returns whether another frame may begin or end inside this one.
    pub(super) fn stand_inside(&self, frame: &[u8]) -> bool {
        if self.only_ends() {
            let body = frame.len().saturating_sub(self.ends.len());
            return frame
                .get(..body)
                .is_some_and(|body| find(body, &self.ends).is_some());
        }
        let visible = |from: usize| {
            self.fixed
                .first()
                .is_some_and(|&(at, _)| from + at < frame.len())
        };
        (1..frame.len()).any(|from| visible(from) && self.begin(&frame[from..]))
    }

    /// Returns how many bytes to give up, at least one, until a frame may begin.
    pub(super) fn next(&self, bytes: &[u8]) -> usize {
        if self.only_ends() {
            return match find(bytes, &self.ends) {
                Some(at) => at + self.ends.len(),
                // What the ends begin with may stand at the end.
                None => (bytes.len() + 1)
                    .saturating_sub(self.ends.len())
                    .clamp(1, bytes.len().max(1)),
            };
        }
        (1..bytes.len())
            .find(|&from| self.begin(&bytes[from..]))
            .unwrap_or(bytes.len())
    }
}

fn find(bytes: &[u8], wanted: &[u8]) -> Option<usize> {
    bytes
        .windows(wanted.len().max(1))
        .position(|seen| seen == wanted)
}
