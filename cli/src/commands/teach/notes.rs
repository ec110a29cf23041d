//! What was heard and said in a lesson, kept in memory to learn from, and in a file where one is wanted.

use std::path::PathBuf;

use tarehand_protocol::Mass;
use tarehand_protocol::api::Chunk;
use tarehand_protocol::scale::capture::{Capture, Captured, Hand, Moment};
use tarehand_protocol::scale::profile::Reports;

use super::rhythm;

use crate::capture_file::{CaptureFile, Timeline};
use crate::files::FilesError;

/// So much of what comes while a hand is busy is learnt from: a person may leave in the middle of a lesson.
const MOST_BETWEEN: usize = 400;
/// A silence this long parts two frames, as far as one may tell of bytes that nobody understands (our own choice).
const APART_US: u64 = 20_000;

/// The notes of a lesson.
#[derive(Debug)]
pub(super) struct Notes {
    time: Timeline,
    moments: Vec<Moment>,
    file: Option<CaptureFile>,
    between: Option<usize>,
}

impl Notes {
    pub(super) fn begin(file: Option<CaptureFile>) -> Self {
        Self {
            time: Timeline::default(),
            moments: Vec::new(),
            file,
            between: Some(0),
        }
    }

    /// Says which device it is.
    pub(super) fn device(&mut self, device: &str) -> Result<(), FilesError> {
        match &mut self.file {
            Some(file) => file.name(device),
            None => Ok(()),
        }
    }

    /// Takes bytes that came.
    pub(super) fn hear(&mut self, chunk: &Chunk) -> Result<(), FilesError> {
        let Some(moment) = self.time.moment(chunk) else {
            return Ok(());
        };
        if let Some(file) = &mut self.file {
            file.write(&moment)?;
        }
        match &mut self.between {
            Some(count) if MOST_BETWEEN <= *count => return Ok(()),
            Some(count) => *count += 1,
            None => {}
        }
        self.moments.push(moment);
        Ok(())
    }

    /// Takes a word on the pan, or on the display.
    pub(super) fn say(&mut self, what: Captured) -> Result<(), FilesError> {
        self.between = match what {
            Captured::Hand(Hand::Busy) => Some(0),
            Captured::Display(_) => self.between,
            _ => None,
        };
        let moment = self.time.now(what);
        if let Some(file) = &mut self.file {
            file.write(&moment)?;
        }
        self.moments.push(moment);
        Ok(())
    }

    /// Returns the time of the last bytes, in the time of the bench.
    pub(super) const fn now_us(&self) -> u64 {
        self.time.now_us()
    }

    /// Returns the bytes that came last.
    pub(super) fn latest(&self) -> Option<(u64, &[u8])> {
        self.moments
            .iter()
            .rev()
            .find_map(|moment| match &moment.what {
                Captured::Bytes(bytes) | Captured::Packet(bytes) => Some((moment.at_us, &**bytes)),
                Captured::Pan(_) | Captured::Hand(_) | Captured::Display(_) => None,
            })
    }

    /// Returns all bytes of a stream that came.
    pub(super) fn streamed(&self) -> Vec<u8> {
        let bytes = self.moments.iter().filter_map(|moment| match &moment.what {
            Captured::Bytes(bytes) => Some(bytes.as_slice()),
            _ => None,
        });
        bytes.collect::<Vec<_>>().concat()
    }

    /// Puts right what was said of the pan.
    pub(super) fn correct(&mut self, wrong: Mass, right: Mass) -> Result<(), FilesError> {
        for moment in &mut self.moments {
            if moment.what != Captured::Pan(wrong) {
                continue;
            }
            let corrected = Moment {
                at_us: moment.at_us,
                what: Captured::Pan(right),
            };
            if let Some(file) = &mut self.file {
                file.correct(moment, &corrected)?;
            }
            *moment = corrected;
        }
        Ok(())
    }

    /// Returns when the scale speaks.
    pub(super) fn reports(&self) -> Reports {
        rhythm::reports(&self.moments)
    }

    /// Returns all of it.
    pub(super) fn capture(&self) -> Capture {
        Capture {
            device: String::new(),
            moments: self.moments.clone(),
        }
    }

    /// Ends the file, where there is one; returns its path and how many moments it has.
    pub(super) fn end(self) -> Result<Option<(PathBuf, u64)>, FilesError> {
        self.file.map_or(Ok(None), CaptureFile::end)
    }
}

/// Counts what comes.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Tally {
    begun_us: Option<u64>,
    last_us: u64,
    pub(super) bytes: u64,
    pub(super) frames: u64,
}

impl Tally {
    pub(super) fn add(&mut self, at_us: u64, bytes: usize) {
        let apart = self.begun_us.is_none() || self.last_us + APART_US <= at_us;
        self.begun_us.get_or_insert(at_us);
        self.last_us = at_us;
        self.bytes += u64::try_from(bytes).unwrap_or(u64::MAX);
        self.frames += u64::from(apart);
    }

    /// Returns bytes and frames a second; nothing for what is too short to tell.
    pub(super) fn rates(&self) -> Option<(u64, u64)> {
        let passed_us = self.last_us - self.begun_us?;
        let rate = |count: u64| (count * 1_000_000 + passed_us / 2) / passed_us;
        // Between twenty frames there are nineteen periods.
        (500_000 <= passed_us).then(|| (rate(self.bytes), rate(self.frames.saturating_sub(1))))
    }
}

#[cfg(test)]
mod tests {
    use tarehand_protocol::api::ChunkWord;

    use super::*;

    fn chunk(at_us: u64) -> Chunk {
        Chunk {
            at_us,
            came: ChunkWord::Stream,
            hex: "31320d0a".to_owned(),
        }
    }

    #[test]
    fn a_person_who_leaves_fills_no_memory_and_what_stands_is_kept_whole() {
        let mut notes = Notes::begin(None);
        for at in 0..2_000 {
            notes.hear(&chunk(at)).unwrap();
        }
        assert_eq!(notes.moments.len(), MOST_BETWEEN);
        notes.say(Captured::Pan(Mass::ZERO)).unwrap();
        for at in 2_000..4_000 {
            notes.hear(&chunk(at)).unwrap();
        }
        assert_eq!(notes.moments.len(), MOST_BETWEEN + 2_001);
    }

    #[test]
    fn frames_are_told_apart_by_silences() {
        let mut tally = Tally::default();
        for at in 0..20 {
            tally.add(at * 100_000, 6);
            tally.add(at * 100_000 + 4_000, 4);
        }
        assert_eq!((tally.bytes, tally.frames), (200, 20));
        assert_eq!(tally.rates(), Some((105, 10)));
    }
}
