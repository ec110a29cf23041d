//! Bytes in, readings out.

use std::ops::Range;

use super::check::Check;
use super::decoded::{Decoded, Raw, Rejected};
use super::frame::{Event, Framer, Framing};
use super::parity::SevenBits;
use super::pattern::Pattern;
use super::profile::{DataBits, Layout, Overload, Profile, Reports};
use super::sense::{Notation, Sense, State, trim};
use super::shapes::{self, Shape};
use super::why::Why;
use crate::mass::{Mass, MassUnit};
use crate::reading::{NoWeight, Reading};

/// Turns the bytes of a scale that sends text into readings.
///
/// Bytes may come in any split. Memory is bounded whatever comes, and a good line of a built-in
/// shape allocates nothing. Frames that are bits rather than text get a decoder of their own
/// that hands on [`Decoded`] as well.
#[derive(Clone, Debug)]
pub struct Decoder {
    framer: Framer,
    reader: Reader,
    /// A live link may begin inside a line only where lines come all the time.
    streams: bool,
}

#[derive(Clone, Debug)]
struct Reader {
    seven_bits: Option<SevenBits>,
    meaning: Meaning,
}

/// What the text of a frame means.
#[derive(Clone, Debug)]
struct Meaning {
    form: Form,
    check: Option<Check>,
    sense: Sense,
    zero: Option<ZeroWatch>,
}

#[derive(Clone, Debug)]
enum Form {
    Tolerant,
    Shape(Shape, u8),
    Patterns(Vec<Pattern>),
}

/// Tells a zero that means "too much" from one that means nothing is on the pan.
#[derive(Clone, Copy, Debug)]
struct ZeroWatch {
    half: Mass,
    last: Mass,
}

impl Decoder {
    /// Makes the tolerant reader, with the unit of numbers that have none if one was told.
    #[must_use]
    pub fn tolerant(unit: Option<MassUnit>) -> Self {
        Self {
            framer: Framer::new(Framing::Tolerant, 0xff),
            reader: Reader {
                seven_bits: None,
                meaning: Meaning {
                    form: Form::Tolerant,
                    check: None,
                    sense: Sense {
                        unit,
                        ..Sense::default()
                    },
                    zero: None,
                },
            },
            streams: true,
        }
    }

    /// Makes the reader that a profile describes.
    #[must_use]
    pub fn of(profile: &Profile) -> Self {
        let settings = profile.settings();
        let seven = settings
            .serial
            .filter(|serial| serial.data == DataBits::Seven);
        let mask = if seven.is_some() { 0x7f } else { 0xff };
        let zero = match (settings.overload, settings.capacity) {
            (Overload::Zero, Some(capacity)) => Some(ZeroWatch {
                half: Mass::from_micrograms(capacity.micrograms() / 2),
                last: Mass::ZERO,
            }),
            (Overload::Told | Overload::Zero, _) => None,
        };
        let form = match &settings.layout {
            Layout::Tolerant => Form::Tolerant,
            &Layout::Shape(shape, field) => Form::Shape(shape, field),
            Layout::Patterns(_) => Form::Patterns(profile.patterns().to_vec()),
        };
        Self {
            framer: Framer::new(settings.framing(), mask),
            reader: Reader {
                seven_bits: seven.map(|serial| SevenBits::new(serial.parity)),
                meaning: Meaning {
                    form,
                    check: settings.check,
                    sense: Sense {
                        notation: Notation {
                            mark: settings.mark,
                            decimals: settings.decimals,
                        },
                        unit: settings.unit,
                        kind: settings.weight,
                        words: settings.states.words(),
                    },
                    zero,
                },
            },
            streams: settings.reports == Reports::Stream && settings.poll.is_none(),
        }
    }

    /// Says the unit of numbers that have none, in place of the profile's.
    #[must_use]
    pub const fn told(mut self, unit: MassUnit) -> Self {
        self.reader.meaning.sense.unit = Some(unit);
        self
    }

    /// Takes bytes and hands each frame's outcome to `sink`, in order.
    pub fn push(&mut self, bytes: &[u8], sink: &mut impl FnMut(Decoded)) {
        let Self { framer, reader, .. } = self;
        framer.push(bytes, &mut |event| sink(reader.take(event)));
    }

