//! What keys mean.

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use tarehand_protocol::api::{AnswerWord, BatchStateWord, CommandWord, Doing, View};

use super::super::keys::{Wish, help, wish};
use super::super::scene::Asking;
use crate::settings::{KeyName, KeySettings};

use super::views::{batch, empty, overshoot, pouring};

fn press(key: KeyCode, view: &View, asking: &Asking) -> Option<Wish> {
    press_with(key, view, asking, &KeySettings::default())
}

fn press_with(key: KeyCode, view: &View, asking: &Asking, keys: &KeySettings) -> Option<Wish> {
    wish(KeyEvent::new(key, KeyModifiers::NONE), view, asking, keys)
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
fn a_jar_that_is_asked_about_yes_or_no_is_never_taken_by_the_n_of_no() {
    let asked = batch(Doing::ConfirmJar);
    assert_eq!(press(KeyCode::Char('n'), &asked, &Asking::Nothing), None);
    let keys = help(&asked, &Asking::Nothing);
    assert_eq!(keys[0], "y yes");
    assert!(!keys.iter().any(|key| key.starts_with("n ")), "{keys:?}");
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
        assert_eq!(
            wish(interrupt, &view, &Asking::GiveUp, &KeySettings::default()),
            Some(Wish::Leave)
        );
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

#[test]
fn a_pedal_that_turns_pages_says_next_and_undo() {
    let looks = batch(Doing::Look {
        step: 5,
        expect: "smooth".to_owned(),
    });
    for key in [KeyCode::Enter, KeyCode::PageDown, KeyCode::Right] {
        let said = press(key, &looks, &Asking::Nothing);
        assert!(matches!(said, Some(Wish::Say(request)) if request.command == CommandWord::Next));
    }
    for key in [KeyCode::Backspace, KeyCode::PageUp, KeyCode::Left] {
        let said = press(key, &looks, &Asking::Nothing);
        assert!(matches!(said, Some(Wish::Say(request)) if request.command == CommandWord::Undo));
    }
    assert_eq!(press(KeyCode::PageDown, &empty(), &Asking::Nothing), None);
    let done = batch(Doing::Complete);
    let done = View {
        state: BatchStateWord::Complete,
        ..done
    };
    assert_eq!(
        press(KeyCode::Enter, &done, &Asking::Nothing),
        Some(Wish::Leave)
    );
}

#[test]
fn the_pedal_answers_what_is_asked() {
    let mut view = overshoot();
    view.question.as_mut().unwrap().options[0].feasible = false;
    let said = press(KeyCode::PageDown, &view, &Asking::Nothing);
    assert!(matches!(said, Some(Wish::Say(request)) if request.option == Some(2)));
    view.question.as_mut().unwrap().options.clear();
    let said = press(KeyCode::PageDown, &view, &Asking::Nothing);
    assert!(matches!(said, Some(Wish::Say(request)) if request.answer == Some(AnswerWord::Yes)));
    let mut trail = batch(Doing::Trail {
        step: 3,
        wanted_s: None,
    });
    for word in [CommandWord::TrailStart, CommandWord::TrailStop] {
        let said = press(KeyCode::PageDown, &trail, &Asking::Nothing);
        assert!(matches!(said, Some(Wish::Say(request)) if request.command == word));
        trail.timing_trail = true;
    }
    let said = press(KeyCode::PageDown, &batch(Doing::Paused), &Asking::Nothing);
    assert!(matches!(said, Some(Wish::Say(request)) if request.command == CommandWord::Resume));
}

#[test]
fn keys_that_were_given_to_the_pedal_go_before_what_they_mean_else() {
    let keys = KeySettings {
        next: vec![KeyName(KeyCode::Char('b'))],
        undo: vec![KeyName(KeyCode::F(8))],
    };
    let view = pouring();
    let said = |key, asking: &Asking| press_with(key, &view, asking, &keys);
    let next = said(KeyCode::Char('b'), &Asking::Nothing);
    assert!(matches!(next, Some(Wish::Say(request)) if request.command == CommandWord::Next));
    let undo = said(KeyCode::F(8), &Asking::Nothing);
    assert!(matches!(undo, Some(Wish::Say(request)) if request.command == CommandWord::Undo));
    assert_eq!(said(KeyCode::PageDown, &Asking::Nothing), None);
    // What the screen asks itself is answered by the keyboard alone.
    let goes_on = said(KeyCode::Char('b'), &Asking::GiveUp);
    assert_eq!(goes_on, Some(Wish::Ask(Asking::Nothing)));
}
