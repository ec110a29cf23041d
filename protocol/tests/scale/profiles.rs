//! Profiles: every problem at once, and the same again after writing.

use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use std::time::Duration;
use tarehand_protocol::scale::profile::{
    DataBits, Layout, Overload, Poll, Reports, Serial, StopBits,
};
use tarehand_protocol::scale::{
    Check, Decoder, Framing, Kind, Mark, Parity, Profile, Rule, Settings, Shape, States, Written,
};
use tarehand_protocol::{Mass, MassUnit};

use crate::line::{check, describe, profile};

#[track_caller]
fn problems(text: &str) -> Vec<(String, String, Option<String>)> {
    let problems = Profile::parse(text).expect_err("the text is wrong");
    let mut told = Vec::new();
    for problem in problems {
        let at = text.get(problem.range).unwrap_or("?").to_owned();
        told.push((at, problem.message, problem.help));
    }
    told
}

#[test]
fn all_problems_are_told_at_once_with_their_places() {
    let told = problems(
        "nam = \"x\"\nshape = \"status-hed\"\nunit = \"stone\"\ndecimals = 12\n\
         [serial]\nspeed = \"9600\"\nparity = \"od\"\n[poll]\nevery = \"soon\"\n",
    );
    let places: Vec<&str> = told.iter().map(|(at, _, _)| at.as_str()).collect();
    assert_eq!(
        places,
        [
            "nam",
            "",
            "\"status-hed\"",
            "\"stone\"",
            "12",
            "\"9600\"",
            "\"od\"",
            "[poll]",
            "\"soon\"",
        ]
    );
    let helps: Vec<&str> = told
        .iter()
        .filter_map(|(_, _, help)| help.as_deref())
        .collect();
    assert!(helps.contains(&"did you mean `name`?"), "{helps:?}");
    assert!(helps.contains(&"did you mean `status-head`?"), "{helps:?}");
    assert!(helps.contains(&"did you mean `odd`?"), "{helps:?}");
}

#[test]
fn a_broken_text_is_a_problem_at_its_place() {
    let told = problems("name = \"x\nshape = \"number\"\n");
    assert!(!told.is_empty());
}

#[test]
fn a_pattern_is_checked_and_kept_small() {
    let told = |pattern: &str| problems(&format!("name = \"x\"\npattern = '{pattern}'\n"));
    assert_eq!(told(r"(\d+)")[0].1, "the pattern finds no weight");
    assert_eq!(
        told(r"(?<wieght>\d+)")[0].2.as_deref(),
        Some("did you mean `weight`?")
    );
    assert_eq!(told("(?<weight>[0-9)")[0].1, "unclosed character class");
    assert_eq!(
        told(r"(?<weight>(\d{1000}){1000})")[0].1,
        "the pattern grows too large"
    );
    // A person's parentheses cannot open the anchors around the pattern.
    assert!(!told(r"(?<weight>\d+))|(?:").is_empty());
}

#[test]
fn a_pattern_matches_whole_frames_only() {
    let text = "name = \"x\"\nunit = \"g\"\npattern = '(?<weight>\\d+)'\n";
    let decoder = Decoder::of(&Profile::parse(text).unwrap());
    check(
        decoder,
        b"12\r12 13\r",
        &[
            "12 g",
            "rejected: no shape of a scale's line that is known here",
        ],
    );
}

#[test]
fn pounds_and_ounces_may_be_named_in_a_pattern() {
    check(
        Decoder::of(&profile("pounds-pattern")),
        b"1#2.5\r-1#2.5\r",
        &["1 lb 2.5 oz", "-1 lb -2.5 oz"],
    );
}

#[test]
fn frames_may_end_by_silence_alone() {
    let text = "name = \"x\"\nunit = \"g\"\n[frame]\nends = \"silence\"\n";
    let mut decoder = Decoder::of(&Profile::parse(text).unwrap());
    let mut count = 0;
    decoder.push(b"12", &mut |_| count += 1);
    decoder.push(b".5", &mut |_| count += 1);
    assert_eq!(count, 0);
    decoder.flush(&mut |decoded| {
        assert!(matches!(
            decoded,
            tarehand_protocol::scale::Decoded::Reading(_)
        ));
        count += 1;
    });
    assert_eq!(count, 1);
}

#[test]
fn text_in_packets_is_a_line_by_itself_only_where_nothing_else_ends_one() {
    let packets = |text: &str, packets: [&[u8]; 2]| {
        let mut decoder = Decoder::of(&Profile::parse(text).unwrap());
        let mut all = Vec::new();
        for packet in packets {
            decoder.packet(packet, &mut |decoded| all.push(describe(&decoded)));
        }
        all
    };
    let silence = "name = \"x\"\nunit = \"g\"\n[frame]\nends = \"silence\"\n";
    assert_eq!(packets(silence, [b"12.5", b"13.5"]), ["12.5 g", "13.5 g"]);
    let lines = "name = \"x\"\nunit = \"g\"\n";
    assert_eq!(
        packets(lines, [b"12.5 g\r\n13", b".5 g\r\n"]),
        ["12.5 g", "13.5 g"]
    );
}

