//! Reading the layout of frames of bits.

use super::fields::{Fields, Problems, suggestion};
use super::notation::parse_bytes;
use super::read::{byte, needed};
use crate::mass::{Mass, MassUnit};
use crate::scale::binary::{
    Binary, Bits, Check, Constant, Form, Frames, Number, Order, Place, Scaling, State, Sum,
    UnitField,
};
use crate::scale::decoded::Raw;
use crate::scale::exact::Factor;

const FRAMES: [(&str, Frames); 3] = [
    ("stream", Frames::Stream),
    ("packets", Frames::Packets),
    ("silence", Frames::Silence),
];
const ORDERS: [(&str, Order); 2] = [("little", Order::Little), ("big", Order::Big)];
const KEYS: [&str; 9] = [
    "frames", "length", "start", "ends", "constant", "weight", "unit", "states", "check",
];
const WEIGHT_KEYS: [&str; 10] = [
    "at", "length", "order", "form", "minus", "factor", "exponent", "decimals", "at_least",
    "at_most",
];
const CHECK_KEYS: [&str; 5] = ["rule", "at", "order", "from", "until"];
const BITS_KEYS: [&str; 3] = ["at", "mask", "is"];

/// What only lines of text have.
const OF_TEXT: [&str; 9] = [
    "shape", "field", "pattern", "patterns", "mark", "decimals", "frame", "states", "check",
];

/// Most constants, and most bits that tell a state.
const MOST: usize = 64;

/// Reads `[binary]`, if the profile has it.
pub(super) fn read(fields: &Fields<'_>, problems: &mut Problems) -> Option<Binary> {
    let table = fields.table("binary", &KEYS, problems)?;
    for key in OF_TEXT.into_iter().filter(|key| fields.has(key)) {
        problems.add(
            fields.place(key),
            format!("`{key}` is for lines of text, and `[binary]` for bits"),
            "keep one of the two; `[binary]` has its own `states`, `check` and `decimals`",
        );
    }
    if let Some(serial) = fields.table(
        "serial",
        &["speed", "data", "parity", "stop"],
        &mut Problems::default(),
    ) && serial
        .whole("data", &(7..=7), &mut Problems::default())
        .is_some()
    {
        problems.add(
            serial.place("data"),
            "frames of bits need all eight",
            "write `data = 8`",
        );
    }
    let longest = u32::try_from(Raw::LIMIT).unwrap_or(u32::MAX);
    let length = table.whole("length", &(1..=longest), problems);
    let marks = |key: &str, problems: &mut Problems| {
        let found = table.parsed(key, parse_bytes, problems);
        found.map_or_else(Vec::new, |found| found.value)
    };
    let start = marks("start", problems);
    let ends = marks("ends", problems);
    let frames = table
        .choice("frames", &FRAMES, problems)
        .unwrap_or(Frames::Stream);
    let constants = constants(&table, problems);
    let unit = unit(&table, problems);
    let states = states(&table, problems);
    let had_check = table.has("check");
    let check = check(&table, problems);
    needed(&table, "weight", problems)?;
    let weight = table.table("weight", &WEIGHT_KEYS, problems)?;
    let scaling = scaling(&weight, problems);
    let (at_least, at_most) = limits(&weight, problems);
    let binary = Binary {
        frames,
        length: length.and_then(|length| u16::try_from(length).ok()),
        start,
        ends,
        constants,
        weight: number(&weight, problems)?,
        scaling,
        at_least,
        at_most,
        unit,
        states,
        check,
    };
    fits(&binary, &table, problems);
    if had_check == binary.check.is_some() {
        finds(&binary, &table, problems);
    }
    Some(binary)
}

