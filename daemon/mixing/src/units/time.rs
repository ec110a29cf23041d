//! Times as a recipe states them.

use std::time::Duration;

use super::parse_number;
use crate::ratio::Ratio;

/// The longest time accepted: thirty days.
const LONGEST: Duration = Duration::from_secs(30 * 24 * 3_600);

/// Why a text is not a time.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ParseTimeError {
    /// No number, or one with other signs in it.
    #[error("a time begins with a number; write for example `40 s` or `2 min`")]
    Number,
    /// A number alone.
    #[error("the unit of the time is missing; write for example `40 s` or `2 min`")]
    MissingUnit,
    /// A unit this program does not know.
    #[error("`{0}` is not a unit of time; known are s, min and h")]
    UnknownUnit(String),
    /// Longer than thirty days.
    #[error("a time is at most thirty days")]
    TooLong,
}

/// Parses `40 s`, `2 min` or `1 h`, exact to the microsecond; zero is allowed.
///
/// # Errors
/// When the number or the unit is missing or unknown, or the time is longer than thirty days.
pub fn parse_time(text: &str) -> Result<Duration, ParseTimeError> {
    let (number, unit) = parse_number(text.trim()).map_err(|_| ParseTimeError::Number)?;
    let seconds = match unit {
        "" => return Err(ParseTimeError::MissingUnit),
        "s" => 1,
        "min" => 60,
        "h" => 3_600,
        other => return Err(ParseTimeError::UnknownUnit(other.to_owned())),
    };
    let micros = &Ratio::from_decimal(number) * &Ratio::new(seconds * 1_000_000, 1);
    let micros = u64::try_from(micros.to_mass().micrograms()).unwrap_or(u64::MAX);
    let time = Duration::from_micros(micros);
    if time <= LONGEST {
        Ok(time)
    } else {
        Err(ParseTimeError::TooLong)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, expect: &Result<u64, ParseTimeError>) {
        let millis = |time: Duration| u64::try_from(time.as_millis()).unwrap();
        assert_eq!(parse_time(text).map(millis), *expect, "{text}");
    }

    #[test]
    fn seconds_minutes_and_hours_are_known() {
        check("40 s", &Ok(40_000));
        check("2.5s", &Ok(2_500));
        check("2 min", &Ok(120_000));
        check("1 h", &Ok(3_600_000));
        check("0 s", &Ok(0));
    }

    #[test]
    fn anything_else_is_refused() {
        check("40", &Err(ParseTimeError::MissingUnit));
        check("a while", &Err(ParseTimeError::Number));
        check(
            "2 days",
            &Err(ParseTimeError::UnknownUnit("days".to_owned())),
        );
        check("-2 s", &Err(ParseTimeError::Number));
        check("99999 h", &Err(ParseTimeError::TooLong));
    }
}
