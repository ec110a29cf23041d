//! What to do next, given what happened. Pure: no bus, no clock.

use std::time::Duration;

use super::trouble::{Told, Trouble};

/// One thing a link does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Act {
    /// Connect to the system's bus anew; what was known through the old connection is void.
    OpenBus,
    /// See whether there is a radio that is on.
    FindRadio,
    /// Look around for the scale, for a limited time.
    Scan,
    /// Connect to the scale that was found.
    Connect,
    /// Find its characteristics anew, subscribe, and start it.
    Prepare,
    /// Hand on what it says until it is gone.
    Listen,
    /// Disconnect, also where connecting failed: the system goes on trying else, and refuses to try again.
    LetGo,
    /// Wait before the next try.
    Wait(Duration),
}

/// How an act ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Ended {
    /// As it should.
    Well,
    /// With a trouble.
    Badly(Trouble),
}

/// How the weight of a scale comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    /// Through a connection.
    Connected,
    /// In what it calls out to everybody.
    CalledOut,
}

/// The course of a link through all its tries.
#[derive(Debug)]
pub(super) struct Course {
    way: Way,
    act: Act,
    after_wait: Act,
    told: Told,
    pause: Duration,
}

/// The shortest pause before another try.
const SHORTEST: Duration = Duration::from_millis(200);
/// The longest; looking around comes on top.
const LONGEST: Duration = Duration::from_secs(2);

impl Course {
    pub(super) fn new(way: Way) -> Self {
        Self {
            way,
            act: Act::OpenBus,
            after_wait: Act::OpenBus,
            told: Told::default(),
            pause: SHORTEST,
        }
    }

    /// Returns what to do now.
    pub(super) const fn act(&self) -> Act {
        self.act
    }

    /// Returns whether nothing more is to be done over this connection to the bus.
    pub(super) fn needs_new_bus(&self) -> bool {
        match self.act {
            Act::OpenBus => true,
            Act::Wait(_) => self.after_wait == Act::OpenBus,
            _ => false,
        }
    }

    /// Takes note that the scale is heard: whatever comes next is said again.
    pub(super) fn heard(&mut self) {
        self.told.heard();
        self.pause = SHORTEST;
    }

    /// Takes the end of what was being done; returns the trouble to tell, where it is news.
    pub(super) fn ended(&mut self, ended: Ended) -> Option<Trouble> {
        let (next, trouble) = self.next(ended);
        self.act = next;
        trouble.and_then(|trouble| self.told.meet(trouble))
    }

    fn next(&mut self, ended: Ended) -> (Act, Option<Trouble>) {
        match (self.act, ended) {
            (Act::OpenBus, Ended::Well) => (Act::FindRadio, None),
            (Act::FindRadio, Ended::Well) => (Act::Scan, None),
            (Act::Scan, Ended::Well) => match self.way {
                Way::Connected => (Act::Connect, None),
                Way::CalledOut => (Act::Listen, None),
            },
            (Act::Connect, Ended::Well) => (Act::Prepare, None),
            (Act::Prepare, Ended::Well) => (Act::Listen, None),
            (Act::Wait(_), _) => (self.after_wait, None),
            // Nothing of a connection is left to let go of.
            (Act::OpenBus | Act::FindRadio | Act::Scan, Ended::Badly(trouble)) => {
                (self.wait_after(&trouble), Some(trouble))
            }
            (Act::Connect | Act::Prepare | Act::Listen, Ended::Badly(trouble)) => {
                // Over a dead bus nothing can be let go of.
                if trouble.needs_new_bus() {
                    return (self.wait_after(&trouble), Some(trouble));
                }
                self.after_wait = Act::FindRadio;
                (Act::LetGo, Some(trouble))
            }
            // A link never stops listening well; if it did, the scale would be let go of.
            (Act::Listen, Ended::Well) => {
                self.after_wait = Act::FindRadio;
                (Act::LetGo, None)
            }
            (Act::LetGo, Ended::Well) => (self.wait(), None),
            // Said already, or part of what was.
            (Act::LetGo, Ended::Badly(trouble)) => {
                if trouble.needs_new_bus() {
                    self.after_wait = Act::OpenBus;
                }
                (self.wait(), None)
            }
        }
    }

    fn wait_after(&mut self, trouble: &Trouble) -> Act {
        self.after_wait = match (self.act, trouble) {
            (Act::OpenBus, _) => Act::OpenBus,
            (_, trouble) => after(trouble),
        };
        self.wait()
    }

    fn wait(&mut self) -> Act {
        let pause = self.pause;
        self.pause = (pause * 2).min(LONGEST);
        Act::Wait(pause)
    }
}

