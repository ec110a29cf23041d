//! A bench: one task owns its scale's readings, its session and its journal.
//!
//! ```text
//! link ─▶ Feed: decoder, settler ─▶ Actor: session ─▶ outbox: log first, then view, cues, answers
//! ```
//!
//! | file | idea |
//! |---|---|
//! | `actor` | the loop: wait for bytes, a request, a written entry or the time |
//! | `requests` | what it is asked: open, rehearse, say |
//! | `attaching` | attaching scales, and letting them go |
//! | `showing` | what it shows: views, cues, weights, notices |
//! | `scales` | the scales of a bench, the jar's and a finer one, and how they are found again |
//! | `chunks` | the bytes of the scale as they arrive, for whoever listens |
//! | `feed` | one scale: its link's thread, its decoder and its settler |
//! | `outbox` | what must be on disk before it may be shown |
//! | `earlier` | what earlier batches of a recipe tell about it |
//! | `making` | the batches being made, one or the jars of a set, and how they are told to the log |
//! | `traced` | the weight over time, thinned, for the record |
//! | `tapped` | what a tap on the pan says at this moment |
//! | `take_up` | what is taken up again after a restart |
//! | `hand` | the simulated hand of a rehearsal: what it is wished to do |
//! | `attach` | from what a person says about a scale to a link and a decoder |

mod actor;
pub mod attach;
mod attaching;
mod chunks;
mod earlier;
mod feed;
mod hand;
mod making;
mod outbox;
mod requests;
mod scales;
mod showing;
mod take_up;
pub(crate) mod tapped;
mod traced;

use std::sync::Arc;

use tarehand_mixing::outcome::Room;
use tarehand_mixing::procedure::Procedure;
use tarehand_mixing::session::{Command, Limits, Refusal};
use tarehand_mixing::weighing::Scale;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{ConcernLine, ReadingLine, ScaleWord, View, WeightNow};
use tokio::sync::{broadcast, mpsc, oneshot, watch};

use crate::links::rehearsal::RehearsalPlan;
use crate::log::{Log, LogError};
use crate::notices::Notices;
use attach::{AttachError, Attachment};
use chunks::ChunksOut;
pub use chunks::Heard;

/// Readings kept for a reader of every reading who is a little late.
const READINGS_KEPT: usize = 1_024;

/// A handle to a running bench; cheap to clone.
#[derive(Clone, Debug)]
pub struct Bench {
    name: Arc<str>,
    requests: mpsc::Sender<Request>,
    view: watch::Receiver<Arc<View>>,
    weight: watch::Receiver<WeightNow>,
    last: watch::Receiver<Option<Arc<ReadingLine>>>,
    last_fine: watch::Receiver<Option<Arc<ReadingLine>>>,
    readings: broadcast::Sender<Arc<ReadingLine>>,
    chunks: ChunksOut,
}

/// A batch that is to be made.
#[derive(Clone, Debug)]
pub struct NewBatch {
    /// What is to be made.
    pub procedure: Procedure,
    /// The limits the person has set.
    pub limits: Limits,
    /// The recipe's text, for the record.
    pub recipe_text: String,
    /// The shelf's text, for the record; empty where there is none.
    pub shelf_text: String,
    /// How warm and damp the room is, where it was said.
    pub room: Option<Room>,
    /// What is worth knowing before the first gram and does not depend on the scale.
    pub remarks: Vec<ConcernLine>,
}

/// What rests on the pan of a bench where nothing is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Resting {
    /// All of it, settled.
    pub gross: Mass,
    /// What is known of the scale.
    pub scale: Scale,
}

