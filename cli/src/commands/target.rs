//! Where a command writes a text: to standard output, or into a file that is not lost by mistake.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::failure::{Exit, Failure};
use crate::files::{Existing, FilesError, write_whole};
use crate::output::Output;

/// Where a text is written.
#[derive(Args, Debug)]
pub(crate) struct TargetArgs {
    /// Write it into this file [default: standard output]
    #[arg(short = 'o', long = "out", value_name = "FILE")]
    file: Option<PathBuf>,
    /// Replace the file where there is one, without asking
    #[arg(long, requires = "file")]
    yes: bool,
}

impl TargetArgs {
    /// Returns the file, where one is named.
    pub(crate) fn path(&self) -> Option<&Path> {
        self.file.as_deref()
    }

    /// Writes a text; a file that is there is replaced only where the person says so.
    pub(crate) fn write(&self, text: &str, output: &mut Output) -> Result<Exit, Failure> {
        let Some(path) = self.path() else {
            output.data(text.trim_end_matches('\n'))?;
            return Ok(Exit::Done);
        };
        self.write_file(path, text.as_bytes(), output)
    }

    /// Writes bytes as they are, else as [`write`](Self::write) does.
    pub(crate) fn write_bytes(&self, bytes: &[u8], output: &mut Output) -> Result<Exit, Failure> {
        let Some(path) = self.path() else {
            output.bytes(bytes)?;
            return Ok(Exit::Done);
        };
        self.write_file(path, bytes, output)
    }

    fn write_file(&self, path: &Path, bytes: &[u8], output: &mut Output) -> Result<Exit, Failure> {
        let existing = if self.yes {
            Existing::Replaced
        } else {
            Existing::Kept
        };
        match write_whole(path, bytes, existing) {
            Err(FilesError::Exists { .. }) if Output::can_ask() => {
                if !output.confirm(&format!("Replace {}?", path.display())) {
                    output.say("nothing was changed");
                    return Ok(Exit::Failed);
                }
                write_whole(path, bytes, Existing::Replaced)?;
            }
            done => done?,
        }
        output.say(format_args!("written: {}", path.display()));
        Ok(Exit::Done)
    }
}
