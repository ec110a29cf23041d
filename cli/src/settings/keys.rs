//! Which keys a pedal or a remote control sends, and what they are to say.

use std::str::FromStr;

use crossterm::event::KeyCode;
use serde::{Deserialize, Deserializer};

/// Which keys say next and undo.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct KeySettings {
    /// What the first button of the page says: next, yes, the first way out.
    pub(crate) next: Vec<KeyName>,
    /// Undo.
    pub(crate) undo: Vec<KeyName>,
}

impl Default for KeySettings {
    /// What pedals that turn pages send, and keys that mean as much by themselves.
    fn default() -> Self {
        let names = |codes: [KeyCode; 4]| codes.map(KeyName).into();
        Self {
            next: names([
                KeyCode::Enter,
                KeyCode::PageDown,
                KeyCode::Right,
                KeyCode::Down,
            ]),
            undo: names([
                KeyCode::Backspace,
                KeyCode::PageUp,
                KeyCode::Left,
                KeyCode::Up,
            ]),
        }
    }
}

impl<'de> Deserialize<'de> for KeySettings {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        #[derive(Deserialize)]
        #[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
        struct Said {
            next: Vec<KeyName>,
            undo: Vec<KeyName>,
        }
        impl Default for Said {
            fn default() -> Self {
                let KeySettings { next, undo } = KeySettings::default();
                Self { next, undo }
            }
        }
        let Said { next, undo } = Said::deserialize(deserializer)?;
        match next.iter().find(|key| undo.contains(key)) {
            Some(key) => Err(serde::de::Error::custom(format!(
                "`{}` would say both next and undo: leave it out of one",
                key.name()
            ))),
            None => Ok(Self { next, undo }),
        }
    }
}

/// A key, by the name it has on keyboards.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct KeyName(pub(crate) KeyCode);

/// Every key that is known by a word; others are known by the one letter they type.
const NAMES: [(&str, KeyCode); 14] = [
    ("Enter", KeyCode::Enter),
    ("Space", KeyCode::Char(' ')),
    ("Tab", KeyCode::Tab),
    ("Backspace", KeyCode::Backspace),
    ("PageDown", KeyCode::PageDown),
    ("PageUp", KeyCode::PageUp),
    ("ArrowRight", KeyCode::Right),
    ("ArrowLeft", KeyCode::Left),
    ("ArrowDown", KeyCode::Down),
    ("ArrowUp", KeyCode::Up),
    ("Home", KeyCode::Home),
    ("End", KeyCode::End),
    ("Insert", KeyCode::Insert),
    ("Delete", KeyCode::Delete),
];

impl KeyName {
    fn name(self) -> String {
        match (NAMES.iter().find(|(_, code)| *code == self.0), self.0) {
            (Some((name, _)), _) => (*name).to_owned(),
            (None, KeyCode::F(number)) => format!("F{number}"),
            (None, code) => code.to_string(),
        }
    }
}

impl FromStr for KeyName {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let named = NAMES
            .iter()
            .find(|(name, _)| name.eq_ignore_ascii_case(text));
        if let Some((_, code)) = named {
            return Ok(Self(*code));
        }
        let function = text.strip_prefix(['F', 'f']).and_then(|n| n.parse().ok());
        if let Some(number @ 1..=24) = function {
            return Ok(Self(KeyCode::F(number)));
        }
        let mut letters = text.chars();
        match (letters.next(), letters.next()) {
            (Some(letter), None) if !letter.is_control() && letter != ' ' => {
                Ok(Self(KeyCode::Char(letter)))
            }
            _ => {
                let names: Vec<&str> = NAMES.iter().map(|(name, _)| *name).collect();
                Err(format!(
                    "no key is called `{text}`: known are {}, F1 to F24, and the letter a key types",
                    names.join(", ")
                ))
            }
        }
    }
}

impl<'de> Deserialize<'de> for KeyName {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_that_is_named_is_read_by_its_name() {
        let mut keys: Vec<KeyName> = NAMES.iter().map(|(_, code)| KeyName(*code)).collect();
        keys.extend([KeyCode::F(1), KeyCode::F(24), KeyCode::Char('ß')].map(KeyName));
        for key in keys {
            assert_eq!(key.name().parse(), Ok(key));
        }
    }

    #[test]
    fn what_is_no_key_is_told_with_all_that_are() {
        for text in ["", "Pagedwn", "F0", "F25", " ", "\u{7}", "nn"] {
            let error = text.parse::<KeyName>().unwrap_err();
            assert!(error.contains("PageDown"), "{error}");
        }
    }
}
