//! `tarehand stop`: end the service.

use std::time::Duration;

use clap::Args;
use hyper::Method;
use rustix::process::{Pid, test_kill_process};
use tokio::time::{Instant, sleep};

use super::Place;
use crate::client::{Client, ClientError};
use crate::failure::{Exit, Failure};
use crate::output::Output;

/// How long the service may take to finish what it is writing.
const LIMIT: Duration = Duration::from_secs(15);

/// Ends the service; a batch that runs is kept and goes on when the service is started again.
#[derive(Args, Debug)]
#[command(before_help = "Examples:\n  tarehand stop")]
pub(crate) struct StopArgs {}

/// Ends the service.
pub(crate) async fn run(
    StopArgs {}: &StopArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    // Whatever API it speaks: an old service must be stoppable by a new command.
    let client = Client::new(&place.folders.socket()).with_limit(LIMIT);
    let process = match client.process().await {
        Ok(process) => process.and_then(known),
        Err(ClientError::NotRunning) => {
            output.say("the service was not running");
            return Ok(Exit::Done);
        }
        Err(error) => return Err(error.into()),
    };
    client.tell(Method::POST, "/v1/stop").await?;
    let deadline = Instant::now() + LIMIT;
    while runs(&client, process).await {
        if deadline <= Instant::now() {
            return Err(ClientError::TimedOut {
                what: "stopping".to_owned(),
                limit: LIMIT,
            }
            .into());
        }
        sleep(Duration::from_millis(20)).await;
    }
    output.say("the service has stopped; a batch that ran goes on when it is started again");
    Ok(Exit::Done)
}

fn known(process: u32) -> Option<Pid> {
    i32::try_from(process).ok().and_then(Pid::from_raw)
}

/// Returns whether the service still runs: its socket goes first, its process when everything is written.
async fn runs(client: &Client, process: Option<Pid>) -> bool {
    match process {
        Some(process) => test_kill_process(process).is_ok(),
        None => client.tell(Method::GET, "/v1/status").await.is_ok(),
    }
}
