//! Two scales that do not agree, fall silent, are tared, or are let go.

use super::*;

#[test]
fn what_comes_into_the_jar_past_the_finer_scale_is_asked_about() {
    for (answer, poured) in [(Answer::Yes, "0.90"), (Answer::No, "0.00")] {
        let mut play = at_the_ink();
        play.settle_by("147.9", Change::Gradual);
        let (before, after) = (mass("147"), mass("147.9"));
        assert_eq!(
            play.session.book().question(),
            Some(&Question::PouredUnseen { before, after })
        );
        play.say(Command::Answer(answer));
        assert_eq!(play.grams(1), poured);
        play.check();
    }
}

#[test]
fn what_left_the_cup_and_never_reached_the_jar_is_asked_about() {
    let mut play = at_the_ink();
    play.fine("30").fine("0").fine("29");
    let (before, after) = (mass("148"), mass("147"));
    assert_eq!(
        play.session.book().question(),
        Some(&Question::Lighter { before, after })
    );
    assert_eq!(play.current(), Some(1));
    // The jar's scale was only slow.
    play.settle_by("148", Change::Gradual);
    assert_eq!((play.current(), play.grams(1).as_str()), (Some(2), "1.00"));
    play.check();
}

#[test]
fn a_finer_scale_lost_for_long_leaves_the_jars_own() {
    let mut play = at_the_ink();
    play.fine("30")
        .fine("0")
        .settle_by("148.0", Change::Gradual)
        .lose_fine();
    assert_eq!(play.cues.last(), Some(&Cue::FineLost));
    play.say(Command::WeighIn);
    assert!(play.refusals.is_empty());
    assert!(
        play.session
            .book()
            .is_widened(play.session.book().task(TaskId(1)).unwrap())
    );
    assert_eq!(play.grams(1), "1.00", "what the jar's scale says of it");
    // The cup comes back: nothing of it is booked a second time.
    play.fine_back().fine("29").wait(2_000);
    assert_eq!((play.current(), play.grams(1).as_str()), (Some(2), "1.00"));
    play.check();
}

#[test]
fn a_finer_scale_that_is_away_is_not_chosen_for_the_next_step() {
    let mut play = Play::with_both(recipe());
    play.lose_fine().settle("147");
    assert_eq!(play.weigh_of(1), Weigh::Jar);
    play.fine_back().fine("0");
    assert_eq!(
        play.weigh_of(1),
        Weigh::Fine,
        "it is back before anything was poured"
    );
    play.check();
}

#[test]
fn a_gap_of_the_finer_scale_is_booked_unseen_and_one_of_the_jars_is_compared() {
    let mut play = at_the_ink();
    play.fine("30").lose_fine();
    play.fact(Fact::Lost);
    play.fact(Fact::Back {
        zero: Zero::Trusted,
    });
    play.fine_back().settle("147.5").fine("29.5");
    assert_eq!(play.grams(1), "0.50");
    assert!(play.session.book().question().is_none());
    let last = play
        .journal
        .iter()
        .rev()
        .find_map(|record| match record.entry {
            Entry::PouredOut { seen, .. } => Some(seen),
            _ => None,
        });
    assert_eq!(last, Some(Seen::Unseen));
    play.check();
}

#[test]
fn a_restart_with_the_cup_in_the_hand_books_it_once() {
    let mut play = at_the_ink();
    play.fine("30").fine("0").restart();
    play.settle("148.1").fine("0");
    assert!(
        play.session.book().question().is_none(),
        "the cup is not back yet"
    );
    play.fine("29");
    assert_eq!((play.current(), play.grams(1).as_str()), (Some(2), "1.00"));
    play.check();
}

#[test]
fn a_jars_scale_that_says_nothing_holds_nothing_up() {
    let mut play = at_the_ink();
    play.fact(Fact::Lost);
    play.fine("30").fine("0").fine("29");
    assert_eq!((play.current(), play.grams(1).as_str()), (Some(2), "1.00"));
    play.fact(Fact::Back {
        zero: Zero::Trusted,
    });
    play.settle("148.1");
    assert!(play.session.book().question().is_none());
    play.check();
}

#[test]
fn the_tare_key_of_the_finer_scale_moves_its_numbers_and_nothing_else() {
    let mut play = at_the_ink();
    play.fine("30").fine("0").say(Command::Tared);
    assert_eq!(play.session.bottle_now(), Some(BottleNow::Pour));
    play.fine_by("-1", Change::Gradual)
        .settle_by("148", Change::Gradual);
    assert_eq!((play.current(), play.grams(1).as_str()), (Some(2), "1.00"));
    assert_eq!(play.session.book().empty(), mass("0"));
    play.check();
}

#[test]
fn the_tare_key_under_the_jar_moves_the_jars_numbers_alone() {
    let mut play = at_the_ink();
    play.fine("30").settle("0").say(Command::Tared);
    assert_eq!(play.session.book().jar(), JarPlace::OnPan);
    play.fine("0").settle_by("1.0", Change::Gradual).fine("29");
    assert_eq!((play.current(), play.grams(1).as_str()), (Some(2), "1.00"));
    play.check();
}

#[test]
fn a_finer_scale_that_is_let_go_leaves_the_step_to_the_jar() {
    let mut play = at_the_ink();
    play.fine("30").input(Input::FineScale(None));
    assert_eq!(
        (play.weigh_of(1), play.session.bottle_now()),
        (Weigh::Jar, None)
    );
    play.settle("148");
    assert_eq!(play.current(), Some(2));
    assert_eq!(play.weigh_of(2), Weigh::Jar);
    play.check();
}
