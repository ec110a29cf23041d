//! The pan that every scale of the small machine weighs.

use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::sync::{Arc, Mutex};
use std::thread::{self, JoinHandle};
use std::time::Duration;

/// Between two weighings.
pub(crate) const PERIOD: Duration = Duration::from_millis(100);
/// So many weighings after the last change it is still.
const CALM: u32 = 4;

/// What a scale sees of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Weighed {
    pub(crate) gross_ug: i64,
    pub(crate) still: bool,
}

#[derive(Debug, Default)]
struct Load {
    gross_ug: i64,
    to_pour_ug: i64,
    /// How much goes in between two weighings.
    flow_ug: i64,
    calm: u32,
}

/// The pan, and the thread in which its time passes; it stops when dropped.
#[derive(Debug)]
pub(crate) struct Pan {
    load: Arc<Mutex<Load>>,
    stop: Option<Sender<()>>,
    passing: Option<JoinHandle<()>>,
}

impl Pan {
    /// Lets `show` see every weighing.
    pub(crate) fn new(mut show: impl FnMut(Weighed) + Send + 'static) -> Self {
        let load = Arc::new(Mutex::new(Load::default()));
        let (stop, stopped) = mpsc::channel();
        let passing = {
            let load = load.clone();
            thread::spawn(move || {
                while stopped.recv_timeout(PERIOD) == Err(RecvTimeoutError::Timeout) {
                    let weighed = load.lock().unwrap().pass();
                    show(weighed);
                }
            })
        };
        Self {
            load,
            stop: Some(stop),
            passing: Some(passing),
        }
    }

    /// Puts something on it, or takes something off.
    pub(crate) fn load(&self, ug: i64) {
        let mut load = self.load.lock().unwrap();
        load.gross_ug += ug;
        load.calm = 0;
    }

    /// Takes everything off it.
    pub(crate) fn clear(&self) {
        *self.load.lock().unwrap() = Load::default();
    }

    /// Begins to pour so much, in so many weighings.
    pub(crate) fn pour(&self, ug: i64, weighings: i64) {
        let mut load = self.load.lock().unwrap();
        load.to_pour_ug += ug;
        load.flow_ug = (load.to_pour_ug / weighings).max(1);
    }

    /// Returns whether a pour still runs.
    pub(crate) fn pours(&self) -> bool {
        self.load.lock().unwrap().to_pour_ug != 0
    }
}

impl Load {
    fn pass(&mut self) -> Weighed {
        let poured = self.flow_ug.min(self.to_pour_ug);
        self.to_pour_ug -= poured;
        self.gross_ug += poured;
        self.calm = if poured == 0 { self.calm + 1 } else { 0 };
        Weighed {
            gross_ug: self.gross_ug,
            still: CALM <= self.calm,
        }
    }
}

impl Drop for Pan {
    fn drop(&mut self) {
        drop(self.stop.take());
        if let Some(passing) = self.passing.take() {
            // It panics only where the lock is poisoned, and then the scene has failed already.
            let _ended = passing.join();
        }
    }
}
