//! `tarehand scales`: what is attached and how it is doing.

use clap::Args;
use tarehand_protocol::api::{ScaleList, ScaleWord};

use super::Place;
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::service;
use crate::words::{Column, exact_grams, shown, table, weight_state};

const EXAMPLES: &str = "\
Examples:
  tarehand scales
  tarehand scales --json";

/// Lists ports that may have a scale, and the scales that are being read.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct ScalesArgs {
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

/// Lists the scales.
pub(crate) async fn run(
    args: &ScalesArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let client = service::ensure(&place.folders).await?;
    let list: ScaleList = client.get("/v1/scales").await?;
    if args.json {
        output.json(&list)?;
        return Ok(Exit::Done);
    }
    output.data(page(&list))?;
    let free = list.ports.iter().find(|port| port.bench.is_none());
    match (list.scales.first(), free) {
        (None, Some(port)) => {
            output.suggest(format_args!("tarehand watch --port {}", shown(&port.path)));
        }
        (None, None) => output.suggest("plug a scale in and ask again, or `tarehand rehearse`"),
        (Some(_), _) => output.suggest("tarehand mix RECIPE"),
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
