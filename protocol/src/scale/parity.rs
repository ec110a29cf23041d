//! Bit 7 as a parity bit.

use super::decoded::Raw;
use super::why::Why;

/// What the count of set bits of a byte must be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Parity {
    /// No parity bit is sent.
    None,
    /// An even count.
    Even,
    /// An odd count.
    Odd,
}

impl Parity {
    /// Returns whether a byte of eight bits, parity bit included, fits.
    #[must_use]
    pub const fn fits(self, byte: u8) -> bool {
        match self {
            Self::None => true,
            Self::Even => byte.count_ones().is_multiple_of(2),
            Self::Odd => !byte.count_ones().is_multiple_of(2),
        }
    }
}

/// Takes the parity bit off seven-bit characters that arrive as eight bits.
///
/// Some links strip the bit themselves and some cannot, so it is judged only where it is seen:
/// in a frame that has bit 7 anywhere, and, once such a frame was right, in every later one.
#[derive(Clone, Debug)]
pub(super) struct SevenBits {
    parity: Parity,
    arrives: bool,
    stripped: [u8; Raw::LIMIT],
}

impl SevenBits {
    pub(super) const fn new(parity: Parity) -> Self {
        Self {
            parity,
            arrives: false,
            stripped: [0; Raw::LIMIT],
        }
    }

    pub(super) const fn reset(&mut self) {
        self.arrives = false;
    }

    /// Verifies a frame and returns its seven bits.
    pub(super) fn strip(&mut self, frame: &[u8]) -> Result<&[u8], Why> {
        let seen = frame.iter().any(|&byte| 0x7f < byte);
        if seen || self.arrives {
            if !frame.iter().all(|&byte| self.parity.fits(byte)) {
                return Err(Why::BadParity);
            }
            self.arrives = self.parity != Parity::None;
        }
        let stripped = self.stripped.get_mut(..frame.len()).ok_or(Why::TooLong)?;
        for (seven, eight) in stripped.iter_mut().zip(frame) {
            *seven = eight & 0x7f;
        }
        Ok(stripped)
    }
}
