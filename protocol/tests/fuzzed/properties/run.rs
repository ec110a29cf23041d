//! What holds of every decoder, whatever comes.

use tarehand_protocol::scale::{Decoded, Decoder, Raw};
use tarehand_protocol::{Mass, Reading, Weighed};

/// Characters of the decoder's own description by which it may grow: two buffers of [`Raw::LIMIT`] bytes
/// and what is remembered beside them.
const GROWTH: usize = 16 * Raw::LIMIT;

/// Pushes the parts and a silence, and returns what came of it.
pub(crate) fn outcomes<'b>(
    decoder: &Decoder,
    parts: impl IntoIterator<Item = &'b [u8]>,
) -> Vec<Decoded> {
    let mut decoder = decoder.clone();
    let mut all = Vec::new();
    for part in parts {
        decoder.push(part, &mut |decoded| all.push(decoded));
    }
    decoder.flush(&mut |decoded| all.push(decoded));
    all
}

/// Returns what a packet gives.
pub(crate) fn of_packet(decoder: &Decoder, packet: &[u8]) -> Vec<Decoded> {
    let mut all = Vec::new();
    decoder
        .clone()
        .packet(packet, &mut |decoded| all.push(decoded));
    all
}

pub(crate) fn weights(outcomes: &[Decoded]) -> Vec<Weighed> {
    let weight = |decoded: &Decoded| match decoded {
        Decoded::Reading(Reading::Weight(weighed)) => Some(*weighed),
        Decoded::Reading(Reading::NoWeight(_)) | Decoded::Rejected(_) => None,
    };
    outcomes.iter().filter_map(weight).collect()
}

/// What came is the same in any pieces, is bounded, and says what it is.
pub(crate) fn a_stream_is_read_alike_in_any_pieces(decoder: &Decoder, bytes: &[u8], cuts: [u8; 2]) {
    let whole = outcomes(decoder, [bytes]);
    let [one, other] = cuts.map(|cut| usize::from(cut) % (bytes.len() + 1));
    let (first, second) = (one.min(other), one.max(other));
    let parts = [&bytes[..first], &bytes[first..second], &bytes[second..]];
    assert_eq!(outcomes(decoder, parts), whole, "cut at {first}, {second}");
    assert_eq!(outcomes(decoder, bytes.chunks(1)), whole, "byte by byte");
    for decoded in &whole {
        an_outcome_says_what_it_is(decoded);
    }
}

pub(crate) fn an_outcome_says_what_it_is(decoded: &Decoded) {
    match decoded {
        Decoded::Rejected(rejected) => {
            assert!(rejected.raw.bytes().len() <= Raw::LIMIT);
            assert!(!rejected.why.to_string().is_empty());
        }
        Decoded::Reading(Reading::Weight(weighed)) => {
            assert!(weighed.gross.abs() <= Mass::LIMIT);
        }
        Decoded::Reading(Reading::NoWeight(_)) => {}
    }
}

/// A decoder never holds more than a frame or two of what came, in whatever order things happen to it.
pub(crate) fn memory_is_bounded(decoder: &Decoder, bytes: &[u8]) {
    let fresh = format!("{decoder:?}").len();
    let mut decoder = decoder.clone();
    let bounded = |decoder: &Decoder| {
        assert!(format!("{decoder:?}").len() <= fresh + GROWTH);
    };
    decoder.push(bytes, &mut |_| {});
    decoder.packet(bytes, &mut |_| {});
    decoder.push(bytes, &mut |_| {});
    bounded(&decoder);
    decoder.flush(&mut |_| {});
    decoder.push(bytes, &mut |_| {});
    decoder.reset();
    decoder.push(bytes, &mut |_| {});
    bounded(&decoder);
}
