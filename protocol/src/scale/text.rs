//! Lines of text in, readings out.

use std::ops::Range;

use super::check::Check;
use super::decoded::{Decoded, Raw, Rejected};
use super::frame::{Event, Framer, Framing};
use super::parity::SevenBits;
use super::pattern::Pattern;
use super::profile::{DataBits, Layout, Profile};
use super::sense::{Notation, Sense, State, trim};
use super::shapes::{self, Shape};
use super::why::Why;
use crate::mass::MassUnit;
use crate::reading::Reading;

/// Turns the text of a scale into readings; a good line of a built-in shape allocates nothing.
#[derive(Clone, Debug)]
pub(super) struct Text {
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
}

#[derive(Clone, Debug)]
enum Form {
    Tolerant,
    Shape(Shape, u8),
    Patterns(Vec<Pattern>),
}

impl Text {
    /// Makes the tolerant reader, with the unit of numbers that have none if one was told.
    pub(super) fn tolerant(unit: Option<MassUnit>) -> Self {
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
                },
            },
            streams: true,
        }
    }

    /// Makes the reader of a profile's lines: of whatever shape, of one, or of its patterns.
    pub(super) fn of(profile: &Profile) -> Self {
        let form = match profile.settings().layout {
            Layout::Shape(shape, field) => Form::Shape(shape, field),
            Layout::Patterns(_) => Form::Patterns(profile.patterns().to_vec()),
            Layout::Tolerant | Layout::Binary(_) => Form::Tolerant,
        };
        let settings = profile.settings();
        let seven = settings
            .serial
            .filter(|serial| serial.data == DataBits::Seven);
        let mask = if seven.is_some() { 0x7f } else { 0xff };
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
                },
            },
            streams: settings.streams(),
        }
    }

    pub(super) const fn tell(&mut self, unit: MassUnit) {
        self.reader.meaning.sense.unit = Some(unit);
    }

    pub(super) fn push(&mut self, bytes: &[u8], sink: &mut impl FnMut(Decoded)) {
        let Self { framer, reader, .. } = self;
        framer.push(bytes, &mut |event| sink(reader.take(event)));
    }

    /// Takes a packet, which is a frame only where nothing but a silence ends one.
    pub(super) fn packet(&mut self, packet: &[u8], sink: &mut impl FnMut(Decoded)) {
        self.push(packet, sink);
        if self.framer.ends_by_silence() {
            self.flush(sink);
        }
    }

    pub(super) fn flush(&mut self, sink: &mut impl FnMut(Decoded)) {
        let Self { framer, reader, .. } = self;
        framer.flush(&mut |event| sink(reader.take(event)));
    }

    pub(super) fn reset(&mut self) {
        self.framer.reset(self.streams);
        if let Some(seven_bits) = &mut self.reader.seven_bits {
            seven_bits.reset();
        }
    }
}

impl Reader {
    #[inline]
    fn take(&mut self, event: Event<'_>) -> Decoded {
        let (frame, midway) = match event {
            Event::Whole(frame) => (frame, false),
            Event::Midway(frame) => (frame, true),
            Event::Broken(bytes, why) => return rejected(bytes, why),
        };
        let whole = match &mut self.seven_bits {
            None => frame.whole,
            Some(seven_bits) => match seven_bits.strip(frame.whole) {
                Ok(stripped) => stripped,
                Err(why) => return rejected(frame.whole, why),
            },
        };
        if midway {
            // Also the end of a line has its parity, and heads stand there without it.
            let body = whole.get(frame.body.clone());
            if !body.is_some_and(|body| self.meaning.form.shows_beginning(body)) {
                return rejected(whole, Why::Torn);
            }
        }
        match self.meaning.read(whole, frame.body, frame.after_stx) {
            Ok(reading) => Decoded::Reading(reading),
            Err(why) => rejected(whole, why),
        }
    }
}

impl Meaning {
    fn read(&self, whole: &[u8], body: Range<usize>, after_stx: bool) -> Result<Reading, Why> {
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
        match word {
            Some(State::NoWeight(state)) => Ok(Reading::NoWeight(state)),
            Some(State::Motion(_) | State::Kind(_)) => Err(Why::word(trim(body))),
            None => self.form.read(body, after_stx, &self.sense),
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

fn rejected(bytes: &[u8], why: Why) -> Decoded {
    Decoded::Rejected(Rejected {
        raw: Raw::keep(bytes),
        why,
    })
}
