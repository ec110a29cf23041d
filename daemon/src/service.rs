//! One instance of the service: lock, log, sockets, signals, watchdog.

mod benches;
mod instance;
mod restoring;
mod watchdog;

use std::io;
use std::net::SocketAddr;
use std::process::ExitCode;
use std::time::Duration;

use clap::Args;
use tokio::net::{TcpListener, UnixListener};
use tokio::signal::unix::{Signal, SignalKind, signal};
use tokio_util::sync::CancellationToken;
use tokio_util::task::TaskTracker;
use tracing_subscriber::EnvFilter;

use crate::api::{self, Bounded, OwnSocket, Service, Token};
use crate::bench::{BenchError, Surroundings};
use crate::folder::RecipeFolder;
use crate::folders::{FolderArgs, Folders, FoldersError};
use crate::learnt::{self, Learning};
use crate::log::{Log, LogError};
use crate::notices::Notices;
use crate::speech::Speech;
use crate::visit::{KeptError, Reception};

pub use benches::Benches;
use instance::{Instance, InstanceError};
pub use restoring::{RestoreError, restore};

/// After this long with no client and no batch a service that was started for a command ends.
const IDLE: Duration = Duration::from_secs(300);
/// A second signal within the clean stop ends at once; so does this long without an end.
const PATIENCE: Duration = Duration::from_secs(5);

/// How to run the service.
#[derive(Args, Clone, Debug, Default)]
pub struct ServeArgs {
    /// End by itself when nobody has needed it for five minutes
    #[arg(long)]
    pub until_idle: bool,
    /// Also answer on this loopback address, with the token in the runtime folder (port 0: any free one)
    #[arg(long, value_name = "ADDRESS")]
    pub loopback: Option<SocketAddr>,
    /// Run the benches' clocks this many times as fast as the wall's, for tests
    #[arg(long, value_name = "TIMES", default_value_t = 1.0, hide = true)]
    pub clock_rate: f64,
}

