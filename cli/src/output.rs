//! The only place that prints: data on stdout, messages on stderr.

use std::fmt::Display;
use std::io::{self, ErrorKind, IsTerminal, Write};
use std::process::ExitCode;

use serde::Serialize;

use crate::failure::{Exit, Failure};
use crate::words::Width;

/// Whether text may carry colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ink {
    /// Colour helps, but never says anything alone.
    Colour,
    /// No colour.
    Plain,
}

/// Why something could not be printed.
#[derive(Debug, thiserror::Error)]
pub(crate) enum OutputError {
    /// Whoever read our output has seen enough.
    #[error("nobody reads the output any more")]
    Closed,
    /// The output could not be written.
    #[error("cannot write the output")]
    Io {
        /// Why.
        source: io::Error,
    },
}

/// Where a command prints.
pub(crate) struct Output {
    data: Box<dyn Write>,
    messages: Box<dyn Write>,
    data_ink: Ink,
    message_ink: Ink,
    live: bool,
    terminal: bool,
    passing: Passing,
}

/// Whether a line that is to be replaced may stand, or stands, at the end of the messages.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Passing {
    /// Nobody watches: such lines are not written.
    Never,
    /// None stands there.
    No,
    /// One stands there.
    Stands,
}

impl Output {
    /// Prints to the streams of this process.
    pub(crate) fn of_process() -> Self {
        let wanted = std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
            && std::env::var_os("TERM").is_none_or(|value| value != "dumb");
        let ink = |terminal: bool| {
            if wanted && terminal {
                Ink::Colour
            } else {
                Ink::Plain
            }
        };
        let terminal = io::stdout().is_terminal();
        Self {
            data: Box::new(io::stdout()),
            messages: Box::new(io::stderr()),
            data_ink: ink(terminal),
            message_ink: ink(io::stderr().is_terminal()),
            terminal,
            live: terminal && io::stdin().is_terminal(),
            passing: match io::stderr().is_terminal() {
                true => Passing::No,
                false => Passing::Never,
            },
        }
    }

    /// Returns whether a live view can be drawn and keys can be read.
    pub(crate) const fn is_live(&self) -> bool {
        self.live
    }

    /// Returns whether data goes to a terminal.
    pub(crate) const fn is_terminal(&self) -> bool {
        self.terminal
    }

    /// Returns how wide a table may be: as wide as the terminal that data goes to, and whole for anything else.
    pub(crate) fn width(&self) -> Width {
        if !self.terminal {
            return Width::Full;
        }
        match rustix::termios::tcgetwinsize(io::stdout()) {
            Ok(size) if 0 < size.ws_col => Width::Columns(size.ws_col.into()),
            // Terminals that do not tell are taken as wide as the usual one.
            _ => Width::Columns(80),
        }
    }

    /// Returns whether data may carry colour.
    pub(crate) const fn ink(&self) -> Ink {
        self.data_ink
    }

    /// Returns the way to the terminal for the live view, which draws rather than prints.
    pub(crate) fn raw(&mut self) -> &mut Box<dyn Write> {
        &mut self.data
    }

    /// Prints data, with an end of line.
    pub(crate) fn data(&mut self, text: impl Display) -> Result<(), OutputError> {
        writeln!(self.data, "{text}")
            .and_then(|()| self.data.flush())
            .map_err(|source| match source.kind() {
                ErrorKind::BrokenPipe => OutputError::Closed,
                _ => OutputError::Io { source },
            })
    }

    /// Prints bytes as they are.
    pub(crate) fn bytes(&mut self, bytes: &[u8]) -> Result<(), OutputError> {
        self.data
            .write_all(bytes)
            .and_then(|()| self.data.flush())
            .map_err(|source| match source.kind() {
                ErrorKind::BrokenPipe => OutputError::Closed,
                _ => OutputError::Io { source },
            })
    }

    /// Prints a message of the API as one line of JSON.
    pub(crate) fn json(&mut self, message: &impl Serialize) -> Result<(), OutputError> {
        let text = serde_json::to_string(message)
            .expect("messages of the API have text keys and finite numbers");
        self.data(text)
    }

    /// Tells the person something that is not data.
    pub(crate) fn say(&mut self, text: impl Display) {
        // A message nobody can read must not end the work it is about.
        if self.passing == Passing::Stands {
            self.passing = Passing::No;
            let _unread = write!(self.messages, "\r\u{1b}[K");
        }
        let _unread = writeln!(self.messages, "{text}");
    }

    /// Shows a line that the next one takes the place of, where somebody watches.
    pub(crate) fn pass(&mut self, text: impl Display) {
        if self.passing == Passing::Never {
            return;
        }
        self.passing = Passing::Stands;
        let _unread = write!(self.messages, "\r\u{1b}[K{text}");
        let _unread = self.messages.flush();
    }

    /// Suggests the next useful command.
    pub(crate) fn suggest(&mut self, command: impl Display) {
        let text = match self.message_ink {
            Ink::Colour => format!("\u{1b}[2mnext:\u{1b}[0m {command}"),
            Ink::Plain => format!("next: {command}"),
        };
        self.say(text);
    }

    /// Asks for a yes on the terminal; anything but `y` or `yes` is no.
    pub(crate) fn confirm(&mut self, question: &str) -> bool {
        let _unread = write!(self.messages, "{question} [y/N] ");
        let _unread = self.messages.flush();
        let mut answer = String::new();
        let read = io::stdin().read_line(&mut answer);
        read.is_ok() && matches!(answer.trim(), "y" | "Y" | "yes" | "Yes")
    }

    /// Asks for a word on the terminal; nothing when none is given.
    pub(crate) fn ask(&mut self, question: &str) -> Option<String> {
        self.say(question);
        let mut answer = String::new();
        let read = io::stdin().read_line(&mut answer).is_ok();
        Some(answer.trim().to_owned()).filter(|answer| read && !answer.is_empty())
    }

    /// Returns whether there is somebody to ask.
    pub(crate) fn can_ask() -> bool {
        io::stdin().is_terminal() && io::stderr().is_terminal()
    }

    /// Shows why a command failed, and returns the code to exit with.
    pub(crate) fn show(&mut self, failure: &Failure) -> ExitCode {
        if !failure.is_silent() {
            let text = failure_text(failure, self.message_ink);
            self.say(text);
        }
        failure.exit().into()
    }
}

fn failure_text(failure: &Failure, ink: Ink) -> String {
    let (begin, end) = match ink {
        Ink::Colour => ("\u{1b}[1;31m", "\u{1b}[0m"),
        Ink::Plain => ("", ""),
    };
    let mut text = format!("{begin}error:{end} {failure}");
    for cause in failure.causes() {
        text.push_str("\n  because: ");
        text.push_str(&cause);
    }
    if let Some(hint) = failure.hint() {
        text.push_str("\n  try: ");
        text.push_str(&hint);
    }
    text
}

/// Shows help, the version, or what is wrong with the arguments.
pub(crate) fn show_usage(error: &clap::Error) -> ExitCode {
    let exit = if error.use_stderr() {
        Exit::Usage
    } else {
        Exit::Done
    };
    // A reader that went away is no failure of ours.
    let _unread = error.print();
    exit.into()
}
