//! Why some bytes of a scale gave no reading.

use crate::decimal::Decimal;
use crate::mass::{Mass, MassUnit};

/// Why a frame is not a reading.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Why {
    /// None of the shapes fits.
    #[error("no shape of a scale's line that is known here")]
    Unrecognised,
    /// A number, but not of what.
    #[error("the number {0} has no unit")]
    MissingUnit(Decimal),
    /// A unit that is no mass, or one that is not known here.
    #[error("`{0}` is not a unit of mass that is known here")]
    UnknownUnit(Box<str>),
    /// The line's unit is not the one that was told, and the next line would leave it out.
    #[error("the scale sends {sent}, but {told} was told")]
    OtherUnit {
        /// What was told.
        told: MassUnit,
        /// What stands on the line.
        sent: MassUnit,
    },
    /// More than one number, and nothing says which is the weight.
    #[error("several numbers: {}", list(.0))]
    SeveralNumbers(Vec<Decimal>),
    /// A comma that may be a decimal mark, a thousands mark or stand between two numbers.
    #[error("the comma in `{0}` can mean several things")]
    Comma(Box<str>),
    /// Status bytes that do not tell where the decimal point is.
    #[error("the frame does not tell where the decimal point is")]
    NoPoint,
    /// The check characters do not fit the frame.
    #[error("the check says {sent:02X}, the bytes give {computed:02X}")]
    BadCheck {
        /// What the frame says.
        sent: u16,
        /// What its bytes give.
        computed: u16,
    },
    /// The check characters are not written as the profile says.
    #[error("no check where the profile says there is one")]
    NoCheck,
    /// Only a part of a frame.
    #[error("a torn frame")]
    Torn,
    /// A silence, and never an end of a line.
    #[error("the line has no end")]
    Unended,
    /// More bytes than a line of a scale has.
    #[error("too long for a line of a scale")]
    TooLong,
    /// Bytes that are no frame of the profile's.
    #[error("not a frame as the profile describes it")]
    Foreign,
    /// A frame that may as well be two broken ones.
    #[error("the bytes that begin a frame stand inside it too, so it may be torn")]
    Ambiguous,
    /// A weight where none has been seen from this scale.
    #[error("{0} is outside of what this scale has been seen to send")]
    Unseen(Mass),
    /// A stream where every packet should be a frame.
    #[error("the profile is for whole packets, and these bytes came as a stream")]
    Stream,
    /// Bytes that are no text.
    #[error("not text")]
    NotText,
    /// Bit 7 is not the parity bit it should be.
    #[error("wrong parity")]
    BadParity,
    /// A word where a weight was expected.
    #[error("`{0}` is no weight")]
    Word(Box<str>),
    /// Only a tare, which says nothing about what is on the pan.
    #[error("this tells a tare, not a weight")]
    TareOnly,
    /// A number beyond every scale.
    #[error("the number is too large for a scale")]
    TooLarge,
}

impl Why {
    /// Returns what the person can do about it.
    #[must_use]
    pub const fn hint(&self) -> Option<&'static str> {
        Some(match self {
            Self::Unrecognised => {
                "teach this scale, `tarehand scales teach`, or give a profile with its shape"
            }
            Self::MissingUnit(_) => "tell the unit: `--unit g`, or `unit` in the profile",
            Self::UnknownUnit(_) => "switch the scale to g, kg, oz or lb",
            Self::OtherUnit { .. } => "switch the scale back, or change `unit` in the profile",
            Self::SeveralNumbers(_) => {
                "say which is the weight: `shape = \"numbers\"` and `field` in the profile"
            }
            Self::Comma(_) => "say `mark = \"comma\"` or `mark = \"point\"` in the profile",
            Self::NoPoint => "say `decimals` and `unit` in the profile",
            Self::BadCheck { .. } | Self::BadParity => {
                "if this happens often, look at the cable and the speed"
            }
            Self::NoCheck => "compare `[check]` in the profile with the scale's manual",
            Self::Unended => "say `ends` in the profile; `ends = \"silence\"` when it has none",
            Self::TooLong | Self::NotText => {
                "the speed, the data bits or the parity may be wrong: let the doctor look"
            }
            Self::Word(_) => {
                "if the scale means a state by it, name the word under `[states]` in the profile"
            }
            Self::TareOnly => "let the scale send its weight: gross, or net with its tare",
            Self::TooLarge => "the frame may be cut wrongly: look at `[frame]` in the profile",
            Self::Foreign => "compare `[binary]` in the profile with what the scale sends",
            Self::Ambiguous => {
                "name more bytes that never change as `[[binary.constant]]`, or the `[binary.check]`"
            }
            Self::Unseen(_) => {
                "if the scale does weigh that, widen `at_least` and `at_most` in the profile"
            }
            Self::Stream => "connect the scale over radio or as a USB device, or teach it anew",
            Self::Torn => return None,
        })
    }

    pub(super) fn word(bytes: &[u8]) -> Self {
        Self::Word(scrap(bytes))
    }
}

/// Keeps a few bytes as text for a message.
pub(super) fn scrap(bytes: &[u8]) -> Box<str> {
    let few = bytes.get(..24).unwrap_or(bytes);
    few.escape_ascii().to_string().into_boxed_str()
}

fn list(numbers: &[Decimal]) -> String {
    let texts: Vec<String> = numbers.iter().map(Decimal::to_string).collect();
    texts.join(", ")
}
