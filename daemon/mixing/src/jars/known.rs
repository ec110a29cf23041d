//! Which jar weighs so much.

use tarehand_protocol::Mass;

use crate::session::JarPlace;

use super::Jars;

/// A jar that has stood on the pan before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stood {
    /// Which.
    pub jar: usize,
    /// What the scale should show with it.
    pub gross: Mass,
    /// What the weighing cannot tell apart.
    pub alike: Mass,
    /// What a stick may have carried away or left.
    pub residue: Mass,
}

/// What a weight says of the jars that have stood on the pan before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Recognised {
    /// It is this one.
    One(usize),
    /// It may be any of these.
    Alike(Vec<usize>),
    /// None of them weighs so much.
    None,
}

/// Finds the jars that may weigh so much: exactly so, else but for what a stick may carry.
///
/// A weight that fits one jar exactly still leaves the others whose own weight it cannot be told apart from.
pub(super) fn recognise(jars: &[Stood], gross: Mass) -> Recognised {
    let fitting = |slack: fn(&Stood) -> Mass| -> Vec<usize> {
        let fits = |jar: &&Stood| (gross - jar.gross).abs() <= slack(jar);
        jars.iter().filter(fits).map(|jar| jar.jar).collect()
    };
    let exact = fitting(|jar| jar.alike);
    let found = if exact.is_empty() {
        fitting(|jar| jar.residue)
    } else {
        exact
    };
    match found.as_slice() {
        [] => Recognised::None,
        [one] => Recognised::One(*one),
        _ => Recognised::Alike(found),
    }
}

impl Jars {
    /// Returns whether a jar was never weighed, so that any weight may be its own.
    pub(super) fn may_weigh_anything(&self, jar: usize) -> bool {
        Self::is_awaited(&self.sessions[jar]) && self.book(jar).procedure().amends.is_none()
    }

    pub(super) fn recognise(&self, gross: Mass) -> Recognised {
        recognise(&self.stood(), gross)
    }

    /// Returns whether a weight is what a jar weighed last, to what the scale can tell.
    pub(super) fn weighs_just(&self, jar: usize, gross: Mass) -> bool {
        let stood = self.stood().into_iter().find(|stood| stood.jar == jar);
        stood.is_some_and(|stood| (gross - stood.gross).abs() <= stood.alike)
    }

    /// Returns whether a weight may be a jar that was poured into out of the cup in the hand, rather than one that weighs
    /// nearly so much: what left the cup is known only when it is back.
    pub(super) fn may_have_grown(&self, jar: usize, instead_of: usize, gross: Mass) -> bool {
        let book = self.book(jar);
        let own = self.stood().into_iter().find(|stood| stood.jar == jar);
        let (Some(own), Some(cup)) = (own, &book.fine().bottle) else {
            return false;
        };
        let most = own.gross + (cup.gross - book.fine().empty) + own.alike;
        let grown = own.gross < gross && gross <= most;
        book.is_cup_in_hand() && grown && !self.weighs_just(instead_of, gross)
    }

    /// Returns the jars whose weight is known, and what the pan should show with each.
    pub(super) fn stood(&self) -> Vec<Stood> {
        let Some(empty) = self.empty_pan() else {
            return Vec::new();
        };
        let stood = |jar: usize| {
            let book = self.book(jar);
            let load = match self.finished[jar] {
                Some(load) if book.is_over() => load,
                _ => book.last() - book.empty(),
            };
            let mix = load - book.jar_alone();
            let residue = Mass::from_micrograms(mix.micrograms().max(0) / 20);
            if book.jar() == JarPlace::Awaited {
                // A finished jar that is opened again weighs what its record says.
                let amends = book.procedure().amends.as_ref()?;
                let alike = self.noticeable(jar) + amends.within;
                return Some(Stood {
                    jar,
                    gross: empty + amends.gross(),
                    alike,
                    residue: alike,
                });
            }
            Some(Stood {
                jar,
                gross: empty + load,
                alike: self.noticeable(jar),
                residue: residue.max(self.noticeable(jar)),
            })
        };
        (0..self.sessions.len()).filter_map(stood).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stood(jar: usize, gross: &str) -> Stood {
        Stood {
            jar,
            gross: gross.parse().unwrap(),
            alike: "0.2 g".parse().unwrap(),
            residue: "2 g".parse().unwrap(),
        }
    }

    fn of(jars: &[Stood], gross: &str) -> Recognised {
        recognise(jars, gross.parse().unwrap())
    }

    #[test]
    fn a_jar_is_known_by_its_weight() {
        let jars = [stood(0, "72.0 g"), stood(1, "74.1 g")];
        assert_eq!(of(&jars, "74.0 g"), Recognised::One(1));
        assert_eq!(of(&jars, "71.9 g"), Recognised::One(0));
    }

    #[test]
    fn two_that_weigh_alike_are_not_told_apart() {
        let jars = [stood(0, "72.0 g"), stood(1, "72.3 g")];
        assert_eq!(of(&jars, "72.1 g"), Recognised::Alike(vec![0, 1]));
        assert_eq!(of(&jars, "72.5 g"), Recognised::One(1));
    }

    #[test]
    fn a_drop_at_the_rim_or_a_stick_less_does_not_make_it_another_jar() {
        let jars = [stood(0, "72.0 g"), stood(1, "80.0 g")];
        assert_eq!(of(&jars, "71.0 g"), Recognised::One(0));
        assert_eq!(of(&jars, "76.0 g"), Recognised::None);
        let near = [stood(0, "72.0 g"), stood(1, "74.0 g")];
        assert_eq!(of(&near, "73.0 g"), Recognised::Alike(vec![0, 1]));
    }
}
