//! Checks over the bytes of a frame.

use super::number::Order;
use crate::scale::check::Rule;
use crate::scale::why::Why;

/// A place in a frame, counted from its start or from its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// So many bytes after the first one: 0 is the first.
    FromStart(u8),
    /// So many bytes before the end: 1 is the last one.
    FromEnd(u8),
}

impl Place {
    fn index(self, length: usize) -> Option<usize> {
        match self {
            Self::FromStart(at) => Some(usize::from(at)),
            Self::FromEnd(back) => length.checked_sub(usize::from(back)),
        }
    }

    /// Returns how many bytes a frame has at least that holds `length` bytes here.
    const fn least(self, length: usize) -> usize {
        match self {
            Self::FromStart(at) => at as usize + length,
            Self::FromEnd(back) => back as usize,
        }
    }
}

/// How the check is computed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sum {
    /// One byte, by a plain rule.
    Plain(Rule),
    /// A cyclic redundancy check of the catalogue.
    Crc(&'static Crc),
}

/// A check of one or two bytes that stands in the frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Check {
    /// How it is computed.
    pub rule: Sum,
    /// The first byte that it covers.
    pub from: u8,
    /// The first byte after those that it covers.
    pub until: Place,
    /// Where it stands.
    pub at: Place,
    /// Which of its two bytes comes first.
    pub order: Order,
}

/// A cyclic redundancy check, by the parameters that the public catalogue of them uses.
#[derive(Debug, PartialEq, Eq)]
pub struct Crc {
    /// Its name in the catalogue.
    pub name: &'static str,
    wide: bool,
    polynomial: u16,
    first: u16,
    reflected: bool,
    last: u16,
}

impl Check {
    /// Returns how many bytes it takes.
    pub(in crate::scale) const fn length(&self) -> usize {
        match self.rule {
            Sum::Crc(crc) if crc.wide => 2,
            Sum::Crc(_) | Sum::Plain(_) => 1,
        }
    }

    /// Returns how many bytes a frame with this check has at least.
    pub(in crate::scale) fn least(&self) -> usize {
        let at = self.at.least(self.length());
        at.max(self.until.least(0)).max(usize::from(self.from) + 1)
    }

    /// Returns whether one frame in a few hundred passes by chance.
    pub(in crate::scale) const fn is_weak(&self) -> bool {
        self.length() == 1
    }

    /// Returns whether it is among the bytes that it covers in a frame of so many bytes.
    ///
    /// Such a check would let some changes pass, its own among them.
    pub(in crate::scale) fn covers_itself(&self, length: usize) -> bool {
        match (self.at.index(length), self.until.index(length)) {
            (Some(at), Some(until)) => at < until && usize::from(self.from) < at + self.length(),
            _ => false,
        }
    }

    /// Verifies a whole frame.
    pub(in crate::scale) fn verify(&self, frame: &[u8]) -> Result<(), Why> {
        if self.covers_itself(frame.len()) {
            return Err(Why::NoCheck);
        }
        let at = self.at.index(frame.len()).ok_or(Why::Torn)?;
        let until = self.until.index(frame.len()).ok_or(Why::Torn)?;
        let stands = frame.get(at..at + self.length()).ok_or(Why::Torn)?;
        let covered = frame.get(usize::from(self.from)..until).ok_or(Why::Torn)?;
        let sent = match (stands, self.order) {
            (&[byte], _) => u16::from(byte),
            (&[low, high], Order::Little) | (&[high, low], Order::Big) => {
                u16::from_le_bytes([low, high])
            }
            _ => return Err(Why::Torn),
        };
        let computed = match self.rule {
            Sum::Plain(rule) => u16::from(rule.over(covered)),
            Sum::Crc(crc) => crc.over(covered),
        };
        if sent == computed {
            Ok(())
        } else {
            Err(Why::BadCheck { sent, computed })
        }
    }
}

impl Sum {
    /// Returns the rule of a name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        let plain = Rule::NAMES.iter().find(|&&(known, _)| known == name);
        let crc = || CRCS.iter().find(|crc| crc.name == name).map(Self::Crc);
        plain.map(|&(_, rule)| Self::Plain(rule)).or_else(crc)
    }

    /// Returns its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Plain(rule) => rule.name(),
            Self::Crc(crc) => crc.name,
        }
    }

    /// Returns every name there is.
    pub(in crate::scale) fn names() -> Vec<&'static str> {
        let plain = Rule::NAMES.iter().map(|&(name, _)| name);
        plain.chain(CRCS.iter().map(|crc| crc.name)).collect()
    }

    /// Returns every rule there is.
    #[must_use]
    pub fn all() -> Vec<Self> {
        Self::names()
            .into_iter()
            .filter_map(Self::from_name)
            .collect()
    }
}

impl Crc {
    /// Computes it bit by bit: a frame is short, and no table needs to be kept true.
    fn over(&self, bytes: &[u8]) -> u16 {
        let top: u16 = if self.wide { 1 << 15 } else { 1 << 7 };
        let all = top | (top - 1);
        let mut crc = self.first;
        for &byte in bytes {
            let byte = if self.reflected {
                byte.reverse_bits()
            } else {
                byte
            };
            crc ^= u16::from(byte) << if self.wide { 8 } else { 0 };
            for _ in 0..8 {
                let out = crc & top != 0;
                crc = (crc << 1) & all;
                if out {
                    crc ^= self.polynomial;
                }
            }
        }
        if self.reflected {
            crc = crc.reverse_bits() >> if self.wide { 0 } else { 8 };
        }
        crc ^ self.last
    }
}