#[test]
fn the_journal_keeps_the_source_with_its_comments() {
    let kept = profile("question-mark");
    let json = serde_json::to_string(&kept).unwrap();
    let back: Profile = serde_json::from_str(&json).unwrap();
    assert_eq!(back, kept);
    assert_eq!(back.source(), kept.source());
    assert!(back.source().starts_with("# A question mark"));
}

fn layouts() -> impl Strategy<Value = Layout> {
    prop_oneof![
        Just(Layout::Tolerant),
        (0..Shape::ALL.len()).prop_map(|at| Layout::Shape(Shape::ALL[at], 1)),
        (1_u8..=16).prop_map(|field| Layout::Shape(Shape::Numbers, field)),
        Just(Layout::Patterns(vec![
            r#"(?<weight>[\d.']+)\s"?"#.to_owned(),
            r"(?<state>[A-Z]+)".to_owned(),
        ])),
    ]
}

fn framings() -> impl Strategy<Value = Framing> {
    prop_oneof![
        Just(Framing::Tolerant),
        Just(Framing::Lines),
        Just(Framing::Silence),
        any::<u8>().prop_map(Framing::EndByte),
        (any::<u8>(), 1_u8.., 0_u8..=8).prop_map(|(start, by, after)| Framing::Enclosed {
            start,
            end: start.wrapping_add(by),
            after,
        }),
        (vec(any::<u8>(), 1..5), 2_usize..=256)
            .prop_map(|(starts, length)| Framing::Fixed { starts, length }),
    ]
}

fn states() -> impl Strategy<Value = States> {
    ("[ -~]{0,3}", "[a-z\"\\\\]{1,3}").prop_map(|(first, second)| {
        let mut states = States::default();
        let first = first.trim().to_owned();
        if !first.is_empty() && first != second {
            states.moving = vec![first];
        }
        states.over = vec![second];
        states
    })
}

fn settings() -> impl Strategy<Value = Settings> {
    let looks = (
        "[ -~é]{0,8}x",
        layouts(),
        option::of(framings()),
        states(),
        option::of(0_u8..=9),
        option::of(0..MassUnit::ALL.len()),
    );
    let checks = (0..3_usize, 0..4_usize, any::<u8>()).prop_map(|(rule, written, from)| Check {
        rule: [Rule::Xor, Rule::Sum, Rule::Complement][rule],
        from,
        written: [
            Written::Hex,
            Written::Nibbles,
            Written::Byte,
            Written::SevenBits,
        ][written],
    });
    let polls = (vec(any::<u8>(), 1..6), 10_u64..3_600_000).prop_map(|(send, every)| Poll {
        send,
        every: Duration::from_millis(every),
    });
    let serials =
        (50_u32..4_000_000, any::<bool>(), any::<bool>()).prop_map(|(speed, seven, two)| Serial {
            speed,
            data: if seven {
                DataBits::Seven
            } else {
                DataBits::Eight
            },
            parity: if seven { Parity::Even } else { Parity::None },
            stop: if two { StopBits::Two } else { StopBits::One },
        });
    let rest = (
        option::of(checks),
        option::of(polls),
        option::of(serials),
        option::of(1_i64..1_000_000_000_000),
        option::of(0_u64..3_600_000),
        any::<bool>(),
    );
    (looks, rest).prop_map(|(looks, rest)| {
        let (name, layout, framing, states, decimals, unit) = looks;
        let (check, poll, serial, mass, lag, other) = rest;
        Settings {
            reports: if other {
                Reports::Finished
            } else {
                Reports::OnChange
            },
            layout,
            framing,
            states,
            decimals,
            unit: unit.map(|at| MassUnit::ALL[at]),
            mark: other.then_some(Mark::Comma),
            weight: other.then_some(Kind::Net),
            overload: match mass {
                Some(_) if other => Overload::Zero,
                _ => Overload::Told,
            },
            check,
            poll,
            serial,
            division: mass.map(Mass::from_micrograms),
            capacity: mass.map(Mass::from_micrograms),
            lag: lag.map(Duration::from_millis),
            ..Settings::named(name)
        }
    })
}

proptest! {
    #[test]
    fn what_is_written_reads_back_the_same(settings in settings()) {
        let text = settings.render();
        let profile = Profile::parse(&text);
        prop_assert_eq!(profile.map(|profile| profile.settings().clone()), Ok(settings), "{}", text);
    }

    #[test]
    fn no_text_makes_the_reader_of_profiles_panic(text in ".{0,200}") {
        let _outcome = Profile::parse(&text);
    }
}