/// Why the service did not start, or ended.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// The folders are not to be had.
    #[error(transparent)]
    Folders(#[from] FoldersError),
    /// There is another instance, or the lock cannot be had.
    #[error(transparent)]
    Instance(#[from] InstanceError),
    /// The log cannot be opened.
    #[error(transparent)]
    Log(#[from] LogError),
    /// A bench cannot be taken up.
    #[error(transparent)]
    Bench(#[from] BenchError),
    /// Who was let in to the page cannot be read.
    #[error(transparent)]
    Visitors(#[from] KeptError),
    /// What the person said about learning cannot be read.
    #[error(transparent)]
    Learnt(#[from] learnt::KeptError),
    /// Not a loopback address.
    #[error("{0} is not a loopback address")]
    NotLoopback(SocketAddr),
    /// Something of the system failed.
    #[error("cannot {doing}")]
    System {
        /// What was tried.
        doing: String,
        /// What the system said.
        source: io::Error,
    },
}

impl ServeError {
    /// Returns what the person can do about it.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Folders(error) => Some(error.hint().to_owned()),
            Self::Instance(error) => Some(error.hint().to_owned()),
            Self::Log(error) => error.hint().map(str::to_owned),
            Self::Bench(error) => error.hint(),
            Self::Visitors(error) => Some(error.hint().to_owned()),
            Self::Learnt(error) => Some(error.hint().to_owned()),
            Self::NotLoopback(_) => Some("use 127.0.0.1:PORT or [::1]:PORT".to_owned()),
            Self::System { .. } => None,
        }
    }

    /// Returns the exit code: 75 when another instance runs, 69 when something is missing, 78 for settings, else 1.
    #[must_use]
    pub const fn exit_code(&self) -> u8 {
        match self {
            Self::Instance(InstanceError::Running { .. }) => 75,
            Self::NotLoopback(_) => 78,
            Self::Log(LogError::TooNew { .. } | LogError::NotALog { .. }) => 78,
            Self::Folders(_) | Self::Log(_) => 69,
            Self::Instance(InstanceError::System { .. })
            | Self::Bench(_)
            | Self::Visitors(_)
            | Self::Learnt(_)
            | Self::System { .. } => 1,
        }
    }
}

fn system(doing: impl Into<String>) -> impl FnOnce(io::Error) -> ServeError {
    move |source| ServeError::System {
        doing: doing.into(),
        source,
    }
}

/// Runs the service until it is told to stop, and returns how it ended.
#[must_use]
pub fn serve(folders: &FolderArgs, args: &ServeArgs) -> ExitCode {
    start_logging();
    let runtime = match tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
    {
        Ok(runtime) => runtime,
        Err(error) => {
            tracing::error!(%error, "cannot start");
            return ExitCode::FAILURE;
        }
    };
    let outcome = runtime.block_on(run(folders, args));
    runtime.shutdown_timeout(PATIENCE);
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            let cause = std::error::Error::source(&error)
                .map(|cause| format!(": {cause}"))
                .unwrap_or_default();
            let hint = error
                .hint()
                .map(|hint| format!("; {hint}"))
                .unwrap_or_default();
            tracing::error!("{error}{cause}{hint}");
            ExitCode::from(error.exit_code())
        }
    }
}

/// Logs to stderr; the journal stamps the time itself.
fn start_logging() {
    let filter = EnvFilter::try_from_env("TAREHAND_LOG").unwrap_or_else(|_| EnvFilter::new("info"));
    let under_journal = std::env::var_os("JOURNAL_STREAM").is_some();
    let lines = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(io::stderr)
        .with_target(false)
        .with_ansi(!under_journal && io::IsTerminal::is_terminal(&io::stderr()));
    // A second call in one process keeps the first: tests start several services.
    drop(if under_journal {
        lines.without_time().try_init()
    } else {
        lines.try_init()
    });
}

async fn run(folders: &FolderArgs, args: &ServeArgs) -> Result<(), ServeError> {
    // From the first moment: told to stop while starting, it still ends in good order.
    let mut signals = Signals::listen().map_err(system("listen to signals"))?;
    let folders = Folders::resolve(folders)?;
    folders.make()?;
    let instance = Instance::claim(&folders)?;
    let log_path = folders.log();
    let log = tokio::task::spawn_blocking(move || Log::open(&log_path))
        .await
        .map_err(|error| ServeError::System {
            doing: "open the log".to_owned(),
            source: error.into(),
        })??;
    let stop = CancellationToken::new();
    let tasks = TaskTracker::new();
    let surroundings = Surroundings {
        log: log.clone(),
        notices: Notices::default(),
        clock_rate: args.clock_rate,
        stop: stop.clone(),
    };
    let socket = instance.bind().map_err(system("bind the socket"))?;
    let loopback = match args.loopback {
        Some(address) => Some(listen(address, &folders).await?),
        None => None,
    };
    let benches = Benches::take_up(surroundings.clone(), tasks.clone()).await?;
    let learning = Learning::take_up(log.clone(), folders.learnt())?;
    tasks.spawn(
        stop.clone()
            .run_until_cancelled_owned(learning.clone().read_ahead()),
    );
    let service = Service {
        learning,
        benches: benches.clone(),
        surroundings,
        log_path: folders.log().display().to_string(),
        folder: RecipeFolder::take_up(folders.recipes(), folders.shelf()),
        speech: Speech::default(),
        reception: Reception::take_up(folders.page(), stop.clone(), tasks.clone())?,
        stop: stop.clone(),
    };
    let clients = watchdog::Clients::default();
    serve_on(socket, loopback, &service, &clients, &tasks);
    tasks.spawn(watchdog::feed(stop.clone()));
    if args.until_idle {
        tasks.spawn(watchdog::end_when_idle(
            IDLE,
            benches.clone(),
            clients,
            stop.clone(),
        ));
    }
    notify_ready();
    tracing::info!(socket = %folders.socket().display(), "ready");
    signals.wait_for_end(&stop).await;
    stop.cancel();
    drop(sd_notify::notify(&[sd_notify::NotifyState::Stopping]));
    tasks.close();
    end_cleanly(&tasks, &log, &mut signals).await;
    drop(instance);
    tracing::info!("stopped");
    Ok(())
}

/// Waits for the tasks and the log; a second signal, or no end in sight, ends at once.
async fn end_cleanly(tasks: &TaskTracker, log: &Log, signals: &mut Signals) {
    let finish = async {
        tasks.wait().await;
        if let Err(error) = log.stop().await {
            tracing::error!(%error, "the log was not closed cleanly");
        }
    };
    tokio::select! {
        () = finish => {}
        () = signals.told_to_stop() => tracing::warn!("told twice: ending at once"),
        () = tokio::time::sleep(PATIENCE) => tracing::warn!("something does not end: ending all the same"),
    }
}

fn serve_on(
    socket: UnixListener,
    loopback: Option<(TcpListener, Token)>,
    service: &Service,
    clients: &watchdog::Clients,
    tasks: &TaskTracker,
) {
    let router = api::router(service.clone()).layer(axum::middleware::from_fn_with_state(
        clients.clone(),
        watchdog::count,
    ));
    // Before anybody can ask for the page.
    let visited = axum::middleware::from_fn_with_state(service.reception.clone(), api::visit_guard);
    service.reception.begin(router.clone().layer(visited));
    let stop = service.stop.clone();
    let server = axum::serve(Bounded::new(OwnSocket(socket)), router.clone())
        .with_graceful_shutdown(stop.cancelled_owned());
    tasks.spawn(async move {
        if let Err(error) = server.await {
            tracing::error!(%error, "the socket is no longer served");
        }
    });
    if let Some((listener, token)) = loopback {
        let router = router.layer(axum::middleware::from_fn_with_state(token, api::guard));
        let server = axum::serve(Bounded::new(listener), router)
            .with_graceful_shutdown(service.stop.clone().cancelled_owned());
        tasks.spawn(async move {
            if let Err(error) = server.await {
                tracing::error!(%error, "loopback is no longer served");
            }
        });
    }
}

async fn listen(
    address: SocketAddr,
    folders: &Folders,
) -> Result<(TcpListener, Token), ServeError> {
    if !address.ip().is_loopback() {
        return Err(ServeError::NotLoopback(address));
    }
    let listener = TcpListener::bind(address)
        .await
        .map_err(system(format!("listen on {address}")))?;
    let bound = listener
        .local_addr()
        .map_err(system("name the loopback address"))?;
    let path = folders.runtime.join("loopback.token");
    let token = instance::new_token(&path).map_err(system(format!("write {}", path.display())))?;
    tracing::info!(address = %bound, token = %path.display(), "also answering on loopback");
    Ok((listener, Token::new(token)))
}

fn notify_ready() {
    let states = [
        sd_notify::NotifyState::Ready,
        sd_notify::NotifyState::Status("waiting for a batch"),
    ];
    if let Err(error) = sd_notify::notify(&states) {
        tracing::debug!(%error, "the supervisor was not told");
    }
}

/// What the system tells the service.
struct Signals {
    terminate: Signal,
    interrupt: Signal,
    hang_up: Signal,
}

impl Signals {
    fn listen() -> io::Result<Self> {
        Ok(Self {
            terminate: signal(SignalKind::terminate())?,
            interrupt: signal(SignalKind::interrupt())?,
            hang_up: signal(SignalKind::hangup())?,
        })
    }

    /// Waits for SIGTERM or SIGINT.
    async fn told_to_stop(&mut self) {
        tokio::select! {
            _ = self.terminate.recv() => {}
            _ = self.interrupt.recv() => {}
        }
    }

    /// Waits for SIGTERM, SIGINT or the API's stop. SIGHUP is kept for settings that can be read anew.
    async fn wait_for_end(&mut self, stop: &CancellationToken) {
        loop {
            tokio::select! {
                () = stop.cancelled() => return,
                _ = self.terminate.recv() => return,
                _ = self.interrupt.recv() => return,
                _ = self.hang_up.recv() => tracing::info!("the service keeps no settings of its own: nothing to read anew"),
            }
        }
    }
}