const fn narrow(
    name: &'static str,
    polynomial: u16,
    first: u16,
    reflected: bool,
    last: u16,
) -> Crc {
    Crc {
        name,
        wide: false,
        polynomial,
        first,
        reflected,
        last,
    }
}

const fn wide(name: &'static str, polynomial: u16, first: u16, reflected: bool, last: u16) -> Crc {
    Crc {
        name,
        wide: true,
        polynomial,
        first,
        reflected,
        last,
    }
}

/// Names and parameters of the public catalogue of parametrised CRC algorithms.
static CRCS: [Crc; 16] = [
    narrow("CRC-8/DVB-S2", 0xd5, 0, false, 0),
    narrow("CRC-8/I-432-1", 0x07, 0, false, 0x55),
    narrow("CRC-8/MAXIM-DOW", 0x31, 0, true, 0),
    narrow("CRC-8/NRSC-5", 0x31, 0xff, false, 0),
    narrow("CRC-8/ROHC", 0x07, 0xff, true, 0),
    narrow("CRC-8/SMBUS", 0x07, 0, false, 0),
    wide("CRC-16/ARC", 0x8005, 0, true, 0),
    wide("CRC-16/GENIBUS", 0x1021, 0xffff, false, 0xffff),
    wide("CRC-16/IBM-3740", 0x1021, 0xffff, false, 0),
    wide("CRC-16/IBM-SDLC", 0x1021, 0xffff, true, 0xffff),
    wide("CRC-16/KERMIT", 0x1021, 0, true, 0),
    wide("CRC-16/MCRF4XX", 0x1021, 0xffff, true, 0),
    wide("CRC-16/MODBUS", 0x8005, 0xffff, true, 0),
    wide("CRC-16/UMTS", 0x8005, 0, false, 0),
    wide("CRC-16/USB", 0x8005, 0xffff, true, 0xffff),
    wide("CRC-16/XMODEM", 0x1021, 0, false, 0),
];

#[cfg(test)]
mod tests {
    use super::*;

    // Check values over `123456789`: the public catalogue of parametrised CRC algorithms.
    #[test]
    fn every_check_gives_the_value_of_the_catalogue() {
        let values = [
            ("CRC-8/DVB-S2", 0xbc),
            ("CRC-8/I-432-1", 0xa1),
            ("CRC-8/MAXIM-DOW", 0xa1),
            ("CRC-8/NRSC-5", 0xf7),
            ("CRC-8/ROHC", 0xd0),
            ("CRC-8/SMBUS", 0xf4),
            ("CRC-16/ARC", 0xbb3d),
            ("CRC-16/GENIBUS", 0xd64e),
            ("CRC-16/IBM-3740", 0x29b1),
            ("CRC-16/IBM-SDLC", 0x906e),
            ("CRC-16/KERMIT", 0x2189),
            ("CRC-16/MCRF4XX", 0x6f91),
            ("CRC-16/MODBUS", 0x4b37),
            ("CRC-16/UMTS", 0xfee8),
            ("CRC-16/USB", 0xb4c8),
            ("CRC-16/XMODEM", 0x31c3),
        ];
        assert_eq!(values.len(), CRCS.len());
        for (name, expect) in values {
            let crc = CRCS.iter().find(|crc| crc.name == name).unwrap();
            assert_eq!(crc.over(b"123456789"), expect, "{name}");
        }
    }

    #[test]
    fn a_check_among_what_it_covers_is_none() {
        for (at, until, length, covers) in [
            (Place::FromStart(3), Place::FromEnd(2), 8, true),
            (Place::FromStart(3), Place::FromEnd(5), 8, false),
            (Place::FromEnd(2), Place::FromStart(6), 7, true),
            (Place::FromEnd(2), Place::FromStart(6), 8, false),
        ] {
            let check = Check {
                rule: Sum::Plain(Rule::Xor),
                from: 0,
                until,
                at,
                order: Order::Little,
            };
            assert_eq!(check.covers_itself(length), covers);
            let verified = check.verify(&vec![0; length]);
            assert_eq!(verified, if covers { Err(Why::NoCheck) } else { Ok(()) });
        }
    }

    // By definition, over 0x31 + 0x32 = 0x63.
    #[test]
    fn plain_rules_are_named_as_those_of_text() {
        for (name, expect) in [("sum", 0x63), ("xor", 0x03), ("complement", 0x9d)] {
            let check = Check {
                rule: Sum::from_name(name).unwrap(),
                from: 1,
                until: Place::FromEnd(2),
                at: Place::FromEnd(2),
                order: Order::Little,
            };
            assert_eq!(
                check.verify(&[0xff, 0x31, 0x32, expect, 0x03]),
                Ok(()),
                "{name}"
            );
            assert!(
                check.verify(&[0xff, 0x31, 0x33, expect, 0x03]).is_err(),
                "{name}"
            );
            assert_eq!(check.verify(&[0xff]), Err(Why::Torn));
        }
    }
}
