//! `tarehand watch`: what the scale says, one line a reading; or its bare bytes, also into a capture.

use std::num::NonZeroU64;
use std::path::PathBuf;
use std::time::Duration;

use clap::Args;
use hyper::Method;
use tarehand_protocol::api::{Chunk, ChunksBegin, ReadingLine, View};
use tokio::signal::unix::{SignalKind, signal};
use tokio::time::{Instant, sleep_until, timeout};

use super::Place;
use super::attach::{Attached, ScaleArgs};
use super::hear::Hearing;
use crate::capture_file::{CaptureFile, Timeline};
use crate::client::{Client, ClientError, Events, Happening};
use crate::failure::{Exit, Failure};
use crate::output::{Output, OutputError};
use crate::service;
use crate::terminal::TerminalError;
use crate::words::{Troubles, age, as_bytes, exact_grams, shown, weight_state};

const EXAMPLES: &str = "\
Examples:
  tarehand watch
  tarehand watch --port /dev/ttyUSB0 --unit g
  tarehand watch --count 100 --json > readings.jsonl
  tarehand watch --port /dev/ttyUSB0 --bytes --capture scale.jsonl";

/// After so long without a reading the person is told.
const SILENCE: Duration = Duration::from_secs(5);
/// How long what is still on its way to us is waited for when the watching ends.
const LATE: Duration = Duration::from_millis(150);

/// Prints every reading until it is interrupted.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(crate) struct WatchArgs {
    #[command(flatten)]
    scale: ScaleArgs,
    /// End after so many readings, or so many lines of bytes
    #[arg(long, value_name = "N")]
    count: Option<NonZeroU64>,
    /// Say the bytes as they arrive: nothing is tried to understand them
    #[arg(long)]
    bytes: bool,
    /// Write the bytes into a new file, which --port FILE plays back
    #[arg(long, value_name = "FILE")]
    capture: Option<PathBuf>,
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
    let capture = args
        .capture
        .as_deref()
        .map(CaptureFile::begin)
        .transpose()?;
    let client = service::ensure(&place.folders).await?;
    // Heard before the scale is attached, so that nothing it says is missed.
    let path = format!("{}/readings", args.scale.bench_path());
    let readings = match args.bytes {
        false => Some(client.events(&path).await?),
        true => None,
    };
    let bytes = match args.bytes || capture.is_some() {
        true => Some(client.events(&args.scale.bytes_path()).await?),
        false => None,
    };
    let attached = attach(args, place, &client, output).await?;
    // Only after it: the trouble of a scale that was there before is of no interest.
    let views = client.events(&args.scale.events_path()).await?;
    let mut watch = Watch {
        args,
        heard: Heard {
            readings,
            bytes,
            views,
        },
        capture,
        timeline: Timeline::default(),
        left: args.count.map(NonZeroU64::get),
    };
    let mut interrupt = signal(SignalKind::interrupt()).map_err(TerminalError::from)?;
    let mut terminate = signal(SignalKind::terminate()).map_err(TerminalError::from)?;
    let watched = tokio::select! {
        watched = watch.go_on(output) => watched,
        _ = interrupt.recv() => Ok(()),
        _ = terminate.recv() => Ok(()),
    };
    match attached {
        Begun::Before => {}
        Begun::ToWeigh => detach(args, &client).await,
        Begun::ToHear(hearing) => hearing.end(&client).await,
    }
    let kept = watch.keep().await;
    match watched {
        Err(Failure::Output(OutputError::Closed)) | Ok(()) => {}
        Err(failure) => return Err(failure),
    }
    match kept? {
        Some((path, moments)) => {
            let path = shown(&path.display().to_string()).into_owned();
            output.say(format_args!(
                "{path}: {moments} pieces of what the scale sent"
            ));
            output.suggest(format_args!("tarehand watch --port {path}"));
        }
        None if !args.json && !args.bytes => output.suggest("tarehand mix RECIPE"),
        None => {}
    }
    Ok(Exit::Done)
}

/// How the scale came to be there.
enum Begun {
    /// It was there.
    Before,
    /// This command attached it.
    ToWeigh,
    /// This command attached it for its bytes alone.
    ToHear(Hearing),
}

