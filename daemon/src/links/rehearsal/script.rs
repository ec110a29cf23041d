//! What goes wrong in a rehearsal, and when.

use std::collections::VecDeque;
use std::time::Duration;

/// Something that goes wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fault {
    /// When, in bench time since the rehearsal began.
    pub after: Duration,
    /// What.
    pub trouble: Trouble,
    /// For how long, in bench time.
    pub lasts: Duration,
}

/// A kind of fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// The scale says nothing; its zero stays.
    Silence,
    /// The cable is out: the link is gone, then open again; the scale keeps its zero.
    Unplug,
    /// The scale is off, then on: silence, a banner, and a new zero with whatever is on the pan.
    PowerCycle,
}

/// Where on the script a rehearsal is.
///
/// Faults come one at a time and in order: one that is due during another begins when that has ended.
#[derive(Clone, Debug)]
pub(super) struct Script {
    now: Duration,
    ahead: VecDeque<Fault>,
    current: Option<(Trouble, Duration)>,
}

/// What a step along the script brings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Turn {
    /// The line is up.
    Up,
    /// A fault begins.
    Begins(Trouble),
    /// A fault goes on.
    Lasts,
    /// A fault ends; the line is up again.
    Ends(Trouble),
}

impl Script {
    /// Makes a script of faults, put in the order of their time.
    #[must_use]
    pub(super) fn new(mut faults: Vec<Fault>) -> Self {
        faults.sort_by_key(|fault| fault.after);
        Self {
            now: Duration::ZERO,
            ahead: faults.into(),
            current: None,
        }
    }

    /// Lets time go by.
    pub(super) fn advance(&mut self, time: Duration) -> Turn {
        self.now += time;
        match self.current {
            Some((trouble, until)) if until <= self.now => {
                self.current = None;
                Turn::Ends(trouble)
            }
            Some(_) => Turn::Lasts,
            None => match self.ahead.pop_front_if(|fault| fault.after <= self.now) {
                Some(fault) => {
                    self.current = Some((fault.trouble, self.now + fault.lasts));
                    Turn::Begins(fault.trouble)
                }
                None => Turn::Up,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn faults_come_in_order_and_never_at_once() {
        let second = Duration::from_secs(1);
        let fault = |after, trouble| Fault {
            after: second * after,
            trouble,
            lasts: second * 2,
        };
        let mut script = Script::new(vec![fault(3, Trouble::Unplug), fault(2, Trouble::Silence)]);
        let turns: Vec<Turn> = (0..8).map(|_| script.advance(second)).collect();
        assert_eq!(
            turns,
            [
                Turn::Up,
                Turn::Begins(Trouble::Silence),
                Turn::Lasts,
                Turn::Ends(Trouble::Silence),
                Turn::Begins(Trouble::Unplug),
                Turn::Lasts,
                Turn::Ends(Trouble::Unplug),
                Turn::Up,
            ]
        );
    }
}
