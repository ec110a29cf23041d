//! Who was let in.

use serde::{Deserialize, Serialize};

use super::role::Role;
use super::secret;

/// More than anybody has screens; the one that came first makes room.
const MOST: usize = 32;
/// The longest name that is kept.
const LONGEST_NAME: usize = 60;

/// Somebody who was let in.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Visitor {
    /// Its number; never used again.
    pub id: u32,
    /// What it calls itself.
    pub name: String,
    /// What it may do.
    pub role: Role,
    /// When it was let in (RFC 3339).
    pub since: String,
    /// What it shows from then on.
    secret: String,
}

impl std::fmt::Debug for Visitor {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Visitor({}, {:?}, {:?})", self.id, self.name, self.role)
    }
}

/// All of them, in the order they came.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Visitors {
    last: u32,
    all: Vec<Visitor>,
}

impl Visitors {
    /// Lets somebody in, and returns them and who had to make room.
    pub(super) fn enter(
        &mut self,
        name: &str,
        role: Role,
        since: String,
        secret: String,
    ) -> (Visitor, Option<Visitor>) {
        let first = (MOST <= self.all.len()).then(|| self.all.remove(0));
        self.last += 1;
        let shown = name.chars().filter(|shown| !shown.is_control());
        let visitor = Visitor {
            id: self.last,
            name: shown.take(LONGEST_NAME).collect(),
            role,
            since,
            secret,
        };
        self.all.push(visitor.clone());
        (visitor, first)
    }

    /// Returns who shows this secret.
    pub(super) fn find(&self, shown: &str) -> Option<&Visitor> {
        // All are compared, so that the time tells nothing.
        let mut found = None;
        for visitor in &self.all {
            if secret::same(&visitor.secret, shown) {
                found = Some(visitor);
            }
        }
        found
    }

    /// Turns somebody away; `false` when nobody has that number.
    pub(super) fn turn_away(&mut self, id: u32) -> bool {
        let before = self.all.len();
        self.all.retain(|visitor| visitor.id != id);
        self.all.len() < before
    }

    /// Returns all of them.
    pub(super) fn all(&self) -> &[Visitor] {
        &self.all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn enter(visitors: &mut Visitors, secret: &str) -> (Visitor, Option<Visitor>) {
        let since = "2026-01-02T03:04:05Z".to_owned();
        visitors.enter("window tablet", Role::Viewer, since, secret.to_owned())
    }

    #[test]
    fn who_shows_the_secret_is_known_and_nobody_else() {
        let mut visitors = Visitors::default();
        enter(&mut visitors, "one");
        enter(&mut visitors, "two");
        assert_eq!(visitors.find("two").map(|found| found.id), Some(2));
        assert_eq!(visitors.find("three"), None);
        assert_eq!(visitors.find(""), None);
    }

    #[test]
    fn who_is_turned_away_is_a_stranger_and_the_number_is_not_used_again() {
        let mut visitors = Visitors::default();
        enter(&mut visitors, "one");
        assert!(visitors.turn_away(1) && !visitors.turn_away(1));
        assert_eq!(visitors.find("one"), None);
        assert_eq!(enter(&mut visitors, "two").0.id, 2);
    }

    #[test]
    fn the_one_that_came_first_makes_room() {
        let mut visitors = Visitors::default();
        for number in 0..MOST {
            assert_eq!(enter(&mut visitors, &number.to_string()).1, None);
        }
        let (_, left) = enter(&mut visitors, "one more");
        assert_eq!(left.map(|left| left.id), Some(1));
        assert_eq!(visitors.all().len(), MOST);
    }

    #[test]
    fn a_secret_is_never_shown() {
        let mut visitors = Visitors::default();
        enter(&mut visitors, "hush");
        assert!(!format!("{visitors:?}").contains("hush"));
    }
}
