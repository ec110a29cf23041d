//! How a scale is heard by radio: the table `[bluetooth]` of a profile.

use std::fmt;
use std::str::FromStr;
use std::time::Duration;

use super::fields::{Fields, Found, Problems};
use super::notation::{parse_bytes, parse_duration, render_bytes, render_duration};

/// What a profile says of a scale on Bluetooth LE.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bluetooth {
    /// What the scale calls itself when it is looked for.
    pub name: Option<String>,
    /// Where the weight is.
    pub source: Source,
}

/// Where the weight is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// In the notifications or indications of a characteristic.
    Characteristic(Notified),
    /// In what the scale calls out to everybody, under the number of a company.
    Manufacturer(u16),
    /// In what the scale calls out to everybody, under the number of a service.
    ServiceData(Uuid),
}

/// A characteristic that tells the weight.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notified {
    /// The service it belongs to.
    pub service: Uuid,
    /// The characteristic.
    pub characteristic: Uuid,
    /// What must be written before the scale speaks.
    pub start: Option<Start>,
}

/// What is written after subscribing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Start {
    /// The bytes.
    pub send: Vec<u8>,
    /// The characteristic they are written to.
    pub to: Uuid,
    /// How often they are written again.
    pub every: Option<Duration>,
}

/// The number of a service or characteristic.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Uuid(u128);

/// The base that short numbers stand for: Bluetooth Core Specification, Vol 3, Part B, 2.5.1.
const BASE: u128 = 0x0000_0000_0000_1000_8000_0080_5f9b_34fb;

impl Uuid {
    /// Returns the number that an assigned short number stands for.
    #[must_use]
    pub const fn assigned(short: u16) -> Self {
        Self(((short as u128) << 96) | BASE)
    }

    /// Makes it from its 128 bits.
    #[must_use]
    pub const fn from_bits(bits: u128) -> Self {
        Self(bits)
    }

    /// Returns its 128 bits.
    #[must_use]
    pub const fn bits(self) -> u128 {
        self.0
    }
}

/// Why a text is not the number of a service or characteristic.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is neither a short number such as `181d` nor a long one of 8-4-4-4-12 digits")]
pub struct ParseUuidError(String);

impl FromStr for Uuid {
    type Err = ParseUuidError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        parse_uuid(text.trim()).ok_or_else(|| ParseUuidError(text.to_owned()))
    }
}

fn parse_uuid(text: &str) -> Option<Uuid> {
    let short = text.strip_prefix("0x").unwrap_or(text);
    let digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_hexdigit());
    if short.len() == 4 && digits(short) {
        return u16::from_str_radix(short, 16).ok().map(Uuid::assigned);
    }
    let parts: Vec<&str> = text.split('-').collect();
    let lengths: Vec<usize> = parts.iter().map(|part| part.len()).collect();
    if lengths != [8, 4, 4, 4, 12] || !parts.iter().all(|part| digits(part)) {
        return None;
    }
    u128::from_str_radix(&parts.concat(), 16).ok().map(Uuid)
}

impl fmt::Display for Uuid {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let short = u16::try_from(self.0 >> 96).ok();
        match short.filter(|&short| Self::assigned(short) == *self) {
            Some(short) => write!(f, "{short:04x}"),
            None => {
                let digits = format!("{:032x}", self.0);
                let cut = |from, to| digits.get(from..to).unwrap_or_default();
                let (a, b, c) = (cut(0, 8), cut(8, 12), cut(12, 16));
                write!(f, "{a}-{b}-{c}-{}-{}", cut(16, 20), cut(20, 32))
            }
        }
    }
}

const KEYS: [&str; 8] = [
    "name",
    "service",
    "characteristic",
    "start",
    "to",
    "every",
    "manufacturer",
    "service-data",
];

