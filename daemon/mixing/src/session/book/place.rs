//! Where the jar and a bottle are.

use tarehand_protocol::Mass;

/// Where the jar is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum JarPlace {
    /// It has not been put on the pan yet.
    Awaited,
    /// On the pan.
    OnPan,
    /// It stands beside the scale: what goes into it is weighed out of a bottle.
    Beside {
        /// What the scale showed when it had left the pan.
        gross: Mass,
    },
    /// The load is gone from the pan: the jar was lifted, or the scale's tare was pressed. Nobody knows which yet.
    Gone {
        /// What the scale showed then.
        gross: Mass,
    },
}

/// A bottle, or a small cup, that is weighed while it grows lighter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bottle {
    /// The key of what it holds.
    pub key: String,
    /// What the scale showed with it on the pan when it was booked last.
    pub gross: Mass,
    /// What was filled into it here and has not left it yet.
    pub filled: Mass,
    /// What was laid on the pan beside it.
    pub laid: Option<Mass>,
    /// Where it is.
    pub place: BottlePlace,
}

/// Where a bottle is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BottlePlace {
    /// On the pan.
    OnPan,
    /// In the hand, most likely.
    Lifted {
        /// What the scale showed then.
        gross: Mass,
    },
}
