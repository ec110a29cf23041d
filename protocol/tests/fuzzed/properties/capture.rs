//! The text of a capture.

use tarehand_protocol::scale::capture::{Capture, Captured};

pub(crate) fn holds(input: &[u8]) {
    let Ok(text) = std::str::from_utf8(input) else {
        return;
    };
    match Capture::parse(text) {
        Ok(capture) => {
            let lines = capture.moments.iter().map(|moment| moment.line());
            let head = Capture::head(&capture.device);
            let again: String = std::iter::once(head).chain(lines).collect();
            // Nothing is made of nothing: two digits or more stand for each byte.
            let bytes = capture.moments.iter().map(|moment| match &moment.what {
                Captured::Bytes(bytes) | Captured::Packet(bytes) => bytes.len(),
                Captured::Pan(_) | Captured::Hand(_) | Captured::Display(_) => 0,
            });
            assert!(2 * bytes.sum::<usize>() <= text.len());
            assert_eq!(Capture::parse(&again), Ok(capture));
        }
        Err(error) => {
            assert!((1..=text.lines().count().max(1)).contains(&error.line));
            assert!(!error.what.is_empty() && !error.hint().is_empty());
        }
    }
}
