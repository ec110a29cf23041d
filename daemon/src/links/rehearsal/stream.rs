//! What has left the bottle and is not in the jar yet.

use std::collections::VecDeque;
use std::time::Duration;

use tarehand_protocol::Mass;

/// How long what is poured falls: t = √(2h/g), 0.20 s for a lip 20 cm above the pan.
///
/// The height is our own choice. The push of the stream's impact is left out.
pub const FALL: Duration = Duration::from_millis(202);

/// A stream that falls from the bottle into the jar.
#[derive(Clone, Debug, Default)]
pub struct Stream {
    now: Duration,
    falling: VecDeque<(Duration, Mass)>,
}

impl Stream {
    /// Lets go of a mass, which will have fallen after [`FALL`].
    pub fn release(&mut self, mass: Mass) {
        self.falling.push_back((self.now + FALL, mass));
    }

    /// Lets time go by and returns what landed meanwhile.
    pub fn advance(&mut self, time: Duration) -> Mass {
        self.now += time;
        let mut landed = Mass::ZERO;
        while let Some((_, mass)) = self.falling.pop_front_if(|(lands, _)| *lands <= self.now) {
            landed += mass;
        }
        landed
    }

    /// Returns what is in the air.
    #[must_use]
    pub fn in_the_air(&self) -> Mass {
        self.falling.iter().map(|&(_, mass)| mass).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_released_lands_whole_after_the_fall_and_not_before() {
        let mut stream = Stream::default();
        stream.release(Mass::from_grams(3));
        let before = FALL.saturating_sub(Duration::from_millis(1));
        assert_eq!(stream.advance(before), Mass::ZERO);
        assert_eq!(stream.in_the_air(), Mass::from_grams(3));
        assert_eq!(
            stream.advance(Duration::from_millis(1)),
            Mass::from_grams(3)
        );
        assert_eq!(stream.in_the_air(), Mass::ZERO);
    }
}
