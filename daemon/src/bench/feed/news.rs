//! What comes of one event of the link.

use tarehand_mixing::settler::Fact;
use tarehand_mixing::tap::Tap;
use tarehand_protocol::api::ReadingLine;

/// What came of one event of the link.
#[derive(Debug, Default)]
pub(in crate::bench) struct News {
    /// Every reading and every rejected frame, in order.
    pub readings: Vec<Spoken>,
    /// Facts without a reading.
    pub facts: Vec<Fact>,
    /// Whether the state of the scale, as a person sees it, has changed.
    pub changed: bool,
    /// The device, when it has just been opened.
    pub opened: Option<String>,
}

/// One thing the scale said.
#[derive(Debug)]
pub(in crate::bench) struct Spoken {
    /// The reading, or what was rejected.
    pub line: ReadingLine,
    /// The facts that follow from it.
    pub facts: Vec<Fact>,
    /// The tap on the pan that it ends.
    pub tap: Option<Tap>,
}
