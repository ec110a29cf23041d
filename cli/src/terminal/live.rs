//! The thin shell around the screen: wait for a key, an update or a tick; draw.

use std::io;
use std::time::Duration;

use crossterm::event::{Event, KeyEvent};
use tarehand_protocol::api::{CommandRequest, CommandWord, View, WeightNow};
use tokio::signal::unix::{Signal, SignalKind, signal};
use tokio::sync::mpsc;
use tokio::time::{Instant, interval};

use super::feed::{Update, follow};
use super::keyboard::Keys;
use super::keys::{Wish, wish};
use super::readout::is_over;
use super::render::render;
use super::scene::{Asking, Link, Scene, Weight};
use super::screen::Screen;
use super::style::Style;
use super::{AtEnd, Ending, Seat, TerminalError};
use crate::client::{Client, ClientError, segment};
use crate::failure::Failure;
use crate::output::Output;

/// How often the screen is drawn while nothing happens: timers and ages go on.
const TICK: Duration = Duration::from_millis(200);
/// How long a notice stays.
const NOTICE: Duration = Duration::from_secs(6);
/// How long the end is shown where nobody is waited for.
const LAST_LOOK: Duration = Duration::from_millis(1_500);

/// Shows a bench on the terminal until the person leaves or, where asked, the batch is over.
pub(crate) async fn show(
    client: &Client,
    seat: &Seat<'_>,
    output: &mut Output,
) -> Result<Ending, Failure> {
    let ink = output.ink();
    let style = Style::of_process(ink);
    let mut updates = follow(client, seat.bench);
    let Some(first) = first_view(&mut updates).await? else {
        return Ok(Ending::Left);
    };
    let mut live = Live::new(first);
    let mut signals = Signals::new().map_err(TerminalError::from)?;
    let (answers, mut answered) = mpsc::channel::<Result<(), ClientError>>(8);
    let mut screen = Screen::take(output.raw(), ink).map_err(TerminalError::from)?;
    let mut keys = Keys::listen();
    let mut tick = interval(TICK);
    loop {
        let scene = live.scene();
        let lines = render(&scene, Screen::size(), style);
        screen.paint(lines).map_err(TerminalError::from)?;
        tokio::select! {
            update = updates.recv() => {
                let mut next = update;
                while let Some(update) = next {
                    if live.take(update)? && seat.bell {
                        screen.ring().map_err(TerminalError::from)?;
                    }
                    next = updates.try_recv().ok();
                }
            }
            event = keys.events.recv() => match event {
                Some(Event::Key(key)) => {
                    if live.key(key, client, seat, &answers) {
                        return Ok(live.ending());
                    }
                }
                Some(Event::Resize(..)) => screen.forget(),
                Some(_) => {}
                // The terminal is gone.
                None => return Ok(live.ending()),
            },
            Some(answer) = answered.recv() => live.answer(answer),
            () = signals.any() => return Ok(live.ending()),
            _ = tick.tick() => {}
        }
        if seat.at_end == AtEnd::Leave && live.over_for(LAST_LOOK) {
            return Ok(live.ending());
        }
    }
}

async fn first_view(updates: &mut mpsc::Receiver<Update>) -> Result<Option<View>, Failure> {
    while let Some(update) = updates.recv().await {
        match update {
            Update::View(view) => return Ok(Some(*view)),
            Update::Away(error) | Update::Over(error) => return Err(error.into()),
            Update::Weight(_) | Update::Back => {}
        }
    }
    Ok(None)
}

/// What is known, and since when.
struct Live {
    view: View,
    view_at: Instant,
    weight: Option<(WeightNow, Instant)>,
    away_since: Option<Instant>,
    over_since: Option<Instant>,
    asking: Asking,
    notice: Option<(String, Instant)>,
}

impl Live {
    fn new(view: View) -> Self {
        let mut live = Self {
            view_at: Instant::now(),
            weight: None,
            away_since: None,
            over_since: None,
            asking: Asking::Nothing,
            notice: None,
            view,
        };
        live.look_for_the_end();
        live
    }

