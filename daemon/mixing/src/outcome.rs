//! What became of a jar: looked at when it had dried, days after it was mixed; and the room it was mixed in.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// What became of a jar.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Outcome {
    /// What was found, in short words of the person's own: `dried clear`, `cracked at the edge`.
    pub found: Vec<String>,
    /// More about it.
    pub note: Option<String>,
    /// Where pictures of it are kept; they are not read.
    pub pictures: Vec<String>,
    /// The mark of another batch that did worse in the same place.
    pub better_than: Option<String>,
}

impl Outcome {
    /// Returns the same without what says nothing: blanks at the ends, and words of nothing but blanks.
    #[must_use]
    pub fn tidied(self) -> Self {
        let told = |text: String| Some(text.trim().to_owned()).filter(|text| !text.is_empty());
        Self {
            found: self.found.into_iter().filter_map(told).collect(),
            note: self.note.and_then(told),
            pictures: self.pictures.into_iter().filter_map(told).collect(),
            better_than: self.better_than,
        }
    }

    /// Returns whether it says nothing.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

impl fmt::Display for Outcome {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let better = self.better_than.as_ref();
        let better = better.map(|mark| format!("better than {mark}"));
        let pictures = self.pictures.iter().map(|place| format!("picture {place}"));
        let parts: Vec<String> = (self.found.iter().cloned())
            .chain(better)
            .chain(self.note.clone())
            .chain(pictures)
            .collect();
        f.write_str(&parts.join("; "))
    }
}

/// How warm and damp a room is, as far as it was said.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Room {
    /// Its temperature in °C.
    pub celsius: Option<f64>,
    /// Its relative humidity in percent.
    pub humidity_percent: Option<f64>,
}

/// Why a text says nothing of a room.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` says nothing of a room; write for example `21 C, 45 %`")]
pub struct ParseRoomError(String);

impl FromStr for Room {
    type Err = ParseRoomError;

    /// Reads `21 C, 45 %`, either part alone, and `70 F`.
    fn from_str(text: &str) -> Result<Self, ParseRoomError> {
        let wrong = || ParseRoomError(text.trim().to_owned());
        let mut room = Self::default();
        for part in text.split(',').map(str::trim) {
            let unit =
                part.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '-' | '.'));
            let number: f64 = part[..part.len() - unit.len()]
                .parse()
                .map_err(|_| wrong())?;
            let (place, value, sane) = match unit.trim() {
                "C" | "°C" => (&mut room.celsius, number, -40.0..=60.0),
                "F" | "°F" => (&mut room.celsius, (number - 32.0) / 1.8, -40.0..=60.0),
                "%" => (&mut room.humidity_percent, number, 0.0..=100.0),
                _ => return Err(wrong()),
            };
            if place.is_some() || !sane.contains(&value) {
                return Err(wrong());
            }
            *place = Some((value * 10.0).round() / 10.0);
        }
        Ok(room)
    }
}

impl fmt::Display for Room {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let celsius = self.celsius.map(|celsius| format!("{celsius} °C"));
        let humidity = self
            .humidity_percent
            .map(|humidity| format!("{humidity} %"));
        let parts: Vec<String> = celsius.into_iter().chain(humidity).collect();
        f.write_str(&parts.join(", "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_room_is_read_and_written() {
        let room = |text: &str| text.parse::<Room>().map(|room| room.to_string());
        assert_eq!(room("21 C, 45 %").unwrap(), "21 °C, 45 %");
        assert_eq!(room("45%").unwrap(), "45 %");
        // 0 °C is 32 °F and 100 °C is 212 °F by definition (NIST SP 811, B.8).
        assert_eq!(room("32 F").unwrap(), "0 °C");
        assert_eq!(room("70 °F").unwrap(), "21.1 °C");
        for wrong in [
            "",
            "warm",
            "21",
            "21 C, 22 C",
            "120 %",
            "nan C",
            "900 C",
            "-",
        ] {
            assert!(room(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn an_outcome_is_a_line() {
        let outcome = Outcome {
            found: vec!["laced well".to_owned()],
            better_than: Some("K7F2A".to_owned()),
            pictures: vec!["panel-3.jpg".to_owned()],
            ..Outcome::default()
        };
        assert_eq!(
            outcome.to_string(),
            "laced well; better than K7F2A; picture panel-3.jpg"
        );
        assert!(Outcome::default().is_empty());
        let blank = Outcome {
            found: vec![" \n".to_owned(), " dried clear ".to_owned()],
            note: Some(String::new()),
            ..Outcome::default()
        };
        assert_eq!(blank.tidied().to_string(), "dried clear");
    }
}
