//! Keys, and what they mean at this moment: pure.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use tarehand_protocol::api::{AnswerWord, BottleWord, CommandRequest, CommandWord, Doing, View};

use super::pedal::said;
use super::readout::is_over;
use super::scene::Asking;
use crate::settings::KeySettings;
use crate::words::step_of;

/// What a key asks for.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Wish {
    /// Tell the bench.
    Say(CommandRequest),
    /// Ask the person first, or keep on asking.
    Ask(Asking),
    /// Leave the screen; the batch goes on in the service.
    Leave,
}

/// Makes a command out of its word.
pub(crate) const fn command(word: CommandWord) -> CommandRequest {
    CommandRequest {
        command: word,
        answer: None,
        ingredient: None,
        jar: None,
        option: None,
        seconds: None,
        text: None,
    }
}

/// Returns what a key means now; `None` when it means nothing.
pub(crate) fn wish(
    key: KeyEvent,
    view: &View,
    asking: &Asking,
    pedal: &KeySettings,
) -> Option<Wish> {
    if key.kind == KeyEventKind::Release {
        return None;
    }
    if key.modifiers.contains(KeyModifiers::CONTROL) {
        return match key.code {
            KeyCode::Char('c' | 'd') => Some(Wish::Leave),
            _ => None,
        };
    }
    match asking {
        Asking::Trail(typed) => trail(key.code, typed),
        Asking::GiveUp => Some(match key.code {
            KeyCode::Char('y') => Wish::Say(command(CommandWord::Abort)),
            _ => Wish::Ask(Asking::Nothing),
        }),
        // A key that was given to the pedal says what the pedal does, whatever else it means.
        Asking::Nothing => match said(key.code, pedal, view) {
            Some(command) => Some(Wish::Say(command)),
            None => plain(key.code, view),
        },
    }
}

fn trail(key: KeyCode, typed: &str) -> Option<Wish> {
    let mut typed = typed.to_owned();
    match key {
        // The first of two taps: the line is drawn. The second comes when it is being timed.
        KeyCode::Char('t') if typed.is_empty() => {
            return Some(Wish::Say(command(CommandWord::TrailStart)));
        }
        KeyCode::Char(letter @ ('0'..='9' | '.')) if typed.len() < 6 => typed.push(letter),
        KeyCode::Backspace => drop(typed.pop()),
        KeyCode::Esc => return Some(Wish::Ask(Asking::Nothing)),
        KeyCode::Enter => {
            return typed.parse().ok().map(|seconds| {
                Wish::Say(CommandRequest {
                    seconds: Some(seconds),
                    ..command(CommandWord::Trail)
                })
            });
        }
        _ => return None,
    }
    Some(Wish::Ask(Asking::Trail(typed)))
}

fn plain(key: KeyCode, view: &View) -> Option<Wish> {
    let say = |word| Some(Wish::Say(command(word)));
    if is_over(view) || view.batch.is_none() {
        return match key {
            KeyCode::Char('q') | KeyCode::Esc | KeyCode::Enter => Some(Wish::Leave),
            KeyCode::Char('u') if view.can_undo => say(CommandWord::Undo),
            _ => None,
        };
    }
    match (key, &view.question) {
        (KeyCode::Char(digit @ '1'..='9'), Some(question)) => {
            let option = u8::try_from(digit.to_digit(10)?).ok()?;
            question
                .options
                .iter()
                .find(|known| known.option == option)?;
            Some(Wish::Say(CommandRequest {
                option: Some(option),
                ..command(CommandWord::Answer)
            }))
        }
        (KeyCode::Char('y'), Some(_)) => Some(answer(AnswerWord::Yes)),
        (KeyCode::Char('n'), Some(question)) if question.options.is_empty() => {
            Some(answer(AnswerWord::No))
        }
        (KeyCode::Char('y'), None) if view.doing == Doing::ConfirmJar => say(CommandWord::Next),
        // Who is asked yes or no and says no never means to go on.
        (KeyCode::Char('n'), None) if view.doing == Doing::ConfirmJar => None,
        (KeyCode::Char('n' | ' ') | KeyCode::Enter, None) => say(CommandWord::Next),
        (KeyCode::Char('b'), _) => say(CommandWord::Back),
        (KeyCode::Char('u'), _) => say(CommandWord::Undo),
        (KeyCode::Char('p'), _) => say(CommandWord::Pause),
        (KeyCode::Char('r'), _) => say(CommandWord::Resume),
        (KeyCode::Char('s'), None) => say(CommandWord::Skip),
        (KeyCode::Char('t'), _)
            if view.doing == Doing::JarGone || view.bottle == Some(BottleWord::InHand) =>
        {
            say(CommandWord::Tared)
        }
        (KeyCode::Char('t'), _) if view.timing_trail => say(CommandWord::TrailStop),
        (KeyCode::Char('t'), _) => Some(Wish::Ask(Asking::Trail(String::new()))),
        (KeyCode::Char('x'), _) => Some(Wish::Ask(Asking::GiveUp)),
        (KeyCode::Char('q') | KeyCode::Esc, _) => Some(Wish::Leave),
        _ => None,
    }
}

fn answer(word: AnswerWord) -> Wish {
    Wish::Say(CommandRequest {
        answer: Some(word),
        ..command(CommandWord::Answer)
    })
}

/// Lists the keys that mean something now.
pub(crate) fn help(view: &View, asking: &Asking) -> Vec<String> {
    if *asking != Asking::Nothing {
        return Vec::new();
    }
    let mut keys: Vec<String> = Vec::new();
    let mut key = |text: &str| keys.push(text.to_owned());
    if is_over(view) || view.batch.is_none() {
        if view.can_undo {
            key("u undo");
        }
        key("q leave");
    } else {
        match &view.question {
            Some(question) if question.options.is_empty() => {
                key("y yes");
                key("n no");
            }
            Some(question) => {
                let numbers = question.options.iter().map(|option| option.option);
                key(&format!("1–{} choose", numbers.max().unwrap_or(1)));
                key("y the first that can be done");
            }
            None if view.doing == Doing::Paused => key("r resume"),
            None if view.doing == Doing::ConfirmJar => key("y yes"),
            None => {
                key("n next");
                if step_of(&view.doing).is_some() {
                    key("s skip");
                    key("p pause");
                }
            }
        }
        key("b back");
        if view.can_undo {
            key("u undo");
        }
        key(match view.doing {
            Doing::JarGone => "t tare pressed",
            _ if view.bottle == Some(BottleWord::InHand) => "t tare pressed",
            _ if view.timing_trail => "t the line has sunk back",
            _ => "t trail",
        });
        key("x give up");
        key("q leave");
    }
    keys
}
