//! Letting in, knowing again and turning away; shared by all handlers.

use std::collections::HashMap;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};

use axum::Router;
use tarehand_mixing::Tick;
use tokio_util::sync::CancellationToken;
use tokio_util::task::TaskTracker;

use super::code::{Code, CodeRefusal, Waiting};
use super::host;
use super::kept::{Kept, KeptError, Opening, Place};
use super::listening::{OpenError, Port};
use super::role::{Caller, Role};
use super::secret;
use super::streams::{AllStreams, Streams};
use super::visitors::Visitor;
use crate::clock::Clock;

/// Where the page is tried first; free at the Internet Assigned Numbers Authority, from memory.
const USUAL_PORT: u16 = 4870;

/// Whoever sends a request through a port, known or not.
#[derive(Clone, Debug)]
pub struct Guest {
    /// What they may do.
    pub caller: Caller,
    /// Who it is, where they were let in.
    pub visitor: Option<Visitor>,
    /// Told when they are turned away or the page is closed.
    pub gone: CancellationToken,
    /// The streams of events they may open: none for a stranger.
    pub streams: Option<Streams>,
}

impl Guest {
    /// Somebody nobody knows.
    #[must_use]
    pub fn stranger() -> Self {
        Self {
            caller: Caller::Stranger,
            visitor: None,
            gone: CancellationToken::new(),
            streams: None,
        }
    }
}

/// The reception of one service.
#[derive(Clone, Debug)]
pub struct Reception(Arc<Shared>);

#[derive(Debug)]
struct Shared {
    path: PathBuf,
    clock: Clock,
    own_name: String,
    state: Mutex<State>,
    tasks: TaskTracker,
    stop: CancellationToken,
    /// What is served; known once the service is put together.
    router: OnceLock<Router>,
}

#[derive(Debug, Default)]
struct State {
    kept: Kept,
    waiting: Waiting,
    port: Option<Port>,
    /// One for each visitor who has asked something.
    present: HashMap<u32, Present>,
    streams: AllStreams,
}

/// A visitor who is here.
#[derive(Debug)]
struct Present {
    gone: CancellationToken,
    streams: Streams,
}

