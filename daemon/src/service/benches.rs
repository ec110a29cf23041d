//! The benches the service runs, by name.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use tokio_util::task::TaskTracker;

use crate::bench::{Bench, BenchError, Surroundings};

/// The bench on which rehearsals run.
const REHEARSAL: &str = "rehearsal";
/// More benches than any studio has; a limit so that a client cannot start tasks without end.
const MOST: usize = 32;

/// The running benches; cheap to clone.
#[derive(Clone, Debug)]
pub struct Benches {
    running: Arc<Mutex<BTreeMap<String, Bench>>>,
    /// Held while a bench starts, so that two requests do not start one twice.
    starting: Arc<tokio::sync::Mutex<()>>,
    surroundings: Surroundings,
    tasks: TaskTracker,
}

impl Benches {
    /// Takes up the benches that have a scale or a batch that has not ended.
    ///
    /// # Errors
    /// When the log cannot be read.
    pub async fn take_up(
        surroundings: Surroundings,
        tasks: TaskTracker,
    ) -> Result<Self, BenchError> {
        let names = surroundings.log.benches().await?;
        let benches = Self {
            running: Arc::default(),
            starting: Arc::default(),
            surroundings,
            tasks,
        };
        for name in names {
            benches.start(&name, benches.surroundings.clone()).await?;
        }
        Ok(benches)
    }

    /// Returns a running bench.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<Bench> {
        self.running
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .get(name)
            .cloned()
    }

    /// Returns every running bench, by name.
    #[must_use]
    pub fn all(&self) -> Vec<Bench> {
        self.running
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .values()
            .cloned()
            .collect()
    }

    /// Returns a bench, started if it does not run yet; `None` when there are too many.
    ///
    /// # Errors
    /// When the log cannot be read.
    pub async fn get_or_start(&self, name: &str) -> Result<Option<Bench>, BenchError> {
        let _starting = self.starting.lock().await;
        if let Some(bench) = self.get(name) {
            return Ok(Some(bench));
        }
        if MOST <= self.all().len() {
            return Ok(None);
        }
        self.start(name, self.surroundings.clone()).await.map(Some)
    }

    /// Returns the bench for a rehearsal at this speed.
    ///
    /// # Errors
    /// When a rehearsal runs already, or the log cannot be read.
    pub async fn rehearsal(&self, speed: f64) -> Result<Bench, BenchError> {
        let _starting = self.starting.lock().await;
        match self.get(REHEARSAL) {
            Some(bench) => {
                bench.set_speed(speed).await?;
                Ok(bench)
            }
            None => {
                self.start(
                    REHEARSAL,
                    Surroundings {
                        clock_rate: speed,
                        ..self.surroundings.clone()
                    },
                )
                .await
            }
        }
    }

    async fn start(&self, name: &str, surroundings: Surroundings) -> Result<Bench, BenchError> {
        let bench = Bench::start(name, surroundings, &self.tasks).await?;
        self.running
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .insert(name.to_owned(), bench.clone());
        Ok(bench)
    }
}
