//! Layouts of bits in profiles: every problem with its remedy, and the same again after writing.

use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use tarehand_protocol::scale::binary::{
    Binary, Bits, Check, Constant, Form, Frames, Number, Order, Place, Scaling, State, Sum,
    UnitField,
};
use tarehand_protocol::scale::profile::Layout;
use tarehand_protocol::scale::{Factor, Profile, Settings};
use tarehand_protocol::{Mass, MassUnit};

const WEIGHT: &str = "[binary.weight]\nat = 1\nlength = 2\norder = \"big\"\nform = \"unsigned\"\n";

#[track_caller]
fn problems(text: &str) -> Vec<(String, String, String)> {
    let problems = Profile::parse(text).expect_err("the text is wrong");
    let told = problems.into_iter().map(|problem| {
        let at = text.get(problem.range).unwrap_or("?").to_owned();
        (at, problem.message, problem.help.unwrap_or_default())
    });
    told.collect()
}

/// Checks the only problem of `[binary]` with the keys given, and a weight.
#[track_caller]
fn one(keys: &str, more: &str, place: &str, message: &str) {
    let text = format!("name = \"x\"\nunit = \"g\"\n[binary]\n{keys}\n{WEIGHT}{more}");
    let told = problems(&text);
    let [(at, said, help)] = told.as_slice() else {
        panic!("{text}{told:?}");
    };
    assert_eq!((at.as_str(), said.as_str()), (place, message));
    assert!(!help.is_empty() || message.contains(": write"), "{message}");
}

#[test]
fn what_cannot_be_told_from_a_torn_frame_is_refused() {
    let begins = "nothing shows where a frame begins in the stream";
    one("length = 4", "", "[binary]", begins);
    let check = "[binary.check]\nrule = \"CRC-16/ARC\"\nat = -2\norder = \"big\"\n";
    one("length = 5", check, "[binary]", begins);
    one(
        "start = '\\xff'",
        "",
        "[binary]",
        "nothing shows where a frame ends",
    );
    one(
        "start = '\\xff'",
        check,
        "[binary]",
        "nothing shows where a frame ends",
    );
    let torn = "a torn frame could not be told from a whole one";
    one("start = '\\xff'\nends = '\\r'", "", "[binary]", torn);
    one("frames = \"silence\"", "", "[binary]", torn);
}

#[test]
fn a_part_outside_of_the_frame_is_told() {
    one(
        "start = '\\xff'\nlength = 2",
        "",
        "2",
        "the weight needs a frame of 3 bytes, and this one has 2",
    );
    one(
        "start = '\\xff\\xfe\\xfd'\nlength = 4\nconstant = { at = 1, bytes = 'A' }",
        "",
        "{ at = 1, bytes = 'A' }",
        "byte 1 cannot be two things",
    );
}

#[test]
fn each_slip_has_its_place_and_its_remedy() {
    let keys = "start = '\\xff'\nlength = 8";
    let slip = |more: &str, place: &str, message: &str| one(keys, more, place, message);
    slip(
        "factor = \"0\"\n",
        "\"0\"",
        "`factor`: write a number above zero, for example `0.005` or `1/200`, with at most nine digits",
    );
    slip(
        "factor = \"2\"\nexponent = { at = 3 }\n",
        "{ at = 3 }",
        "the scaling is said twice",
    );
    slip(
        "minus = { at = 3 }\n",
        "{ at = 3 }",
        "this does not say which bits",
    );
    slip(
        "minus = { at = 3, mask = 0x10, is = 0x01 }\n",
        "0x01",
        "0x01 can never be what 0x10 leaves of a byte",
    );
    slip(
        "at_least = \"2 g\"\nat_most = \"1 g\"\n",
        "\"1 g\"",
        "`at_most` is below `at_least`",
    );
    slip(
        "[binary.unit]\nat = 3\n",
        "[binary.unit]",
        "no value stands for a unit",
    );
    slip(
        "[binary.unit]\nat = 3\ng = 1\nkg = [1]\n",
        "1",
        "0x01 stands for a unit already",
    );
    slip(
        "[binary.states]\nover = { at = 3, is = 1 }\nfault = { at = 3, is = 1 }\n",
        "{ at = 3, is = 1 }",
        "these bits tell a state already",
    );
    slip(
        "[binary.check]\nrule = \"CRC-16/MODBUSS\"\nat = -2\n",
        "\"CRC-16/MODBUSS\"",
        "`CRC-16/MODBUSS` is no choice for `rule`",
    );
    slip(
        "[binary.check]\nrule = \"CRC-16/ARC\"\nat = 4\n",
        "[binary.check]",
        "`order` is missing",
    );
    slip(
        "[binary.check]\nrule = \"sum\"\nat = 4\nuntil = 6\n",
        "6",
        "the check would cover itself",
    );
    slip(
        "[binary.check]\nrule = \"sum\"\nat = 4\nfrom = 4\n",
        "[binary.check]",
        "the check covers nothing",
    );
    slip("[binary.weigth]\n", "weigth", "`weigth` is not a key here");
}

#[test]
fn a_number_of_an_impossible_form_is_told() {
    let text = "name = \"x\"\n[binary]\nframes = \"packets\"\n[binary.weight]\nat = 0\nlength = 3\n\
                form = \"float\"\nminus = { at = 0, mask = 1 }\n";
    let told = problems(text);
    let messages: Vec<&str> = told
        .iter()
        .map(|(_, message, _)| message.as_str())
        .collect();
    assert_eq!(messages, ["`order` is missing"]);
    let told = problems(&format!("{text}order = \"big\"\n"));
    let messages: Vec<&str> = told
        .iter()
        .map(|(_, message, _)| message.as_str())
        .collect();
    assert_eq!(
        messages,
        [
            "a number of this form does not have 3 bytes",
            "a number of this form has its sign in itself",
        ]
    );
}

