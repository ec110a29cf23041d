//! A slip of the finger in a lesson: one thing that was said of the pan, without which all the rest is explained.

use tarehand_protocol::scale::capture::{Capture, Captured, Hand, Moment};
use tarehand_protocol::scale::teach::{Lesson, Taught, teach};
use tarehand_protocol::{Mass, MassUnit};

/// Fewer weights are too few to do without one.
const FEWEST: usize = 3;

/// Returns the one weight without which the lesson is explained; `None` where there is none, or more than one.
pub(super) fn find(captures: &[Capture], unit: MassUnit) -> Option<Mass> {
    let said = captures.iter().flat_map(|capture| &capture.moments);
    let mut weights: Vec<Mass> = said
        .filter_map(|moment| match moment.what {
            Captured::Pan(mass) if !mass.is_zero() => Some(mass),
            _ => None,
        })
        .collect();
    weights.sort_unstable();
    weights.dedup();
    if weights.len() < FEWEST {
        return None;
    }
    let explained = |weight: &Mass| {
        let lesson = captures.iter().fold(Lesson::new(unit), |lesson, capture| {
            lesson.hear(&without(capture, *weight), &[])
        });
        matches!(teach(&lesson), Ok(Taught::Found { .. }))
    };
    let mut slips = weights.into_iter().filter(explained);
    match (slips.next(), slips.next()) {
        (Some(slip), None) => Some(slip),
        _ => None,
    }
}

/// Returns the capture as if nobody had said what stood on the pan then.
fn without(capture: &Capture, weight: Mass) -> Capture {
    let moments = capture.moments.iter().map(|moment| match moment.what {
        Captured::Pan(mass) if mass == weight => Moment {
            at_us: moment.at_us,
            what: Captured::Hand(Hand::Busy),
        },
        _ => moment.clone(),
    });
    Capture {
        device: capture.device.clone(),
        moments: moments.collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A lesson of plain numbers: what stood there, and what was said, in grams.
    fn lesson(weights: &[(i64, i64)]) -> Capture {
        let mut moments = Vec::new();
        let mut at_us = 0;
        for &(stood, said) in weights {
            moments.push(Moment {
                at_us,
                what: Captured::Pan(Mass::from_grams(said)),
            });
            for _ in 0..40 {
                moments.push(Moment {
                    at_us,
                    what: Captured::Bytes(format!("w={stood:04}.0#\r").into_bytes()),
                });
                at_us += 100_000;
            }
        }
        Capture {
            device: String::new(),
            moments,
        }
    }

    #[test]
    fn one_wrong_weight_among_right_ones_is_found_and_nothing_is_guessed_else() {
        let find = |weights: &[(i64, i64)]| find(&[lesson(weights)], MassUnit::Gram);
        let slip = find(&[(0, 0), (103, 103), (351, 531), (480, 480), (222, 222)]);
        assert_eq!(slip, Some(Mass::from_grams(531)));
        let none = find(&[(0, 0), (103, 999), (351, 531), (480, 77), (222, 222)]);
        assert_eq!(none, None);
        assert_eq!(find(&[(0, 0), (103, 103), (351, 531)]), None);
    }
}
