//! Times on a screen: records keep UTC, a person reads the clock on the wall.

use jiff::Timestamp;
use jiff::tz::TimeZone;

use super::shown;

/// Writes a moment of the record in local time, `2026-03-01 10:30`; a text that is none as it is.
pub(crate) fn day_and_time(utc: &str) -> String {
    written(utc, "%Y-%m-%d %H:%M", &zone())
}

/// Writes the time of day of a moment of the record in local time, `10:30:05`.
pub(crate) fn time_of_day(utc: &str) -> String {
    written(utc, "%H:%M:%S", &zone())
}

/// The reader's zone; in tests UTC, so that they do not depend on where they run.
fn zone() -> TimeZone {
    if cfg!(test) {
        TimeZone::UTC
    } else {
        TimeZone::system()
    }
}

fn written(utc: &str, form: &str, zone: &TimeZone) -> String {
    match utc.parse::<Timestamp>() {
        Ok(moment) => moment
            .to_zoned_datetime(zone.clone())
            .strftime(form)
            .to_string(),
        Err(_) => shown(utc).into_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_moment_is_shown_in_the_zone_of_the_reader() {
        let zone = TimeZone::fixed(jiff::tz::offset(2));
        let shown = |text| written(text, "%Y-%m-%d %H:%M", &zone);
        assert_eq!(shown("2026-03-01T22:30:05.123Z"), "2026-03-02 00:30");
        assert_eq!(shown("some day"), "some day");
    }
}
