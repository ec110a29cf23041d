//! Where a frame of bits begins and ends in a stream.
//!
//! A wrong number is worse than none: what may be two halves of frames is given up.
//!
//! - With a check of two bytes a frame is taken as soon as its marks and its check fit.
//! - With a check of one byte, which passes one time in 256 by chance and more often where bytes
//!   repeat, and without any, a frame is taken once the next one begins right behind it, or a
//!   silence follows.
//! - Where another frame can begin inside it, it is given up without a check, unless a silence was
//!   before it too; and with a check of one byte where the stream was lost.
//! - Where the stream was lost and two frames that overlap have a right check of two bytes, neither is
//!   taken: a CRC that begins at zero does not see by how many zeros a frame is shifted.
//! - Where only the end of frames is known, a frame begins behind the end of another.

use super::check::Check;
use super::layout::{Binary, Frames};
use super::marks::Marks;
use crate::scale::decoded::Raw;
use crate::scale::why::Why;

/// So many ends of a frame, and for each so many starts, are tried where its length is not known.
const MOST_TRIED: u8 = 4;

/// What was found in the stream.
pub(super) enum Event<'a> {
    /// A whole frame whose marks and check fit.
    Whole(&'a [u8]),
    /// Bytes that are none.
    Broken(&'a [u8], Why),
}

/// What stands before the bytes at hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Before {
    /// A silence, or the beginning of a file.
    Silence,
    /// A whole frame.
    Frame,
    /// Something else.
    Unknown,
}

/// What is known of the bytes at hand.
enum Verdict {
    /// More must come.
    Open,
    /// So many are a frame.
    Frame(usize),
    /// So many look like one, and must not be believed.
    Doubtful(usize),
    /// No frame begins here.
    None(Why),
    /// One begins so many bytes later, and what stands before it is none.
    Later(usize, Why),
}

/// Another frame that overlaps the one at hand.
enum Rival {
    /// There is none.
    None,
    /// One may begin there, of which more must come.
    MayCome,
    /// Its marks and its check fit, too.
    Fits,
}

/// Cuts a stream into frames, with bounded memory.
#[derive(Clone, Debug)]
pub(super) struct Sync {
    marks: Marks,
    check: Option<Check>,
    frames: Frames,
    length: Option<usize>,
    least: usize,
    held: Vec<u8>,
    /// Ends of the frame at hand that were tried in vain.
    tried: u8,
    /// So many of the bytes at hand were looked at for an end.
    looked: usize,
    given_up: Vec<u8>,
    why: Option<Why>,
    before: Before,
}

impl Sync {
    pub(super) fn new(binary: &Binary) -> Self {
        let length = binary.length.map(usize::from);
        Self {
            marks: Marks::of(binary),
            check: binary.check,
            frames: binary.frames,
            length: length.map(|length| length.clamp(1, Raw::LIMIT)),
            least: binary.least().max(1),
            held: Vec::new(),
            tried: 0,
            looked: 0,
            given_up: Vec::new(),
            why: None,
            before: Before::Silence,
        }
    }

    /// Forgets what came; with `midway` the next bytes may begin inside a frame.
    pub(super) fn reset(&mut self, midway: bool) {
        self.drop_held(self.held.len());
        self.given_up.clear();
        self.why = None;
        self.before = match midway {
            true => Before::Unknown,
            false => Before::Silence,
        };
    }

