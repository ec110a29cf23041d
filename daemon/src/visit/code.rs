//! Short codes that let a browser in.

use std::time::Duration;

use tarehand_mixing::Tick;

use super::role::Role;

/// How many wrong tries end a code: with six digits a guess comes through once in 200,000 codes.
const TRIES: u8 = 5;
/// How many digits a code has: enough for the tries it stands, and few enough to type with one finger.
const DIGITS: usize = 6;
/// How many codes of so many digits there are.
const CODES: u64 = 1_000_000;

/// A code that waits to be said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Code {
    digits: String,
    role: Role,
    until: Tick,
    tries_left: u8,
}

impl Code {
    /// How long a code may be said.
    pub const VALID: Duration = Duration::from_secs(180);

    /// Makes a code of bytes of chance.
    #[must_use]
    pub fn new(chance: [u8; 8], role: Role, now: Tick) -> Self {
        // 2^64 is so much more than 10^6 that no code is likelier than another to speak of.
        let number = u64::from_le_bytes(chance) % CODES;
        Self {
            digits: format!("{number:0DIGITS$}"),
            role,
            until: now + Self::VALID,
            tries_left: TRIES,
        }
    }

    /// Returns the digits.
    #[must_use]
    pub fn digits(&self) -> &str {
        &self.digits
    }
}

/// Why nobody is let in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CodeRefusal {
    /// No code waits: none was asked for, it was used, it is too old, or it was tried too often.
    #[error("no code is waiting to be said")]
    None,
    /// Another code waits.
    #[error("that is not the code")]
    Wrong,
}

/// The code that waits, if one does.
#[derive(Debug, Default)]
pub(super) struct Waiting(Option<Code>);

impl Waiting {
    /// Lets this code wait; an earlier one counts no more.
    pub(super) fn put(&mut self, code: Code) {
        self.0 = Some(code);
    }

    /// Takes what somebody says, blanks and hyphens aside, and says what it lets in as.
    pub(super) fn say(&mut self, said: &str, now: Tick) -> Result<Role, CodeRefusal> {
        let code = self.0.as_mut().ok_or(CodeRefusal::None)?;
        if code.until <= now {
            self.0 = None;
            return Err(CodeRefusal::None);
        }
        let said = said.chars().filter(|said| !matches!(said, ' ' | '-'));
        if said.eq(code.digits.chars()) {
            let role = code.role;
            self.0 = None;
            return Ok(role);
        }
        code.tries_left -= 1;
        if code.tries_left == 0 {
            self.0 = None;
        }
        Err(CodeRefusal::Wrong)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const NOW: Tick = Tick::ZERO;

    fn waiting() -> Waiting {
        let mut waiting = Waiting::default();
        waiting.put(Code::new([7; 8], Role::Operator, NOW));
        waiting
    }

    fn digits() -> String {
        Code::new([7; 8], Role::Operator, NOW).digits
    }

    #[test]
    fn a_code_lets_in_once() {
        let mut waiting = waiting();
        let spaced = format!("{} {}", &digits()[..3], &digits()[3..]);
        assert_eq!(waiting.say(&spaced, NOW), Ok(Role::Operator));
        assert_eq!(waiting.say(&digits(), NOW), Err(CodeRefusal::None));
    }

    #[test]
    fn a_code_that_was_guessed_at_too_often_counts_no_more() {
        let mut waiting = waiting();
        for _ in 0..TRIES {
            assert_eq!(waiting.say("nothing", NOW), Err(CodeRefusal::Wrong));
        }
        assert_eq!(waiting.say(&digits(), NOW), Err(CodeRefusal::None));
    }

    #[test]
    fn a_code_grows_old() {
        let mut waiting = waiting();
        assert_eq!(
            waiting.say(&digits(), NOW + Code::VALID),
            Err(CodeRefusal::None)
        );
    }

    #[test]
    fn a_new_code_ends_the_one_before() {
        let mut waiting = waiting();
        waiting.put(Code::new([8; 8], Role::Viewer, NOW));
        assert_eq!(waiting.say(&digits(), NOW), Err(CodeRefusal::Wrong));
    }

    #[test]
    fn a_code_has_six_digits_always() {
        assert_eq!(Code::new([0; 8], Role::Viewer, NOW).digits(), "000000");
        assert_eq!(Code::new([0xff; 8], Role::Viewer, NOW).digits().len(), 6);
    }
}
