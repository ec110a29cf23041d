//! The middle of few numbers of which some may be wild.

/// What MAD must be multiplied with to be the standard deviation of a normal distribution, 1/Φ⁻¹(¾).
const MAD_TO_SIGMA: f64 = 1.4826;
/// Numbers farther from the median than so many standard deviations are moved in to there (our own choice).
const MOVED_IN: f64 = 2.5;
/// Of fewer numbers no one is wild: more must tell (our own choice).
const TELLING: usize = 5;
/// Numbers that happen to be alike do not make the next one wild: a deviation is at least this part of the median (our own
/// choice).
const ALIKE: f64 = 0.1;

/// A number with how much it counts.
#[derive(Clone, Copy, Debug)]
pub(super) struct Counted {
    pub value: f64,
    pub weight: f64,
}

/// The middle of numbers, and how far they lie from it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Centre {
    /// The weighted mean, with wild numbers moved in towards the median.
    pub middle: f64,
    /// One standard deviation of a single number about it.
    pub spread: f64,
    /// All weights together.
    pub weight: f64,
}

/// Returns the middle of numbers that count differently; `None` where nothing counts.
pub(super) fn centre(numbers: &[Counted]) -> Option<Centre> {
    let weight: f64 = numbers.iter().map(|number| number.weight).sum();
    if !(0.0 < weight && weight.is_finite()) {
        return None;
    }
    let median = weighted_median(numbers, weight)?;
    let away: Vec<Counted> = numbers
        .iter()
        .map(|number| Counted {
            value: (number.value - median).abs(),
            ..*number
        })
        .collect();
    let sigma = (MAD_TO_SIGMA * weighted_median(&away, weight)?).max(ALIKE * median.abs());
    let reach = MOVED_IN * sigma;
    let moved = |value: f64| match TELLING <= numbers.len() {
        true => value.clamp(median - reach, median + reach),
        false => value,
    };
    let sum: f64 = numbers.iter().map(|n| n.weight * moved(n.value)).sum();
    let middle = sum / weight;
    let squares: f64 = numbers
        .iter()
        .map(|n| n.weight * (moved(n.value) - middle).powi(2))
        .sum();
    Some(Centre {
        middle,
        spread: (squares / weight).sqrt(),
        weight,
    })
}

/// Returns the middle of numbers that all count alike.
pub(super) fn plain_centre(values: impl IntoIterator<Item = f64>) -> Option<Centre> {
    let numbers: Vec<Counted> = values
        .into_iter()
        .map(|value| Counted { value, weight: 1.0 })
        .collect();
    centre(&numbers)
}

fn weighted_median(numbers: &[Counted], weight: f64) -> Option<f64> {
    let mut sorted = numbers.to_vec();
    sorted.sort_by(|a, b| a.value.total_cmp(&b.value));
    let mut below = 0.0;
    let mut reached = sorted.iter().enumerate().filter(|(_, number)| {
        below += number.weight;
        weight / 2.0 <= below
    });
    let place = reached.next()?.0;
    let value = sorted.get(place)?.value;
    // Where just half lies at or below it, the middle is between it and the next.
    let here: f64 = sorted.iter().take(place + 1).map(|n| n.weight).sum();
    match sorted.get(place + 1) {
        Some(next) if here <= weight / 2.0 => Some(f64::midpoint(value, next.value)),
        Some(_) | None => Some(value),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(values: &[f64], expect: f64) {
        let middle = plain_centre(values.iter().copied()).unwrap().middle;
        assert!((middle - expect).abs() < 1e-9, "{values:?} → {middle}");
    }

    #[test]
    fn the_middle_of_tame_numbers_is_their_mean() {
        check(&[0.4], 0.4);
        check(&[0.4, 0.6], 0.5);
        check(&[1.0, 2.0, 3.0, 4.0, 5.0], 3.0);
    }

    #[test]
    fn one_wild_number_moves_the_middle_little() {
        let middle = plain_centre([0.40, 0.42, 0.38, 0.41, 9.0]).unwrap().middle;
        assert!((0.38..0.43).contains(&middle), "{middle}");
    }

    #[test]
    fn numbers_that_are_alike_make_no_other_wild() {
        let middle = plain_centre([0.1, 0.1, 0.4, 0.4]).unwrap().middle;
        assert!((middle - 0.25).abs() < 1e-9, "{middle}");
        let middle = plain_centre([0.40, 0.40, 0.40, 0.40, 0.45]).unwrap().middle;
        assert!((middle - 0.41).abs() < 1e-9, "{middle}");
    }

    #[test]
    fn where_nothing_counts_there_is_no_middle() {
        assert_eq!(plain_centre([]), None);
        let nothing = Counted {
            value: 1.0,
            weight: 0.0,
        };
        assert_eq!(centre(&[nothing]), None);
    }

    #[test]
    fn what_counts_more_pulls_more() {
        let number = |value, weight| Counted { value, weight };
        let middle = centre(&[number(0.0, 1.0), number(1.0, 3.0)]).unwrap();
        assert!((middle.middle - 0.75).abs() < 1e-9, "{middle:?}");
    }
}
