//! Taps on the pan: a short push is an answer for hands that are wet.
//!
//! ```text
//!                 ┌───────┐                     one push, then nothing: yes, go on
//!            ─────┘       └────────────
//!                 ┌──┐    ┌──┐                  two: back
//!            ─────┘  └────┘  └─────────
//! ```
//!
//! What tells a tap from everything else is that nothing stays: it goes up, stays up for longer than a bump and
//! shorter than a hand that leans, and comes back to within a division of where it was. A pour, a drop and a jar stay.
//! Who asks decides when a tap counts; here it is only found.
//!
//! | file | idea |
//! |---|---|
//! | `detector` | finding taps among the readings |
//! | `strength`, `room` | how hard a push has to be, and which scales bear it |

mod detector;
mod room;
mod strength;

pub use detector::{Detector, Tap};
pub use room::most_under_taps;
