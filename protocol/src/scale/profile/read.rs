//! From the text of a profile to settings that cannot be wrong.

use std::time::Duration;

use toml::de::DeTable;

use super::Problem;
use super::binary;
use super::bluetooth;
use super::fields::{Fields, Found, Problems, suggestion};
use super::notation::{parse_bytes, parse_duration};
use super::settings::{DataBits, Layout, Overload, Poll, Reports, Serial, Settings, StopBits};
use crate::mass::{Mass, MassUnit};
use crate::scale::check::{Check, Rule, Written};
use crate::scale::decoded::Raw;
use crate::scale::frame::Framing;
use crate::scale::parity::Parity;
use crate::scale::pattern::{GROUPS, Pattern};
use crate::scale::sense::{Kind, Mark, States};
use crate::scale::shapes::Shape;

const KEYS: [&str; 21] = [
    "name",
    "reports",
    "shape",
    "field",
    "pattern",
    "patterns",
    "mark",
    "decimals",
    "unit",
    "weight",
    "overload",
    "division",
    "capacity",
    "lag",
    "frame",
    "states",
    "check",
    "poll",
    "serial",
    "binary",
    "bluetooth",
];

/// Most patterns of a profile; each is tried on every frame.
const MOST_PATTERNS: usize = 16;

/// Reads a text, or tells all its problems.
pub(super) fn read(text: &str) -> Result<(Settings, Vec<Pattern>), Vec<Problem>> {
    let mut problems = Problems::default();
    let (table, errors) = DeTable::parse_recoverable(text);
    for error in errors {
        problems.add(error.span().unwrap_or(0..0), error.message(), "");
    }
    let fields = Fields::open(table.get_ref(), 0..0, &KEYS, &mut problems);
    let name = fields.text("name", &mut problems).map(|name| {
        if name.value.trim().is_empty() {
            problems.add(name.range, "the name is empty", "");
        }
        name.value
    });
    if !fields.has("name") {
        problems.add(
            fields.range.clone(),
            "`name` is missing",
            "begin with for example `name = \"bench scale\"`",
        );
    }
    let mut settings = Settings::named(name.unwrap_or_default());
    let (layout, patterns) = layout(&fields, &mut problems);
    settings.layout = layout;
    if let Some(reports) = fields.choice("reports", &REPORTS, &mut problems) {
        settings.reports = reports;
    }
    settings.mark = fields.choice("mark", &MARKS, &mut problems);
    settings.decimals = byte(&fields, "decimals", 0..=9, &mut problems);
    settings.unit = unit(&fields, &mut problems);
    settings.weight = fields.choice("weight", &KINDS, &mut problems);
    settings.division = mass(&fields, "division", &mut problems);
    settings.capacity = mass(&fields, "capacity", &mut problems);
    settings.lag = duration(&fields, "lag", &mut problems);
    overload(&fields, &mut settings, &mut problems);
    settings.framing = framing(&fields, &mut problems);
    settings.states = states(&fields, &mut problems);
    settings.check = check(&fields, &mut problems);
    settings.poll = poll(&fields, &mut problems);
    settings.serial = serial(&fields, &mut problems);
    settings.bluetooth = bluetooth::read(&fields, &mut problems);
    if let Some(binary) = binary::read(&fields, &mut problems) {
        settings.layout = Layout::Binary(Box::new(binary));
    }
    let problems = problems.sorted();
    if problems.is_empty() {
        Ok((settings, patterns))
    } else {
        Err(problems)
    }
}

const REPORTS: [(&str, Reports); 3] = [
    ("stream", Reports::Stream),
    ("on-change", Reports::OnChange),
    ("finished", Reports::Finished),
];
const MARKS: [(&str, Mark); 2] = [("point", Mark::Point), ("comma", Mark::Comma)];
const KINDS: [(&str, Kind); 2] = [("gross", Kind::Gross), ("net", Kind::Net)];

fn layout(fields: &Fields<'_>, problems: &mut Problems) -> (Layout, Vec<Pattern>) {
    let shape = fields.text("shape", problems);
    let pattern = fields.text("pattern", problems);
    let patterns = fields.texts("patterns", problems);
    let said = [shape.is_some(), pattern.is_some(), patterns.is_some()];
    if 1 < said.iter().filter(|&&said| said).count() {
        let range = pattern.as_ref().or(shape.as_ref());
        let range = range.map_or(fields.range.clone(), |found| found.range.clone());
        problems.add(
            range,
            "the layout is said twice",
            "keep one of `shape`, `pattern` and `patterns`",
        );
    }
    let field = byte(fields, "field", 1..=16, problems);
    let texts = match (shape, pattern, patterns) {
        (Some(shape), None, None) => return (shaped(&shape, field, problems), Vec::new()),
        (_, Some(pattern), _) => vec![pattern],
        (_, None, Some(patterns)) => patterns,
        (None, None, None) => return (Layout::Tolerant, Vec::new()),
    };
    if texts.is_empty() || MOST_PATTERNS < texts.len() {
        let message = format!("from 1 to {MOST_PATTERNS} patterns are possible");
        problems.add(fields.range.clone(), message, "");
    }
    let compiled = texts.iter().filter_map(|text| compile(text, problems));
    let compiled = compiled.collect();
    let texts = texts.into_iter().map(|text| text.value.to_owned());
    (Layout::Patterns(texts.collect()), compiled)
}

