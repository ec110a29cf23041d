//! What taps on the pan say, in words.

use tarehand_protocol::api::{AnswerWord, CommandRequest, CommandWord, TapsHeard};

/// Says how the pan is tapped to answer: `or tap the pan: once yes, twice undo`.
pub(crate) fn taps(heard: &TapsHeard) -> String {
    let once = said(&heard.once);
    match &heard.twice {
        Some(twice) => format!("or tap the pan: once {once}, twice {}", said(twice)),
        None => format!("or tap the pan once: {once}"),
    }
}

fn said(request: &CommandRequest) -> String {
    let word = match (request.command, request.answer, request.option) {
        (CommandWord::Answer, _, Some(option)) => return format!("number {option}"),
        (CommandWord::Answer, Some(AnswerWord::No), None) => "no",
        (CommandWord::Answer, _, None) => "yes",
        (CommandWord::Resume, ..) => "go on",
        (CommandWord::TrailStart, ..) => "the line is drawn",
        (CommandWord::TrailStop, ..) => "the line has sunk back",
        (CommandWord::Undo, ..) => "undo",
        (CommandWord::Back, ..) => "back",
        _ => "next",
    };
    word.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terminal::command;

    #[test]
    fn one_and_two_taps_are_told_in_words() {
        let option = CommandRequest {
            option: Some(2),
            ..command(CommandWord::Answer)
        };
        let heard = TapsHeard {
            once: option,
            twice: Some(command(CommandWord::Undo)),
        };
        assert_eq!(taps(&heard), "or tap the pan: once number 2, twice undo");
        let heard = TapsHeard {
            once: command(CommandWord::TrailStart),
            twice: None,
        };
        assert_eq!(taps(&heard), "or tap the pan once: the line is drawn");
    }
}
