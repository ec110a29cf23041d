//! What keys mean.

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use tarehand_protocol::api::{AnswerWord, BatchStateWord, CommandWord, Doing, View};

use super::super::keys::{Wish, help, wish};
use super::super::scene::Asking;
use super::views::{batch, empty, overshoot, pouring};

fn press(key: KeyCode, view: &View, asking: &Asking) -> Option<Wish> {
    wish(KeyEvent::new(key, KeyModifiers::NONE), view, asking)
}

#[track_caller]
fn check(key: char, view: &View, word: CommandWord) {
    match press(KeyCode::Char(key), view, &Asking::Nothing) {
        Some(Wish::Say(request)) => assert_eq!(request.command, word, "{key}"),
        other => panic!("{key} means {other:?}"),
    }
}

#[test]
fn letters_say_the_words_they_stand_for() {
    let pouring = pouring();
    check('n', &pouring, CommandWord::Next);
    check(' ', &pouring, CommandWord::Next);
    check('b', &pouring, CommandWord::Back);
    check('u', &pouring, CommandWord::Undo);
    check('p', &pouring, CommandWord::Pause);
    check('r', &pouring, CommandWord::Resume);
    check('s', &pouring, CommandWord::Skip);
    check('t', &batch(Doing::JarGone), CommandWord::Tared);
    check('y', &batch(Doing::ConfirmJar), CommandWord::Next);
}

#[test]
fn a_number_chooses_an_option_that_is_there() {
    let view = overshoot();
    let chosen = press(KeyCode::Char('2'), &view, &Asking::Nothing);
    assert!(matches!(chosen, Some(Wish::Say(request)) if request.option == Some(2)));
    assert_eq!(press(KeyCode::Char('7'), &view, &Asking::Nothing), None);
    assert_eq!(
        press(KeyCode::Char('2'), &pouring(), &Asking::Nothing),
        None
    );
}

#[test]
fn yes_and_no_answer_a_plain_question_and_n_never_does_so_for_ways_out() {
    let mut view = overshoot();
    assert_eq!(press(KeyCode::Char('n'), &view, &Asking::Nothing), None);
    view.question.as_mut().unwrap().options.clear();
    let no = press(KeyCode::Char('n'), &view, &Asking::Nothing);
    assert!(matches!(no, Some(Wish::Say(request)) if request.answer == Some(AnswerWord::No)));
}

#[test]
fn giving_up_needs_a_second_key() {
    let view = pouring();
    assert_eq!(
        press(KeyCode::Char('x'), &view, &Asking::Nothing),
        Some(Wish::Ask(Asking::GiveUp))
    );
    assert_eq!(
        press(KeyCode::Enter, &view, &Asking::GiveUp),
        Some(Wish::Ask(Asking::Nothing))
    );
    let yes = press(KeyCode::Char('y'), &view, &Asking::GiveUp);
    assert!(matches!(yes, Some(Wish::Say(request)) if request.command == CommandWord::Abort));
}

#[test]
fn a_trail_is_typed_and_sent_in_seconds() {
    let view = pouring();
    let mut asking = Asking::Trail(String::new());
    for key in ['2', '.', 'z', '5'] {
        if let Some(Wish::Ask(next)) = press(KeyCode::Char(key), &view, &asking) {
            asking = next;
        }
    }
    let sent = press(KeyCode::Enter, &view, &asking);
    assert!(matches!(sent, Some(Wish::Say(request)) if request.seconds == Some(2.5)));
    assert_eq!(
        press(KeyCode::Enter, &view, &Asking::Trail(".".to_owned())),
        None
    );
}

#[test]
fn two_taps_of_one_key_time_a_trail() {
    let mut view = pouring();
    let asking = Asking::Trail(String::new());
    assert_eq!(
        press(KeyCode::Char('t'), &view, &Asking::Nothing),
        Some(Wish::Ask(asking.clone()))
    );
    let start = press(KeyCode::Char('t'), &view, &asking);
    assert!(
        matches!(start, Some(Wish::Say(request)) if request.command == CommandWord::TrailStart)
    );
    view.timing_trail = true;
    let stop = press(KeyCode::Char('t'), &view, &Asking::Nothing);
    assert!(matches!(stop, Some(Wish::Say(request)) if request.command == CommandWord::TrailStop));
}

#[test]
fn leaving_is_always_possible() {
    for view in [empty(), pouring(), overshoot()] {
        assert_eq!(
            press(KeyCode::Char('q'), &view, &Asking::Nothing),
            Some(Wish::Leave)
        );
        let interrupt = KeyEvent::new(KeyCode::Char('c'), KeyModifiers::CONTROL);
        assert_eq!(wish(interrupt, &view, &Asking::GiveUp), Some(Wish::Leave));
    }
}

#[test]
fn a_batch_that_is_over_takes_no_commands() {
    let mut view = batch(Doing::Complete);
    view.state = BatchStateWord::Complete;
    view.can_undo = false;
    for key in "nbprsxt12y".chars() {
        assert_eq!(
            press(KeyCode::Char(key), &view, &Asking::Nothing),
            None,
            "{key}"
        );
    }
}

#[test]
fn every_key_that_is_listed_means_something() {
    for view in [
        empty(),
        pouring(),
        overshoot(),
        batch(Doing::JarGone),
        batch(Doing::Paused),
    ] {
        for text in help(&view, &Asking::Nothing) {
            let key = text.chars().next().unwrap();
            let meaning = press(KeyCode::Char(key), &view, &Asking::Nothing);
            assert!(meaning.is_some(), "{text}");
        }
    }
}
