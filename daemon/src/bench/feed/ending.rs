//! A link that ends: its port is free when its thread is over.

use std::thread::JoinHandle;
use std::time::Duration;

/// A link that was told to end and may still hold its port for a moment.
pub(in crate::bench) type Ending = Option<JoinHandle<()>>;

/// How long a link may take to let go of its scale when the service ends (our own choice).
const LETTING_GO: Duration = Duration::from_secs(1);
const LOOK: Duration = Duration::from_millis(5);

/// Waits until a link has let go, for a limited time: a radio scale stays connected else, and drains its battery.
pub(in crate::bench) async fn has_let_go(ending: Ending) {
    let Some(thread) = ending else {
        return;
    };
    let ended = async {
        while !thread.is_finished() {
            tokio::time::sleep(LOOK).await;
        }
    };
    if tokio::time::timeout(LETTING_GO, ended).await.is_err() {
        tracing::warn!("a scale was not let go of in time");
    }
}
