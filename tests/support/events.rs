//! Reading a stream of server-sent events (WHATWG HTML, section 9.2).

use std::io::{self, BufReader};
use std::time::Duration;

use serde_json::Value;

use crate::http::{Stream, read_chunk, read_line};
use crate::wait::Deadline;

/// One event.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Event {
    /// Its kind; `message` when the server names none.
    pub name: String,
    /// Its lines of data, joined.
    pub data: String,
    /// Its identifier, when the server gives one.
    pub id: Option<String>,
}

impl Event {
    /// Returns the data as JSON.
    ///
    /// # Panics
    /// When it is not JSON, with the data.
    #[must_use]
    #[track_caller]
    pub fn json(&self) -> Value {
        match serde_json::from_str(&self.data) {
            Ok(value) => value,
            Err(error) => panic!("{error} in the data `{}`", self.data),
        }
    }
}

/// A stream of events; closed when dropped.
#[derive(Debug)]
pub struct Events {
    reader: BufReader<Stream>,
    chunked: bool,
    pending: Vec<u8>,
}

impl Events {
    pub(crate) fn new(reader: BufReader<Stream>, chunked: bool) -> Self {
        Self {
            reader,
            chunked,
            pending: Vec::new(),
        }
    }

    /// Waits for the next event.
    ///
    /// # Panics
    /// When none comes within `limit`, or the stream ends.
    #[track_caller]
    pub fn next(&mut self, limit: Duration) -> Event {
        match self.read_event(Deadline::after(limit)) {
            Ok(Some(event)) => event,
            Ok(None) => panic!("the stream of events ended"),
            Err(error) => panic!("no event within {limit:?}: {error}"),
        }
    }

    /// Waits for the next event of a server that may be gone; `None` when it ended the stream.
    ///
    /// # Errors
    /// When none comes within `limit`.
    pub fn read(&mut self, limit: Duration) -> io::Result<Option<Event>> {
        self.read_event(Deadline::after(limit))
    }

    /// Waits for the first event of this name that `look` finds something in; others are passed over.
    ///
    /// # Panics
    /// When none comes within `limit`, naming `what` was waited for and the last event of that name.
    #[track_caller]
    pub fn wait_for<T>(
        &mut self,
        what: &str,
        name: &str,
        limit: Duration,
        mut look: impl FnMut(&Value) -> Option<T>,
    ) -> T {
        let deadline = Deadline::after(limit);
        let mut last = String::from("nothing");
        loop {
            match self.read_event(deadline) {
                Ok(Some(event)) if event.name == name => {
                    if let Some(found) = look(&event.json()) {
                        return found;
                    }
                    last = event.data;
                }
                Ok(Some(_)) => {}
                Ok(None) => panic!("the stream ended before {what}; the last was {last}"),
                Err(error) => panic!("waited {limit:?} for {what} ({error}); the last was {last}"),
            }
        }
    }

    /// Waits for the server to end the stream.
    ///
    /// # Panics
    /// When it is still open after `limit`.
    #[track_caller]
    pub fn wait_for_end(mut self, limit: Duration) {
        let deadline = Deadline::after(limit);
        loop {
            match self.read_event(deadline) {
                Ok(Some(_)) => {}
                Ok(None) => return,
                Err(error) => panic!("the stream did not end within {limit:?}: {error}"),
            }
        }
    }

    /// Reads lines up to the empty one that ends an event; `None` when the stream ended.
    fn read_event(&mut self, deadline: Deadline) -> io::Result<Option<Event>> {
        let mut event = Event::default();
        let mut data: Vec<String> = Vec::new();
        let mut any = false;
        while let Some(line) = self.line(deadline)? {
            if line.is_empty() {
                if any {
                    event.data = data.join("\n");
                    if event.name.is_empty() {
                        event.name.push_str("message");
                    }
                    return Ok(Some(event));
                }
                continue;
            }
            let (field, value) = line.split_once(':').unwrap_or((&line, ""));
            let value = value.strip_prefix(' ').unwrap_or(value).to_owned();
            match field {
                "event" => event.name = value,
                "data" => {
                    data.push(value);
                    any = true;
                }
                "id" => event.id = Some(value),
                // A comment keeps the line alive; `retry` is for browsers.
                _ => {}
            }
        }
        Ok(None)
    }

    /// Reads one line; an event may be cut anywhere by chunks.
    fn line(&mut self, deadline: Deadline) -> io::Result<Option<String>> {
        if !self.chunked {
            return match read_line(&mut self.reader, deadline) {
                Ok(line) => Ok(Some(line)),
                Err(error) if error.kind() == io::ErrorKind::UnexpectedEof => Ok(None),
                Err(error) => Err(error),
            };
        }
        loop {
            if let Some(end) = self.pending.iter().position(|&byte| byte == b'\n') {
                let line: Vec<u8> = self.pending.drain(..=end).collect();
                let line = String::from_utf8_lossy(&line);
                return Ok(Some(line.trim_end_matches(['\r', '\n']).to_owned()));
            }
            match read_chunk(&mut self.reader, deadline) {
                Ok(Some(chunk)) => self.pending.extend(chunk),
                Ok(None) => return Ok(None),
                // A killed server leaves no last chunk.
                Err(error) if is_end(&error) => return Ok(None),
                Err(error) => return Err(error),
            }
        }
    }
}

fn is_end(error: &io::Error) -> bool {
    matches!(
        error.kind(),
        io::ErrorKind::UnexpectedEof | io::ErrorKind::ConnectionReset
    )
}
