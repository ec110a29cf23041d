//! The jars of one pour, thickest to thinnest.

use super::measure::Trail;

/// A jar that stands behind a thinner one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutOfOrder<'a> {
    /// The jar, thicker than one before it.
    pub jar: &'a str,
    /// Its trail.
    pub trail: Trail,
    /// The thinnest jar before it.
    pub behind: &'a str,
    /// Its trail.
    pub thinner: Trail,
}

/// Names each jar that is thicker than one before it, where they should stand from the thickest to the thinnest.
///
/// Equal trails may stand either way, and one that leaves no trail is the thinnest. (Base about 4 s, colours about
/// 2 s, an activator none: *common practice*.)
#[must_use]
pub fn out_of_order<'a>(jars: &[(&'a str, Trail)]) -> Vec<OutOfOrder<'a>> {
    let mut thinnest: Option<(&str, Trail)> = None;
    let mut wrong = Vec::new();
    for &(jar, trail) in jars {
        match thinnest {
            Some((behind, thinner)) if thinner < trail => wrong.push(OutOfOrder {
                jar,
                trail,
                behind,
                thinner,
            }),
            Some(_) | None => thinnest = Some((jar, trail)),
        }
    }
    wrong
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(seconds: &[f64], expect: &[(usize, usize)]) {
        let names: Vec<String> = (0..seconds.len())
            .map(|number| number.to_string())
            .collect();
        let jars: Vec<(&str, Trail)> = names
            .iter()
            .zip(seconds)
            .map(|(name, &seconds)| (name.as_str(), Trail::from_seconds(seconds).unwrap()))
            .collect();
        let got: Vec<(usize, usize)> = out_of_order(&jars)
            .iter()
            .map(|wrong| (wrong.jar.parse().unwrap(), wrong.behind.parse().unwrap()))
            .collect();
        assert_eq!(got, expect, "{seconds:?}");
    }

    #[test]
    fn base_colours_and_activator_are_in_order() {
        check(&[4.0, 2.0, 2.0, 0.0], &[]);
        check(&[], &[]);
    }

    #[test]
    fn each_jar_behind_a_thinner_one_is_named() {
        check(&[4.0, 0.0, 2.0, 2.0], &[(2, 1), (3, 1)]);
        check(&[2.0, 4.0], &[(1, 0)]);
        check(&[4.0, 2.0, 3.0, 1.0, 1.5], &[(2, 1), (4, 3)]);
    }
}
