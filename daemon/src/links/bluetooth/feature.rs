//! What a scale with the open Weight Scale Service says of its division.

use tarehand_protocol::scale::weight_service::Feature;
use tarehand_protocol::{Mass, MassUnit};

/// The finest step the service itself can tell: its weights count by 0.005 kg
/// (GATT Specification Supplement, Weight Measurement).
pub const FINEST: Mass = Mass::from_grams(5);

/// Returns the division that the value of Weight Scale Feature (0x2A9E) tells; `None` where it leaves it open.
///
/// It tells one for each unit and not which of them is shown, so the coarser is taken.
pub(super) fn division(value: &[u8]) -> Option<Mass> {
    let feature = Feature::decode(value)?;
    let in_unit = |unit| feature.division(unit);
    in_unit(MassUnit::Kilogram).max(in_unit(MassUnit::Pound))
}

#[cfg(test)]
mod tests {
    use super::*;

    // Code 7: 0.005 kg or 0.01 lb; code 2: 0.2 kg or 0.5 lb (226.796185 g).
    #[test]
    fn the_coarser_of_the_two_divisions_is_taken() {
        assert_eq!(division(&[0b0011_1000, 0, 0, 0]), Some(FINEST));
        let half_a_pound = Mass::from_micrograms(226_796_185);
        assert_eq!(division(&[0b0001_0000, 0, 0, 0]), Some(half_a_pound));
        assert_eq!(division(&[0, 0, 0, 0]), None);
        assert_eq!(division(&[0b0011_1000, 0, 0]), None);
    }
}
