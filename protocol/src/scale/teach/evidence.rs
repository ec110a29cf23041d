//! What speaks for a candidate, in a person's words.

use super::framing::Cut;
use super::lesson::{Lesson, Pan};
use super::numbers::Fit;
use crate::scale::binary::{Binary, Form, Order, Place, Scaling, State};
use crate::scale::profile::{Layout, Settings};

/// Tells what a layout of bits rests on.
pub(super) fn of_bits(settings: &Settings, fit: &Fit, cut: &Cut, lesson: &Lesson) -> Vec<String> {
    let Layout::Binary(binary) = &settings.layout else {
        return Vec::new();
    };
    let mut lines = vec![
        format!(
            "{} frames of {} bytes, {} of all that came",
            cut.frames.len(),
            cut.length,
            percent(cut.share)
        ),
        format!("the weight: {}", number(binary)),
    ];
    lines.push(match binary.scaling {
        Scaling::Factor(factor) => format!(
            "the factor is taken to be {factor}, the plain one that fits; the weights are then off by {} at most",
            percent(fit.off)
        ),
        Scaling::Exponent { at } => format!("byte {at} shifts the decimal point"),
        Scaling::Decimals { at, .. } => format!("byte {at} tells the decimals"),
    });
    lines.push(format!(
        "{} of the frames show what stood on the pan; {} leap away from their neighbours",
        percent(fit.shown),
        percent(fit.spikes)
    ));
    if let Some(check) = &binary.check {
        let place = |place: Place| match place {
            Place::FromStart(at) => at.to_string(),
            Place::FromEnd(back) => format!("-{back}"),
        };
        lines.push(format!(
            "the check {} at {} over the bytes {} to before {}",
            check.rule.name(),
            place(check.at),
            check.from,
            place(check.until)
        ));
    }
    if let Some((_, bits)) = binary
        .states
        .iter()
        .find(|(state, _)| *state == State::Stable)
    {
        lines.push(format!(
            "in byte {} the bits {:#04x} are {:#04x} while the weight stands, and otherwise while it moves",
            bits.at, bits.mask, bits.is
        ));
    } else {
        lines.push("no bit was seen to go with a moving weight".to_owned());
    }
    if binary.unit.is_some()
        || binary
            .states
            .iter()
            .any(|(state, _)| *state == State::Fault)
    {
        lines.push(
            "bits that were never seen to change are held to what they were: with others the frame is no weight"
                .to_owned(),
        );
    }
    if !lesson.spans.contains(&Pan::Lifted) {
        lines.push(
            "nothing below zero was shown: what is below what was seen is not believed".to_owned(),
        );
    }
    lines
}

fn number(binary: &Binary) -> String {
    let weight = &binary.weight;
    let form = match weight.form {
        Form::Unsigned => "a whole number",
        Form::Signed => "a whole number in two's complement",
        Form::SignMagnitude => "a whole number with a sign bit",
        Form::Bcd => "decimal digits, two in a byte",
        Form::Medical => "an IEEE 11073 float",
        Form::Float => "an IEEE 754 float",
    };
    let order = match (weight.length, weight.order) {
        (1, _) => "",
        (_, Order::Little) => ", the least byte first",
        (_, Order::Big) => ", the greatest byte first",
    };
    let minus = match weight.minus {
        None => String::new(),
        Some(bits) => format!(
            ", minus when the bits {:#04x} of byte {} are {:#04x}",
            bits.mask, bits.at, bits.is
        ),
    };
    format!(
        "{form} of {} bytes from byte {}{order}{minus}",
        weight.length, weight.at
    )
}

pub(super) fn percent(share: f64) -> String {
    format!("{:.1} %", share * 100.0)
}
