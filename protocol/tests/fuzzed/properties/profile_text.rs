//! The text of a profile.

use tarehand_protocol::scale::binary::Frames;
use tarehand_protocol::scale::profile::Layout;
use tarehand_protocol::scale::{Decoder, Profile};

use super::{run, settings};

/// What a scale may send, whatever the profile says of it.
const SENT: &[u8] = b"\x02+0012.34 g?\x031B\r\nST,GS,+ 184.25 g\r\n\xff\x40\x00\x12\x00\x01\xff";

fn takes_packets(profile: &Profile) -> bool {
    match &profile.settings().layout {
        Layout::Binary(binary) => binary.frames == Frames::Packets,
        Layout::Tolerant | Layout::Shape(..) | Layout::Patterns(_) => false,
    }
}

pub(crate) fn holds(input: &[u8]) {
    let Ok(text) = std::str::from_utf8(input) else {
        return;
    };
    match Profile::parse(text) {
        Ok(profile) => {
            assert_eq!(profile.source(), text);
            assert_eq!(
                settings::profile(profile.settings()).as_ref(),
                Some(&profile)
            );
            let decoder = Decoder::of(&profile);
            if !takes_packets(&profile) {
                run::a_stream_is_read_alike_in_any_pieces(&decoder, SENT, [7, 30]);
            }
            run::memory_is_bounded(&decoder, SENT);
        }
        Err(problems) => {
            assert!(!problems.is_empty());
            for problem in &problems {
                // A caret can be set below it.
                assert!(text.get(problem.range.clone()).is_some(), "{problem:?}");
                assert!(!problem.message.is_empty());
            }
        }
    }
}
