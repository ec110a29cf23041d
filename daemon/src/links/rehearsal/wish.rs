//! What the simulated person is told.

use tarehand_protocol::Mass;

/// Something that may stand on the pan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Vessel {
    /// A jar that is mixed in, counted from 0; each keeps its weight and what is in it.
    Jar(u32),
    /// A bottle that is weighed while it is poured from, by any number of its own.
    Bottle(u32),
}

/// One addition, or what is let out of a jar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Part {
    /// The jar that is worked at.
    pub jar: u32,
    /// Any number that differs from those of the jar's other additions.
    pub number: u32,
}

/// What is wanted of the hand at the bench right now.
///
/// This is all a simulated person knows: what a real one would read off the screen or hear. A
/// wish may be repeated with newer numbers as often as a reading comes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Wish {
    /// Nothing goes on.
    #[default]
    Idle,
    /// This belongs on the pan; whatever else stands there makes room for it.
    Put(Vessel),
    /// Nothing belongs on the pan.
    ClearPan,
    /// Pour into the jar on the pan.
    Pour {
        /// Which addition this is.
        part: Part,
        /// Out of the jar of a premix; out of a bottle that nobody weighs where there is none.
        from: Option<Vessel>,
        /// What is still missing, as the screen shows it; nothing or less when enough is in.
        remaining: Mass,
    },
    /// Pour out of what is weighed into the jar beside the scale: lift it off the pan, pour, and set it back.
    PourOut {
        /// Which addition this is.
        part: Part,
        /// Out of what.
        from: Vessel,
        /// What is still missing by what was weighed so far.
        remaining: Mass,
    },
    /// Add drops and count them.
    CountDrops {
        /// Which addition this is.
        part: Part,
        /// Out of what is weighed, which is in the hand meanwhile; where there is none, into the jar on the pan.
        from: Option<Vessel>,
        /// How many drops the addition has in all.
        count: u32,
        /// What one drop weighs.
        drop: Mass,
    },
    /// Take the jar off the pan, pour some of it into another vessel, and put it back.
    Decant {
        /// Which letting out this is.
        part: Part,
        /// What is still to leave by what was weighed so far; as much as comes out where nothing is said.
        remaining: Option<Mass>,
    },
    /// Stir what is in the jar, which stays on the pan.
    Stir,
    /// Stop pouring at once: the cue.
    StopNow,
    /// Hands off: something settles, rests or is being asked.
    Wait,
}

impl Wish {
    /// Returns whether the other wish asks for the same deed, be it with newer numbers.
    #[must_use]
    pub fn same_deed(self, other: Self) -> bool {
        std::mem::discriminant(&self) == std::mem::discriminant(&other)
            && self.part() == other.part()
            && self.vessel() == other.vessel()
    }

    /// Returns which addition or letting out it is about.
    #[must_use]
    pub const fn part(self) -> Option<Part> {
        match self {
            Self::Pour { part, .. }
            | Self::PourOut { part, .. }
            | Self::CountDrops { part, .. }
            | Self::Decant { part, .. } => Some(part),
            Self::Idle
            | Self::Put(_)
            | Self::ClearPan
            | Self::Stir
            | Self::StopNow
            | Self::Wait => None,
        }
    }

    /// Returns what it is about that stands on the pan or is poured from.
    #[must_use]
    pub const fn vessel(self) -> Option<Vessel> {
        match self {
            Self::Put(vessel) | Self::PourOut { from: vessel, .. } => Some(vessel),
            Self::Pour { from, .. } | Self::CountDrops { from, .. } => from,
            Self::Decant { part, .. } => Some(Vessel::Jar(part.jar)),
            Self::Idle | Self::ClearPan | Self::Stir | Self::StopNow | Self::Wait => None,
        }
    }

    /// Returns what is poured out of in the hand, off the pan.
    #[must_use]
    pub const fn in_hand(self) -> Option<Vessel> {
        match self {
            Self::PourOut { from, .. } => Some(from),
            Self::CountDrops { from, .. } => from,
            Self::Decant { part, .. } => Some(Vessel::Jar(part.jar)),
            Self::Idle
            | Self::Put(_)
            | Self::ClearPan
            | Self::Pour { .. }
            | Self::Stir
            | Self::StopNow
            | Self::Wait => None,
        }
    }
}
