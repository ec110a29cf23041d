//! What the simulated person is told.

use tarehand_protocol::Mass;

/// What is wanted of the hand at the bench right now.
///
/// This is all a simulated person knows: what a real one would read off the screen or hear. A
/// wish may be repeated with newer numbers as often as a reading comes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Wish {
    /// Nothing goes on.
    #[default]
    Idle,
    /// Put a fresh, empty jar on the pan.
    PutJar,
    /// Pour.
    Pour {
        /// Which addition this is; any number that differs from the addition before.
        addition: u32,
        /// What is still missing, as the screen shows it; nothing or less when enough is in.
        remaining: Mass,
    },
    /// Add drops and count them.
    CountDrops {
        /// Which addition this is; any number that differs from the addition before.
        addition: u32,
        /// How many drops the addition has in all.
        count: u32,
        /// What one drop weighs.
        drop: Mass,
    },
    /// Stir what is in the jar, which stays on the pan.
    Stir,
    /// Stop pouring at once: the cue.
    StopNow,
    /// Hands off: something settles, rests or is being asked.
    Wait,
    /// Lift the jar off the pan.
    LiftJar,
    /// Put the same jar back on the pan.
    PutJarBack,
}

impl Wish {
    /// Returns whether the other wish asks for the same deed, be it with newer numbers.
    #[must_use]
    pub const fn same_deed(self, other: Self) -> bool {
        match (self, other) {
            (Self::Idle, Self::Idle)
            | (Self::PutJar, Self::PutJar)
            | (Self::Stir, Self::Stir)
            | (Self::StopNow, Self::StopNow)
            | (Self::Wait, Self::Wait)
            | (Self::LiftJar, Self::LiftJar)
            | (Self::PutJarBack, Self::PutJarBack) => true,
            (Self::Pour { addition: one, .. }, Self::Pour { addition: two, .. })
            | (Self::CountDrops { addition: one, .. }, Self::CountDrops { addition: two, .. }) => {
                one == two
            }
            (
                Self::Idle
                | Self::PutJar
                | Self::Pour { .. }
                | Self::CountDrops { .. }
                | Self::Stir
                | Self::StopNow
                | Self::Wait
                | Self::LiftJar
                | Self::PutJarBack,
                _,
            ) => false,
        }
    }
}