const fn after(trouble: &Trouble) -> Act {
    if trouble.needs_new_bus() {
        Act::OpenBus
    } else {
        // Not the scan: it would switch a radio on that was switched off meanwhile.
        Act::FindRadio
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pan(trouble: fn(String) -> Trouble) -> Ended {
        Ended::Badly(trouble("pan".to_owned()))
    }

    /// Brings a course to where it connects, or listens.
    fn course_to(act: Act) -> Course {
        let mut course = Course::new(Way::Connected);
        while course.act() != act {
            assert_eq!(course.ended(Ended::Well), None);
        }
        course
    }

    /// Runs the acts after an end, all of them ending well, until one is met that is not a pause.
    fn then(course: &mut Course, ended: Ended) -> Vec<Act> {
        let _said = course.ended(ended);
        let mut acts = vec![course.act()];
        while matches!(course.act(), Act::Wait(_) | Act::LetGo) {
            let _said = course.ended(Ended::Well);
            acts.push(course.act());
        }
        acts
    }

    const PAUSE: Act = Act::Wait(SHORTEST);

    #[test]
    fn a_scale_is_found_connected_discovered_and_heard_in_this_order() {
        let mut course = Course::new(Way::Connected);
        let mut acts = vec![course.act()];
        for _ in 0..5 {
            course.ended(Ended::Well);
            acts.push(course.act());
        }
        use Act::{Connect, FindRadio, Listen, OpenBus, Prepare, Scan};
        assert_eq!(acts, [OpenBus, FindRadio, Scan, Connect, Prepare, Listen]);
    }

    #[test]
    fn a_weight_that_is_called_out_needs_no_connection() {
        let mut course = Course::new(Way::CalledOut);
        for _ in 0..3 {
            course.ended(Ended::Well);
        }
        assert_eq!(course.act(), Act::Listen);
    }

    #[test]
    fn after_a_connect_that_hangs_is_refused_or_breaks_off_the_scale_is_let_go_first() {
        for act in [Act::Connect, Act::Prepare, Act::Listen] {
            let mut course = course_to(act);
            let acts = then(&mut course, pan(Trouble::NoAnswer));
            assert_eq!(acts, [Act::LetGo, PAUSE, Act::FindRadio], "{act:?}");
        }
    }

    #[test]
    fn after_every_trouble_the_radio_is_looked_at_before_a_scan_may_begin() {
        for trouble in [
            Trouble::RadioOff,
            Trouble::NoRadio,
            Trouble::NoService,
            Trouble::NotInReach("pan".to_owned()),
        ] {
            let mut course = course_to(Act::Scan);
            let acts = then(&mut course, Ended::Badly(trouble));
            assert_eq!(acts, [PAUSE, Act::FindRadio]);
        }
    }

    #[test]
    fn a_bus_that_answers_no_more_is_opened_anew() {
        for act in [Act::FindRadio, Act::Scan, Act::Listen] {
            let mut course = course_to(act);
            let acts = then(&mut course, Ended::Badly(Trouble::Stuck));
            assert_eq!(acts, [PAUSE, Act::OpenBus]);
        }
    }

    #[test]
    fn a_bus_found_dead_while_letting_go_is_opened_anew() {
        let mut course = course_to(Act::Listen);
        course.ended(pan(Trouble::Silent));
        assert_eq!(course.act(), Act::LetGo);
        let acts = then(&mut course, Ended::Badly(Trouble::Stuck));
        assert_eq!(acts, [PAUSE, Act::OpenBus]);
    }

    #[test]
    fn pauses_grow_until_the_scale_is_heard() {
        let mut course = course_to(Act::Scan);
        let mut pauses = Vec::new();
        for _ in 0..6 {
            course.ended(pan(Trouble::NotInReach));
            if let Act::Wait(pause) = course.act() {
                pauses.push(pause.as_millis());
            }
            while course.act() != Act::Scan {
                course.ended(Ended::Well);
            }
        }
        assert_eq!(pauses, [200, 400, 800, 1_600, 2_000, 2_000]);
        course.heard();
        assert_eq!(then(&mut course, pan(Trouble::NotInReach))[0], PAUSE);
    }

    #[test]
    fn a_trouble_is_told_once_until_the_scale_is_heard_again() {
        let mut course = course_to(Act::Scan);
        assert!(course.ended(pan(Trouble::NotInReach)).is_some());
        while course.act() != Act::Scan {
            course.ended(Ended::Well);
        }
        assert_eq!(course.ended(pan(Trouble::NotInReach)), None);
        course.heard();
        while course.act() != Act::Scan {
            course.ended(Ended::Well);
        }
        assert!(course.ended(pan(Trouble::NotInReach)).is_some());
    }
}