#[test]
fn what_belongs_to_text_does_not_go_with_bits() {
    let text = format!(
        "name = \"x\"\nshape = \"number\"\n[frame]\nends = \"line\"\n[serial]\ndata = 7\n\
         [binary]\nframes = \"packets\"\n{WEIGHT}"
    );
    let told = problems(&text);
    let messages: Vec<&str> = told
        .iter()
        .map(|(_, message, _)| message.as_str())
        .collect();
    assert_eq!(
        messages,
        [
            "`shape` is for lines of text, and `[binary]` for bits",
            "`frame` is for lines of text, and `[binary]` for bits",
            "frames of bits need all eight",
        ]
    );
}

fn bits() -> impl Strategy<Value = Bits> {
    (0_u8..40, 1_u8.., any::<u8>()).prop_map(|(at, mask, is)| Bits {
        at,
        mask,
        is: is & mask,
    })
}

fn numbers() -> impl Strategy<Value = Number> {
    let forms = [
        (Form::Unsigned, 4),
        (Form::Signed, 2),
        (Form::SignMagnitude, 3),
        (Form::Bcd, 6),
        (Form::Medical, 2),
        (Form::Float, 8),
    ];
    (0..forms.len(), 0_u8..30, any::<bool>(), option::of(bits())).prop_map(
        move |(form, at, little, minus)| {
            let (form, length) = forms[form];
            let takes = matches!(form, Form::Unsigned | Form::Bcd);
            Number {
                at,
                length,
                order: if little { Order::Little } else { Order::Big },
                form,
                minus: minus.filter(|_| takes),
            }
        },
    )
}

fn scalings() -> impl Strategy<Value = Scaling> {
    prop_oneof![
        (1_i64..=1_000_000_000, 1_i64..=1_000_000_000).prop_map(|(over, under)| Scaling::Factor(
            Factor::new(over, under).expect("both are in range")
        )),
        (0_u8..40).prop_map(|at| Scaling::Exponent { at }),
        (0_u8..40, 1_u8.., any::<u8>()).prop_map(|(at, mask, none)| Scaling::Decimals {
            at,
            mask,
            none
        }),
    ]
}

prop_compose! {
    fn checks(rules: std::ops::Range<usize>)(rule in rules, little: bool, from in 0_u8..10, back in 2_u8..5) -> Check {
        let rule = Sum::all()[rule];
        let wide = rule.name().starts_with("CRC-16");
        Check {
            rule,
            from,
            until: Place::FromEnd(back),
            at: Place::FromEnd(back),
            order: if wide && little { Order::Little } else { Order::Big },
        }
    }
}

prop_compose! {
    fn binaries()(
        frames in 0_usize..3, any_length: bool, length in 60_u16..=256, start in vec(any::<u8>(), 1..4),
        ends in vec(any::<u8>(), 1..3), constant in option::of((40_u8..50, vec(any::<u8>(), 1..4))),
        weight in numbers(), scaling in scalings(), limits in option::of((-9_000_000_i64..0, 0_i64..9_000_000)),
        unit in option::of((0_u8..40, 1_u8..)), over in option::of(bits()),
        narrow in option::of(checks(0..19)), wide in checks(9..19),
    ) -> Binary {
        let frames = [Frames::Stream, Frames::Packets, Frames::Silence][frames];
        Binary {
            frames,
            length: (!any_length).then_some(length),
            start,
            ends,
            constants: constant.into_iter().map(|(at, bytes)| Constant { at, bytes }).collect(),
            weight,
            scaling,
            at_least: limits.map(|(least, _)| Mass::from_micrograms(least)),
            at_most: limits.map(|(_, most)| Mass::from_micrograms(most)),
            unit: unit.map(|(at, mask)| UnitField {
                at,
                mask,
                units: vec![(mask, MassUnit::Gram), (0, MassUnit::Pound)],
            }),
            states: over.into_iter().map(|bits| (State::Over, bits)).collect(),
            check: if any_length { Some(wide) } else { narrow },
        }
    }
}

proptest! {
    #[test]
    fn a_layout_that_is_written_reads_back_the_same(binary in binaries()) {
        let settings = Settings {
            layout: Layout::Binary(Box::new(binary)),
            ..Settings::named("any")
        };
        let text = settings.render();
        let profile = Profile::parse(&text);
        prop_assert_eq!(profile.map(|profile| profile.settings().clone()), Ok(settings), "{}", text);
    }

    #[test]
    fn no_layout_makes_the_reader_of_profiles_panic(
        lines in vec(prop::sample::select(vec![
            "[binary]", "[binary.weight]", "[binary.unit]", "[binary.states]", "[binary.check]",
            "[[binary.constant]]", "at = -1", "at = 3", "at = 255", "length = 256", "length = 4", "length = 2",
            "frames = \"packets\"", "start = ''", "start = '\\xff'", "ends = '\\r'", "order = \"big\"",
            "form = \"bcd\"", "form = \"float\"", "rule = \"sum\"", "from = 255", "until = 0", "g = [1, 256]",
            "over = [{ at = 1 }, 3]", "mask = 0", "decimals = 3", "exponent = {}", "bytes = 'x'",
        ]), 0..16),
    ) {
        let _outcome = Profile::parse(&format!("name = \"x\"\n{}\n", lines.join("\n")));
    }
}