    /// Takes a silence, which ends the frames of some scales.
    ///
    /// For the link to call when nothing has come for a few characters' time and more.
    pub fn flush(&mut self, sink: &mut impl FnMut(Decoded)) {
        let Self { framer, reader, .. } = self;
        framer.flush(&mut |event| sink(reader.take(event)));
    }

    /// Forgets half a frame: a live link was opened, also for the first time.
    ///
    /// A scale that sends all the time is then somewhere inside a line, and what is left of that
    /// line could look like a smaller weight, so it is rejected as torn, unless its shape has heads
    /// before the number and they are all there. A file is read without.
    pub fn reset(&mut self) {
        self.framer.reset(self.streams);
        if let Some(seven_bits) = &mut self.reader.seven_bits {
            seven_bits.reset();
        }
        if let Some(zero) = &mut self.reader.meaning.zero {
            zero.last = Mass::ZERO;
        }
    }
}

impl Reader {
    #[inline]
    fn take(&mut self, event: Event<'_>) -> Decoded {
        let frame = match event {
            Event::Whole(frame) => frame,
            Event::Midway(frame) => {
                let body = frame.whole.get(frame.body.clone());
                if !body.is_some_and(|body| self.meaning.form.shows_beginning(body)) {
                    return rejected(frame.whole, Why::Torn);
                }
                frame
            }
            Event::Broken(bytes, why) => return rejected(bytes, why),
        };
        let whole = match &mut self.seven_bits {
            None => frame.whole,
            Some(seven_bits) => match seven_bits.strip(frame.whole) {
                Ok(stripped) => stripped,
                Err(why) => return rejected(frame.whole, why),
            },
        };
        match self.meaning.read(whole, frame.body, frame.after_stx) {
            Ok(reading) => Decoded::Reading(reading),
            Err(why) => rejected(whole, why),
        }
    }
}

impl Meaning {
    fn read(&mut self, whole: &[u8], body: Range<usize>, after_stx: bool) -> Result<Reading, Why> {
        let end = match self.check {
            Some(check) => check.verify(whole)?.min(body.end),
            None => body.end,
        };
        let Some(body) = whole.get(body.start..end) else {
            return Err(Why::Torn);
        };
        let word = match self.sense.words.is_empty() {
            true => None,
            false => self.sense.words.find(trim(body)),
        };
        let reading = match word {
            Some(State::NoWeight(state)) => Ok(Reading::NoWeight(state)),
            Some(State::Motion(_) | State::Kind(_)) => Err(Why::word(trim(body))),
            None => self.form.read(body, after_stx, &self.sense),
        };
        match &mut self.zero {
            Some(zero) => reading.map(|reading| zero.judge(reading)),
            None => reading,
        }
    }
}

impl Form {
    fn read(&self, body: &[u8], after_stx: bool, sense: &Sense) -> Result<Reading, Why> {
        match self {
            Self::Tolerant => shapes::read_tolerant(body, after_stx, sense),
            Self::Shape(shape, field) => shape.read(body, *field, sense),
            Self::Patterns(patterns) => patterns
                .iter()
                .find_map(|pattern| pattern.read(body, sense))
                .unwrap_or(Err(Why::Unrecognised)),
        }
    }

    /// Returns whether the frame itself shows that no beginning of it is missing.
    fn shows_beginning(&self, body: &[u8]) -> bool {
        match self {
            Self::Tolerant => Shape::ALL.iter().any(|shape| shape.shows_beginning(body)),
            Self::Shape(shape, _) => shape.shows_beginning(body),
            // Where a person's own expression lets a line begin, nobody here can tell.
            Self::Patterns(_) => false,
        }
    }
}

impl ZeroWatch {
    /// A loaded pan cannot be empty from one reading to the next: a real lift shows numbers
    /// between. Until one comes, the zero stays an overload, for then nothing is booked wrongly.
    const fn judge(&mut self, reading: Reading) -> Reading {
        match reading {
            Reading::Weight(weighed) => {
                if weighed.gross.is_zero() && self.half.micrograms() < self.last.micrograms() {
                    return Reading::NoWeight(NoWeight::Over);
                }
                self.last = weighed.gross;
                reading
            }
            Reading::NoWeight(_) => reading,
        }
    }
}

#[cold]
fn rejected(bytes: &[u8], why: Why) -> Decoded {
    Decoded::Rejected(Rejected {
        raw: Raw::keep(bytes),
        why,
    })
}

impl From<&Profile> for Decoder {
    fn from(profile: &Profile) -> Self {
        Self::of(profile)
    }
}
