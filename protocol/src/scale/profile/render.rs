//! Writing settings as the text of a profile.

use std::fmt::{self, Write as _};

use super::notation::{render_bytes, render_duration};
use super::render_binary;
use super::settings::{DataBits, Layout, Overload, Reports, Settings, StopBits};
use crate::scale::check::Written;
use crate::scale::frame::Framing;
use crate::scale::parity::Parity;
use crate::scale::sense::{Kind, Mark};
use crate::scale::shapes::Shape;

impl Settings {
    /// Writes the text of a profile that says the same.
    #[must_use]
    pub fn render(&self) -> String {
        let mut text = String::new();
        let written = self.write(&mut text);
        debug_assert!(written.is_ok(), "writing to a string cannot fail");
        text
    }

    fn write(&self, out: &mut String) -> fmt::Result {
        writeln!(out, "name = {}", quoted(&self.name))?;
        writeln!(out, "reports = \"{}\"", reports(self.reports))?;
        match &self.layout {
            Layout::Tolerant => {}
            &Layout::Shape(shape, field) => {
                writeln!(out, "shape = \"{}\"", shape.name())?;
                if shape == Shape::Numbers {
                    writeln!(out, "field = {field}")?;
                }
            }
            Layout::Patterns(patterns) => writeln!(out, "patterns = {}", list(patterns))?,
            // A table of its own, below.
            Layout::Binary(_) => {}
        }
        if let Some(mark) = self.mark {
            let mark = match mark {
                Mark::Point => "point",
                Mark::Comma => "comma",
            };
            writeln!(out, "mark = \"{mark}\"")?;
        }
        if let Some(decimals) = self.decimals {
            writeln!(out, "decimals = {decimals}")?;
        }
        if let Some(unit) = self.unit {
            writeln!(out, "unit = \"{unit}\"")?;
        }
        if let Some(kind) = self.weight {
            let kind = match kind {
                Kind::Gross => "gross",
                Kind::Net => "net",
            };
            writeln!(out, "weight = \"{kind}\"")?;
        }
        if self.overload == Overload::Zero {
            writeln!(out, "overload = \"zero\"")?;
        }
        for (key, mass) in [("division", self.division), ("capacity", self.capacity)] {
            if let Some(mass) = mass {
                writeln!(out, "{key} = \"{mass}\"")?;
            }
        }
        if let Some(lag) = self.lag {
            writeln!(out, "lag = \"{}\"", render_duration(lag))?;
        }
        self.write_tables(out)
    }

    fn write_tables(&self, out: &mut String) -> fmt::Result {
        if let Layout::Binary(binary) = &self.layout {
            render_binary::write(binary, out)?;
        }
        if let Some(framing) = &self.framing {
            write_framing(framing, out)?;
        }
        let lists = self.states.lists();
        if lists.iter().any(|(_, words, _)| !words.is_empty()) {
            writeln!(out, "\n[states]")?;
            for (key, words, _) in lists.iter().filter(|(_, words, _)| !words.is_empty()) {
                writeln!(out, "{key} = {}", list(words))?;
            }
        }
        if let Some(check) = self.check {
            let rule = check.rule.name();
            let written = match check.written {
                Written::Hex => "hex",
                Written::Nibbles => "nibbles",
                Written::Byte => "byte",
                Written::SevenBits => "seven-bits",
            };
            writeln!(out, "\n[check]\nrule = \"{rule}\"\nfrom = {}", check.from)?;
            writeln!(out, "written = \"{written}\"")?;
        }
        if let Some(poll) = &self.poll {
            writeln!(out, "\n[poll]\nsend = '{}'", render_bytes(&poll.send))?;
            writeln!(out, "every = \"{}\"", render_duration(poll.every))?;
        }
        if let Some(serial) = self.serial {
            let data = match serial.data {
                DataBits::Seven => 7,
                DataBits::Eight => 8,
            };
            let parity = match serial.parity {
                Parity::None => "none",
                Parity::Even => "even",
                Parity::Odd => "odd",
            };
            let stop = match serial.stop {
                StopBits::One => 1,
                StopBits::Two => 2,
            };
            writeln!(out, "\n[serial]\nspeed = {}\ndata = {data}", serial.speed)?;
            writeln!(out, "parity = \"{parity}\"\nstop = {stop}")?;
        }
        if let Some(bluetooth) = &self.bluetooth {
            bluetooth.write(out)?;
        }
        Ok(())
    }
}

fn write_framing(framing: &Framing, out: &mut String) -> fmt::Result {
    writeln!(out, "\n[frame]")?;
    match framing {
        Framing::Tolerant => writeln!(out, "ends = \"any\""),
        Framing::Lines => writeln!(out, "ends = \"line\""),
        Framing::Silence => writeln!(out, "ends = \"silence\""),
        &Framing::EndByte(end) => writeln!(out, "ends = '{}'", render_bytes(&[end])),
        &Framing::Enclosed { start, end, after } => {
            writeln!(out, "start = '{}'", render_bytes(&[start]))?;
            writeln!(out, "ends = '{}'\nafter = {after}", render_bytes(&[end]))
        }
        Framing::Fixed { starts, length } => {
            writeln!(out, "starts = '{}'", render_bytes(starts))?;
            writeln!(out, "length = {length}")
        }
    }
}

const fn reports(reports: Reports) -> &'static str {
    match reports {
        Reports::Stream => "stream",
        Reports::OnChange => "on-change",
        Reports::Finished => "finished",
    }
}

pub(super) fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

fn list(texts: &[String]) -> String {
    let quoted: Vec<String> = texts.iter().map(|text| quoted(text)).collect();
    format!("[{}]", quoted.join(", "))
}
