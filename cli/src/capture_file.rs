//! A capture being written: each line is the system's as soon as it is known, so that no end of ours loses one.

use std::fs::{File, OpenOptions};
use std::io::{self, Write};
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};

use tarehand_protocol::api::{Chunk, ChunkWord};
use tarehand_protocol::scale::capture::{Capture, Captured, Moment, unhex};

use crate::files::{Existing, FilesError, write_text};

/// Turns what a bench tells of bytes into moments that count from the first of them.
#[derive(Debug, Default)]
pub(crate) struct Timeline {
    began_us: Option<u64>,
    now_us: u64,
}

impl Timeline {
    /// Returns the moment of a chunk; `None` where it is no hexadecimal, which no service sends.
    pub(crate) fn moment(&mut self, chunk: &Chunk) -> Option<Moment> {
        let began_us = *self.began_us.get_or_insert(chunk.at_us);
        // A bench that was started anew has a new clock; a capture never goes back.
        self.now_us = self.now_us.max(chunk.at_us.saturating_sub(began_us));
        let bytes = unhex(&chunk.hex).ok()?;
        Some(self.now(match chunk.came {
            ChunkWord::Stream => Captured::Bytes(bytes),
            ChunkWord::Packet => Captured::Packet(bytes),
        }))
    }

    /// Returns the moment of something that is so from the last chunk on.
    pub(crate) const fn now(&self, what: Captured) -> Moment {
        Moment {
            at_us: self.now_us,
            what,
        }
    }

    /// Returns the time of the last chunk.
    pub(crate) const fn now_us(&self) -> u64 {
        self.now_us
    }
}

/// A capture being written to a file that was not there before.
#[derive(Debug)]
pub(crate) struct CaptureFile {
    path: PathBuf,
    file: File,
    head: Head,
    lines: u64,
}

/// Whether the first line is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Head {
    Due,
    Written,
}

impl CaptureFile {
    /// Begins a capture; a file that is there is left alone.
    pub(crate) fn begin(path: &Path) -> Result<Self, FilesError> {
        let file = OpenOptions::new()
            .write(true)
            .create_new(true)
            .mode(0o644)
            .open(path)
            .map_err(|source| match source.kind() {
                io::ErrorKind::AlreadyExists => FilesError::CaptureThere {
                    path: path.to_owned(),
                },
                _ => FilesError::Write {
                    path: path.to_owned(),
                    source,
                },
            })?;
        Ok(Self {
            path: path.to_owned(),
            file,
            head: Head::Due,
            lines: 0,
        })
    }

    /// Says which device it is of; only the first is written.
    pub(crate) fn name(&mut self, device: &str) -> Result<(), FilesError> {
        if self.head == Head::Written {
            return Ok(());
        }
        self.head = Head::Written;
        self.put(&Capture::head(device))
    }

    /// Writes a moment.
    pub(crate) fn write(&mut self, moment: &Moment) -> Result<(), FilesError> {
        self.name("")?;
        self.lines += 1;
        self.put(&moment.line())
    }

    /// Puts a moment in the place of another one that was written.
    pub(crate) fn correct(&mut self, wrong: &Moment, right: &Moment) -> Result<(), FilesError> {
        let failed = |source| FilesError::Write {
            path: self.path.clone(),
            source,
        };
        let text = std::fs::read_to_string(&self.path).map_err(failed)?;
        let text = text.replacen(&wrong.line(), &right.line(), 1);
        write_text(&self.path, &text, Existing::Replaced)?;
        self.file = OpenOptions::new()
            .append(true)
            .open(&self.path)
            .map_err(failed)?;
        Ok(())
    }

    /// Ends the capture; returns its path and how many moments it has, and `None` where nothing was heard.
    pub(crate) fn end(self) -> Result<Option<(PathBuf, u64)>, FilesError> {
        let heard = self.file.sync_all().map(|()| self.lines);
        let heard = heard.map_err(|source| FilesError::Write {
            path: self.path.clone(),
            source,
        })?;
        Ok((heard != 0).then(|| (self.path.clone(), heard)))
    }

    fn put(&mut self, line: &str) -> Result<(), FilesError> {
        // One write a line, with nothing kept back.
        self.file
            .write_all(line.as_bytes())
            .map_err(|source| FilesError::Write {
                path: self.path.clone(),
                source,
            })
    }
}

impl Drop for CaptureFile {
    fn drop(&mut self) {
        // Ours, and nothing in it: the next try may have its name.
        if self.lines == 0 {
            let _gone = std::fs::remove_file(&self.path);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chunk(at_us: u64, came: ChunkWord, hex: &str) -> Chunk {
        Chunk {
            at_us,
            came,
            hex: hex.to_owned(),
        }
    }

    #[test]
    fn what_is_written_is_a_capture_at_every_moment_and_counts_from_its_first_byte() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("scale.capture");
        let mut file = CaptureFile::begin(&path).unwrap();
        let mut time = Timeline::default();
        file.name("a board").unwrap();
        file.name("another").unwrap();
        let chunks = [
            chunk(5_000_000, ChunkWord::Stream, "31320d0a"),
            chunk(5_100_000, ChunkWord::Packet, "a2"),
            // The service was started anew.
            chunk(7, ChunkWord::Packet, "a3"),
        ];
        for (number, chunk) in chunks.iter().enumerate() {
            file.write(&time.moment(chunk).unwrap()).unwrap();
            let capture = Capture::parse(&std::fs::read_to_string(&path).unwrap()).unwrap();
            assert_eq!(capture.device, "a board");
            assert_eq!(capture.moments.len(), number + 1);
        }
        let (_, lines) = file.end().unwrap().unwrap();
        assert_eq!(lines, 3);
        let capture = Capture::parse(&std::fs::read_to_string(&path).unwrap()).unwrap();
        let times: Vec<u64> = capture.moments.iter().map(|moment| moment.at_us).collect();
        assert_eq!(times, [0, 100_000, 100_000]);
    }

    #[test]
    fn a_moment_is_put_right_and_the_capture_goes_on() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        let mut file = CaptureFile::begin(&path).unwrap();
        let moment = |at_us, mass: &str| Moment {
            at_us,
            what: Captured::Pan(mass.parse().unwrap()),
        };
        file.write(&moment(1, "531 g")).unwrap();
        file.write(&moment(2, "531 g")).unwrap();
        file.correct(&moment(1, "531 g"), &moment(1, "351 g"))
            .unwrap();
        file.write(&moment(3, "20 g")).unwrap();
        let capture = Capture::parse(&std::fs::read_to_string(&path).unwrap()).unwrap();
        let expect = [moment(1, "351 g"), moment(2, "531 g"), moment(3, "20 g")];
        assert_eq!(capture.moments, expect);
    }

    #[test]
    fn a_capture_of_nothing_leaves_no_file() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        let mut file = CaptureFile::begin(&path).unwrap();
        file.name("a board").unwrap();
        assert_eq!(file.end().unwrap(), None);
        assert!(!path.exists());
    }

    #[test]
    fn a_file_that_is_there_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        std::fs::write(&path, "mine").unwrap();
        let error = CaptureFile::begin(&path).unwrap_err();
        assert!(matches!(error, FilesError::CaptureThere { .. }));
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "mine");
    }
}
