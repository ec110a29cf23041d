//! Support of the whole-program tests.
//!
//! Real binaries are run in a temporary home with a cleared environment, beside doubles of devices. Everything here
//! ends a test by panicking with words that say what was waited for and what came instead.
#![expect(
    clippy::unwrap_used,
    reason = "in a test's support a broken pipe or a full disk ends the test, and that is right"
)]

pub mod binaries;
pub mod events;
pub mod home;
pub mod http;
pub mod onlooker;
pub mod run;
pub mod scale;
pub mod service;
pub mod wait;
pub mod window_pan;

pub use events::{Event, Events};
pub use home::Home;
pub use http::{Answer, Client};
pub use onlooker::Onlooker;
pub use run::{Finished, Running, run};
pub use scale::{ScaleDouble, ScaleSetting};
pub use service::Service;
pub use wait::{Deadline, wait_for, wait_until};

use std::time::Duration;

/// How long a test waits for what should come at once: long, since a busy machine is no failure.
pub const LIMIT: Duration = Duration::from_secs(20);
