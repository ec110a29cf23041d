//! When to look for a scale again, and what of it to say.

use std::time::Duration;

use super::error::OpenError;

/// Why there is no scale, as far as a person must be told a difference.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Absence {
    Away,
    Ambiguous,
    Another,
    InUse,
    NotPermitted,
    NotSerial,
    Refused,
    Unread,
}

impl From<&OpenError> for Absence {
    fn from(error: &OpenError) -> Self {
        match error {
            OpenError::Missing { .. } => Self::Away,
            OpenError::Ambiguous { .. } => Self::Ambiguous,
            OpenError::Another { .. } => Self::Another,
            OpenError::InUse { .. } => Self::InUse,
            OpenError::NotPermitted { .. } => Self::NotPermitted,
            OpenError::NotSerial { .. } => Self::NotSerial,
            OpenError::System { .. } => Self::Refused,
            OpenError::Unread { .. } => Self::Unread,
        }
    }
}

/// Decides what of many tries is said: each change once.
///
/// Right after plugging in, a node is for a moment not yet permitted, or held by a program that looks
/// for modems. So a change is said when it is met twice in a row; only the first absence is said at once.
#[derive(Debug, Default)]
pub(super) struct Told {
    said: Option<Absence>,
    met: Option<Absence>,
}

impl Told {
    /// Takes note that the scale is there.
    pub(super) fn present(&mut self) {
        *self = Self::default();
    }

    /// Takes note of an absence; returns whether to say it.
    pub(super) fn absent(&mut self, absence: Absence) -> bool {
        let say = match self.said {
            None => true,
            Some(said) => said != absence && self.met == Some(absence),
        };
        self.met = Some(absence);
        if say {
            self.said = Some(absence);
        }
        say
    }
}

/// How long to wait before looking again: 0.2 s, then longer, at most 1 s.
#[derive(Debug)]
pub(super) struct Backoff {
    next: Duration,
}

impl Default for Backoff {
    fn default() -> Self {
        Self { next: Self::FIRST }
    }
}

impl Backoff {
    const FIRST: Duration = Duration::from_millis(200);
    const LONGEST: Duration = Duration::from_secs(1);

    /// Returns how long to wait now (wall time).
    pub(super) fn wait(&mut self) -> Duration {
        let wait = self.next;
        self.next = (wait * 2).min(Self::LONGEST);
        wait
    }

    /// Begins anew, because the scale did send something.
    pub(super) fn restart(&mut self) {
        *self = Self::default();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(absences: &[Absence], said: &[Absence]) {
        let mut told = Told::default();
        let heard: Vec<Absence> = absences
            .iter()
            .copied()
            .filter(|absence| told.absent(*absence))
            .collect();
        assert_eq!(heard, said);
    }

    #[test]
    fn each_absence_is_said_once() {
        use Absence::{Away, InUse};
        check(&[Away, Away, Away], &[Away]);
        check(
            &[Away, Away, InUse, InUse, InUse, Away, Away],
            &[Away, InUse, Away],
        );
    }

    #[test]
    fn a_moment_without_permission_after_plugging_in_is_not_said() {
        use Absence::{Away, InUse, NotPermitted};
        check(&[Away, Away, NotPermitted, InUse], &[Away]);
        check(&[Away, NotPermitted, NotPermitted], &[Away, NotPermitted]);
    }

    #[test]
    fn the_same_absence_after_a_presence_is_said_again() {
        let mut told = Told::default();
        assert!(told.absent(Absence::Away));
        told.present();
        assert!(told.absent(Absence::Away));
    }

    #[test]
    fn looking_again_takes_at_most_a_second() {
        let mut backoff = Backoff::default();
        let waits: Vec<u128> = (0..5).map(|_| backoff.wait().as_millis()).collect();
        assert_eq!(waits, [200, 400, 800, 1000, 1000]);
        backoff.restart();
        assert_eq!(backoff.wait().as_millis(), 200);
    }
}