fn shaped(name: &Found<&str>, field: Option<u8>, problems: &mut Problems) -> Layout {
    match Shape::from_name(name.value) {
        Some(shape) => {
            if shape == Shape::Numbers && field.is_none() {
                problems.add(
                    name.range.clone(),
                    "which of the numbers is the weight?",
                    "add `field = 1` for the first",
                );
            }
            let field = field.filter(|_| shape == Shape::Numbers);
            Layout::Shape(shape, field.unwrap_or(1))
        }
        None => {
            let help = suggestion(name.value, &Shape::ALL.map(Shape::name));
            let message = format!("`{}` is not a shape", name.value);
            problems.add(name.range.clone(), message, &help);
            Layout::Tolerant
        }
    }
}

fn compile(text: &Found<&str>, problems: &mut Problems) -> Option<Pattern> {
    let pattern = match Pattern::compile(text.value) {
        Ok(pattern) => pattern,
        Err(message) => {
            problems.add(text.range.clone(), message, "");
            return None;
        }
    };
    for group in pattern.groups().filter(|name| !GROUPS.contains(name)) {
        let help = suggestion(group, &GROUPS);
        let message = format!("`{group}` is not the name of a group");
        problems.add(text.range.clone(), message, &help);
    }
    let tells = |name: &str| pattern.groups().any(|group| group == name);
    if !tells("weight") && !tells("state") && !tells("tare") {
        problems.add(
            text.range.clone(),
            "the pattern finds no weight",
            r"name a group, for example `(?<weight>[-+\d.]+)`",
        );
    }
    Some(pattern)
}

pub(super) fn byte(
    fields: &Fields<'_>,
    key: &str,
    allowed: std::ops::RangeInclusive<u32>,
    problems: &mut Problems,
) -> Option<u8> {
    let number = fields.whole(key, &allowed, problems)?;
    u8::try_from(number).ok()
}

fn unit(fields: &Fields<'_>, problems: &mut Problems) -> Option<MassUnit> {
    let parse = |text: &str| text.parse::<MassUnit>().map_err(|error| error.to_string());
    fields
        .parsed("unit", parse, problems)
        .map(|found| found.value)
}

fn mass(fields: &Fields<'_>, key: &str, problems: &mut Problems) -> Option<Mass> {
    let parse = |text: &str| match text.parse::<Mass>() {
        Ok(mass) if Mass::ZERO < mass => Ok(mass),
        Ok(_) => Err("more than nothing is needed".to_owned()),
        Err(error) => Err(error.to_string()),
    };
    fields.parsed(key, parse, problems).map(|found| found.value)
}

fn duration(fields: &Fields<'_>, key: &str, problems: &mut Problems) -> Option<Duration> {
    let found = fields.parsed(key, parse_duration, problems);
    found.map(|found| found.value)
}

fn overload(fields: &Fields<'_>, settings: &mut Settings, problems: &mut Problems) {
    let choices = [("told", Overload::Told), ("zero", Overload::Zero)];
    let Some(overload) = fields.choice("overload", &choices, problems) else {
        return;
    };
    settings.overload = overload;
    if overload == Overload::Zero && settings.capacity.is_none() {
        let range = fields.text("overload", problems).map(|found| found.range);
        problems.add(
            range.unwrap_or(0..0),
            "`overload = \"zero\"` needs the capacity",
            "add for example `capacity = \"3 kg\"`",
        );
    }
}

