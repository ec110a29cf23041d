//! Some bits of one byte.

/// Some bits of one byte of a frame, and the value they must have to mean something.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bits {
    /// Which byte, from 0 at the frame's start.
    pub at: u8,
    /// The bits of it that count.
    pub mask: u8,
    /// What they must be, in their own places.
    pub is: u8,
}

impl Bits {
    /// Returns whether the bits are as they must be; `None` when the frame has no such byte.
    pub(super) fn hold(self, frame: &[u8]) -> Option<bool> {
        let byte = frame.get(usize::from(self.at))?;
        Some(byte & self.mask == self.is)
    }
}
