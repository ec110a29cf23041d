//! What a tap on the pan would say.

use tarehand_protocol::api::{AnswerWord, CommandRequest, CommandWord, TapsHeard};

use crate::bench::tapped::{Act, Waits};

/// Returns what taps say while this waits.
pub(crate) fn taps_heard(waits: Waits) -> TapsHeard {
    TapsHeard {
        once: said(waits.once),
        twice: waits.twice.map(said),
    }
}

fn said(act: Act) -> CommandRequest {
    let (answer, option) = match act {
        Act::Yes => (Some(AnswerWord::Yes), None),
        Act::Option(number) => (None, Some(number)),
        _ => (None, None),
    };
    CommandRequest {
        command: match act {
            Act::Yes | Act::Option(_) => CommandWord::Answer,
            Act::Next => CommandWord::Next,
            Act::Resume => CommandWord::Resume,
            Act::TrailStart => CommandWord::TrailStart,
            Act::TrailStop => CommandWord::TrailStop,
            Act::Undo => CommandWord::Undo,
            Act::Back => CommandWord::Back,
        },
        answer,
        ingredient: None,
        jar: None,
        option,
        seconds: None,
        text: None,
    }
}
