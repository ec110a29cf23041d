//! What a bench tells, kept up over restarts of the service.

use std::time::Duration;

use tarehand_protocol::api::{View, WeightNow};
use tokio::sync::mpsc;
use tokio::time::sleep;

use crate::client::{Client, ClientError, Happening, segment};

/// How long until the next try; a service that comes back is found well within two seconds.
const RETRY: Duration = Duration::from_millis(250);
/// How many updates may wait; whoever reads takes all that wait at once.
const WAITING: usize = 256;

/// What the feed tells.
#[derive(Debug)]
pub(crate) enum Update {
    /// The newest view.
    View(Box<View>),
    /// The newest weight.
    Weight(WeightNow),
    /// The service does not answer; the feed goes on trying.
    Away(ClientError),
    /// The service answers again.
    Back,
    /// It makes no sense to go on.
    Over(ClientError),
}

/// Follows a bench until the receiver is dropped.
pub(crate) fn follow(client: &Client, bench: &str) -> mpsc::Receiver<Update> {
    let (sender, receiver) = mpsc::channel(WAITING);
    let feed = Feed {
        client: client.clone(),
        bench: format!("/v1/benches/{}", segment(bench)),
        sender,
    };
    drop(tokio::spawn(feed.run()));
    receiver
}

struct Feed {
    client: Client,
    bench: String,
    sender: mpsc::Sender<Update>,
}

/// The receiver was dropped.
struct Unwanted;

impl Feed {
    async fn run(self) {
        let mut away = false;
        loop {
            let ended = match self.once(&mut away).await {
                Ok(error) => error,
                Err(Unwanted) => return,
            };
            let passing = ended.is_passing() || (away && may_come_back(&ended));
            let update = if passing {
                Update::Away(ended)
            } else {
                Update::Over(ended)
            };
            away = true;
            if self.sender.send(update).await.is_err() || !passing {
                return;
            }
            tokio::select! {
                () = sleep(RETRY) => {}
                () = self.sender.closed() => return,
            }
        }
    }

    /// Connects once and tells what comes until it breaks; returns what broke it.
    async fn once(&self, away: &mut bool) -> Result<ClientError, Unwanted> {
        match self.connected(away).await {
            Ok(unwanted) => Err(unwanted),
            Err(error) => Ok(error),
        }
    }

    async fn connected(&self, away: &mut bool) -> Result<Unwanted, ClientError> {
        if *away {
            // A service that comes back may be another version.
            self.client.status().await?;
        }
        let mut events = self
            .client
            .events(&format!("{}/events", self.bench))
            .await?;
        let view: View = self.client.get(&self.bench).await?;
        if std::mem::take(away) && self.sender.send(Update::Back).await.is_err() {
            return Ok(Unwanted);
        }
        let mut newest = view.revision;
        let mut update = Some(Update::View(Box::new(view)));
        loop {
            if let Some(update) = update
                && self.sender.send(update).await.is_err()
            {
                return Ok(Unwanted);
            }
            let next = tokio::select! {
                next = events.next() => next?,
                () = self.sender.closed() => return Ok(Unwanted),
            };
            update = match next {
                // The stream was opened before the view was asked for: it may begin with an older one.
                Some(Happening::View(view)) => (newest <= view.revision).then(|| {
                    newest = view.revision;
                    Update::View(view)
                }),
                Some(Happening::Weight(weight)) => Some(Update::Weight(weight)),
                Some(
                    Happening::Reading(_)
                    | Happening::Chunk(_)
                    | Happening::Begin(_)
                    | Happening::Missed(_),
                ) => None,
                // The service ended the stream in good order: it is stopping or starting anew.
                None => return Err(ClientError::NotRunning),
            };
        }
    }
}

/// A service that has only just started may not have rebuilt this bench yet.
const fn may_come_back(error: &ClientError) -> bool {
    match error {
        ClientError::Problem(problem) => matches!(problem.status, 404 | 503),
        _ => false,
    }
}
