//! `tarehand scales`: what is attached and how it is doing.

use clap::{Args, Subcommand};
use tarehand_protocol::api::{RadioLine, RadioList, ScaleList, ScaleWord};

use super::{Place, teach};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::service;
use crate::words::{Column, exact_grams, shown, table, weight_state};

const EXAMPLES: &str = "\
Examples:
  tarehand scales
  tarehand scales --json
  tarehand scales teach --port /dev/ttyUSB0    learn a scale that nobody described";

/// Lists ports that may have a scale, what Bluetooth hears, and the scales that are being read.
///
/// Listening takes a few seconds. A radio that is switched off stays off.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct ScalesArgs {
    #[command(subcommand)]
    command: Option<ScalesCommand>,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Subcommand)]
enum ScalesCommand {
    /// Learn how a scale speaks from known weights, and write its profile
    Teach(Box<teach::TeachArgs>),
}

/// Lists the scales.
pub(crate) async fn run(
    args: &ScalesArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    if let Some(ScalesCommand::Teach(args)) = &args.command {
        return teach::run(args, place, output).await;
    }
    let client = service::ensure(&place.folders).await?;
    let mut list: ScaleList = client.get("/v1/scales").await?;
    list.radio = Some(client.get("/v1/scales/radio").await?);
    if args.json {
        output.json(&list)?;
        return Ok(Exit::Done);
    }
    output.data(page(&list))?;
    let free = list.ports.iter().find(|port| port.bench.is_none());
    let heard = list.radio.iter().flat_map(|radio| &radio.devices);
    let mut heard = heard.filter(|device| device.in_reach && device.known_as.is_some());
    match (list.scales.first(), free, heard.next()) {
        (None, Some(port), _) => {
            output.suggest(format_args!("tarehand watch --port {}", shown(&port.path)));
        }
        (None, None, Some(device)) => {
            output.suggest(format_args!(
                "tarehand watch --radio {}",
                shown(&device.address)
            ));
        }
        (None, None, None) => {
            output.suggest("plug a scale in and ask again, or `tarehand rehearse`")
        }
        (Some(_), _, _) => output.suggest("tarehand mix RECIPE"),
    }
    Ok(Exit::Done)
}

fn page(list: &ScaleList) -> String {
    let mut parts = Vec::new();
    if list.ports.is_empty() {
        parts.push("no port that may have a scale".to_owned());
    } else {
        let rows: Vec<Vec<String>> = list
            .ports
            .iter()
            .map(|port| {
                let bench = port.bench.as_ref().map(|bench| format!("read by {bench}"));
                let state = match &port.hint {
                    Some(hint) => format!("{}: {hint}", port.state),
                    None => port.state.clone(),
                };
                let product = port.product.as_deref().unwrap_or("–");
                [
                    &port.path,
                    product,
                    &state,
                    bench.as_deref().unwrap_or_default(),
                ]
                .map(|cell| shown(cell).into_owned())
                .into()
            })
            .collect();
        parts.push(format!("Ports\n{}", table(&[Column::Left; 4], &rows)));
    }
    if let Some(radio) = &list.radio {
        parts.push(by_radio(radio));
    }
    for bench in &list.scales {
        let scale = &bench.scale;
        let mut lines = vec![format!(
            "{}{}: {}, read as {}",
            shown(&bench.bench),
            match bench.which {
                ScaleWord::Main => "",
                ScaleWord::Fine => ", the finer scale",
            },
            shown(&scale.device),
            shown(&scale.read_as)
        )];
        if let Some(trouble) = &scale.trouble {
            let hint = scale.hint.as_ref().map(|hint| format!(": {}", shown(hint)));
            lines.push(format!(
                "  ! {}{}",
                shown(trouble),
                hint.unwrap_or_default()
            ));
        }
        if let Some(remark) = &scale.remark {
            lines.push(format!("  {}", shown(remark)));
        }
        if let Some(percent) = scale.battery_percent {
            lines.push(format!("  battery {percent} %"));
        }
        if let Some(division) = scale.division_g {
            let how = if scale.division_estimated {
                ", seen in its readings"
            } else {
                ""
            };
            lines.push(format!("  division {} g{how}", exact_grams(division)));
        }
        if let Some(capacity) = scale.capacity_g {
            lines.push(format!("  capacity {} g", exact_grams(capacity)));
        }
        if let Some(rate) = scale.rate_hz {
            lines.push(format!("  {rate:.1} readings a second"));
        }
        if let Some(reading) = &bench.reading {
            let weight = reading
                .gross_g
                .map(|gross| format!("{} g, ", exact_grams(gross)));
            lines.push(format!(
                "  now {}{}",
                weight.unwrap_or_default(),
                weight_state(reading.state)
            ));
        }
        parts.push(lines.join("\n"));
    }
    parts.join("\n\n")
}

fn by_radio(radio: &RadioList) -> String {
    let mut lines = match &radio.trouble {
        Some(trouble) => {
            let hint = radio.hint.as_ref().map(|hint| format!(": {}", shown(hint)));
            vec![format!(
                "By radio\n  ! {}{}",
                shown(trouble),
                hint.unwrap_or_default()
            )]
        }
        None if radio.devices.is_empty() => {
            return "By radio\n  no scale in reach: press a key of it to wake it".to_owned();
        }
        None => vec!["By radio".to_owned()],
    };
    let rows: Vec<Vec<String>> = radio.devices.iter().map(radio_row).collect();
    if !rows.is_empty() {
        lines.push(table(&[Column::Left; 5], &rows));
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
        insta::assert_snapshot!(by_radio(&list), @r"
        By radio
          AA:BB:CC:00:00:01  pan  -52 dBm                  known as the open Weight Scale Service  battery 80 %
          AA:BB:CC:00:00:02  –    not in reach, or asleep  known as window scale
        ");
        let off = RadioList {
            devices: Vec::new(),
            trouble: Some("the Bluetooth radio is switched off".to_owned()),
            hint: Some("switch Bluetooth on".to_owned()),
        };
        insta::assert_snapshot!(by_radio(&off), @r"
        By radio
          ! the Bluetooth radio is switched off: switch Bluetooth on
        ");
    }
}
