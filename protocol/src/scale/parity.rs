//! Bit 7 as a parity bit.

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
#[derive(Clone, Copy, Debug)]
pub(super) struct SevenBits {
    parity: Parity,
    arrives: bool,
}

impl SevenBits {
    pub(super) const fn new(parity: Parity) -> Self {
        Self {
            parity,
            arrives: false,
        }
    }

    pub(super) const fn reset(&mut self) {
        self.arrives = false;
    }

    /// Verifies a frame and leaves its seven bits; a frame that does not fit is left as it came.
    pub(super) fn strip(&mut self, frame: &mut [u8]) -> Result<(), Why> {
        let seen = frame.iter().any(|&byte| 0x7f < byte);
        if seen || self.arrives {
            if !frame.iter().all(|&byte| self.parity.fits(byte)) {
                return Err(Why::BadParity);
            }
            self.arrives = self.parity != Parity::None;
        }
        for byte in frame {
            *byte &= 0x7f;
        }
        Ok(())
    }
}
