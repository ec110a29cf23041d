//! Any layout of bits, and any bytes.

use tarehand_protocol::scale::binary::{
    Binary, Bits, Check, Constant, Form, Frames, Number, Order, Place, Scaling, State, Sum,
    UnitField,
};
use tarehand_protocol::scale::profile::{Layout, Reports};
use tarehand_protocol::scale::{Decoded, Decoder, Factor, Settings, Why};
use tarehand_protocol::{Mass, MassUnit};

use super::feed::Feed;
use super::{run, settings};

const FORMS: [Form; 6] = [
    Form::Unsigned,
    Form::Signed,
    Form::SignMagnitude,
    Form::Bcd,
    Form::Medical,
    Form::Float,
];
const STATES: [State; 9] = [
    State::Stable,
    State::Moving,
    State::Zero,
    State::Over,
    State::Under,
    State::Fault,
    State::Blank,
    State::Gross,
    State::Net,
];

pub(crate) fn holds(input: &[u8]) {
    let mut feed = Feed::new(input);
    let layout = binary(&mut feed);
    let settings = Settings {
        layout: Layout::Binary(Box::new(layout.clone())),
        reports: feed.one_of(&[Reports::Stream, Reports::OnChange]),
        unit: feed.maybe(|feed| feed.one_of(&MassUnit::ALL)),
        ..Settings::named("any")
    };
    let Some(profile) = settings::profile(&settings) else {
        return;
    };
    let decoder = Decoder::of(&profile);
    let (cuts, at, change) = ([feed.byte(), feed.byte()], feed.byte(), feed.byte());
    let bytes = feed.rest();
    if layout.frames != Frames::Packets {
        run::a_stream_is_read_alike_in_any_pieces(&decoder, bytes, cuts);
        let mut live = decoder.clone();
        live.reset();
        run::a_stream_is_read_alike_in_any_pieces(&live, bytes, cuts);
    }
    run::of_packet(&decoder, bytes)
        .iter()
        .for_each(run::an_outcome_says_what_it_is);
    run::memory_is_bounded(&decoder, bytes);
    if let (Some(check), 1..) = (layout.check, change) {
        one_changed_byte_under_a_check_is_no_number(
            &decoder,
            layout.frames,
            &check,
            bytes,
            at,
            change,
        );
    }
}

/// Every check here sees every change of one byte.
fn one_changed_byte_under_a_check_is_no_number(
    decoder: &Decoder,
    frames: Frames,
    check: &Check,
    bytes: &[u8],
    at: u8,
    change: u8,
) {
    let Some(good) = with_its_check(decoder, check, bytes) else {
        return;
    };
    let read = |bytes: &[u8]| match frames {
        Frames::Packets => run::of_packet(decoder, bytes),
        Frames::Stream | Frames::Silence => run::outcomes(decoder, [bytes]),
    };
    // It must be one frame and nothing else.
    let all = read(&good);
    if all.len() != 1 || run::weights(&all).len() != 1 {
        return;
    }
    let covered = usize::from(check.from)..place(check.until, good.len()).min(good.len());
    if covered.is_empty() {
        return;
    }
    let mut bad = good.clone();
    bad[covered.start + usize::from(at) % covered.len()] ^= change;
    assert_eq!(
        run::weights(&read(&bad)),
        [],
        "{bad:02x?} made of {good:02x?}"
    );
}

/// Writes the check that the decoder says it computed.
fn with_its_check(decoder: &Decoder, check: &Check, bytes: &[u8]) -> Option<Vec<u8>> {
    let mut frame = bytes.to_vec();
    let outcome = run::of_packet(decoder, bytes);
    if let [Decoded::Rejected(rejected)] = outcome.as_slice()
        && let Why::BadCheck { computed, .. } = rejected.why
    {
        let at = place(check.at, frame.len());
        let [low, high] = computed.to_le_bytes();
        match (check.rule, check.order) {
            (Sum::Crc(crc), Order::Little) if crc.name.starts_with("CRC-16") => {
                frame.get_mut(at..at + 2)?.copy_from_slice(&[low, high]);
            }
            (Sum::Crc(crc), Order::Big) if crc.name.starts_with("CRC-16") => {
                frame.get_mut(at..at + 2)?.copy_from_slice(&[high, low]);
            }
            _ => *frame.get_mut(at)? = low,
        }
    }
    Some(frame)
}

fn place(place: Place, length: usize) -> usize {
    match place {
        Place::FromStart(at) => usize::from(at),
        Place::FromEnd(back) => length.saturating_sub(usize::from(back)),
    }
}

fn binary(feed: &mut Feed<'_>) -> Binary {
    Binary {
        frames: feed.one_of(&[Frames::Stream, Frames::Packets, Frames::Silence]),
        length: feed.maybe(|feed| u16::from(feed.below(40)) + 1),
        start: feed.bytes(3).to_vec(),
        ends: feed.bytes(2).to_vec(),
        constants: (0..feed.below(3)).map(|_| constant(feed)).collect(),
        weight: number(feed),
        scaling: match feed.below(3) {
            0 => Scaling::Factor(
                Factor::new(i64::from(feed.byte()) + 1, i64::from(feed.byte()) + 1)
                    .expect("both are above zero"),
            ),
            1 => Scaling::Exponent { at: feed.below(24) },
            _ => Scaling::Decimals {
                at: feed.below(24),
                mask: feed.byte(),
                none: feed.below(4),
            },
        },
        at_least: feed.maybe(|feed| Mass::from_grams(-i64::from(feed.byte()))),
        at_most: feed.maybe(|feed| Mass::from_grams(i64::from(feed.byte()) + 1)),
        unit: feed.maybe(unit),
        states: (0..feed.below(4))
            .map(|_| (feed.one_of(&STATES), bits(feed)))
            .collect(),
        check: feed.maybe(check),
    }
}

fn constant(feed: &mut Feed<'_>) -> Constant {
    Constant {
        at: feed.below(24),
        bytes: feed.bytes(3).to_vec(),
    }
}

fn number(feed: &mut Feed<'_>) -> Number {
    Number {
        at: feed.below(24),
        length: 1 + feed.below(8),
        order: feed.one_of(&[Order::Little, Order::Big]),
        form: feed.one_of(&FORMS),
        minus: feed.maybe(bits),
    }
}

fn bits(feed: &mut Feed<'_>) -> Bits {
    let (at, mask) = (feed.below(24), feed.byte());
    let is = feed.byte() & mask;
    Bits { at, mask, is }
}

fn unit(feed: &mut Feed<'_>) -> UnitField {
    let (at, mask) = (feed.below(24), feed.byte());
    let units = (0..feed.below(4)).map(|_| (feed.byte() & mask, feed.one_of(&MassUnit::ALL)));
    let units = units.collect();
    UnitField { at, mask, units }
}

fn check(feed: &mut Feed<'_>) -> Check {
    let place = |feed: &mut Feed<'_>| match feed.yes() {
        true => Place::FromStart(feed.below(40)),
        false => Place::FromEnd(1 + feed.below(6)),
    };
    Check {
        rule: feed.one_of(&Sum::all()),
        from: feed.below(8),
        until: place(feed),
        at: place(feed),
        order: feed.one_of(&[Order::Little, Order::Big]),
    }
}
