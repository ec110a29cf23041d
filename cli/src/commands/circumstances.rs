//! Whose hand pours, and how the room is, as flags.

use clap::Args;
use tarehand_mixing::outcome::Room;

/// Whose hand pours, and how the room is, as flags.
#[derive(Args, Clone, Debug)]
pub(super) struct CircumstanceArgs {
    /// How warm and damp the room is, for the record, as in "21 C, 45 %"
    #[arg(long, value_name = "ROOM", value_parser = room)]
    pub(super) room: Option<String>,
    /// Whose hand pours, where several people use the bench: when stop is said is learnt of each by itself
    #[arg(long, value_name = "NAME")]
    pub(super) hand: Option<String>,
}

/// Sees that a room can be read before anything is started; it is told as it was written.
fn room(text: &str) -> Result<String, String> {
    let read: Result<Room, _> = text.parse();
    read.map(|_| text.to_owned())
        .map_err(|error| error.to_string())
}