/// Tells what does not lie within the frame.
fn fits(binary: &Binary, table: &Fields<'_>, problems: &mut Problems) {
    let length = binary.length.map_or(Raw::LIMIT, usize::from);
    for (part, end) in binary.parts().filter(|&(_, end)| length < end) {
        problems.add(
            table.place("length"),
            format!("{part} needs a frame of {end} bytes, and this one has {length}"),
            "the first byte is at 0; compare the places with `length`",
        );
    }
    if binary
        .check
        .is_some_and(|check| check.covers_itself(length))
    {
        let check = table.table("check", &CHECK_KEYS, &mut Problems::default());
        problems.add(
            check.map_or(table.range.clone(), |check| check.place("until")),
            "the check would cover itself",
            "`until` is the first byte that is not covered",
        );
    }
    let mut marks: Vec<(usize, u8)> = binary.start.iter().copied().enumerate().collect();
    if let Some(from) = binary.length.and(length.checked_sub(binary.ends.len())) {
        marks.extend((from..).zip(binary.ends.iter().copied()));
    }
    for constant in &binary.constants {
        let from = usize::from(constant.at);
        marks.extend((from..).zip(constant.bytes.iter().copied()));
    }
    marks.sort_unstable();
    if let Some((at, _)) = marks
        .iter()
        .zip(marks.iter().skip(1))
        .find(|(one, other)| one.0 == other.0 && one.1 != other.1)
        .map(|(one, _)| one)
    {
        problems.add(
            table.place("constant"),
            format!("byte {at} cannot be two things"),
            "compare `start`, `ends` and the constants",
        );
    }
}

/// Tells what is missing to find frames among other bytes, and to see that one is torn.
fn finds(binary: &Binary, table: &Fields<'_>, problems: &mut Problems) {
    // A byte of check passes too often by chance where even the length may be anything.
    let checked = binary.check.is_some_and(|check| !check.is_weak());
    let marked =
        !(binary.start.is_empty() && binary.ends.is_empty() && binary.constants.is_empty());
    match binary.frames {
        Frames::Packets => {}
        Frames::Stream if !marked => problems.add(
            table.range.clone(),
            "nothing shows where a frame begins in the stream",
            "add `start = '\\xff'`, `ends` or a constant, or `frames = \"packets\"` for a radio or HID scale",
        ),
        Frames::Stream if binary.length.is_none() && binary.ends.is_empty() => problems.add(
            table.range.clone(),
            "nothing shows where a frame ends",
            "add `length`, or `ends` and `[binary.check]` with a CRC-16",
        ),
        Frames::Stream | Frames::Silence if binary.length.is_none() && !checked => problems.add(
            table.range.clone(),
            "a torn frame could not be told from a whole one",
            "add `length`, or `[binary.check]` with a CRC-16",
        ),
        Frames::Stream | Frames::Silence => {}
    }
}

fn constants(table: &Fields<'_>, problems: &mut Problems) -> Vec<Constant> {
    let tables = table.tables("constant", &["at", "bytes"], problems);
    few(tables.len(), table, "constant", problems);
    let constant = |table: Fields<'_>| {
        let at =
            needed(&table, "at", problems).and_then(|()| byte(&table, "at", 0..=255, problems));
        let bytes = needed(&table, "bytes", problems)
            .and_then(|()| table.parsed("bytes", parse_bytes, problems));
        Some(Constant {
            at: at?,
            bytes: bytes?.value,
        })
    };
    tables.into_iter().filter_map(constant).collect()
}

fn few(count: usize, table: &Fields<'_>, key: &str, problems: &mut Problems) {
    if MOST < count {
        let message = format!("`{key}` has more than {MOST} entries");
        problems.add(table.place(key), message, "keep those that matter");
    }
}

fn number(table: &Fields<'_>, problems: &mut Problems) -> Option<Number> {
    let at = needed(table, "at", problems).and_then(|()| byte(table, "at", 0..=255, problems));
    let length =
        needed(table, "length", problems).and_then(|()| byte(table, "length", 1..=8, problems));
    let form =
        needed(table, "form", problems).and_then(|()| table.choice("form", &Form::NAMES, problems));
    let order = match length {
        Some(1) if !table.has("order") => Some(Order::Big),
        _ => order(table, problems),
    };
    let minus = bits(table, "minus", problems).into_iter().next();
    let (at, length, order, form) = (at?, length?, order?, form?);
    if !form.lengths().contains(&length) {
        let lengths: Vec<String> = form.lengths().iter().map(u8::to_string).collect();
        let message = format!("a number of this form does not have {length} bytes");
        let help = format!("possible are {}", lengths.join(", "));
        problems.add(table.place("length"), message, &help);
    }
    if minus.is_some() && !form.takes_sign() {
        problems.add(
            table.place("minus"),
            "a number of this form has its sign in itself",
            "leave `minus` out, or write `form = \"unsigned\"` or `form = \"bcd\"`",
        );
    }
    Some(Number {
        at,
        length,
        order,
        form,
        minus,
    })
}

