//! Any profile of lines of text.

use tarehand_protocol::scale::profile::{DataBits, Layout, Overload, Reports, Serial, StopBits};
use tarehand_protocol::scale::{
    Check, Framing, Kind, Mark, Parity, Profile, Rule, Settings, Shape, States, Written,
};
use tarehand_protocol::{Mass, MassUnit};

use super::feed::Feed;

const RULES: [Rule; 3] = [Rule::Xor, Rule::Sum, Rule::Complement];
const WRITTEN: [Written; 4] = [
    Written::Hex,
    Written::Nibbles,
    Written::Byte,
    Written::SevenBits,
];

/// Makes the profile that says these settings, if they may be said; what is written must be read as it was.
pub(crate) fn profile(settings: &Settings) -> Option<Profile> {
    let profile = Profile::from_settings(settings).ok()?;
    let again = Profile::from_settings(profile.settings());
    assert_eq!(again.as_ref(), Ok(&profile), "{}", profile.source());
    Some(profile)
}

pub(crate) fn shape(feed: &mut Feed<'_>) -> Layout {
    match usize::from(feed.byte()) % (Shape::ALL.len() + 1) {
        0 => Layout::Tolerant,
        at => Layout::Shape(Shape::ALL[at - 1], 1 + feed.below(3)),
    }
}

/// Everything else that changes how a line is read.
pub(crate) fn text(feed: &mut Feed<'_>, layout: Layout) -> Settings {
    Settings {
        layout,
        reports: feed.one_of(&[Reports::Stream, Reports::OnChange, Reports::Finished]),
        framing: feed.maybe(framing),
        mark: feed.maybe(|feed| feed.one_of(&[Mark::Point, Mark::Comma])),
        decimals: feed.maybe(|feed| feed.below(10)),
        unit: feed.maybe(|feed| feed.one_of(&MassUnit::ALL)),
        weight: feed.maybe(|feed| feed.one_of(&[Kind::Gross, Kind::Net])),
        overload: feed.one_of(&[Overload::Told, Overload::Zero]),
        capacity: Some(Mass::from_grams(3_000)),
        states: states(feed),
        check: feed.maybe(check),
        serial: feed.maybe(serial),
        ..Settings::named("any")
    }
}

pub(crate) fn check(feed: &mut Feed<'_>) -> Check {
    Check {
        rule: feed.one_of(&RULES),
        from: feed.below(4),
        written: feed.one_of(&WRITTEN),
    }
}

fn framing(feed: &mut Feed<'_>) -> Framing {
    match feed.below(6) {
        0 => Framing::Tolerant,
        1 => Framing::Lines,
        2 => Framing::EndByte(feed.byte()),
        3 => Framing::Silence,
        4 => Framing::Enclosed {
            start: feed.byte(),
            end: feed.byte(),
            after: feed.below(9),
        },
        _ => Framing::Fixed {
            starts: feed.bytes(3).to_vec(),
            length: usize::from(feed.byte()) + 1,
        },
    }
}

fn states(feed: &mut Feed<'_>) -> States {
    let word = |text: &str| vec![text.to_owned()];
    match feed.below(3) {
        0 => States::default(),
        1 => States {
            moving: word("?"),
            over: word("H"),
            ..States::default()
        },
        _ => States {
            stable: word("ST"),
            moving: word("US"),
            under: word("----"),
            net: word("N"),
            ..States::default()
        },
    }
}

fn serial(feed: &mut Feed<'_>) -> Serial {
    Serial {
        speed: 9_600,
        data: feed.one_of(&[DataBits::Seven, DataBits::Eight]),
        parity: feed.one_of(&[Parity::None, Parity::Even, Parity::Odd]),
        stop: StopBits::One,
    }
}