/// Reads the table.
pub(super) fn read(fields: &Fields<'_>, problems: &mut Problems) -> Option<Bluetooth> {
    let table = fields.table("bluetooth", &KEYS, problems)?;
    let name = table.text("name", problems).map(|found| {
        if found.value.trim().is_empty() {
            problems.add(found.range, "the name is empty", "");
        }
        found.value.to_owned()
    });
    let uuid = |key: &str, problems: &mut Problems| {
        let parse = |text: &str| text.parse::<Uuid>().map_err(|error| error.to_string());
        table
            .parsed(key, parse, problems)
            .map(|found: Found<Uuid>| found.value)
    };
    let service = uuid("service", problems);
    let characteristic = uuid("characteristic", problems);
    let to = uuid("to", problems);
    let data = uuid("service-data", problems);
    let company = table.whole("manufacturer", &(0..=0xffff), problems);
    let company = company.and_then(|company| u16::try_from(company).ok());
    let start = table.parsed("start", parse_bytes, problems);
    let every = table.parsed("every", parse_duration, problems);
    if let Some(every) = &every
        && every.value < Duration::from_millis(50)
    {
        let help = "write `1 s` or more";
        problems.add(every.range.clone(), "no scale needs it that often", help);
    }
    let written = ["start", "to", "every"]
        .into_iter()
        .find(|key| table.has(key));
    let source = match (service, characteristic, company, data) {
        (Some(service), Some(characteristic), None, None) => {
            if start.is_none() && written.is_some() {
                problems.add(
                    table.range.clone(),
                    "`to` and `every` say where and how often `start` is written, but it is missing",
                    r"add for example `start = '\x01'`",
                );
            }
            Source::Characteristic(Notified {
                service,
                characteristic,
                start: start.map(|start| Start {
                    send: start.value,
                    to: to.unwrap_or(characteristic),
                    every: every.map(|every| every.value),
                }),
            })
        }
        (None, None, Some(company), None) => Source::Manufacturer(company),
        (None, None, None, Some(data)) => Source::ServiceData(data),
        _ => {
            // A number that could not be read was told already.
            let keys = ["service", "characteristic", "manufacturer", "service-data"];
            let said = keys.map(|key| table.has(key));
            if !matches!(
                said,
                [true, true, false, false]
                    | [false, false, true, false]
                    | [false, false, false, true]
            ) {
                problems.add(
                    table.range.clone(),
                    "this does not say where the weight is",
                    "give `service` and `characteristic`, or `manufacturer`, or `service-data`",
                );
            }
            return None;
        }
    };
    if let (Some(key), Source::Manufacturer(_) | Source::ServiceData(_)) = (written, &source) {
        let message = format!("`{key}` is for a scale that is connected to");
        problems.add(table.range.clone(), message, "leave it out");
    }
    Some(Bluetooth { name, source })
}

impl Bluetooth {
    /// Writes the table.
    pub(super) fn write(&self, out: &mut String) -> fmt::Result {
        use std::fmt::Write as _;
        writeln!(out, "\n[bluetooth]")?;
        if let Some(name) = &self.name {
            writeln!(out, "name = {}", super::render::quoted(name))?;
        }
        match &self.source {
            Source::Manufacturer(company) => writeln!(out, "manufacturer = 0x{company:04x}"),
            Source::ServiceData(service) => writeln!(out, "service-data = \"{service}\""),
            Source::Characteristic(notified) => {
                writeln!(out, "service = \"{}\"", notified.service)?;
                writeln!(out, "characteristic = \"{}\"", notified.characteristic)?;
                let Some(start) = &notified.start else {
                    return Ok(());
                };
                writeln!(out, "start = '{}'", render_bytes(&start.send))?;
                writeln!(out, "to = \"{}\"", start.to)?;
                match start.every {
                    Some(every) => writeln!(out, "every = \"{}\"", render_duration(every)),
                    None => Ok(()),
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Profile;
    use super::*;

    fn profile(table: &str) -> Result<Profile, Vec<super::super::Problem>> {
        Profile::parse(&format!("name = \"by radio\"\n[bluetooth]\n{table}"))
    }

    #[track_caller]
    fn wrong(table: &str) -> String {
        profile(table).unwrap_err()[0].message.clone()
    }

    // 0x181D and 0x2A9D: Bluetooth Assigned Numbers, 3.4 and 3.8.
    #[test]
    fn a_short_number_stands_for_the_long_one() {
        let long: Uuid = "0000181d-0000-1000-8000-00805f9b34fb".parse().unwrap();
        assert_eq!(long, Uuid::assigned(0x181d));
        assert_eq!(long.to_string(), "181d");
        let own = "6f1d9a40-52c7-4be3-9a18-c3d07e5b21f4";
        assert_eq!(own.parse::<Uuid>().unwrap().to_string(), own);
        for text in [
            "",
            "181",
            "181dd",
            "181g",
            "6f1d9a40-52c7-4be3-9a18",
            "é81d",
        ] {
            assert!(text.parse::<Uuid>().is_err(), "{text}");
        }
    }

    #[test]
    fn each_way_of_the_weight_reads_back_as_written() {
        for table in [
            "name = \"pan\"\nservice = \"181d\"\ncharacteristic = \"2a9d\"\n",
            "service = \"fff0\"\ncharacteristic = \"fff1\"\nstart = '\\x01\\x02'\nto = \"fff2\"\nevery = \"2 s\"\n",
            "manufacturer = 0xffff\n",
            "service-data = \"181d\"\n",
        ] {
            let read = profile(table).unwrap();
            assert!(read.settings().bluetooth.is_some());
            assert_eq!(Profile::from_settings(read.settings()).unwrap(), read);
        }
    }

    #[test]
    fn a_table_that_does_not_say_where_the_weight_is_is_refused() {
        for table in [
            "name = \"pan\"\n",
            "service = \"181d\"\n",
            "manufacturer = 1\nservice-data = \"181d\"\n",
        ] {
            assert_eq!(wrong(table), "this does not say where the weight is");
        }
        assert!(wrong("manufacturer = 1\nstart = 'x'\n").contains("`start` is for"));
        assert!(
            wrong("service = \"181d\"\ncharacteristic = \"2a9d\"\nevery = \"1 s\"\n")
                .contains("missing")
        );
        assert!(wrong("service = \"xyz\"\ncharacteristic = \"2a9d\"\n").contains("neither"));
    }
}
