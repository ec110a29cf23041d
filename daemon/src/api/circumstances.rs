//! Under what circumstances jars are filled: whose hand pours, and how warm and damp the room is.

use axum::http::StatusCode;
use tarehand_mixing::outcome::{ParseRoomError, Room};

use super::problem::Failure;
use crate::bench::NewBatch;
use crate::learnt::Learning;

/// The longest name of a hand, in letters (our own choice).
const LONGEST: usize = 40;

/// Whose hand pours, and how the room is, as far as it was said.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Circumstances {
    hand: Option<String>,
    room: Option<Room>,
}

impl Circumstances {
    /// Reads what a request says of them; nobody's name is the usual hand's.
    pub(super) fn read(hand: Option<&str>, room: Option<&str>) -> Result<Self, Failure> {
        Ok(Self {
            hand: hand.map(named).transpose()?.flatten(),
            room: room.map(described).transpose()?,
        })
    }

    /// Returns batches as they are opened under them: stop is said as earlier pours of that hand taught.
    pub(super) async fn with_leads(
        self,
        mut batches: Vec<NewBatch>,
        learning: &Learning,
    ) -> Vec<NewBatch> {
        let leads = learning.stop_leads(self.hand.as_deref()).await;
        for batch in &mut batches {
            batch.limits.hand.clone_from(&self.hand);
            batch.limits.stop_leads.clone_from(&leads);
            batch.room = self.room;
        }
        batches
    }

    /// Returns batches as they are rehearsed under them: a simulated hand is nobody's, and no rehearsal uses what is learnt.
    pub(super) fn rehearsed(&self, mut batches: Vec<NewBatch>) -> Vec<NewBatch> {
        for batch in &mut batches {
            batch.room = self.room;
        }
        batches
    }
}

fn named(text: &str) -> Result<Option<String>, Failure> {
    let name = text.trim();
    if name.chars().count() <= LONGEST && !name.contains(char::is_control) {
        return Ok((!name.is_empty()).then(|| name.to_owned()));
    }
    Err(Failure::new(
        "bad-hand",
        StatusCode::UNPROCESSABLE_ENTITY,
        "a hand cannot be named so",
    )
    .hint(Some(format!("use up to {LONGEST} letters"))))
}

fn described(text: &str) -> Result<Room, Failure> {
    text.parse().map_err(|error: ParseRoomError| {
        Failure::new(
            "bad-room",
            StatusCode::UNPROCESSABLE_ENTITY,
            "that says nothing of a room",
        )
        .detail(error.to_string())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hand_of(said: &str) -> Option<Option<String>> {
        let read = Circumstances::read(Some(said), None).ok()?;
        Some(read.hand)
    }

    #[test]
    fn a_name_is_trimmed_and_nobodys_is_the_usual_hand() {
        assert_eq!(hand_of("  noor "), Some(Some("noor".to_owned())));
        assert_eq!(hand_of(" "), Some(None));
        let usual = Circumstances::read(None, None);
        assert!(usual.is_ok_and(|read| read == Circumstances::default()));
    }

    #[test]
    fn what_is_no_name_and_what_is_no_room_is_refused() {
        assert_eq!(hand_of(&"ü".repeat(40)), Some(Some("ü".repeat(40))));
        assert_eq!(hand_of(&"ü".repeat(41)), None);
        assert_eq!(hand_of("no\nor"), None);
        assert!(Circumstances::read(None, Some("mild")).is_err());
        let room = Circumstances::read(None, Some("21 C, 45 %"));
        assert!(room.is_ok_and(|read| read.room == "21 C, 45 %".parse().ok()));
    }
}