fn framing(fields: &Fields<'_>, problems: &mut Problems) -> Option<Framing> {
    const KEYS: [&str; 5] = ["ends", "start", "starts", "length", "after"];
    let frame = fields.table("frame", &KEYS, problems)?;
    let one = |text: &str| match parse_bytes(text)?.as_slice() {
        &[byte] => Ok(byte),
        _ => Err("one byte is needed, such as '\\x02'".to_owned()),
    };
    let start = frame.parsed("start", one, problems);
    let starts = frame.parsed("starts", parse_bytes, problems);
    let limit = u32::try_from(Raw::LIMIT).unwrap_or(u32::MAX);
    let length = frame.whole("length", &(2..=limit), problems);
    let after = byte(&frame, "after", 0..=8, problems);
    let ends = match frame.text("ends", problems) {
        Some(found) => match found.value {
            "any" => Some(Framing::Tolerant),
            "silence" => Some(Framing::Silence),
            "line" | "\r\n" | "\\r\\n" => Some(Framing::Lines),
            _ => frame
                .parsed("ends", one, problems)
                .map(|found| Framing::EndByte(found.value)),
        },
        None => None,
    };
    match (start, starts, length, after, ends) {
        (None, None, None, None, Some(ends)) => Some(ends),
        (Some(start), None, None, after, Some(Framing::EndByte(end))) => {
            if start.value == end {
                problems.add(start.range, "start and end are the same byte", "");
            }
            Some(Framing::Enclosed {
                start: start.value,
                end,
                after: after.unwrap_or(0),
            })
        }
        (None, Some(starts), Some(length), None, None) => {
            usize::try_from(length).ok().map(|length| Framing::Fixed {
                starts: starts.value,
                length,
            })
        }
        _ => {
            problems.add(
                frame.range.clone(),
                "this does not say how a frame begins and ends",
                "give `ends` alone, `start` and `ends`, or `starts` and `length`",
            );
            None
        }
    }
}

fn states(fields: &Fields<'_>, problems: &mut Problems) -> States {
    let keys = States::default().lists().map(|(key, _, _)| key);
    let Some(table) = fields.table("states", &keys, problems) else {
        return States::default();
    };
    let mut seen: Vec<&str> = Vec::new();
    let mut words = |key: &str| {
        let mut words = Vec::new();
        for word in table.texts(key, problems).unwrap_or_default() {
            let text = word.value.trim();
            if text.is_empty() || seen.contains(&text) {
                let help = "each word stands once, and blanks around it do not count";
                problems.add(word.range, format!("`{text}` cannot tell a state"), help);
            }
            seen.push(text);
            words.push(text.to_owned());
        }
        words
    };
    States {
        stable: words("stable"),
        moving: words("moving"),
        over: words("over"),
        under: words("under"),
        fault: words("fault"),
        blank: words("blank"),
        gross: words("gross"),
        net: words("net"),
    }
}

fn check(fields: &Fields<'_>, problems: &mut Problems) -> Option<Check> {
    let table = fields.table("check", &["rule", "from", "written"], problems)?;
    let forms = [
        ("hex", Written::Hex),
        ("nibbles", Written::Nibbles),
        ("byte", Written::Byte),
        ("seven-bits", Written::SevenBits),
    ];
    let rule = needed(&table, "rule", problems)
        .and_then(|()| table.choice("rule", &Rule::NAMES, problems));
    let written = needed(&table, "written", problems)
        .and_then(|()| table.choice("written", &forms, problems));
    let from = byte(&table, "from", 0..=255, problems);
    Some(Check {
        rule: rule?,
        from: from.unwrap_or(0),
        written: written?,
    })
}

fn poll(fields: &Fields<'_>, problems: &mut Problems) -> Option<Poll> {
    let table = fields.table("poll", &["send", "every"], problems)?;
    let send =
        needed(&table, "send", problems).and_then(|()| table.parsed("send", parse_bytes, problems));
    let every = duration(&table, "every", problems).unwrap_or(Duration::from_millis(200));
    if every < Duration::from_millis(10) {
        let range = table.text("every", problems).map(|found| found.range);
        let range = range.unwrap_or(table.range);
        problems.add(
            range,
            "no scale answers that often",
            "write `200 ms` or more",
        );
    }
    Some(Poll {
        send: send?.value,
        every,
    })
}

fn serial(fields: &Fields<'_>, problems: &mut Problems) -> Option<Serial> {
    let table = fields.table("serial", &["speed", "data", "parity", "stop"], problems)?;
    let parities = [
        ("none", Parity::None),
        ("even", Parity::Even),
        ("odd", Parity::Odd),
    ];
    let speed = table.whole("speed", &(50..=4_000_000), problems);
    let data = match table.whole("data", &(7..=8), problems) {
        Some(7) => DataBits::Seven,
        _ => DataBits::Eight,
    };
    let stop = match table.whole("stop", &(1..=2), problems) {
        Some(2) => StopBits::Two,
        _ => StopBits::One,
    };
    let parity = table.choice("parity", &parities, problems);
    Some(Serial {
        speed: speed.unwrap_or(9_600),
        data,
        parity: parity.unwrap_or(Parity::None),
        stop,
    })
}

pub(super) fn needed(table: &Fields<'_>, key: &str, problems: &mut Problems) -> Option<()> {
    if table.has(key) {
        return Some(());
    }
    problems.add(table.range.clone(), format!("`{key}` is missing"), "");
    None
}
