//! `tarehand scales`: what is attached and how it is doing.

mod bench;
mod page;
mod radio;

use clap::{Args, Subcommand};
use tarehand_protocol::api::ScaleList;

use super::{Place, teach};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::service;
use crate::words::shown;

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
    output.data(page::page(&list, output.width()))?;
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
