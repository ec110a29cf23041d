//! `tarehand scales`: what is attached and how it is doing.

mod bench;
mod page;
mod radio;

use clap::Args;
use tarehand_protocol::api::ScaleList;

use super::Place;
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::service;
use crate::words::shown;

const EXAMPLES: &str = "\
Examples:
  tarehand scales
  tarehand scales --json";

/// Lists ports that may have a scale, what Bluetooth hears, and the scales that are being read.
///
/// Listening takes a few seconds. A radio that is switched off stays off.
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
    let mut list: ScaleList = client.get("/v1/scales").await?;
    list.radio = Some(client.get("/v1/scales/radio").await?);
    if args.json {
        output.json(&list)?;
        return Ok(Exit::Done);
    }
    output.data(page::page(&list))?;
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
