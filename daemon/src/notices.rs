//! Desktop notices, only for what needs the person.
//!
//! A notice is never waited for: no bus is no error, and a notification server that never answers
//! costs a task that is given up after two seconds, not a reading.

use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Duration;

use notify_rust::{Hint, Notification, Timeout, Urgency};

/// How long a notification server may take.
const PATIENCE: Duration = Duration::from_secs(2);

/// Where what needs the person is told.
#[derive(Clone, Debug, Default)]
pub struct Notices {
    last: Arc<AtomicU32>,
    silent: bool,
}

impl Notices {
    /// Makes notices that are shown nowhere.
    #[must_use]
    pub fn silent() -> Self {
        Self {
            silent: true,
            ..Self::default()
        }
    }

    /// Shows a notice in place of the one before.
    pub fn show(&self, summary: String, body: String) {
        if self.silent {
            return;
        }
        let last = Arc::clone(&self.last);
        drop(tokio::spawn(async move {
            let mut notice = Notification::new();
            notice
                .appname("Tarehand")
                .summary(&summary)
                .body(&body)
                .urgency(Urgency::Critical)
                .hint(Hint::Category("device".to_owned()))
                .timeout(Timeout::Milliseconds(20_000));
            let before = last.load(Ordering::Relaxed);
            if before != 0 {
                notice.id(before);
            }
            match tokio::time::timeout(PATIENCE, notice.show_async()).await {
                Ok(Ok(shown)) => last.store(shown.id(), Ordering::Relaxed),
                Ok(Err(error)) => tracing::debug!(%error, "no notice was shown"),
                Err(_) => tracing::debug!("the notification server does not answer"),
            }
        }));
    }
}