#[expect(
    clippy::significant_drop_tightening,
    reason = "what is decided and what is kept of it is one step"
)]
impl Reception {
    /// Reads who was let in before.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn take_up(
        path: PathBuf,
        stop: CancellationToken,
        tasks: TaskTracker,
    ) -> Result<Self, KeptError> {
        let kept = Kept::read(&path)?;
        let own_name = std::fs::read_to_string("/proc/sys/kernel/hostname").unwrap_or_default();
        Ok(Self(Arc::new(Shared {
            path,
            clock: Clock::starting_at(Tick::ZERO, 1.0),
            own_name: own_name.trim().to_owned(),
            state: Mutex::new(State {
                kept,
                ..State::default()
            }),
            tasks,
            stop,
            router: OnceLock::new(),
        })))
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.0.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Takes what is to be served, and opens the page again where it was open.
    ///
    /// What fails is said in the log alone: the benches go on without it.
    pub fn begin(&self, router: Router) {
        // Called once; a second router would be the same.
        let _first = self.0.router.set(router);
        let opening = self.state().kept.opening;
        if let Some(Opening { place, port }) = opening
            && let Err(error) = self.open(place, Some(port))
        {
            tracing::warn!("the page stays closed: {error}");
        }
    }

    /// Opens the page, or moves it.
    ///
    /// # Errors
    /// When the port is not to be had, or what is open cannot be kept.
    pub fn open(&self, place: Place, port: Option<u16>) -> Result<(), OpenError> {
        let Some(router) = self.0.router.get() else {
            return Err(OpenError::TooEarly);
        };
        let mut state = self.state();
        let stays = |open: &Port| {
            open.place() == place && port.is_none_or(|port| port == open.address().port())
        };
        if state.port.as_ref().is_some_and(stays) {
            return Ok(());
        }
        // The old port goes first: the new one may be the same.
        let before = state.port.take();
        let usual = before
            .as_ref()
            .map(|port| port.address().port())
            .or(state.kept.last_port);
        if let Some(before) = before {
            before.close();
        }
        state.leave_all();
        let port = match port {
            Some(port) => Port::bind(place, port)?,
            None => Port::bind(place, usual.unwrap_or(USUAL_PORT))
                .or_else(|_taken| Port::bind(place, 0))?,
        };
        let address = port.address();
        port.serve(router.clone(), &self.0.stop, &self.0.tasks)?;
        tracing::info!(%address, "the page is open");
        state.kept.opening = Some(Opening {
            place,
            port: address.port(),
        });
        state.kept.last_port = Some(address.port());
        state.port = Some(port);
        state.kept.write(&self.0.path)?;
        Ok(())
    }

    /// Closes the page; visitors stay known.
    ///
    /// # Errors
    /// When that cannot be kept.
    pub fn close(&self) -> Result<(), KeptError> {
        let mut state = self.state();
        if let Some(port) = state.port.take() {
            port.close();
        }
        state.leave_all();
        state.kept.opening = None;
        state.kept.write(&self.0.path)
    }

    /// Returns where the page is open, and for whom.
    #[must_use]
    pub fn opening(&self) -> Option<(Place, SocketAddr)> {
        let state = self.state();
        let port = state.port.as_ref()?;
        Some((port.place(), port.address()))
    }

    /// Makes a code that lets one browser in.
    ///
    /// # Errors
    /// When the system gives no chance.
    pub fn new_code(&self, role: Role) -> std::io::Result<Code> {
        let code = Code::new(secret::chance()?, role, self.0.clock.now());
        self.state().waiting.put(code.clone());
        Ok(code)
    }

    /// Lets in whoever says the code, and returns them with their secret.
    ///
    /// # Errors
    /// When it is not the code, or the visitor cannot be kept.
    pub fn enter(&self, code: &str, name: &str) -> Result<(Visitor, String), EnterError> {
        let mut state = self.state();
        let role = state.waiting.say(code, self.0.clock.now())?;
        let secret = secret::new_secret().map_err(EnterError::Chance)?;
        let since = jiff::Timestamp::now().to_string();
        let visitors = &mut state.kept.visitors;
        let (visitor, left) = visitors.enter(name, role, since, secret.clone());
        if let Some(left) = left {
            state.leave(left.id);
        }
        state.kept.write(&self.0.path)?;
        tracing::info!(visitor = visitor.id, role = ?visitor.role, "a visitor was let in");
        Ok((visitor, secret))
    }

    /// Returns who shows this secret.
    #[must_use]
    pub fn known(&self, secret: &str) -> Option<Guest> {
        let mut state = self.state();
        let visitor = state.kept.visitors.find(secret)?.clone();
        let streams = state.streams.clone();
        let present = state.present.entry(visitor.id).or_insert_with(|| Present {
            gone: CancellationToken::new(),
            streams: streams.of_one(),
        });
        Some(Guest {
            caller: Caller::Visitor(visitor.role),
            gone: present.gone.clone(),
            streams: Some(present.streams.clone()),
            visitor: Some(visitor),
        })
    }

    /// Returns whether requests for this host are served.
    #[must_use]
    pub fn serves(&self, host: &str) -> bool {
        host::is_served(host, &self.0.own_name)
    }

    /// Returns who was let in.
    #[must_use]
    pub fn visitors(&self) -> Vec<Visitor> {
        self.state().kept.visitors.all().to_vec()
    }

    /// Turns a visitor away, out of what they are looking at too; `false` when nobody has that number.
    ///
    /// # Errors
    /// When that cannot be kept.
    pub fn turn_away(&self, id: u32) -> Result<bool, KeptError> {
        let mut state = self.state();
        if !state.kept.visitors.turn_away(id) {
            return Ok(false);
        }
        state.leave(id);
        state.kept.write(&self.0.path)?;
        tracing::info!(visitor = id, "a visitor was turned away");
        Ok(true)
    }
}

impl State {
    fn leave(&mut self, id: u32) {
        if let Some(present) = self.present.remove(&id) {
            present.gone.cancel();
        }
    }

    fn leave_all(&mut self) {
        for (_, present) in self.present.drain() {
            present.gone.cancel();
        }
    }
}

/// Why nobody was let in.
#[derive(Debug, thiserror::Error)]
pub enum EnterError {
    /// It was not the code.
    #[error(transparent)]
    Code(#[from] CodeRefusal),
    /// The visitor could not be kept.
    #[error(transparent)]
    Kept(#[from] KeptError),
    /// The system gave no chance.
    #[error("no secret can be made: {0}")]
    Chance(std::io::Error),
}
