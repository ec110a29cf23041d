//! What Bluetooth hears.

use tarehand_protocol::api::{RadioLine, RadioList};

use super::page::said;
use crate::words::{Column, Width, shown, table};

pub(super) fn by_radio(radio: &RadioList, width: Width) -> String {
    let mut lines = match &radio.trouble {
        Some(trouble) => vec![format!(
            "By radio\n{}",
            said(trouble, radio.hint.as_deref())
        )],
        None if radio.devices.is_empty() => {
            return "By radio\n  no scale in reach: press a key of it to wake it".to_owned();
        }
        None => vec!["By radio".to_owned()],
    };
    let rows: Vec<Vec<String>> = radio.devices.iter().map(radio_row).collect();
    if !rows.is_empty() {
        let words = Column::Prose;
        let columns = [Column::Left, Column::Name, words, words, words];
        lines.push(table(&columns, &rows, width));
    }
    lines.join("\n")
}

fn radio_row(device: &RadioLine) -> Vec<String> {
    let reach = match (device.signal_dbm, device.in_reach) {
        (Some(signal), _) => format!("{signal} dBm"),
        (None, true) => "connected".to_owned(),
        (None, false) => "not in reach, or asleep".to_owned(),
    };
    let known = match &device.known_as {
        Some(known) => format!("known as {known}"),
        None => "not known to be a scale".to_owned(),
    };
    let bench = device
        .bench
        .as_ref()
        .map(|bench| format!("read by {bench}"));
    let battery = device
        .battery_percent
        .map(|percent| format!("battery {percent} %"));
    let last: Vec<String> = bench.into_iter().chain(battery).collect();
    let name = device.name.as_deref().unwrap_or("–");
    [&device.address, name, &reach, &known, &last.join(", ")]
        .map(|cell| shown(cell).into_owned())
        .into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_bluetooth_hears_is_listed_with_its_signal_and_how_it_is_read() {
        let scale = RadioLine {
            address: "AA:BB:CC:00:00:01".to_owned(),
            adapter: None,
            name: Some("pan".to_owned()),
            signal_dbm: Some(-52),
            in_reach: true,
            known_as: Some("the open Weight Scale Service".to_owned()),
            battery_percent: Some(80),
            bench: None,
        };
        let far = RadioLine {
            address: "AA:BB:CC:00:00:02".to_owned(),
            name: None,
            signal_dbm: None,
            in_reach: false,
            known_as: Some("window scale".to_owned()),
            battery_percent: None,
            ..scale.clone()
        };
        let list = RadioList {
            devices: vec![scale, far],
            trouble: None,
            hint: None,
        };
        insta::assert_snapshot!(by_radio(&list, Width::Full), @r"
        By radio
          AA:BB:CC:00:00:01  pan  -52 dBm                  known as the open Weight Scale Service  battery 80 %
          AA:BB:CC:00:00:02  –    not in reach, or asleep  known as window scale
        ");
        let off = RadioList {
            devices: Vec::new(),
            trouble: Some("the Bluetooth radio is switched off".to_owned()),
            hint: Some("switch Bluetooth on".to_owned()),
        };
        insta::assert_snapshot!(by_radio(&off, Width::Full), @r"
        By radio
          ! the Bluetooth radio is switched off: switch Bluetooth on
        ");
    }
}
