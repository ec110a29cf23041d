//! `tarehand watch`: what the scale says, one line a reading.

use std::num::NonZeroU64;
use std::time::Duration;

use clap::Args;
use hyper::Method;
use tarehand_protocol::api::{ReadingLine, View};
use tokio::signal::unix::{SignalKind, signal};
use tokio::time::{Instant, sleep_until};

use super::Place;
use super::attach::{Attached, ScaleArgs};
use crate::client::{Client, ClientError, Events, Happening};
use crate::failure::{Exit, Failure};
use crate::output::{Output, OutputError};
use crate::service;
use crate::terminal::TerminalError;
use crate::words::{Troubles, age, exact_grams, shown, weight_state};

const EXAMPLES: &str = "\
Examples:
  tarehand watch
  tarehand watch --port /dev/ttyUSB0 --unit g
  tarehand watch --count 100 --json > readings.jsonl";

/// After so long without a reading the person is told.
const SILENCE: Duration = Duration::from_secs(5);

/// Prints every reading until it is interrupted.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct WatchArgs {
    #[command(flatten)]
    scale: ScaleArgs,
    /// End after so many readings
    #[arg(long, value_name = "N")]
    count: Option<NonZeroU64>,
    /// One JSON object a line
    #[arg(long)]
    json: bool,
}

/// Watches the scale.
pub(crate) async fn run(
    args: &WatchArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let client = service::ensure(&place.folders).await?;
    // Heard before the scale is attached, so that nothing it says is missed.
    let path = format!("{}/readings", args.scale.bench_path());
    let readings = client.events(&path).await?;
    let attached = args.scale.attach(&client, output).await?;
    // Only after it: the trouble of a scale that was there before is of no interest.
    let views = client.events(&args.scale.events_path()).await?;
    let mut heard = Heard { readings, views };
    let mut interrupt = signal(SignalKind::interrupt()).map_err(TerminalError::from)?;
    let mut terminate = signal(SignalKind::terminate()).map_err(TerminalError::from)?;
    let watched = tokio::select! {
        watched = watch(args, &mut heard, output) => watched,
        _ = interrupt.recv() => Ok(()),
        _ = terminate.recv() => Ok(()),
    };
    if attached == Attached::Now {
        detach(args, &client).await;
    }
    match watched {
        Err(Failure::Output(OutputError::Closed)) | Ok(()) => {
            if !args.json {
                output.suggest("tarehand mix RECIPE");
            }
            Ok(Exit::Done)
        }
        Err(failure) => Err(failure),
    }
}

/// What is listened to.
struct Heard {
    /// Every reading.
    readings: Events,
    /// What the bench shows: among it, why the scale is not open.
    views: Events,
}

impl Heard {
    /// Waits for what happens next; may be dropped while it waits.
    async fn next(&mut self) -> Result<Option<Happening>, ClientError> {
        tokio::select! {
            biased;
            // First, so that the reason for a silence is said before anybody wonders about it.
            view = self.views.next() => view,
            reading = self.readings.next() => reading,
        }
    }
}

async fn watch(args: &WatchArgs, heard: &mut Heard, output: &mut Output) -> Result<(), Failure> {
    let mut left = args.count.map(NonZeroU64::get);
    let mut troubles = Troubles::default();
    let mut patience = Some(Instant::now() + SILENCE);
    while left != Some(0) {
        let next = tokio::select! {
            next = heard.next() => next,
            () = end_of(patience) => {
                patience = None;
                output.say(format_args!(
                    "no reading for {} s: is the scale on, and does it send by itself? `tarehand scales` says what is known",
                    SILENCE.as_secs()
                ));
                continue;
            }
        };
        match next? {
            Some(Happening::Reading(reading)) => {
                patience = Some(Instant::now() + SILENCE);
                left = left.map(|left| left - 1);
                if args.json {
                    output.json(&reading)?;
                } else {
                    output.data(line(&reading))?;
                }
            }
            Some(Happening::Missed(count)) => {
                output.say(format_args!(
                    "{count} readings were missed: they came too fast"
                ));
            }
            Some(Happening::View(view)) => {
                if let Some(line) = troubles.line_of_closed_scale(&view) {
                    output.say(line);
                    // The reason for a silence is said already; after it the scale has its time anew.
                    patience = (!troubles.is_any()).then(|| Instant::now() + SILENCE);
                }
            }
            Some(Happening::Weight(_)) => {}
            None => return Err(ClientError::NotRunning.into()),
        }
    }
    Ok(())
}

/// Waits until the person's patience is at its end; for ever when there is nothing more to say.
async fn end_of(patience: Option<Instant>) {
    match patience {
        Some(end) => sleep_until(end).await,
        None => std::future::pending().await,
    }
}

/// Leaves the bench as it was, unless a batch was begun on it meanwhile.
async fn detach(args: &WatchArgs, client: &Client) {
    let path = args.scale.bench_path();
    let view: Result<View, ClientError> = client.get(&path).await;
    if view.is_ok_and(|view| view.batch.is_none()) {
        // The service lets go of the scale by itself when it ends; nothing is lost if this fails.
        drop(client.tell(Method::DELETE, &format!("{path}/scale")).await);
    }
}

fn line(reading: &ReadingLine) -> String {
    let mut line = match reading.gross_g {
        Some(gross) => format!(
            "{:>12} g  {}",
            exact_grams(gross),
            weight_state(reading.state)
        ),
        None => format!("{:>12}    {}", "–", weight_state(reading.state)),
    };
    if let (Some(digits), Some(unit)) = (&reading.digits, &reading.unit)
        && unit != "g"
    {
        line.push_str(&format!(", sent as {} {}", shown(digits), shown(unit)));
    }
    if 1_000 <= reading.age_ms {
        line.push_str(&format!(", {} old", age(reading.age_ms)));
    }
    if let Some(why) = &reading.why {
        line.push_str(&format!(", {}", shown(why)));
    }
    if let Some(raw) = &reading.raw {
        line.push_str(&format!(", bytes {}", shown(raw)));
    }
    if let Some(hint) = &reading.hint {
        line.push_str(&format!(", try: {}", shown(hint)));
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;
    use tarehand_protocol::api::WeightState;

    fn reading() -> ReadingLine {
        ReadingLine {
            gross_g: Some(12.3),
            state: WeightState::Stable,
            unit: Some("g".to_owned()),
            digits: Some("12.30".to_owned()),
            age_ms: 40,
            raw: None,
            why: None,
            hint: None,
            needs: None,
        }
    }

    #[test]
    fn a_reading_is_a_line_and_no_weight_is_never_a_number() {
        insta::assert_snapshot!(line(&reading()), @r"        12.3 g  stable");
        insta::assert_snapshot!(line(&ReadingLine {
            gross_g: Some(340.194),
            unit: Some("oz".to_owned()),
            digits: Some("12.000".to_owned()),
            age_ms: 2_300,
            state: WeightState::Moving,
            ..reading()
        }), @r"     340.194 g  moving, sent as 12.000 oz, 2.3 s old");
        insta::assert_snapshot!(line(&ReadingLine {
            gross_g: None,
            state: WeightState::Rejected,
            raw: Some("3f3f0d0a".to_owned()),
            why: Some("no number in the line".to_owned()),
            hint: Some("teach this scale".to_owned()),
            ..reading()
        }), @r"           –    not understood: no weight, no number in the line, bytes 3f3f0d0a, try: teach this scale");
    }
}
