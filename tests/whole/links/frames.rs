//! The same weights in the forms in which scales send them.

/// What a scale is to say.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Given {
    /// So many tenths of a gram.
    Weight { tenths: u16, moving: bool },
    /// Too much for it.
    Over,
}

impl Given {
    pub(crate) const fn stable(tenths: u16) -> Self {
        Self::Weight {
            tenths,
            moving: false,
        }
    }

    pub(crate) const fn moving(tenths: u16) -> Self {
        Self::Weight {
            tenths,
            moving: true,
        }
    }
}

/// How it says it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Form {
    /// Lines of text with a status head.
    Lines,
    /// Frames of bits with a check, one after the other.
    CheckedBits,
    /// Frames of bits, each a packet of its own.
    Packets,
}

impl Form {
    pub(crate) fn frame(self, given: Given) -> Vec<u8> {
        match (self, given) {
            (Self::Lines, Given::Over) => b"OL,GS,+\r\n".to_vec(),
            (Self::Lines, Given::Weight { tenths, moving }) => {
                let head = if moving { "US" } else { "ST" };
                let (whole, tenth) = (tenths / 10, tenths % 10);
                format!("{head},GS,+{whole:>6}.{tenth} g\r\n").into_bytes()
            }
            (Self::CheckedBits, given) => {
                let mut frame = bits(given);
                frame.push(frame.iter().fold(0, |all, byte| all ^ byte));
                // Where a check is one byte, a frame is taken once another begins or a silence follows.
                frame
            }
            (Self::Packets, given) => bits(given),
        }
    }

    /// Returns how a capture calls what arrives so.
    pub(crate) const fn arrives(self) -> &'static str {
        match self {
            Self::Lines | Self::CheckedBits => "bytes",
            Self::Packets => "packet",
        }
    }

    /// Returns the profile, with what it says of Bluetooth; lines need none.
    pub(crate) fn profile(self, bluetooth: &str) -> Option<String> {
        let (frames, length, check) = match self {
            Self::Lines => return None,
            Self::CheckedBits => ("stream", 5, "[binary.check]\nrule = \"xor\"\nat = 4\n"),
            Self::Packets => ("packets", 4, ""),
        };
        let bluetooth = match bluetooth {
            "" => String::new(),
            said => format!("[bluetooth]\n{said}"),
        };
        Some(format!(
            "name = \"bits\"\nunit = \"g\"\n\
             [binary]\nframes = \"{frames}\"\nlength = {length}\nstart = '\\xaa'\n\
             [binary.weight]\nat = 2\nlength = 2\norder = \"little\"\nform = \"unsigned\"\nfactor = \"0.1\"\n\
             [binary.states]\nmoving = {{ at = 1, mask = 0x40 }}\nover = {{ at = 1, mask = 0x80 }}\n\
             stable = {{ at = 1, mask = 0x20 }}\n{check}{bluetooth}"
        ))
    }
}

/// A mark, the state, and tenths of a gram, the least byte first.
fn bits(given: Given) -> Vec<u8> {
    let (state, tenths) = match given {
        Given::Weight { tenths, moving } => (if moving { 0x40 } else { 0x20 }, tenths),
        Given::Over => (0x80, 0),
    };
    let [low, high] = tenths.to_le_bytes();
    vec![0xaa, state, low, high]
}