    fn scene(&self) -> Scene<'_> {
        Scene {
            view: &self.view,
            since_view: bench_time(self.view_at.elapsed(), self.view.clock_rate),
            weight: self.weight.as_ref().map(|(now, at)| Weight {
                now,
                age_ms: now.age_ms.saturating_add(milliseconds(at.elapsed())),
            }),
            link: match self.away_since {
                Some(since) => Link::Away(since.elapsed()),
                None => Link::Live,
            },
            asking: &self.asking,
            notice: match &self.notice {
                Some((notice, at)) if at.elapsed() < NOTICE => Some(notice),
                _ => None,
            },
        }
    }

    /// Takes an update; returns whether it says stop.
    fn take(&mut self, update: Update) -> Result<bool, ClientError> {
        match update {
            Update::View(view) => {
                let before = self.view.cue.as_ref().map(|cue| cue.number);
                let says_stop = view
                    .cue
                    .as_ref()
                    .is_some_and(|cue| Some(cue.number) != before && cue.cue == "stop");
                self.view = *view;
                self.view_at = Instant::now();
                self.look_for_the_end();
                return Ok(says_stop);
            }
            Update::Weight(weight) => self.weight = Some((weight, Instant::now())),
            Update::Away(_) => self.away_since = self.away_since.or(Some(Instant::now())),
            Update::Back => {
                self.away_since = None;
                self.say("the service is back; everything that was settled is still there");
            }
            Update::Over(error) => return Err(error),
        }
        Ok(false)
    }

    fn look_for_the_end(&mut self) {
        if is_over(&self.view) {
            self.over_since = self.over_since.or(Some(Instant::now()));
        } else {
            self.over_since = None;
        }
    }

    fn over_for(&self, time: Duration) -> bool {
        self.over_since.is_some_and(|since| time <= since.elapsed())
    }

    /// Does what a key asks for; returns whether the person leaves.
    fn key(
        &mut self,
        key: KeyEvent,
        client: &Client,
        seat: &Seat<'_>,
        answers: &mpsc::Sender<Result<(), ClientError>>,
    ) -> bool {
        match wish(key, &self.view, &self.asking, seat.keys) {
            None => {}
            Some(Wish::Leave) => return true,
            Some(Wish::Ask(asking)) => self.asking = asking,
            Some(Wish::Say(command)) => {
                self.asking = Asking::Nothing;
                if command.command == CommandWord::Next {
                    self.notice = None;
                }
                tell(client, seat.bench, command, answers);
            }
        }
        false
    }

    fn answer(&mut self, answer: Result<(), ClientError>) {
        if let Err(error) = answer {
            let text = match error.hint() {
                Some(hint) => format!("{error}: {hint}"),
                None => error.to_string(),
            };
            self.say(&text);
        }
    }

    fn say(&mut self, text: &str) {
        self.notice = Some((text.to_owned(), Instant::now()));
    }

    fn ending(&self) -> Ending {
        Ending::of(&self.view)
    }
}

/// Sends a command without holding up the screen.
fn tell(
    client: &Client,
    bench: &str,
    command: CommandRequest,
    answers: &mpsc::Sender<Result<(), ClientError>>,
) {
    let client = client.clone();
    let path = format!("/v1/benches/{}/commands", segment(bench));
    let answers = answers.clone();
    drop(tokio::spawn(async move {
        let answer = client.post::<View>(&path, &command).await;
        // Nobody listens any more once the person has left.
        drop(answers.send(answer.map(|_view| ())).await);
    }));
}

/// Returns how far the bench's clock went meanwhile; one that makes no sense went as the wall's did.
fn bench_time(wall: Duration, clock_rate: f64) -> Duration {
    Duration::try_from_secs_f64(wall.as_secs_f64() * clock_rate).unwrap_or(wall)
}

fn milliseconds(time: Duration) -> u64 {
    u64::try_from(time.as_millis()).unwrap_or(u64::MAX)
}

/// The signals that end the view.
struct Signals {
    interrupt: Signal,
    terminate: Signal,
    hang_up: Signal,
}

impl Signals {
    fn new() -> io::Result<Self> {
        Ok(Self {
            interrupt: signal(SignalKind::interrupt())?,
            terminate: signal(SignalKind::terminate())?,
            hang_up: signal(SignalKind::hangup())?,
        })
    }

    async fn any(&mut self) {
        tokio::select! {
            _ = self.interrupt.recv() => {}
            _ = self.terminate.recv() => {}
            _ = self.hang_up.recv() => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn timers_go_on_as_fast_as_the_benchs_clock() {
        let second = Duration::from_secs(1);
        assert_eq!(bench_time(second, 1.0), second);
        assert_eq!(bench_time(second, 10.0), 10 * second);
        for senseless in [f64::NAN, f64::INFINITY, -3.0] {
            assert_eq!(bench_time(second, senseless), second);
        }
    }
}
