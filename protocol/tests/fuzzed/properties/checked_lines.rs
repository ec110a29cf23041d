//! Lines with a check: one changed byte, and there is no number.

use tarehand_protocol::scale::{Check, Decoder, Framing, Rule, Settings, Written};

use super::feed::Feed;
use super::{run, settings};

pub(crate) fn holds(input: &[u8]) {
    let mut feed = Feed::new(input);
    let layout = settings::shape(&mut feed);
    let check = settings::check(&mut feed);
    let framing = framing(&mut feed, check);
    let settings = Settings {
        framing: Some(framing.clone()),
        check: Some(check),
        // Bits that a line's own parity changes are another property.
        serial: None,
        ..settings::text(&mut feed, layout)
    };
    let (at, change) = (feed.byte(), feed.byte());
    let body = feed.bytes(60);
    let (Some(profile), 1..) = (settings::profile(&settings), change) else {
        return;
    };
    if body.iter().any(|&byte| marks(&framing, byte)) {
        return;
    }
    let decoder = Decoder::of(&profile);
    let Some(Built {
        frame,
        covered,
        end,
    }) = build(&framing, check, body)
    else {
        return;
    };
    let sent = |frame: &[u8]| [frame, &end].concat();
    let good = run::outcomes(&decoder, [sent(&frame).as_slice()]);
    if run::weights(&good).len() != 1 {
        return;
    }
    let at = covered + usize::from(at) % (frame.len() - covered);
    let (was, is) = (frame[at], frame[at] ^ change);
    let same_check = frame.len() - check.written.len() <= at
        && check.written == Written::Hex
        && was.eq_ignore_ascii_case(&is);
    // The eighth bit is not covered by a sum of seven.
    let unseen = check.written == Written::SevenBits && change == 0x80;
    if same_check || unseen || marks(&framing, was) || marks(&framing, is) {
        return;
    }
    let mut bad = frame.clone();
    bad[at] = is;
    let got = run::weights(&run::outcomes(&decoder, [sent(&bad).as_slice()]));
    assert!(
        got.is_empty(),
        "{} is read as {got:?}, made of {}",
        bad.escape_ascii(),
        frame.escape_ascii()
    );
}

fn framing(feed: &mut Feed<'_>, check: Check) -> Framing {
    let after = u8::try_from(check.written.len()).expect("a check is short");
    match feed.below(4) {
        0 => Framing::Lines,
        1 => Framing::EndByte(feed.byte()),
        2 => Framing::Silence,
        _ => Framing::Enclosed {
            start: feed.byte(),
            end: feed.byte(),
            after,
        },
    }
}

/// A byte that would begin or end a frame cuts it, and two halves are two frames.
fn marks(framing: &Framing, byte: u8) -> bool {
    match *framing {
        Framing::Lines => matches!(byte, b'\r' | b'\n'),
        Framing::EndByte(end) => byte == end,
        Framing::Enclosed { start, end, .. } => byte == start || byte == end,
        Framing::Tolerant | Framing::Silence | Framing::Fixed { .. } => false,
    }
}

/// A frame with its check, where what the check covers begins, and what ends it on the line.
struct Built {
    frame: Vec<u8>,
    covered: usize,
    end: Vec<u8>,
}

fn build(framing: &Framing, check: Check, body: &[u8]) -> Option<Built> {
    let (before, behind, end) = match *framing {
        Framing::Lines => (vec![], vec![], vec![b'\r', b'\n']),
        Framing::EndByte(end) => (vec![], vec![], vec![end]),
        Framing::Enclosed { start, end, .. } => (vec![start], vec![end], vec![]),
        Framing::Tolerant | Framing::Silence | Framing::Fixed { .. } => (vec![], vec![], vec![]),
    };
    let mut frame = [before.as_slice(), body, &behind].concat();
    let covered = usize::from(check.from);
    let sum = over(check.rule, frame.get(covered..)?);
    frame.extend(written(check.written, sum));
    Some(Built {
        frame,
        covered,
        end,
    })
}

fn over(rule: Rule, bytes: &[u8]) -> u8 {
    let sum: u32 = bytes.iter().map(|&byte| u32::from(byte)).sum();
    let low = |sum: u32| u8::try_from(sum % 256).expect("it fits");
    match rule {
        Rule::Xor => bytes.iter().fold(0, |all, byte| all ^ byte),
        Rule::Sum => low(sum),
        Rule::Complement => low(256 - sum % 256),
    }
}

fn written(how: Written, sum: u8) -> Vec<u8> {
    match how {
        Written::Hex => format!("{sum:02X}").into_bytes(),
        Written::Nibbles => vec![0x30 + sum / 16, 0x30 + sum % 16],
        Written::Byte => vec![sum],
        Written::SevenBits => vec![sum % 128],
    }
}