/// Why a bench did not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum BenchError {
    /// The session refused.
    #[error("{0}")]
    Refused(#[from] Refusal),
    /// A batch is being made.
    #[error("batch {mark} is being made on this bench")]
    Busy {
        /// Its mark.
        mark: String,
    },
    /// No batch is being made.
    #[error("no batch is being made on this bench")]
    NoBatch,
    /// There is no scale.
    #[error("no scale is attached to this bench")]
    NoScale,
    /// The scale is there to be heard.
    #[error("this bench only hears the bytes of its scale")]
    OnlyHeard,
    /// One port cannot be two scales.
    #[error("{port} is read as the other scale of this bench already")]
    SamePort {
        /// The port.
        port: String,
    },
    /// The scale cannot be attached so.
    #[error("{0}")]
    Attach(#[from] AttachError),
    /// The log cannot be written.
    #[error("{0}")]
    Log(#[from] LogError),
    /// The bench has stopped.
    #[error("the bench has stopped")]
    Stopped,
}

impl BenchError {
    /// Returns what the person can do about it.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Refused(refusal) => Some(refusal.hint().to_owned()),
            Self::Busy { .. } => Some(
                "go back to it with `tarehand mix`, or give it up: tarehand abort".to_owned(),
            ),
            Self::NoBatch => Some("start one with `tarehand mix RECIPE`".to_owned()),
            Self::NoScale => {
                Some("name one with `--port` or `--radio`, or see `tarehand scales`".to_owned())
            }
            Self::OnlyHeard => Some(
                "end the teaching or the `tarehand watch --bytes` that runs, or name the scale with `--port` or `--radio`"
                    .to_owned(),
            ),
            Self::SamePort { .. } => Some("name another port, or see `tarehand scales`".to_owned()),
            Self::Attach(error) => error.hint(),
            Self::Log(error) => error.hint().map(str::to_owned),
            Self::Stopped => Some("the service is stopping; try again".to_owned()),
        }
    }
}

type Reply<T> = oneshot::Sender<Result<T, BenchError>>;

/// What a bench may be asked.
#[derive(Debug)]
enum Request {
    Attach(ScaleWord, Box<Attachment>, Reply<Arc<View>>),
    Detach(ScaleWord, Reply<Arc<View>>),
    Taps(ScaleWord, bool, Reply<Arc<View>>),
    Resting(Reply<Option<Resting>>),
    Open(Vec<NewBatch>, Reply<Arc<View>>),
    Rehearse(Vec<NewBatch>, Box<RehearsalPlan>, Reply<Arc<View>>),
    Say(Command, Reply<Arc<View>>),
    Speed(f64, Reply<Arc<View>>),
}

/// What every bench needs of the service.
#[derive(Clone, Debug)]
pub struct Surroundings {
    /// The log.
    pub log: Log,
    /// Where what needs the person is told.
    pub notices: Notices,
    /// How fast the benches' clocks run; 1 but in tests and rehearsals.
    pub clock_rate: f64,
    /// Told when the service stops.
    pub stop: tokio_util::sync::CancellationToken,
}

impl Bench {
    /// Starts a bench; its task runs until the service stops.
    ///
    /// A batch that was being made when the service ended is taken up again.
    ///
    /// # Errors
    /// When the log cannot be read.
    pub async fn start(
        name: &str,
        surroundings: Surroundings,
        tasks: &tokio_util::task::TaskTracker,
    ) -> Result<Self, BenchError> {
        let (requests, inbox) = mpsc::channel(32);
        let readings = broadcast::Sender::new(READINGS_KEPT);
        let (newest, last) = watch::channel(None);
        let (newest_fine, last_fine) = watch::channel(None);
        let readings_out = showing::ReadingsOut {
            every: readings.clone(),
            newest,
            newest_fine,
        };
        let chunks = ChunksOut::default();
        let (actor, view, weight) =
            actor::Actor::new(name, surroundings, inbox, readings_out, chunks.clone()).await?;
        tasks.spawn(actor.run());
        Ok(Self {
            name: name.into(),
            requests,
            view,
            weight,
            last,
            last_fine,
            readings,
            chunks,
        })
    }

    /// Returns the bench's name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Returns where to watch the view: always the newest, never a backlog.
    #[must_use]
    pub fn view(&self) -> watch::Receiver<Arc<View>> {
        self.view.clone()
    }

