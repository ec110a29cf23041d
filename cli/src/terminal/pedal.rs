//! What the keys of a pedal or a remote control say at this moment: what the first button of the page says, and undo.

use crossterm::event::KeyCode;
use tarehand_protocol::api::{AnswerWord, CommandRequest, CommandWord, Doing, View};

use super::keys::command;
use super::readout::is_over;
use crate::settings::{KeyName, KeySettings};

/// Returns what a key says; `None` where it is no key of the pedal, or would say nothing now.
pub(super) fn said(key: KeyCode, keys: &KeySettings, view: &View) -> Option<CommandRequest> {
    if keys.next.contains(&KeyName(key)) {
        return usual(view);
    }
    let undoes = keys.undo.contains(&KeyName(key)) && view.can_undo;
    undoes.then(|| command(CommandWord::Undo))
}

/// The usual answer to what is to be done.
fn usual(view: &View) -> Option<CommandRequest> {
    if is_over(view) || view.batch.is_none() {
        return None;
    }
    if let Some(question) = &view.question {
        if question.options.is_empty() {
            return Some(CommandRequest {
                answer: Some(AnswerWord::Yes),
                ..command(CommandWord::Answer)
            });
        }
        let first = question.options.iter().find(|option| option.feasible)?;
        return Some(CommandRequest {
            option: Some(first.option),
            ..command(CommandWord::Answer)
        });
    }
    Some(command(match view.doing {
        Doing::Paused => CommandWord::Resume,
        Doing::Trail { .. } | Doing::Thin { .. } if view.timing_trail => CommandWord::TrailStop,
        Doing::Trail { .. } => CommandWord::TrailStart,
        _ => CommandWord::Next,
    }))
}