async fn attach(
    args: &WatchArgs,
    place: &Place,
    client: &Client,
    output: &mut Output,
) -> Result<Begun, Failure> {
    let scale = &args.scale;
    let has = super::attach::bench(client, &scale.bench)
        .await?
        .is_some_and(|view| view.scale.is_some());
    if args.bytes && !(has && scale.names_nothing()) {
        let profile = scale.profile_text()?;
        return Ok(Begun::ToHear(scale.hear(client, output, profile).await?));
    }
    let taps = place.settings()?.bench.taps;
    Ok(match scale.attach(client, taps, output).await? {
        Attached::Before => Begun::Before,
        Attached::Now => Begun::ToWeigh,
    })
}

/// What is listened to.
struct Heard {
    /// Every reading, unless only the bytes are wanted.
    readings: Option<Events>,
    /// The bytes, where they are wanted.
    bytes: Option<Events>,
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
            bytes = next_of(&mut self.bytes) => bytes,
            reading = next_of(&mut self.readings) => reading,
        }
    }
}

async fn next_of(events: &mut Option<Events>) -> Result<Option<Happening>, ClientError> {
    match events {
        Some(events) => events.next().await,
        None => std::future::pending().await,
    }
}

/// The watching.
struct Watch<'a> {
    args: &'a WatchArgs,
    heard: Heard,
    capture: Option<CaptureFile>,
    timeline: Timeline,
    left: Option<u64>,
}

impl Watch<'_> {
    async fn go_on(&mut self, output: &mut Output) -> Result<(), Failure> {
        let mut troubles = Troubles::default();
        let mut patience = Some(Instant::now() + SILENCE);
        while self.left != Some(0) {
            let next = tokio::select! {
                next = self.heard.next() => next,
                () = end_of(patience) => {
                    patience = None;
                    output.say(format_args!(
                        "no {} for {} s: is the scale on, and does it send by itself? `tarehand scales` says what is known",
                        if self.args.bytes { "byte" } else { "reading" },
                        SILENCE.as_secs()
                    ));
                    continue;
                }
            };
            match next? {
                Some(Happening::Reading(reading)) => {
                    patience = Some(Instant::now() + SILENCE);
                    self.left = self.left.map(|left| left - 1);
                    if self.args.json {
                        output.json(&reading)?;
                    } else {
                        output.data(line(&reading))?;
                    }
                }
                Some(Happening::Chunk(chunk)) => {
                    self.write(&chunk)?;
                    if self.args.bytes {
                        patience = Some(Instant::now() + SILENCE);
                        self.left = self.left.map(|left| left - 1);
                        if self.args.json {
                            output.json(&chunk)?;
                        } else {
                            output.data(as_bytes(self.timeline.now_us(), &chunk.hex))?;
                        }
                    }
                }
                Some(Happening::Begin(begin)) => self.begin(&begin, output)?,
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
                    if let (Some(capture), Some(scale)) = (&mut self.capture, &view.scale)
                        && scale.open
                    {
                        capture.name(&scale.device)?;
                    }
                }
                Some(Happening::Weight(_)) => {}
                None => return Err(ClientError::NotRunning.into()),
            }
        }
        Ok(())
    }

    fn begin(&mut self, begin: &ChunksBegin, output: &mut Output) -> Result<(), Failure> {
        match (&begin.device, &mut self.capture) {
            (Some(device), Some(capture)) => capture.name(device)?,
            (Some(_), None) => {}
            (None, _) => output.say("some bytes were too late to be news and were thrown away"),
        }
        Ok(())
    }

    fn write(&mut self, chunk: &Chunk) -> Result<(), Failure> {
        if let (Some(moment), Some(capture)) = (self.timeline.moment(chunk), &mut self.capture) {
            capture.write(&moment)?;
        }
        Ok(())
    }

    /// Ends the capture with what the service has sent on already.
    async fn keep(mut self) -> Result<Option<(PathBuf, u64)>, Failure> {
        if self.capture.is_some() {
            while let Ok(Ok(Some(next))) = timeout(LATE, next_of(&mut self.heard.bytes)).await {
                if let Happening::Chunk(chunk) = next {
                    self.write(&chunk)?;
                }
            }
        }
        Ok(self.capture.map_or(Ok(None), CaptureFile::end)?)
    }
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
