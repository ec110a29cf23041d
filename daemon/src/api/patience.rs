//! How long a client may take over the head of its request.
//!
//! A line that was opened and then says nothing, or never ends what it began to ask, is shut by itself. One whose
//! question is being answered is not, and neither is a stream of events: it is answered all the time.

use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;

use tokio::time::{Instant, Sleep, sleep_until};

/// How long the head of a request may take to come whole: from the opening, or from the last that was answered.
pub(super) const LIMIT: Duration = Duration::from_secs(30);

/// Waits for the head of a request.
#[derive(Debug)]
pub(super) struct Patience {
    /// Since when a request is waited for; `None` while one is being answered.
    since: Option<Instant>,
    head: Head,
    /// Set to where the limit was when it was looked at last: most lines never come near it.
    alarm: Pin<Box<Sleep>>,
}

/// How much of the head of a request has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Head {
    /// Nothing but ends of lines, which may stand before it.
    Nothing,
    /// A part of a line.
    Line,
    /// A whole line.
    LineEnd,
}

impl Patience {
    pub(super) fn new() -> Self {
        let now = Instant::now();
        Self {
            since: Some(now),
            head: Head::Nothing,
            alarm: Box::pin(sleep_until(now + LIMIT)),
        }
    }

    /// Returns ready when it is at its end; else whoever polls is woken then.
    pub(super) fn poll_end(&mut self, context: &mut Context<'_>) -> Poll<()> {
        let Some(since) = self.since else {
            return Poll::Pending;
        };
        let end = since + LIMIT;
        while self.alarm.as_mut().poll(context).is_ready() {
            if end <= self.alarm.deadline() {
                return Poll::Ready(());
            }
            self.alarm.as_mut().reset(end);
        }
        Poll::Pending
    }

    /// Takes note of what the client sent.
    pub(super) fn heard(&mut self, bytes: &[u8]) {
        if self.since.is_some() && bytes.iter().any(|&byte| self.head.ends_with(byte)) {
            self.since = None;
            self.head = Head::Nothing;
        }
    }

    /// Takes note that something of an answer was sent; it may have been the last of it.
    ///
    /// Whoever sent it is woken at the end to read: a server looks for the next request before it sends, not after.
    pub(super) fn answered(&mut self, context: &mut Context<'_>) {
        self.since = Some(Instant::now());
        let _far_away = self.poll_end(context);
    }

    /// Takes note that the client does not take its answer yet.
    pub(super) const fn held_up(&mut self) {
        self.since = None;
    }
}

impl Head {
    /// Takes the next byte; returns whether the head is whole with it: an empty line ends it.
    const fn ends_with(&mut self, byte: u8) -> bool {
        *self = match (*self, byte) {
            (Self::Nothing, b'\r' | b'\n') => Self::Nothing,
            (Self::LineEnd, b'\n') => return true,
            (Self::LineEnd, b'\r') => Self::LineEnd,
            (Self::Line, b'\n') => Self::LineEnd,
            (Self::Nothing | Self::Line | Self::LineEnd, _) => Self::Line,
        };
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(bytes: &[u8], whole: bool) {
        let mut head = Head::Nothing;
        let mut ends = bytes.iter().map(|&byte| head.ends_with(byte));
        assert_eq!(ends.any(|end| end), whole, "{}", bytes.escape_ascii());
    }

    #[test]
    fn an_empty_line_ends_the_head_of_a_request() {
        check(b"GET / HTTP/1.1\r\nhost: tarehand\r\n\r\n", true);
        check(b"GET / HTTP/1.1\nhost: tarehand\n\n", true);
        check(b"\r\n\r\nGET / HTTP/1.1\r\n\r\n", true);
        check(b"GET / HTTP/1.1\r\nhost: tarehand\r\n", false);
        check(b"\r\n\r\n\r\n", false);
        check(b"GET / HTTP/1.1\r\n a\r\nb", false);
        check(b"", false);
    }
}
