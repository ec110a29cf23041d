//! What a scale with the open Weight Scale Service says of its division.

use tarehand_protocol::Mass;

/// The finest step the service itself can tell: its weights count by 0.005 kg
/// (GATT Specification Supplement, Weight Measurement).
pub const FINEST: Mass = Mass::from_grams(5);

/// Returns the division that the value of Weight Scale Feature (0x2A9E) tells; `None` where it leaves it open.
///
/// Bits 3 to 6 are a code (GATT Specification Supplement, Weight Scale Feature).
pub(super) fn division(value: &[u8]) -> Option<Mass> {
    let first = u32::from_le_bytes(*value.first_chunk::<4>()?);
    let grams = match (first >> 3) & 0b1111 {
        1 => 500,
        2 => 200,
        3 => 100,
        4 => 50,
        5 => 20,
        6 => 10,
        7 => 5,
        _ => return None,
    };
    Some(Mass::from_grams(grams))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_code_of_the_feature_is_a_division() {
        assert_eq!(division(&[0b0011_1000, 0, 0, 0]), Some(FINEST));
        assert_eq!(
            division(&[0b0000_1011, 0, 0, 0]),
            Some(Mass::from_grams(500))
        );
        assert_eq!(division(&[0, 0, 0, 0]), None);
        assert_eq!(division(&[0b0111_1000, 0, 0, 0]), None);
        assert_eq!(division(&[0b0011_1000, 0, 0]), None);
    }
}
