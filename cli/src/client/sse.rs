//! Server-sent events out of bytes (WHATWG HTML, section 9.2.6, "Interpreting an event stream").

/// One event.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Event {
    /// Its name; `message` when the stream gives none.
    pub(super) name: String,
    /// Its data.
    pub(super) data: String,
}

/// Takes bytes in any split and gives whole events.
#[derive(Debug, Default)]
pub(super) struct Sse {
    line: Vec<u8>,
    after_cr: bool,
    begun: bool,
    name: String,
    data: String,
}

/// An event longer than this is not one of ours.
const LONGEST: usize = 16 << 20;

/// The stream holds an event that is longer than any of ours.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("an event is longer than {LONGEST} bytes")]
pub(super) struct TooLong;

impl Sse {
    /// Takes the next bytes and returns the events they complete.
    pub(super) fn push(&mut self, bytes: &[u8]) -> Result<Vec<Event>, TooLong> {
        let mut events = Vec::new();
        for &byte in bytes {
            match byte {
                b'\n' if self.after_cr => self.after_cr = false,
                b'\n' | b'\r' => {
                    self.after_cr = byte == b'\r';
                    events.extend(self.end_line());
                }
                _ => {
                    self.after_cr = false;
                    self.line.push(byte);
                }
            }
            if LONGEST < self.line.len() + self.data.len() {
                return Err(TooLong);
            }
        }
        Ok(events)
    }

    fn end_line(&mut self) -> Option<Event> {
        let line = std::mem::take(&mut self.line);
        let mut line = String::from_utf8_lossy(&line).into_owned();
        if !std::mem::replace(&mut self.begun, true) && line.starts_with('\u{feff}') {
            line.remove(0);
        }
        if line.is_empty() {
            return self.end_event();
        }
        let (field, value) = line.split_once(':').unwrap_or((&line, ""));
        let value = value.strip_prefix(' ').unwrap_or(value);
        match field {
            "event" => value.clone_into(&mut self.name),
            "data" => {
                self.data.push_str(value);
                self.data.push('\n');
            }
            // A comment, `id`, `retry`, or a field of a later version.
            _ => {}
        }
        None
    }

    fn end_event(&mut self) -> Option<Event> {
        let name = std::mem::take(&mut self.name);
        let mut data = std::mem::take(&mut self.data);
        data.pop()?;
        let name = if name.is_empty() {
            "message".to_owned()
        } else {
            name
        };
        Some(Event { name, data })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(stream: &str, expect: &[(&str, &str)]) {
        let expect: Vec<Event> = expect
            .iter()
            .map(|&(name, data)| Event {
                name: name.to_owned(),
                data: data.to_owned(),
            })
            .collect();
        let bytes = stream.as_bytes();
        for split in 0..=bytes.len() {
            let mut sse = Sse::default();
            let mut got = sse.push(&bytes[..split]).unwrap();
            got.extend(sse.push(&bytes[split..]).unwrap());
            assert_eq!(got, expect, "split at {split}");
        }
        let mut sse = Sse::default();
        let single = bytes.chunks(1).flat_map(|byte| sse.push(byte).unwrap());
        assert_eq!(single.collect::<Vec<_>>(), expect, "byte by byte");
    }

    // Streams and outcomes after the examples of WHATWG HTML, section 9.2.6.
    #[test]
    fn the_examples_of_the_standard_come_out_as_it_says() {
        check(
            "data: ABCD\ndata: +2\ndata: 10\n\n",
            &[("message", "ABCD\n+2\n10")],
        );
        check(
            ": test stream\n\ndata: first event\nid: 1\n\ndata:second event\nid\n\ndata:  third event\n",
            &[("message", "first event"), ("message", "second event")],
        );
        check(
            "data\n\ndata\ndata\n\ndata:",
            &[("message", ""), ("message", "\n")],
        );
        check(
            "data:test\n\ndata: test\n\n",
            &[("message", "test"), ("message", "test")],
        );
    }

    #[test]
    fn every_line_end_ends_a_line_and_letters_may_be_split() {
        check(
            "event: view\r\ndata: {\"é\":1}\r\n\r\nevent: weight\rdata: 2\r\r",
            &[("view", "{\"é\":1}"), ("weight", "2")],
        );
    }

    #[test]
    fn a_byte_order_mark_is_skipped_and_an_event_without_data_is_none() {
        check(
            "\u{feff}data: a\n\nevent: view\n\n: still there\n\n",
            &[("message", "a")],
        );
    }
}
