//! The service: everything of Tarehand that touches the world.
//!
//! Links to scales, the bench that ties scales to one session, the log, the API, notices.

pub mod clock;
pub mod folders;
pub mod links;
pub mod log;
