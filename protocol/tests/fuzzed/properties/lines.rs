//! Lines of text, by every shape and by any expression.

use tarehand_protocol::MassUnit;
use tarehand_protocol::scale::Decoder;
use tarehand_protocol::scale::profile::Layout;

use super::feed::Feed;
use super::{run, settings};

/// The tolerant reader, and every built-in shape under every setting.
pub(crate) fn shapes(input: &[u8]) {
    let mut feed = Feed::new(input);
    let layout = settings::shape(&mut feed);
    let decoder = match feed.below(3) {
        0 => Decoder::tolerant(feed.maybe(|feed| feed.one_of(&MassUnit::ALL))),
        _ => match settings::profile(&settings::text(&mut feed, layout)) {
            Some(profile) => Decoder::of(&profile),
            None => return,
        },
    };
    holds(&decoder, feed);
}

/// A person's own expressions.
pub(crate) fn patterns(input: &[u8]) {
    let mut feed = Feed::new(input);
    let count = 1 + feed.below(2);
    let pattern = |feed: &mut Feed<'_>| String::from_utf8_lossy(feed.bytes(80)).into_owned();
    let texts = (0..count).map(|_| pattern(&mut feed)).collect();
    let settings = settings::text(&mut feed, Layout::Patterns(texts));
    if let Some(profile) = settings::profile(&settings) {
        holds(&Decoder::of(&profile), feed);
    }
}

fn holds(decoder: &Decoder, mut feed: Feed<'_>) {
    let cuts = [feed.byte(), feed.byte()];
    let bytes = feed.rest();
    run::a_stream_is_read_alike_in_any_pieces(decoder, bytes, cuts);
    let mut live = decoder.clone();
    live.reset();
    run::a_stream_is_read_alike_in_any_pieces(&live, bytes, cuts);
    run::memory_is_bounded(decoder, bytes);
    nothing_is_read_before_a_beginning(decoder, &live, bytes);
}

/// What a link gives that was opened in the middle is given by one that heard all, too.
fn nothing_is_read_before_a_beginning(file: &Decoder, live: &Decoder, bytes: &[u8]) {
    let all = run::weights(&run::outcomes(file, [bytes]));
    for weighed in run::weights(&run::outcomes(live, [bytes])) {
        assert!(all.contains(&weighed), "{}", bytes.escape_ascii());
    }
}