fn order(table: &Fields<'_>, problems: &mut Problems) -> Option<Order> {
    if !table.has("order") {
        problems.add(
            table.range.clone(),
            "`order` is missing",
            "write `order = \"little\"` when the least byte comes first, else `order = \"big\"`",
        );
        return None;
    }
    table.choice("order", &ORDERS, problems)
}

fn scaling(table: &Fields<'_>, problems: &mut Problems) -> Scaling {
    let keys = ["factor", "exponent", "decimals"];
    let said: Vec<&str> = keys.into_iter().filter(|key| table.has(key)).collect();
    if let [_, second, ..] = said.as_slice() {
        problems.add(
            table.place(second),
            "the scaling is said twice",
            "keep one of `factor`, `exponent` and `decimals`",
        );
    }
    let parse = |text: &str| text.parse::<Factor>().map_err(str::to_owned);
    let factor = table.parsed("factor", parse, problems);
    let exponent = table
        .table("exponent", &["at"], problems)
        .and_then(|table| {
            needed(&table, "at", problems)?;
            byte(&table, "at", 0..=255, problems)
        });
    let decimals = table.table("decimals", &["at", "mask", "none"], problems);
    let decimals = decimals.and_then(|table| {
        needed(&table, "at", problems)?;
        let at = byte(&table, "at", 0..=255, problems)?;
        let mask = byte(&table, "mask", 1..=255, problems).unwrap_or(0xff);
        let none = byte(&table, "none", 0..=255, problems).unwrap_or(0);
        Some(Scaling::Decimals { at, mask, none })
    });
    let exponent = exponent.map(|at| Scaling::Exponent { at });
    let factor = factor.map_or(Factor::ONE, |found| found.value);
    exponent.or(decimals).unwrap_or(Scaling::Factor(factor))
}

fn limits(table: &Fields<'_>, problems: &mut Problems) -> (Option<Mass>, Option<Mass>) {
    let parse = |text: &str| text.parse::<Mass>().map_err(|error| error.to_string());
    let mut limit = |key: &str| table.parsed(key, parse, problems).map(|found| found.value);
    let (least, most) = (limit("at_least"), limit("at_most"));
    if let (Some(least), Some(most)) = (least, most)
        && most < least
    {
        problems.add(
            table.place("at_most"),
            "`at_most` is below `at_least`",
            "give the least and the greatest weight that were seen",
        );
    }
    (least, most)
}

/// Takes one table of bits, or a list of them.
fn bits(table: &Fields<'_>, key: &str, problems: &mut Problems) -> Vec<Bits> {
    let tables = table.tables(key, &BITS_KEYS, problems);
    few(tables.len(), table, key, problems);
    let one = |table: Fields<'_>| {
        needed(&table, "at", problems)?;
        let at = byte(&table, "at", 0..=255, problems)?;
        if !table.has("mask") && !table.has("is") {
            problems.add(
                table.range.clone(),
                "this does not say which bits",
                "add `mask = 0x40` for a bit that is set, or `is = 0x02` for a whole byte",
            );
            return None;
        }
        let whole = !table.has("mask");
        let mask = byte(&table, "mask", 1..=255, problems).or(whole.then_some(0xff))?;
        let unset = !table.has("is");
        let is = byte(&table, "is", 0..=255, problems).or(unset.then_some(mask))?;
        within(mask, is, &table, "is", problems);
        Some(Bits { at, mask, is })
    };
    tables.into_iter().filter_map(one).collect()
}

