//! Weight and unit, CR, status: between LF and ETX, sent when asked.
//!
//! Pounds and ounces come as `xLB xx.xOZ`; in place of the weight stand `^^^^` for too much,
//! `____` for too little and `----` for a zero that cannot be found. From memory: the status is
//! an optional `S` and two or three bytes of which bits 4 and 5 are set; first byte, bit 0 moving,
//! bits 2–3 memory faults; second byte, bit 0 under, 1 over, 2–3 faults.

use crate::reading::{Motion, NoWeight, Reading};
use crate::scale::figures::Figures;
use crate::scale::sense::{Sense, trim};
use crate::scale::why::Why;
use crate::scale::words;

pub(super) fn read(body: &[u8], sense: &Sense) -> Result<Reading, Why> {
    let at = body
        .iter()
        .position(|&byte| byte == b'\r')
        .ok_or(Why::Unrecognised)?;
    let (line, status) = body.split_at(at);
    let status = trim(status);
    let status = status.strip_prefix(b"S").unwrap_or(status);
    let ([first, second] | [first, second, _]) = status else {
        return Err(Why::Unrecognised);
    };
    if status.iter().any(|byte| byte & 0xb0 != 0x30) {
        return Err(Why::Unrecognised);
    }
    let marked = words::no_weight(line.split(u8::is_ascii_alphabetic).next().unwrap_or(line));
    let state = match (marked, second & 0x0f) {
        (Some(state), _) => Some(state),
        (None, bits) if bits & 0x0c != 0 || first & 0x0c != 0 => Some(NoWeight::Fault),
        (None, bits) if bits & 0x02 != 0 => Some(NoWeight::Over),
        (None, bits) if bits & 0x01 != 0 => Some(NoWeight::Under),
        (None, _) => None,
    };
    match state {
        Some(state) => Ok(Reading::NoWeight(state)),
        None => {
            let motion = if first & 0x01 != 0 {
                Motion::Moving
            } else {
                Motion::Stable
            };
            Figures::of(sense.measured(line)?, motion).reading(sense)
        }
    }
}
