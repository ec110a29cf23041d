//! Which finished jar stands on the pan: known by its tare and by what is in it.

use tarehand_protocol::Mass;

use crate::weighing::Scale;

/// A finished jar, and what a scale should show with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FinishedJar<T> {
    /// Which.
    pub what: T,
    /// The empty jar and what the ledger says is in it.
    pub gross: Mass,
    /// The scale it was weighed on.
    pub weighed_on: Scale,
    /// How many weighings changed what is in it since it was finished.
    pub weighed_since: u32,
}

/// Returns the jars that may weigh so much on this scale, the nearest first: none, one, or several too alike.
///
/// Both weighings are uncertain, that of then and that of now, and each one between them. Nothing fits while a
/// division is not known.
#[must_use]
pub fn fitting<T>(jars: Vec<FinishedJar<T>>, gross: Mass, scale: Scale) -> Vec<FinishedJar<T>> {
    let now = scale.uncertainty();
    let away = |jar: &FinishedJar<T>| (gross - jar.gross).abs();
    let fits = |jar: &FinishedJar<T>| {
        let then = jar.weighed_on.uncertainty();
        let each = i64::from(jar.weighed_since) + 1;
        let alike = Mass::from_micrograms(then.micrograms().saturating_mul(each)) + now;
        !now.is_zero() && away(jar) <= alike
    };
    let mut found: Vec<_> = jars.into_iter().filter(fits).collect();
    found.sort_by_key(away);
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scale(milligrams: i64) -> Scale {
        Scale {
            division: Some(Mass::from_milligrams(milligrams)),
            capacity: None,
        }
    }

    fn jar(what: char, milligrams: i64) -> FinishedJar<char> {
        FinishedJar {
            what,
            gross: Mass::from_milligrams(milligrams),
            weighed_on: scale(100),
            weighed_since: 0,
        }
    }

    fn on(scale: Scale, milligrams: i64) -> String {
        let jars = vec![jar('a', 160_000), jar('b', 160_300), jar('c', 172_000)];
        let gross = Mass::from_milligrams(milligrams);
        let found = fitting(jars, gross, scale);
        found.into_iter().map(|jar| jar.what).collect()
    }

    #[test]
    fn a_jar_is_known_within_the_uncertainty_of_both_weighings() {
        // 0.0816 g of then and as much of now.
        assert_eq!(on(scale(100), 172_160), "c");
        assert_eq!(on(scale(100), 172_170), "");
        assert_eq!(on(scale(100), 165_000), "");
    }

    #[test]
    fn jars_too_alike_are_all_told_the_nearest_first() {
        assert_eq!(on(scale(100), 160_160), "ba");
        assert_eq!(on(scale(100), 159_900), "a");
        // A coarse scale tells less apart.
        assert_eq!(on(scale(1_000), 160_000), "ab");
    }

    #[test]
    fn a_scale_whose_division_is_not_known_knows_no_jar() {
        assert_eq!(on(Scale::default(), 172_000), "");
    }

    #[test]
    fn what_was_poured_out_of_it_since_makes_it_less_certain() {
        let mut poured = jar('d', 172_000);
        poured.weighed_since = 2;
        let gross = Mass::from_milligrams(172_300);
        assert_eq!(fitting(vec![poured], gross, scale(100)).len(), 1);
    }
}
