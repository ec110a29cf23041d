//! Random layouts of bits, and what such a scale sends; shares no code with finder and decoder.

use super::chance::Chance;

#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Writing {
    Unsigned,
    Twos,
    SignBit,
    Bcd,
    /// IEEE 11073, with this exponent.
    Medical(i32),
    Float,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Part {
    Head(u8),
    Weight,
    /// Bits: moving, minus, and two that never change.
    Status,
    Unit(u8),
    /// The power of ten, fixed.
    Exponent,
    /// How many decimals, and one less above a third of the top.
    Decimals,
    Counter,
    Counter16,
    /// Milliseconds.
    Stamp,
    Tare,
    Net,
    Battery(u8),
    Warmth,
    Noise,
    Second,
    Check(Checking),
    Tail(u8),
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Checking {
    Xor,
    Sum,
    Complement,
    /// CRC-16/MODBUS, the low byte first.
    Modbus,
    /// CRC-8/SMBUS.
    Smbus,
}

#[derive(Clone, Debug)]
pub(crate) struct Scale {
    pub(crate) parts: Vec<Part>,
    pub(crate) writing: Writing,
    pub(crate) width: usize,
    pub(crate) little: bool,
    pub(crate) packets: bool,
    /// Micrograms of one raw step, as a fraction: unit times factor.
    pub(crate) digit: i64,
    pub(crate) tens: i32,
    pub(crate) unit: Unit,
    /// The greatest raw number that is put on in the lesson.
    pub(crate) top: i64,
    pub(crate) tare: i64,
    pub(crate) moving_when_set: bool,
    pub(crate) noise: i64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Unit {
    pub(crate) symbol: &'static str,
    pub(crate) grams: f64,
}

const UNITS: [Unit; 4] = [
    Unit {
        symbol: "g",
        grams: 1.0,
    },
    Unit {
        symbol: "kg",
        grams: 1000.0,
    },
    Unit {
        symbol: "oz",
        grams: 28.349_523_125,
    },
    Unit {
        symbol: "lb",
        grams: 453.592_37,
    },
];

/// What changes beside the weight.
#[derive(Clone, Debug)]
pub(crate) struct Now {
    pub(crate) frame: u32,
    pub(crate) millis: u32,
    pub(crate) moving: bool,
    pub(crate) strange: bool,
}

impl Scale {
    pub(crate) fn random(chance: &mut Chance) -> Self {
        let writing = match chance.within(0, 12) {
            0..=2 => Writing::Unsigned,
            3..=5 => Writing::Twos,
            6 => Writing::SignBit,
            7 | 8 => Writing::Bcd,
            9 | 10 => Writing::Medical(0),
            _ => Writing::Float,
        };
        let packets = chance.once_in(2);
        let unit = if chance.once_in(2) {
            UNITS[0]
        } else {
            chance.one_of(&UNITS)
        };
        let grams_top = chance.one_of(&[120.0, 250.0, 800.0, 2_500.0, 6_000.0]);
        // From a few hundred to a hundred thousand steps.
        let wanted_steps = 10_f64.powf(2.3 + 2.6 * chance.share());
        let step_units = grams_top / unit.grams / wanted_steps;
        let tens = step_units.log10().floor() as i32;
        let digit = chance.one_of(&[1, 2, 5]);
        let step = digit as f64 * 10_f64.powi(tens);
        let mut top = (grams_top / unit.grams / step).round() as i64;
        let mut scale_tens = tens;
        let mut digit = digit;
        let mut writing = writing;
        let width = match writing {
            Writing::Unsigned | Writing::Twos | Writing::SignBit => {
                let need = (1..=4)
                    .find(|bytes| top * 2 < 1_i64 << (8 * bytes - 1))
                    .unwrap();
                (need + chance.within(0, 2)).min(4) as usize
            }
            Writing::Bcd => {
                let need = (1..=4)
                    .find(|bytes| top * 2 < 100_i64.pow(*bytes))
                    .unwrap_or(4);
                need as usize + usize::from(chance.once_in(3))
            }
            Writing::Medical(_) => {
                digit = 1;
                let short = top * digit < 1000 && tens >= -8;
                top = (grams_top / unit.grams / 10_f64.powi(tens)).round() as i64;
                let short = short && top < 1000;
                writing = Writing::Medical(tens);
                if short { 2 } else { 4 }
            }
            Writing::Float => 4,
        };
        if matches!(writing, Writing::Float) {
            scale_tens = tens;
        }
        let mut parts = vec![Part::Weight];
        for (part, times) in [
            (Part::Status, 2),
            (Part::Unit(chance.one_of(&[0x01, 0x02, 0x10, 0x67])), 3),
            (Part::Counter, 4),
            (Part::Counter16, 6),
            (Part::Stamp, 6),
            (Part::Tare, 4),
            (Part::Net, 5),
            (Part::Battery(chance.within(30, 100) as u8), 4),
            (Part::Warmth, 5),
            (Part::Noise, 5),
            (Part::Second, 5),
        ] {
            if chance.once_in(times) {
                parts.push(part);
            }
        }
        if matches!(writing, Writing::Unsigned | Writing::Twos | Writing::Bcd)
            && digit == 1
            && chance.once_in(4)
        {
            if (-4..=0).contains(&scale_tens) && chance.once_in(2) {
                parts.push(Part::Decimals);
            } else {
                parts.push(Part::Exponent);
            }
        }
        chance.shuffle(&mut parts);
        let head = chance.one_of(&[0xaa, 0xff, 0x55, 0x02, 0xfe, 0xa5, 0x7e]);
        if !packets || chance.once_in(2) {
            parts.insert(0, Part::Head(head));
            if chance.once_in(2) {
                parts.insert(1, Part::Head(chance.byte()));
            }
        }
        if chance.once_in(2) {
            parts.push(Part::Check(chance.one_of(&[
                Checking::Xor,
                Checking::Sum,
                Checking::Complement,
                Checking::Modbus,
                Checking::Smbus,
            ])));
        }
        if !packets && chance.once_in(3) {
            parts.push(Part::Tail(chance.one_of(&[0x0d, 0x03, 0x55])));
        }
        Self {
            parts,
            writing,
            width,
            little: chance.once_in(2),
            packets,
            digit,
            tens: scale_tens,
            unit,
            top,
            tare: top / chance.within(3, 9) + 3,
            moving_when_set: chance.once_in(2),
            noise: i64::from(chance.once_in(2)),
        }
    }

    pub(crate) fn has(&self, wanted: Part) -> bool {
        self.parts.contains(&wanted)
    }

    /// Returns whether it can write numbers below zero.
    pub(crate) fn goes_below(&self) -> bool {
        match self.writing {
            Writing::Unsigned | Writing::Bcd => self.has(Part::Status),
            _ => true,
        }
    }

    pub(crate) fn grams(&self, raw: i64) -> f64 {
        self.shown(raw) as f64 * self.digit as f64 * 10_f64.powi(self.tens) * self.unit.grams
    }

    /// What is left of a number where a decimal is dropped.
    fn shown(&self, raw: i64) -> i64 {
        if self.drops(raw) { raw / 10 * 10 } else { raw }
    }

    fn drops(&self, raw: i64) -> bool {
        self.has(Part::Decimals) && self.top / 3 < raw.abs()
    }

    /// Returns whether its frames tell that the weight moves.
    pub(crate) fn tells_motion(&self) -> bool {
        self.has(Part::Status)
    }

    pub(crate) fn frame(&self, raw: i64, now: &Now, chance: &mut Chance) -> Vec<u8> {
        let mut bytes = Vec::new();
        for &part in &self.parts {
            match part {
                Part::Head(byte) | Part::Tail(byte) | Part::Battery(byte) => bytes.push(byte),
                Part::Unit(byte) => bytes.push(if now.strange { byte ^ 0x03 } else { byte }),
                Part::Weight => bytes.extend(self.number(raw)),
                Part::Tare => {
                    bytes.extend(self.number(if self.has(Part::Net) { self.tare } else { 0 }))
                }
                Part::Net => bytes.extend(self.number(raw - self.tare)),
                Part::Status => {
                    let mut status = 0x08;
                    if now.moving == self.moving_when_set {
                        status |= 0x40;
                    }
                    if raw < 0 {
                        status |= 0x20;
                    }
                    if now.strange {
                        status |= 0x80;
                    }
                    bytes.push(status);
                }
                Part::Exponent => bytes.push((self.tens as i8) as u8),
                Part::Decimals => {
                    bytes.push(0x10 | (-self.tens - i32::from(self.drops(raw)) + 1) as u8)
                }
                Part::Counter => bytes.push((now.frame & 0xff) as u8),
                Part::Counter16 => bytes.extend(self.ordered(u64::from(now.frame + 700), 2)),
                Part::Stamp => bytes.extend(self.ordered(u64::from(now.millis + 90_000), 4)),
                Part::Warmth => bytes.push(22 + ((now.frame / 97) % 5) as u8),
                Part::Noise => bytes.push(chance.byte()),
                Part::Second => {
                    let other = 3_000 + chance.within(0, 9) + i64::from(now.frame % 400 / 40) * 25;
                    bytes.extend(self.ordered(other as u64, 2));
                }
                Part::Check(checking) => bytes.extend(check(checking, &bytes)),
            }
        }
        bytes
    }

    fn ordered(&self, bits: u64, width: usize) -> Vec<u8> {
        let mut bytes: Vec<u8> = (0..width).map(|at| (bits >> (8 * at)) as u8).collect();
        if !self.little {
            bytes.reverse();
        }
        bytes
    }

    fn number(&self, raw: i64) -> Vec<u8> {
        let raw = if self.drops(raw) { raw / 10 } else { raw };
        let size = raw.unsigned_abs();
        let bits = match self.writing {
            Writing::Unsigned => size,
            Writing::Twos => raw as u64,
            Writing::SignBit if raw < 0 => size | 1 << (8 * self.width - 1),
            Writing::SignBit => size,
            Writing::Bcd => (0..2 * self.width).fold(0, |bits, place| {
                bits | (size / 10_u64.pow(place as u32) % 10) << (4 * place)
            }),
            Writing::Medical(tens) if self.width == 2 => {
                (raw as u64 & 0xfff) | (tens as u64 & 0xf) << 12
            }
            Writing::Medical(tens) => (raw as u64 & 0xff_ffff) | (tens as u64 & 0xff) << 24,
            Writing::Float => {
                let value = raw as f64 * self.digit as f64;
                let value = if self.tens < 0 {
                    value / 10_f64.powi(-self.tens)
                } else {
                    value * 10_f64.powi(self.tens)
                };
                u64::from((value as f32).to_bits())
            }
        };
        self.ordered(bits, self.width)
    }
}

fn check(checking: Checking, bytes: &[u8]) -> Vec<u8> {
    let sum = bytes.iter().map(|&byte| u32::from(byte)).sum::<u32>();
    match checking {
        Checking::Xor => vec![bytes.iter().fold(0, |all, byte| all ^ byte)],
        Checking::Sum => vec![(sum & 0xff) as u8],
        Checking::Complement => vec![((256 - (sum & 0xff)) & 0xff) as u8],
        Checking::Modbus => {
            let mut crc = 0xffff_u16;
            for &byte in bytes {
                crc ^= u16::from(byte);
                for _ in 0..8 {
                    crc = if crc & 1 == 1 {
                        crc >> 1 ^ 0xa001
                    } else {
                        crc >> 1
                    };
                }
            }
            vec![(crc & 0xff) as u8, (crc >> 8) as u8]
        }
        Checking::Smbus => {
            let mut crc = 0_u8;
            for &byte in bytes {
                crc ^= byte;
                for _ in 0..8 {
                    crc = if crc & 0x80 == 0 {
                        crc << 1
                    } else {
                        crc << 1 ^ 0x07
                    };
                }
            }
            vec![crc]
        }
    }
}

impl Scale {
    /// Returns whether it can send what was never seen beside the weight: another unit, an unknown bit.
    pub(crate) fn has_strange(&self) -> bool {
        self.parts
            .iter()
            .any(|part| matches!(part, Part::Status | Part::Unit(_)))
    }
}
