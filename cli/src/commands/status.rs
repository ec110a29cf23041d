//! `tarehand status`: what the service is doing.

use clap::Args;
use tarehand_protocol::api::{JarOnPan, KnownJar, Status};

use super::Place;
use crate::client::{Client, ClientError, segment};
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::words::{Column, Width, shown, state, table};

const EXAMPLES: &str = "\
Examples:
  tarehand status
  tarehand status --json";

/// Shows whether the service runs and what is on its benches; starts nothing.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct StatusArgs {
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

/// Shows the state of the service.
pub(crate) async fn run(
    args: &StatusArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let client = Client::new(&place.folders.socket());
    let status = match client.status().await {
        Ok(status) => status,
        Err(ClientError::NotRunning) if !args.json => {
            output.data("the service is not running; it is started when it is needed")?;
            output.suggest("tarehand mix RECIPE, or tarehand rehearse");
            return Ok(Exit::Unavailable);
        }
        Err(error) => return Err(error.into()),
    };
    if args.json {
        output.json(&status)?;
        return Ok(Exit::Done);
    }
    output.data(page(&status, output.width()))?;
    for bench in status.benches.iter().filter(|bench| bench.scale.is_some()) {
        if let Some(line) = on_pan(&client, &bench.name).await {
            output.data(line)?;
        }
    }
    let batch = status.benches.iter().find(|bench| bench.batch.is_some());
    match batch {
        Some(bench) => output.suggest(format_args!("tarehand mix --bench {}", shown(&bench.name))),
        None => output.suggest("tarehand mix RECIPE"),
    }
    Ok(Exit::Done)
}

/// Says which finished jar stands on the pan, where one does and nothing is being made.
async fn on_pan(client: &Client, bench: &str) -> Option<String> {
    let path = format!("/v1/benches/{}/jar", segment(bench));
    // A bench at which a batch is made has no finished jar to tell of.
    let answer: JarOnPan = client.get(&path).await.ok()?;
    let name = |jar: &KnownJar| format!("{}, {}", shown(&jar.recipe), shown(&jar.mark));
    let names: Vec<String> = answer.fits.iter().map(name).collect();
    match names.as_slice() {
        [] => None,
        [one] => Some(format!("{}: on the pan is the jar of {one}", shown(bench))),
        several => Some(format!(
            "{}: on the pan is the jar of {}: they weigh too much alike",
            shown(bench),
            several.join(" or ")
        )),
    }
}

fn page(status: &Status, width: Width) -> String {
    let mut text = format!(
        "service {} runs as process {}, API {}\nlog {}",
        shown(&status.version),
        status.pid,
        status.api,
        shown(&status.log)
    );
    let rows: Vec<Vec<String>> = status
        .benches
        .iter()
        .map(|bench| {
            let scale = bench.scale.as_deref().unwrap_or("no scale");
            let scale = match &bench.fine_scale {
                Some(fine) => format!("{scale}, finer: {fine}"),
                None => scale.to_owned(),
            };
            [
                bench.name.as_str(),
                scale.as_str(),
                bench.batch.as_deref().unwrap_or("no batch"),
                bench.recipe.as_deref().unwrap_or_default(),
                state(bench.state),
            ]
            .map(|cell| shown(cell).into_owned())
            .into()
        })
        .collect();
    if rows.is_empty() {
        text.push_str("\nno bench yet");
    } else {
        let left = Column::Left;
        let columns = [left, Column::Prose, left, Column::Name, left];
        text.push_str(&format!("\n{}", table(&columns, &rows, width)));
    }
    text
}
