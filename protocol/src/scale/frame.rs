//! Where a frame begins and ends in a stream of bytes.

use std::ops::Range;

use super::decoded::Raw;
use super::why::Why;

pub(super) const STX: u8 = 0x02;
pub(super) const ETX: u8 = 0x03;
const LF: u8 = b'\n';
const CR: u8 = b'\r';

/// How frames are told apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Framing {
    /// CR, LF or both, in either order, or STX to ETX: found out from the bytes.
    Tolerant,
    /// Lines that end with CR, LF or both.
    Lines,
    /// Frames that end with a byte of the scale's own.
    EndByte(u8),
    /// Frames that only a silence ends; the link must call the decoder's `flush`.
    Silence,
    /// From a start byte to an end byte and some bytes after it (a check).
    Enclosed {
        /// The byte that begins a frame and never stands inside.
        start: u8,
        /// The byte that ends it.
        end: u8,
        /// How many bytes follow the end byte and still belong to the frame.
        after: u8,
    },
    /// So many bytes, beginning with one of several start bytes that never stand inside.
    Fixed {
        /// The bytes that may begin a frame.
        starts: Vec<u8>,
        /// All bytes of the frame, the start byte included; at least 2 and at most [`Raw::LIMIT`].
        length: usize,
    },
}

/// What the framer found.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Event<'a> {
    /// A whole frame.
    Whole(Frame<'a>),
    /// A line to its end, of which the beginning may be missing.
    Midway(Frame<'a>),
    /// Bytes that are none.
    Broken(&'a [u8], Why),
}

/// A whole frame.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Frame<'a> {
    /// All of it: what a check covers.
    pub(super) whole: &'a mut [u8],
    /// Which part the scale's text is: without a control character at its start and end.
    pub(super) body: Range<usize>,
    /// Whether STX began it, where that had to be found out.
    pub(super) after_stx: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Phase {
    /// Outside of any frame: what comes is noise.
    Seeking,
    /// In a frame, or in a line.
    Inside,
    /// Behind the end byte, with so many bytes to come.
    After(u8),
    /// Too long already; waiting for an end.
    Skipping,
}

/// Cuts a stream into frames, with bounded memory.
#[derive(Clone, Debug)]
pub(super) struct Framer {
    framing: Framing,
    /// The bits that count for start and end bytes.
    mask: u8,
    buffer: [u8; Raw::LIMIT],
    length: usize,
    phase: Phase,
    /// STX began the line at hand.
    after_stx: bool,
    /// The last line began with STX: one check byte may follow its end.
    check_may_follow: bool,
    /// The link began anywhere, so a first line may lack its beginning.
    midway: bool,
    /// An end was seen: the scale does end its lines.
    ends: bool,
}

impl Framer {
    pub(super) fn new(framing: Framing, mask: u8) -> Self {
        let mut framer = Self {
            framing,
            mask,
            buffer: [0; Raw::LIMIT],
            length: 0,
            phase: Phase::Inside,
            after_stx: false,
            check_may_follow: false,
            midway: false,
            ends: false,
        };
        framer.phase = framer.resting();
        framer
    }

    /// Forgets what came; with `midway` the next bytes may begin inside a frame.
    pub(super) fn reset(&mut self, midway: bool) {
        self.length = 0;
        self.phase = self.resting();
        self.after_stx = false;
        self.check_may_follow = false;
        self.midway = midway;
        self.ends = false;
    }

    const fn resting(&self) -> Phase {
        match self.framing {
            Framing::Enclosed { .. } | Framing::Fixed { .. } => Phase::Seeking,
            Framing::Tolerant | Framing::Lines | Framing::EndByte(_) | Framing::Silence => {
                Phase::Inside
            }
        }
    }

    pub(super) fn push(&mut self, bytes: &[u8], on: &mut impl FnMut(Event<'_>)) {
        match self.framing {
            Framing::Silence => self.keep(bytes, on),
            Framing::Tolerant | Framing::Lines | Framing::EndByte(_) => self.lines(bytes, on),
            Framing::Enclosed { .. } | Framing::Fixed { .. } => {
                for &byte in bytes {
                    self.step(byte, on);
                }
            }
        }
    }

    /// Takes a silence.
    pub(super) fn flush(&mut self, on: &mut impl FnMut(Event<'_>)) {
        match self.framing {
            Framing::Silence => {
                self.end_line(on);
                self.ends = false;
            }
            // Half a line before a stall is not a line without an end.
            Framing::Tolerant if !self.ends && 0 < self.length => {
                self.broken(Why::Unended, on);
                self.reset(true);
            }
            Framing::Tolerant
            | Framing::Lines
            | Framing::EndByte(_)
            | Framing::Enclosed { .. }
            | Framing::Fixed { .. } => {}
        }
    }

    fn lines(&mut self, mut bytes: &[u8], on: &mut impl FnMut(Event<'_>)) {
        while let Some(at) = self.find_end(bytes) {
            let (line, rest) = bytes.split_at(at);
            self.keep(line, on);
            match rest.split_first() {
                Some((&end, rest)) => {
                    self.control(end & self.mask, on);
                    bytes = rest;
                }
                None => return,
            }
        }
        self.keep(bytes, on);
    }

    /// Returns where the next byte is that ends a line or begins one.
    fn find_end(&self, bytes: &[u8]) -> Option<usize> {
        let mask = self.mask;
        match (&self.framing, mask) {
            (&Framing::EndByte(end), _) => bytes.iter().position(|byte| byte & mask == end),
            (Framing::Tolerant, 0xff) => {
                let line = memchr::memchr3(CR, LF, STX, bytes);
                // An end of text may stand before it: a fourth byte to look for.
                let before = bytes.get(..line.unwrap_or(bytes.len())).unwrap_or(bytes);
                memchr::memchr(ETX, before).or(line)
            }
            (Framing::Tolerant, _) => bytes
                .iter()
                .position(|byte| matches!(byte & mask, CR | LF | STX | ETX)),
            (_, 0xff) => memchr::memchr2(CR, LF, bytes),
            (_, _) => bytes.iter().position(|byte| matches!(byte & mask, CR | LF)),
        }
    }

    fn control(&mut self, byte: u8, on: &mut impl FnMut(Event<'_>)) {
        match byte {
            STX if self.framing == Framing::Tolerant => {
                let stray_check = self.check_may_follow && self.length == 1;
                if 0 < self.length && !stray_check {
                    self.broken(Why::Torn, on);
                }
                self.begin();
            }
            ETX if self.framing == Framing::Tolerant && !self.after_stx => {
                // Where a line feed begins a frame, a few status bytes stand between CR and
                // ETX. What they say is lost without a profile; the weight's line was whole.
                if self.ends && self.length <= 4 {
                    self.length = 0;
                } else if 0 < self.length {
                    self.broken(Why::Torn, on);
                }
                self.end_line(on);
            }
            _ => self.end_line(on),
        }
    }

    fn begin(&mut self) {
        self.length = 0;
        self.phase = Phase::Inside;
        self.after_stx = true;
        self.midway = false;
    }

    fn end_line(&mut self, on: &mut impl FnMut(Event<'_>)) {
        let after_stx = self.after_stx;
        if 0 < self.length {
            let body = 0..self.length;
            if self.midway {
                let frame = self.frame(body);
                on(Event::Midway(frame));
            } else {
                self.whole(body, on);
            }
            self.check_may_follow = after_stx;
        }
        self.length = 0;
        self.phase = Phase::Inside;
        self.after_stx = false;
        self.midway = false;
        self.ends = true;
    }

    fn step(&mut self, byte: u8, on: &mut impl FnMut(Event<'_>)) {
        let seen = byte & self.mask;
        let after = match self.phase {
            Phase::After(after) => Some(after),
            Phase::Seeking | Phase::Inside | Phase::Skipping => None,
        };
        let starts = match &self.framing {
            Framing::Enclosed { start, .. } => seen == *start,
            Framing::Fixed { starts, .. } => starts.contains(&seen),
            _ => false,
        };
        // The bytes behind the end byte may have any value, also that of a start byte.
        if starts && after.is_none() {
            if self.buffer[..self.length]
                .iter()
                .any(|&byte| !is_blank(byte & self.mask))
            {
                self.broken(Why::Torn, on);
            }
            self.length = 0;
            self.phase = Phase::Inside;
            self.keep(&[byte], on);
            return;
        }
        self.keep(&[byte], on);
        let done = match (&self.framing, self.phase) {
            (_, Phase::Seeking | Phase::Skipping) => false,
            (_, Phase::After(left)) => {
                self.phase = Phase::After(left.saturating_sub(1));
                left <= 1
            }
            (&Framing::Enclosed { end, after, .. }, Phase::Inside) if seen == end => {
                self.phase = Phase::After(after);
                after == 0
            }
            (&Framing::Fixed { length, .. }, Phase::Inside) => length <= self.length,
            (_, Phase::Inside) => false,
        };
        if done {
            let body = self.body();
            self.whole(body, on);
            self.length = 0;
            self.phase = Phase::Seeking;
        }
    }

    fn body(&self) -> Range<usize> {
        let control = self
            .buffer
            .first()
            .is_some_and(|byte| (byte & self.mask) < 0x20);
        let tail = match self.framing {
            Framing::Enclosed { after, .. } => 1 + usize::from(after),
            _ => 0,
        };
        let end = self.length.saturating_sub(tail);
        usize::from(control).min(end)..end
    }

    fn keep(&mut self, bytes: &[u8], on: &mut impl FnMut(Event<'_>)) {
        if self.phase == Phase::Skipping {
            return;
        }
        let room = &mut self.buffer[self.length..];
        match room.get_mut(..bytes.len()) {
            Some(place) => {
                place.copy_from_slice(bytes);
                self.length += bytes.len();
            }
            None => {
                let fits = room.len();
                room.copy_from_slice(&bytes[..fits]);
                self.length = Raw::LIMIT;
                self.broken(Why::TooLong, on);
                self.phase = Phase::Skipping;
            }
        }
    }

    fn whole(&mut self, body: Range<usize>, on: &mut impl FnMut(Event<'_>)) {
        let frame = self.frame(body);
        on(Event::Whole(frame));
    }

    fn frame(&mut self, body: Range<usize>) -> Frame<'_> {
        Frame {
            whole: &mut self.buffer[..self.length],
            body,
            after_stx: self.after_stx,
        }
    }

    fn broken(&mut self, why: Why, on: &mut impl FnMut(Event<'_>)) {
        on(Event::Broken(&self.buffer[..self.length], why));
        self.length = 0;
    }
}

pub(super) const fn is_blank(byte: u8) -> bool {
    matches!(byte, b' ' | b'\t' | CR | LF)
}