    pub(super) fn push(&mut self, bytes: &[u8], on: &mut impl FnMut(Event<'_>)) {
        match self.frames {
            Frames::Packets if bytes.is_empty() => {}
            Frames::Packets => on(Event::Broken(bytes, Why::Stream)),
            Frames::Silence => {
                let room = (Raw::LIMIT + 1).saturating_sub(self.held.len());
                self.held.extend(bytes.iter().take(room));
            }
            Frames::Stream => {
                for &byte in bytes {
                    self.held.push(byte);
                    self.settle(on);
                }
            }
        }
    }

    /// Takes a silence.
    pub(super) fn flush(&mut self, on: &mut impl FnMut(Event<'_>)) {
        match self.frames {
            Frames::Packets => {}
            Frames::Silence => {
                let held = std::mem::take(&mut self.held);
                // Heard from the middle on, it may be the end of a frame.
                match self.before {
                    _ if held.is_empty() => {}
                    Before::Unknown => on(Event::Broken(&held, Why::Torn)),
                    Before::Silence | Before::Frame => self.packet(&held, on),
                }
                self.before = Before::Silence;
            }
            // A good check tells all the same whether what comes after a stall belongs to it.
            Frames::Stream if self.check.is_some_and(|check| !check.is_weak()) => {
                // What might have come to overlap it has not.
                if let Some(length) = self.length
                    && let Some(frame) = self.held.get(..length)
                    && self.marks.fit(frame)
                    && self.check.is_some_and(|check| check.verify(frame).is_ok())
                {
                    self.take(length, on);
                    self.settle(on);
                }
                self.tell(on);
                if self.held.is_empty() {
                    self.before = Before::Silence;
                }
            }
            Frames::Stream => {
                let lost = match self.check {
                    Some(_) => self.before == Before::Unknown,
                    None => self.before != Before::Silence,
                };
                let doubtful = lost && self.marks.stand_inside(&self.held);
                let fits = Some(self.held.len()) == self.length && self.marks.fit(&self.held);
                let whole = fits
                    && self
                        .check
                        .is_none_or(|check| check.verify(&self.held).is_ok());
                if whole && !doubtful && !self.marks.only_ends() {
                    self.take(self.held.len(), on);
                } else if !self.held.is_empty() {
                    let why = if whole && doubtful {
                        Why::Ambiguous
                    } else {
                        Why::Torn
                    };
                    self.give_up(self.held.len(), why, on);
                }
                self.tell(on);
                self.before = Before::Silence;
            }
        }
    }

    /// Takes bytes of which the link knows that they are one frame.
    pub(super) fn packet(&self, packet: &[u8], on: &mut impl FnMut(Event<'_>)) {
        let broken = match self.length {
            _ if Raw::LIMIT < packet.len() => Some(Why::TooLong),
            Some(length) if packet.len() != length => Some(Why::Torn),
            None if packet.len() < self.least => Some(Why::Torn),
            _ if !self.marks.fit(packet) => Some(Why::Foreign),
            _ => self.check.and_then(|check| check.verify(packet).err()),
        };
        on(match broken {
            None => Event::Whole(packet),
            Some(why) => Event::Broken(packet, why),
        });
    }

    fn settle(&mut self, on: &mut impl FnMut(Event<'_>)) {
        while !self.held.is_empty() {
            match self.judge() {
                Verdict::Open => return,
                Verdict::Frame(length) => self.take(length, on),
                Verdict::Doubtful(length) => {
                    self.tell(on);
                    on(Event::Broken(&self.held[..length], Why::Ambiguous));
                    self.drop_held(length);
                    // What is not believed says nothing of where the next one begins, but an end does.
                    self.before = if self.marks.only_ends() {
                        Before::Frame
                    } else {
                        Before::Unknown
                    };
                }
                Verdict::None(why) => self.give_up(self.marks.next(&self.held), why, on),
                Verdict::Later(count, why) => self.give_up(count, why, on),
            }
        }
    }

    fn judge(&mut self) -> Verdict {
        if !self.marks.begin(&self.held) {
            return Verdict::None(Why::Foreign);
        }
        match (self.length, self.check) {
            (Some(length), _) if self.held.len() < length => Verdict::Open,
            (Some(length), check) => {
                let frame = &self.held[..length];
                if !self.marks.fit(frame) {
                    return Verdict::None(Why::Foreign);
                }
                match check {
                    Some(check) => match check.verify(frame) {
                        Ok(()) => self.checked(length, &check),
                        Err(why) => Verdict::None(why),
                    },
                    None => self.unchecked(length),
                }
            }
            (None, Some(check)) => self.judge_ends(&check),
            // No profile says so; a torn frame could not be told from a whole one.
            (None, None) => Verdict::None(Why::Foreign),
        }
    }

    /// Looks for the end of a frame of which only the check tells whether it is whole.
    fn judge_ends(&mut self, check: &Check) -> Verdict {
        let from = self.least.max(self.looked + 1);
        let mut tried = self.tried;
        for length in from..=self.held.len() {
            let frame = &self.held[..length];
            if !self.marks.fit(frame) {
                continue;
            }
            let Err(why) = check.verify(frame) else {
                return self.checked(length, check);
            };
            // A start among foreign bytes must not keep back the frame that follows it.
            if let Some(count) = self.later(length, check) {
                return Verdict::Later(count, why);
            }
            tried += 1;
            if MOST_TRIED <= tried {
                return Verdict::None(why);
            }
        }
        self.tried = tried;
        self.looked = self.held.len();
        match self.held.len() < Raw::LIMIT {
            true => Verdict::Open,
            false => Verdict::None(Why::TooLong),
        }
    }

    /// Returns how many bytes to give up for a frame that ends here.
    fn later(&self, length: usize, check: &Check) -> Option<usize> {
        if self.marks.only_ends() {
            return None;
        }
        let mut from = 0;
        for _ in 0..MOST_TRIED {
            from += self.marks.next(self.held.get(from..length)?);
            let frame = self.held.get(from..length)?;
            if self.least <= frame.len() && self.marks.fit(frame) && check.verify(frame).is_ok() {
                return Some(from);
            }
        }
        None
    }

    fn checked(&self, length: usize, check: &Check) -> Verdict {
        let lost = self.before == Before::Unknown;
        if lost && self.marks.only_ends() {
            return Verdict::None(Why::Torn);
        }
        if !check.is_weak() {
            if !lost {
                return Verdict::Frame(length);
            }
            return match self.rival(length, check) {
                Rival::None => Verdict::Frame(length),
                Rival::MayCome => Verdict::Open,
                Rival::Fits => Verdict::Doubtful(length),
            };
        }
        let (frame, behind) = self.held.split_at(length);
        let inside = self.marks.stand_inside(frame);
        match self.marks.only_ends() {
            true if inside => Verdict::Doubtful(length),
            true => Verdict::Frame(length),
            false if !self.marks.begin(behind) => Verdict::None(Why::Torn),
            false if behind.len() < self.marks.ahead() => Verdict::Open,
            false if lost && inside => Verdict::Doubtful(length),
            false => Verdict::Frame(length),
        }
    }

    /// Looks for another frame that begins inside the one at hand and fits as well.
    fn rival(&self, length: usize, check: &Check) -> Rival {
        let mut rival = Rival::None;
        for from in 1..length {
            let Some(bytes) = self
                .held
                .get(from..)
                .filter(|bytes| self.marks.begin(bytes))
            else {
                continue;
            };
            let fits = |frame: &[u8]| self.marks.fit(frame) && check.verify(frame).is_ok();
            let found = match self.length {
                Some(length) => bytes.get(..length).map(fits),
                None => {
                    Some((self.least..=bytes.len()).any(|end| bytes.get(..end).is_some_and(fits)))
                }
            };
            match found {
                Some(true) => return Rival::Fits,
                Some(false) => {}
                None => rival = Rival::MayCome,
            }
        }
        rival
    }

    fn unchecked(&self, length: usize) -> Verdict {
        let inside = self.marks.stand_inside(&self.held[..length]);
        let behind = &self.held[length..];
        if self.marks.only_ends() {
            return match self.before {
                _ if inside => Verdict::None(Why::Ambiguous),
                Before::Unknown => Verdict::None(Why::Torn),
                Before::Silence | Before::Frame => Verdict::Frame(length),
            };
        }
        match (inside, self.before) {
            // A silence will tell.
            (true, Before::Silence) if behind.is_empty() => Verdict::Open,
            (true, _) => Verdict::None(Why::Ambiguous),
            (false, _) if !self.marks.begin(behind) => Verdict::None(Why::Torn),
            (false, _) if behind.len() < self.marks.ahead() => Verdict::Open,
            (false, _) => Verdict::Frame(length),
        }
    }

    /// Hands a frame on.
    fn take(&mut self, length: usize, on: &mut impl FnMut(Event<'_>)) {
        self.tell(on);
        on(Event::Whole(&self.held[..length]));
        self.drop_held(length);
        self.before = Before::Frame;
    }

    fn give_up(&mut self, count: usize, why: Why, on: &mut impl FnMut(Event<'_>)) {
        self.given_up.extend_from_slice(&self.held[..count]);
        self.drop_held(count);
        // What a check said tells more than that no frame begins at the bytes behind it.
        if self.why.is_none() {
            self.why = Some(why);
        }
        let ended = self.marks.only_ends() && self.given_up.ends_with(&self.marks.ends);
        self.before = if ended {
            Before::Frame
        } else {
            Before::Unknown
        };
        if self.length.unwrap_or(Raw::LIMIT) <= self.given_up.len() {
            self.tell(on);
        }
    }

    fn drop_held(&mut self, count: usize) {
        self.held.drain(..count);
        self.tried = 0;
        self.looked = 0;
    }

    /// Tells of the bytes that were given up.
    fn tell(&mut self, on: &mut impl FnMut(Event<'_>)) {
        if !self.given_up.is_empty() {
            let why = self.why.take().unwrap_or(Why::Torn);
            on(Event::Broken(&self.given_up, why));
            self.given_up.clear();
        }
        self.why = None;
    }
}