fn within(mask: u8, value: u8, table: &Fields<'_>, key: &str, problems: &mut Problems) {
    if value & !mask != 0 {
        problems.add(
            table.place(key),
            format!("{value:#04x} can never be what {mask:#04x} leaves of a byte"),
            "give the bits in their own places within the mask",
        );
    }
}

fn unit(table: &Fields<'_>, problems: &mut Problems) -> Option<UnitField> {
    let symbols = MassUnit::ALL.map(MassUnit::symbol);
    let keys: Vec<&str> = ["at", "mask"].into_iter().chain(symbols).collect();
    let table = table.table("unit", &keys, problems)?;
    needed(&table, "at", problems)?;
    let at = byte(&table, "at", 0..=255, problems);
    let mask = byte(&table, "mask", 1..=255, problems).unwrap_or(0xff);
    let mut units: Vec<(u8, MassUnit)> = Vec::new();
    for unit in MassUnit::ALL {
        for found in table.bytes(unit.symbol(), problems) {
            within(mask, found.value, &table, unit.symbol(), problems);
            if units.iter().any(|&(known, _)| known == found.value) {
                let message = format!("{:#04x} stands for a unit already", found.value);
                problems.add(found.range, message, "each value stands for one unit");
            }
            units.push((found.value, unit));
        }
    }
    if units.is_empty() {
        problems.add(
            table.range.clone(),
            "no value stands for a unit",
            "add for example `g = 0x01`; where the unit never changes, write `unit = \"g\"` above",
        );
    }
    Some(UnitField {
        at: at?,
        mask,
        units,
    })
}

fn states(table: &Fields<'_>, problems: &mut Problems) -> Vec<(State, Bits)> {
    let keys = State::NAMES.map(|(name, _)| name);
    let Some(table) = table.table("states", &keys, problems) else {
        return Vec::new();
    };
    let mut states: Vec<(State, Bits)> = Vec::new();
    for (name, state) in State::NAMES {
        for bits in bits(&table, name, problems) {
            if states.iter().any(|&(_, known)| known == bits) {
                let help = "each value of some bits tells one state";
                problems.add(table.place(name), "these bits tell a state already", help);
            }
            states.push((state, bits));
        }
    }
    states
}

fn check(table: &Fields<'_>, problems: &mut Problems) -> Option<Check> {
    let table = table.table("check", &CHECK_KEYS, problems)?;
    let rule = needed(&table, "rule", problems).and_then(|()| rule(&table, problems));
    let at = needed(&table, "at", problems).and_then(|()| place(&table, "at", problems));
    let from = byte(&table, "from", 0..=255, problems).unwrap_or(0);
    let until = match table.has("until") {
        true => place(&table, "until", problems),
        false => at,
    };
    let (rule, at, until) = (rule?, at?, until?);
    let mut check = Check {
        rule,
        from,
        until,
        at,
        order: Order::Big,
    };
    if check.length() == 2 {
        check.order = order(&table, problems)?;
    }
    if let Place::FromEnd(back) = at
        && usize::from(back) < check.length()
    {
        let help = format!(
            "its last byte is the frame's when `at = -{}`",
            check.length()
        );
        problems.add(
            table.place("at"),
            "the check does not fit before the frame's end",
            &help,
        );
    }
    if matches!(until, Place::FromStart(until) if until <= from) {
        let help = "`from` is the first byte, `until` the first one after the last";
        problems.add(table.place("until"), "the check covers nothing", help);
    }
    Some(check)
}

fn rule(table: &Fields<'_>, problems: &mut Problems) -> Option<Sum> {
    let found = table.text("rule", problems)?;
    let rule = Sum::from_name(found.value);
    if rule.is_none() {
        let help = suggestion(found.value, &Sum::names());
        let message = format!("`{}` is no choice for `rule`", found.value);
        problems.add(found.range, message, &help);
    }
    rule
}

fn place(table: &Fields<'_>, key: &str, problems: &mut Problems) -> Option<Place> {
    let number = table.signed(key, &(-255..=255), problems)?;
    let places = u8::try_from(number.unsigned_abs()).ok()?;
    Some(match number < 0 {
        true => Place::FromEnd(places),
        false => Place::FromStart(places),
    })
}
