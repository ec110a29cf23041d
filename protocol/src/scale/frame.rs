//! Where a frame begins and ends in a stream of bytes.

use std::ops::Range;

use super::decoded::Raw;
use super::octets;
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
    pub(super) whole: &'a [u8],
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
    held: Held,
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

/// The beginning of a frame whose end has not come yet.
#[derive(Clone, Debug)]
struct Held {
    buffer: [u8; Raw::LIMIT],
    length: usize,
}

impl Held {
    const fn nothing() -> Self {
        Self {
            buffer: [0; Raw::LIMIT],
            length: 0,
        }
    }

    fn bytes(&self) -> &[u8] {
        &self.buffer[..self.length]
    }

    const fn clear(&mut self) {
        self.length = 0;
    }

    /// Holds more bytes, or as many as fit.
    fn keep(&mut self, bytes: &[u8]) -> Result<(), Full> {
        let room = &mut self.buffer[self.length..];
        let fits = room.len().min(bytes.len());
        room[..fits].copy_from_slice(&bytes[..fits]);
        self.length += fits;
        match fits == bytes.len() {
            true => Ok(()),
            false => Err(Full),
        }
    }

    /// Returns all that is held with its last bytes behind it.
    ///
    /// A frame that came in one piece, as most do, is not held: it is read where it lies.
    #[inline]
    fn with<'a>(&'a mut self, last: &'a [u8]) -> Result<&'a [u8], Full> {
        if self.length == 0 && last.len() <= Raw::LIMIT {
            return Ok(last);
        }
        self.keep(last)?;
        Ok(self.bytes())
    }
}

/// More bytes than a frame has.
struct Full;

impl Framer {
    pub(super) fn new(framing: Framing, mask: u8) -> Self {
        let mut framer = Self {
            framing,
            mask,
            held: Held::nothing(),
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
        self.held.clear();
        self.phase = self.resting();
        self.after_stx = false;
        self.check_may_follow = false;
        self.midway = midway;
        self.ends = false;
    }

    /// Returns whether only a silence ends a frame.
    pub(super) const fn ends_by_silence(&self) -> bool {
        matches!(self.framing, Framing::Silence)
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
        let mask = self.mask;
        match self.framing {
            Framing::Silence => self.keep(bytes, on),
            Framing::Tolerant => {
                let ends = |byte| matches!(byte, CR | LF | STX | ETX);
                self.lines(bytes, |bytes| line_end(bytes, mask, ends), on);
            }
            Framing::Lines => {
                let ends = |byte| matches!(byte, CR | LF);
                self.lines(bytes, |bytes| line_end(bytes, mask, ends), on);
            }
            Framing::EndByte(end) => {
                let ends = |byte: &u8| byte & mask == end;
                let find = |bytes: &[u8]| bytes.iter().position(ends).map(|at| at..at + 1);
                self.lines(bytes, find, on);
            }
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
                self.end_line(b"", LF, on);
                self.ends = false;
            }
            // Half a line before a stall is not a line without an end.
            Framing::Tolerant if !self.ends && !self.held.bytes().is_empty() => {
                on(Event::Broken(self.held.bytes(), Why::Unended));
                self.reset(true);
            }
            Framing::Tolerant
            | Framing::Lines
            | Framing::EndByte(_)
            | Framing::Enclosed { .. }
            | Framing::Fixed { .. } => {}
        }
    }

    /// Takes lines, whose ends and beginnings `find` finds.
    fn lines(
        &mut self,
        mut bytes: &[u8],
        find: impl Fn(&[u8]) -> Option<Range<usize>>,
        on: &mut impl FnMut(Event<'_>),
    ) {
        while let Some(end) = find(bytes) {
            let byte = bytes[end.start] & self.mask;
            self.end_line(&bytes[..end.start], byte, on);
            bytes = &bytes[end.end..];
        }
        self.keep(bytes, on);
    }

    /// Takes the last bytes of a line and the byte that ends it, or that begins another.
    fn end_line(&mut self, last: &[u8], end: u8, on: &mut impl FnMut(Event<'_>)) {
        let line = match self.phase {
            Phase::Skipping => b"",
            _ => match self.held.with(last) {
                Ok(line) => line,
                Err(Full) => {
                    on(Event::Broken(self.held.bytes(), Why::TooLong));
                    b""
                }
            },
        };
        match (end, &self.framing) {
            (STX, Framing::Tolerant) => {
                let stray_check = self.check_may_follow && line.len() == 1;
                if !line.is_empty() && !stray_check {
                    on(Event::Broken(line, Why::Torn));
                }
                self.rest();
                self.after_stx = true;
            }
            (ETX, Framing::Tolerant) if !self.after_stx => {
                // Where a line feed begins a frame, a few status bytes stand between CR and
                // ETX. What they say is lost without a profile; the weight's line was whole.
                let statuses = self.ends && line.len() <= 4;
                if !line.is_empty() && !statuses {
                    on(Event::Broken(line, Why::Torn));
                }
                self.rest();
                self.ends = true;
            }
            _ => {
                if !line.is_empty() {
                    let frame = Frame {
                        whole: line,
                        body: 0..line.len(),
                        after_stx: self.after_stx,
                    };
                    on(match self.midway {
                        true => Event::Midway(frame),
                        false => Event::Whole(frame),
                    });
                    self.check_may_follow = self.after_stx;
                }
                self.rest();
                self.ends = true;
            }
        }
    }

    /// Waits for a line from its beginning.
    const fn rest(&mut self) {
        self.held.clear();
        self.phase = Phase::Inside;
        self.after_stx = false;
        self.midway = false;
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
            let held = self.held.bytes();
            if held.iter().any(|&byte| !is_blank(byte & self.mask)) {
                on(Event::Broken(held, Why::Torn));
            }
            self.held.clear();
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
            (&Framing::Fixed { length, .. }, Phase::Inside) => length <= self.held.length,
            (_, Phase::Inside) => false,
        };
        if done {
            on(Event::Whole(Frame {
                whole: self.held.bytes(),
                body: self.body(),
                after_stx: false,
            }));
            self.held.clear();
            self.phase = Phase::Seeking;
        }
    }

    fn body(&self) -> Range<usize> {
        let held = self.held.bytes();
        let control = held.first().is_some_and(|byte| (byte & self.mask) < 0x20);
        let tail = match self.framing {
            Framing::Enclosed { after, .. } => 1 + usize::from(after),
            _ => 0,
        };
        let end = held.len().saturating_sub(tail);
        usize::from(control).min(end)..end
    }

    fn keep(&mut self, bytes: &[u8], on: &mut impl FnMut(Event<'_>)) {
        if self.phase == Phase::Skipping {
            return;
        }
        if let Err(Full) = self.held.keep(bytes) {
            on(Event::Broken(self.held.bytes(), Why::TooLong));
            self.held.clear();
            self.phase = Phase::Skipping;
        }
    }
}

/// Returns where the next byte is that ends a line or begins one.
///
/// A line feed behind a carriage return would end another line, of nothing, and goes with it.
#[inline]
fn line_end(bytes: &[u8], mask: u8, ends: impl Fn(u8) -> bool) -> Option<Range<usize>> {
    let at = octets::find_control(bytes, mask, ends)?;
    let both = bytes[at..].starts_with(b"\r\n");
    Some(at..at + 1 + usize::from(both))
}

#[inline]
pub(super) const fn is_blank(byte: u8) -> bool {
    matches!(byte, b' ' | b'\t' | CR | LF)
}