    /// Returns where to watch the weight: always the newest, never a backlog.
    #[must_use]
    pub fn weight(&self) -> watch::Receiver<WeightNow> {
        self.weight.clone()
    }

    /// Returns every reading from now on; a reader that is too late loses the oldest.
    #[must_use]
    pub fn readings(&self) -> broadcast::Receiver<Arc<ReadingLine>> {
        self.readings.subscribe()
    }

    /// Returns the bytes of the scale from now on; a reader that is too late loses the oldest.
    #[must_use]
    pub fn chunks(&self) -> broadcast::Receiver<Arc<Heard>> {
        self.chunks.subscribe()
    }

    /// Returns the newest reading of one of its scales.
    #[must_use]
    pub fn last_reading(&self, which: ScaleWord) -> Option<ReadingLine> {
        let last = match which {
            ScaleWord::Main => &self.last,
            ScaleWord::Fine => &self.last_fine,
        };
        last.borrow().as_deref().cloned()
    }

    /// Sets how many times as fast as the wall's the bench's clock runs: for a rehearsal.
    ///
    /// # Errors
    /// When a batch is being made.
    pub async fn set_speed(&self, speed: f64) -> Result<Arc<View>, BenchError> {
        self.ask(|reply| Request::Speed(speed, reply)).await
    }

    /// Attaches a scale.
    ///
    /// # Errors
    /// When it cannot be understood so, or when a batch is being made on another scale.
    pub async fn attach(
        &self,
        which: ScaleWord,
        attachment: Attachment,
    ) -> Result<Arc<View>, BenchError> {
        self.ask(|reply| Request::Attach(which, Box::new(attachment), reply))
            .await
    }

    /// Says whether taps on the pan of a scale that is attached are to count; kept with the scale.
    ///
    /// # Errors
    /// When there is no such scale, or when the log cannot be written.
    pub async fn want_taps(&self, which: ScaleWord, wanted: bool) -> Result<Arc<View>, BenchError> {
        self.ask(|reply| Request::Taps(which, wanted, reply)).await
    }

    /// Returns what rests on the pan; `None` while nothing is settled.
    ///
    /// # Errors
    /// When there is no scale, or a batch is being made on it.
    pub async fn resting(&self) -> Result<Option<Resting>, BenchError> {
        self.ask(Request::Resting).await
    }

    /// Lets the scale go.
    ///
    /// # Errors
    /// When a batch is being made on it; the finer one may go at any time.
    pub async fn detach(&self, which: ScaleWord) -> Result<Arc<View>, BenchError> {
        self.ask(|reply| Request::Detach(which, reply)).await
    }

    /// Opens a batch; it is in the log when this returns.
    ///
    /// # Errors
    /// When one is being made, when there is no scale, or when the log cannot be written.
    pub async fn open(&self, batches: Vec<NewBatch>) -> Result<Arc<View>, BenchError> {
        self.ask(|reply| Request::Open(batches, reply)).await
    }

    /// Opens a rehearsal of one batch, or of the jars of a set, with a simulated scale and hand.
    ///
    /// # Errors
    /// As [`Bench::open`].
    pub async fn rehearse(
        &self,
        batches: Vec<NewBatch>,
        plan: RehearsalPlan,
    ) -> Result<Arc<View>, BenchError> {
        self.ask(|reply| Request::Rehearse(batches, Box::new(plan), reply))
            .await
    }

    /// Says something to the session; what follows is in the log when this returns.
    ///
    /// # Errors
    /// When the session refuses, or when the log cannot be written.
    pub async fn say(&self, command: Command) -> Result<Arc<View>, BenchError> {
        self.ask(|reply| Request::Say(command, reply)).await
    }

    async fn ask<T>(&self, request: impl FnOnce(Reply<T>) -> Request) -> Result<T, BenchError> {
        let (reply, answer) = oneshot::channel();
        self.requests
            .send(request(reply))
            .await
            .map_err(|_| BenchError::Stopped)?;
        answer.await.map_err(|_| BenchError::Stopped)?
    }
}
