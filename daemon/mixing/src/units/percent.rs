//! Percentages.

use tarehand_protocol::Decimal;

use crate::ratio::Ratio;

/// Reads `45.5 %` as the exact fraction it is, nothing and less included; `None` for anything else.
pub(crate) fn parse_percent(text: &str) -> Option<Ratio> {
    let number: Decimal = text.trim().strip_suffix('%')?.trim().parse().ok()?;
    Some(&Ratio::from_decimal(number) * &Ratio::new(1, 100))
}
