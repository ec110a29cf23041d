//! Days of the calendar and moments of the record, as a shelf states them. No clock: today comes in as a value.

use std::fmt;
use std::str::FromStr;

/// A day of the calendar (ISO 8601), `2026-10-02`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date {
    year: u16,
    month: u8,
    day: u8,
}

/// A text that is no day of the calendar.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no date; write year, month and day, as in 2026-10-02")]
pub struct ParseDateError(String);

impl Date {
    /// Makes the day; `None` where the calendar has none.
    #[must_use]
    pub fn new(year: u16, month: u8, day: u8) -> Option<Self> {
        let fits = (1..=9999).contains(&year)
            && (1..=12).contains(&month)
            && (1..=days_in(year, month)).contains(&day);
        fits.then_some(Self { year, month, day })
    }

    /// Returns how many days later another day is; below zero when it is earlier.
    #[must_use]
    pub fn days_until(self, later: Self) -> i64 {
        later.number() - self.number()
    }

    /// Returns the day so many days later; `None` past the year 9999.
    #[must_use]
    pub fn later_by(self, days: u32) -> Option<Self> {
        let mut left = self.number() + i64::from(days);
        // No year is longer, so this one is never too late.
        let mut year = u16::try_from(left / 366 + 1).ok()?;
        while let Some(next) = Self::new(year + 1, 1, 1)
            && next.number() <= left
        {
            year += 1;
        }
        left -= Self::new(year, 1, 1)?.number();
        for month in 1..=12 {
            let length = i64::from(days_in(year, month));
            if left < length {
                return Self::new(year, month, u8::try_from(left + 1).ok()?);
            }
            left -= length;
        }
        None
    }

    /// Returns the moment the day begins, in UTC.
    #[must_use]
    pub fn begins(self) -> Moment {
        Moment(format!("{self}T00:00:00"))
    }

    /// Counts days from the first of January of the year 1.
    fn number(self) -> i64 {
        let before = i64::from(self.year) - 1;
        let years = before * 365 + before / 4 - before / 100 + before / 400;
        let months: i64 = (1..self.month)
            .map(|month| i64::from(days_in(self.year, month)))
            .sum();
        years + months + i64::from(self.day) - 1
    }
}

/// Returns the days of a month of the Gregorian calendar.
const fn days_in(year: u16, month: u8) -> u8 {
    let leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        2 if leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!(
            "{:04}-{:02}-{:02}",
            self.year, self.month, self.day
        ))
    }
}

impl FromStr for Date {
    type Err = ParseDateError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let refused = || ParseDateError(text.chars().take(40).collect());
        let text = text.trim();
        let shape = text.bytes().enumerate().all(|(at, byte)| match at {
            4 | 7 => byte == b'-',
            _ => byte.is_ascii_digit(),
        });
        if text.len() != 10 || !shape {
            return Err(refused());
        }
        let number = |from: usize, to: usize| text[from..to].parse::<u16>().ok();
        let small = |from, to| number(from, to).and_then(|number| u8::try_from(number).ok());
        match (number(0, 4), small(5, 7), small(8, 10)) {
            (Some(year), Some(month), Some(day)) => Self::new(year, month, day).ok_or_else(refused),
            _ => Err(refused()),
        }
    }
}

/// A moment of the record in UTC (RFC 3339), `2026-11-02T10:15:00Z`.
///
/// Kept without its `Z`, so that texts sort as the moments do whether or not they have a fraction.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment(String);

/// A text that is no moment in UTC.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no moment; write date and time in UTC, as in 2026-11-02T10:15:00Z")]
pub struct ParseMomentError(String);

impl Moment {
    /// Returns the day it is in, in UTC.
    #[must_use]
    pub fn day(&self) -> Date {
        self.0
            .get(..10)
            .and_then(|day| day.parse().ok())
            .expect("a moment begins with its day")
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{}Z", self.0))
    }
}

impl FromStr for Moment {
    type Err = ParseMomentError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let refused = || ParseMomentError(text.chars().take(40).collect());
        let bare = text.trim().strip_suffix('Z').ok_or_else(refused)?;
        let (date, time) = bare.split_once('T').ok_or_else(refused)?;
        let _day: Date = date.parse().map_err(|_| refused())?;
        let (clock, fraction) = match time.split_once('.') {
            Some((clock, fraction)) => (clock, Some(fraction)),
            None => (time, None),
        };
        let fields: Vec<&str> = clock.split(':').collect();
        // A leap second is the 60th (RFC 3339, section 5.6).
        let whole = fields.len() == 3
            && fields.iter().zip([23, 59, 60]).all(|(field, most)| {
                field.len() == 2
                    && field.bytes().all(|byte| byte.is_ascii_digit())
                    && field.parse::<u8>().is_ok_and(|number| number <= most)
            });
        let fraction = fraction.is_none_or(|fraction| {
            (1..=9).contains(&fraction.len()) && fraction.bytes().all(|byte| byte.is_ascii_digit())
        });
        if whole && fraction {
            Ok(Self(bare.to_owned()))
        } else {
            Err(refused())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(text: &str) -> Date {
        text.parse().unwrap()
    }

    // Days between dates: Python's `datetime.date`.
    #[test]
    fn days_are_counted_across_leap_years() {
        assert_eq!(date("2026-10-02").days_until(date("2027-06-01")), 242);
        assert_eq!(date("2024-02-28").days_until(date("2024-03-01")), 2);
        assert_eq!(date("1900-02-28").days_until(date("1900-03-01")), 1);
        assert_eq!(date("0001-01-01").days_until(date("9999-12-31")), 3_652_058);
        assert_eq!(date("2026-10-02").days_until(date("2026-10-01")), -1);
    }

    // Python's `datetime.date` with `timedelta`.
    #[test]
    fn a_later_day_is_found_across_leap_years() {
        let later = |from: &str, days| date(from).later_by(days);
        assert_eq!(later("2026-11-30", 90), Some(date("2027-02-28")));
        assert_eq!(later("2023-12-01", 90), Some(date("2024-02-29")));
        assert_eq!(later("2026-11-30", 0), Some(date("2026-11-30")));
        assert_eq!(later("0001-01-01", 3_652_058), Some(date("9999-12-31")));
        assert_eq!(later("0001-01-01", 3_652_059), None);
        assert_eq!(later("2026-11-30", u32::MAX), None);
    }

    #[test]
    fn what_the_calendar_does_not_have_is_no_date() {
        for text in [
            "2026-02-29",
            "2026-13-01",
            "2026-00-10",
            "0000-01-01",
            "2026-1-1",
            "02.10.2026",
            "2026-10-02T",
            "２０２６",
            "",
        ] {
            assert!(text.parse::<Date>().is_err(), "{text}");
        }
    }

    #[test]
    fn moments_sort_with_and_without_a_fraction() {
        let moment = |text: &str| text.parse::<Moment>().unwrap();
        assert!(moment("2026-11-02T10:15:00Z") < moment("2026-11-02T10:15:00.5Z"));
        assert!(moment("2026-11-02T10:15:00.5Z") < moment("2026-11-02T10:15:01Z"));
        assert!(date("2026-11-02").begins() < moment("2026-11-02T00:00:00.001Z"));
        assert_eq!(moment("2026-11-02T10:15:00Z").day(), date("2026-11-02"));
        for text in [
            "2026-11-02",
            "2026-11-02T10:15Z",
            "2026-11-02T24:15:00Z",
            "2026-11-02T10:15:00+01:00",
            "2026-11-02T10:15:00.Z",
        ] {
            assert!(text.parse::<Moment>().is_err(), "{text}");
        }
    }
}
