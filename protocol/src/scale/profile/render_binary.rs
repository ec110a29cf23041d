//! Writing the layout of frames of bits.

use std::fmt::{self, Write as _};

use super::notation::render_bytes;
use crate::mass::MassUnit;
use crate::scale::binary::{
    Binary, Bits, Check, Form, Frames, Order, Place, Scaling, State, UnitField,
};
use crate::scale::exact::Factor;

/// Writes the tables from `[binary]` on.
pub(super) fn write(binary: &Binary, out: &mut String) -> fmt::Result {
    writeln!(out, "\n[binary]\nframes = \"{}\"", frames(binary.frames))?;
    if let Some(length) = binary.length {
        writeln!(out, "length = {length}")?;
    }
    for (key, bytes) in [("start", &binary.start), ("ends", &binary.ends)] {
        if !bytes.is_empty() {
            writeln!(out, "{key} = '{}'", render_bytes(bytes))?;
        }
    }
    for constant in &binary.constants {
        writeln!(out, "\n[[binary.constant]]\nat = {}", constant.at)?;
        writeln!(out, "bytes = '{}'", render_bytes(&constant.bytes))?;
    }
    write_weight(binary, out)?;
    if let Some(unit) = &binary.unit {
        write_unit(unit, out)?;
    }
    if !binary.states.is_empty() {
        write_states(&binary.states, out)?;
    }
    match &binary.check {
        Some(check) => write_check(check, out),
        None => Ok(()),
    }
}

fn write_weight(binary: &Binary, out: &mut String) -> fmt::Result {
    let weight = &binary.weight;
    writeln!(out, "\n[binary.weight]\nat = {}", weight.at)?;
    writeln!(out, "length = {}", weight.length)?;
    writeln!(out, "order = \"{}\"", order(weight.order))?;
    let form = Form::NAMES.iter().find(|&&(_, form)| form == weight.form);
    if let Some((name, _)) = form {
        writeln!(out, "form = \"{name}\"")?;
    }
    if let Some(minus) = weight.minus {
        writeln!(out, "minus = {}", bits(minus))?;
    }
    match binary.scaling {
        Scaling::Factor(Factor::ONE) => {}
        Scaling::Factor(factor) => writeln!(out, "factor = \"{factor}\"")?,
        Scaling::Exponent { at } => writeln!(out, "exponent = {{ at = {at} }}")?,
        Scaling::Decimals { at, mask, none } => {
            writeln!(
                out,
                "decimals = {{ at = {at}, mask = {mask:#04x}, none = {none} }}"
            )?;
        }
    }
    for (key, mass) in [("at_least", binary.at_least), ("at_most", binary.at_most)] {
        if let Some(mass) = mass {
            writeln!(out, "{key} = \"{mass}\"")?;
        }
    }
    Ok(())
}

fn write_unit(field: &UnitField, out: &mut String) -> fmt::Result {
    writeln!(
        out,
        "\n[binary.unit]\nat = {}\nmask = {:#04x}",
        field.at, field.mask
    )?;
    for unit in MassUnit::ALL {
        let values = field.units.iter().filter(|&&(_, known)| known == unit);
        let values: Vec<String> = values.map(|(value, _)| format!("{value:#04x}")).collect();
        if !values.is_empty() {
            writeln!(out, "{unit} = [{}]", values.join(", "))?;
        }
    }
    Ok(())
}

fn write_states(states: &[(State, Bits)], out: &mut String) -> fmt::Result {
    writeln!(out, "\n[binary.states]")?;
    for (name, state) in State::NAMES {
        let told = states.iter().filter(|&&(known, _)| known == state);
        let told: Vec<String> = told.map(|&(_, told)| bits(told)).collect();
        if !told.is_empty() {
            writeln!(out, "{name} = [{}]", told.join(", "))?;
        }
    }
    Ok(())
}

fn write_check(check: &Check, out: &mut String) -> fmt::Result {
    writeln!(out, "\n[binary.check]\nrule = \"{}\"", check.rule.name())?;
    writeln!(out, "at = {}\nfrom = {}", place(check.at), check.from)?;
    writeln!(out, "until = {}", place(check.until))?;
    if check.length() == 2 {
        writeln!(out, "order = \"{}\"", order(check.order))?;
    }
    Ok(())
}

fn bits(bits: Bits) -> String {
    let Bits { at, mask, is } = bits;
    format!("{{ at = {at}, mask = {mask:#04x}, is = {is:#04x} }}")
}

fn place(place: Place) -> String {
    match place {
        Place::FromStart(at) => at.to_string(),
        Place::FromEnd(back) => format!("-{back}"),
    }
}

const fn order(order: Order) -> &'static str {
    match order {
        Order::Little => "little",
        Order::Big => "big",
    }
}

const fn frames(frames: Frames) -> &'static str {
    match frames {
        Frames::Stream => "stream",
        Frames::Packets => "packets",
        Frames::Silence => "silence",
    }
}
