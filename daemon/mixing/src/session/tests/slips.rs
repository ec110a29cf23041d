//! Slips, gaps and second thoughts: each of these was once booked, judged or asked wrongly, or may easily be.

use super::*;

fn asks_overshoot_of(play: &Play) -> Option<u32> {
    match play.session.book().question() {
        Some(Question::Overshoot { task, .. }) => Some(task.0),
        _ => None,
    }
}

#[test]
fn next_that_waited_for_a_weight_never_answers_what_came_up_meanwhile() {
    let mut play = Play::with_jar(vec![add("a", 50), add("b", 50)]);
    play.fact(live("150", 4.0)).say(Command::Next).settle("170");
    assert_eq!(
        asks_overshoot_of(&play),
        Some(0),
        "the way out is the person's"
    );
    let mut play = Play::with_jar(vec![add("a", 50), add("b", 50)]);
    play.fact(live("90", 4.0))
        .say(Command::Next)
        .settle("100")
        .wait(5_000);
    assert_eq!(play.current(), Some(1), "and never finishes the step after");
    play.check();
}

#[test]
fn what_is_in_the_air_when_a_step_is_left_belongs_to_that_step() {
    for command in [Command::Skip, Command::Next] {
        let mut play = Play::with_jar(vec![add("a", 50), add("b", 50)]);
        play.fact(live("70", 4.0)).say(command).settle("80");
        assert_eq!(play.poured(), ["30.0", "0.0"]);
        assert_eq!(play.current(), Some(1));
        play.check();
    }
    let mut play = Play::with_jar(vec![add("a", 50), add("b", 50)]);
    play.settle("100")
        .fact(live("110", 4.0))
        .say(Command::Back)
        .settle("120");
    assert_eq!(play.poured(), ["50.0", "20.0"]);
    assert_eq!(play.current(), Some(0));
    play.check();
}

#[test]
fn skip_said_twice_waits_for_no_weight() {
    let mut play = Play::with_jar(vec![add("a", 50), add("b", 50)]);
    play.fact(live("70", 4.0))
        .say(Command::Skip)
        .say(Command::Skip);
    assert_eq!(play.current(), Some(1));
}

#[test]
fn the_tare_key_after_every_ingredient_books_nothing() {
    let mut play = Play::with_jar(vec![add("a", 30), stir(30), add("b", 70)]);
    play.lift().settle("0").settle_by("30", Change::Gradual);
    assert_eq!(play.current(), Some(1));
    play.settle("0").wait(40_000);
    assert_eq!(
        (play.poured(), play.session.book().question()),
        (vec!["30.0".into(), "0.0".into(), "0.0".into()], None)
    );
    play.settle_by("70", Change::Gradual);
    assert_eq!(play.poured(), ["30.0", "0.0", "70.0"]);
    assert_eq!(play.session.book().state(), BatchState::Complete);
    assert!(
        !play.kinds().contains(&"changed"),
        "a tare is neither residue nor spilled"
    );
    play.check();
}

#[test]
fn a_pour_after_the_tare_key_may_outweigh_the_jar() {
    let mut play = Play::with_jar(vec![add("a", 100)]);
    play.lift().settle("0").settle_by("100", Change::Gradual);
    assert_eq!(play.poured(), ["100.0"]);
    play.check();
}

#[test]
fn the_tare_key_counts_from_where_the_scale_came_to_rest() {
    let mut play = Play::with_jar(vec![add("a", 50), add("b", 50)]);
    play.settle("70");
    // Half way down the averaging of the scale already shows that the load is gone.
    play.fact(Fact::Unloaded { gross: mass("25") }).settle("0");
    play.say(Command::Tared).settle_by("30", Change::Gradual);
    assert_eq!(play.poured()[0], "50.0");
    play.check();
}

#[test]
fn the_tare_key_under_an_open_question_moves_the_question() {
    let mut play = Play::with_jar(vec![add("a", 50), add("b", 50)]);
    play.settle("90").settle("80").settle("0");
    play.say(Command::Tared);
    assert_eq!(
        play.session.book().question(),
        Some(&Question::Lighter {
            before: mass("10"),
            after: mass("0")
        })
    );
    play.say(Command::Answer(Answer::Yes))
        .settle_by("10", Change::Gradual);
    assert_eq!(play.poured()[0], "50.0");
    play.check();
}

#[test]
fn a_jar_set_back_during_a_pause_is_back_when_the_person_resumes() {
    let mut play = Play::with_jar(vec![look(), add("a", 100)]);
    play.say(Command::Pause)
        .lift()
        .settle("0")
        .settle("50")
        .say(Command::Resume);
    assert_eq!(play.session.book().jar(), JarPlace::OnPan);
    assert_eq!(play.current(), Some(0), "nobody said yes in the pause");
    play.check();
}

#[test]
fn a_scale_lost_while_paused_is_a_gap_when_the_person_resumes() {
    let mut play = Play::with_jar(vec![add("a", 50), add("b", 50)]);
    play.settle("70").say(Command::Pause).fact(Fact::Lost);
    play.fact(Fact::Back {
        zero: Zero::Trusted,
    })
    .settle("90");
    assert_eq!(play.poured()[0], "20.0");
    play.say(Command::Resume);
    assert_eq!(play.poured()[0], "40.0");
    play.check();
}

#[test]
fn a_restart_while_the_jar_is_lifted_goes_on_when_it_is_back() {
    let mut play = Play::with_jar(vec![add("a", 50), add("b", 50)]);
    play.settle("70").lift().settle("0");
    play.session = Session::rebuild(&play.journal).unwrap();
    play.fact(Fact::Back {
        zero: Zero::Suspect,
    })
    .settle("0")
    .settle("70")
    .settle("100");
    assert_eq!(
        (play.current(), play.poured()[0].as_str()),
        (Some(1), "50.0")
    );
    play.check();
}

#[test]
fn what_was_poured_while_the_scale_gave_no_weight_is_unseen() {
    let mut play = Play::with_jar(vec![add("a", 50), add("b", 50)]);
    play.settle("70")
        .fact(Fact::NoWeight(NoWeight::Over))
        .settle("95");
    let seen = play
        .journal
        .iter()
        .rev()
        .find_map(|record| match record.entry {
            Entry::Poured { seen, .. } => Some(seen),
            _ => None,
        });
    assert_eq!(seen, Some(Seen::Unseen));
    play.check();
}

#[test]
fn a_drip_during_the_dwell_is_judged_with_the_pour() {
    let mut play = Play::with_jar(vec![add("a", 50), add("b", 50)]);
    play.fact(Fact::Settled {
        gross: mass("100.8"),
        change: Change::Gradual,
    });
    play.fact(live("101", 0.1));
    play.wait(900);
    assert_eq!(play.current(), Some(0), "it dripped: the dwell begins anew");
    play.settle("101.4");
    let verdict = play.session.book().task(TaskId(0)).unwrap().verdict;
    assert_eq!(verdict, Some(Verdict::Overshoot));
    play.check();
}

#[test]
fn an_answer_looks_at_the_pan_again() {
    let mut play = Play::with_jar(vec![add("a", 50), add("b", 50)]);
    play.settle("120").fact(Fact::Lost).fact(Fact::Back {
        zero: Zero::Trusted,
    });
    play.settle("125");
    assert_eq!(
        play.session.book().question(),
        Some(&Question::PouredUnseen {
            before: mass("120"),
            after: mass("125")
        }),
        "what came unseen is asked before the way out"
    );
    play.say(Command::Answer(Answer::Yes));
    assert_eq!(play.poured()[0], "75.0");
    assert_eq!(asks_overshoot_of(&play), Some(0), "and then the way out");
    play.check();
}

#[test]
fn a_pot_put_down_while_the_way_out_is_asked_is_no_ingredient() {
    let mut play = Play::with_jar(vec![add("a", 50), add("b", 50)]);
    play.settle("120").lift().settle("0").settle("400");
    play.say(Command::Answer(Answer::No));
    assert_eq!(play.poured()[0], "70.0");
    assert_eq!(asks_overshoot_of(&play), Some(0));
    play.check();
}

#[test]
fn a_heavy_return_at_a_look_is_asked_and_confirms_nothing() {
    let mut play = Play::with_jar(vec![add("a", 50), look(), add("b", 50)]);
    play.settle("100").lift().settle("0").settle("140");
    assert_eq!(play.current(), Some(1));
    assert_eq!(
        play.session.book().question(),
        Some(&Question::AddedInHand {
            before: mass("100"),
            after: mass("140")
        })
    );
}

#[test]
fn a_lighter_jar_that_grows_heavier_is_asked_about_in_other_words() {
    let mut play = Play::with_jar(vec![add("a", 50), add("b", 50)]);
    play.settle("90").settle("80").settle("95");
    play.say(Command::Answer(Answer::Yes));
    assert_eq!(
        play.poured()[0],
        "45.0",
        "five grams more than before went in"
    );
    play.check();
}

#[test]
fn more_of_a_step_that_was_done_makes_it_an_overshoot_that_undo_finds() {
    let mut play = Play::with_jar(vec![add("a", 50), stir(300), add("b", 50)]);
    play.settle("100").fact(Fact::Lost).fact(Fact::Back {
        zero: Zero::Trusted,
    });
    play.settle("103").say(Command::Answer(Answer::Yes));
    let verdict = play.session.book().task(TaskId(0)).unwrap().verdict;
    assert_eq!(verdict, Some(Verdict::Overshoot));
    assert_eq!(play.targets(), ["50.0", "53.0"]);
    assert_eq!(play.current(), Some(1), "stirring goes on");
    play.say(Command::Undo);
    assert_eq!(asks_overshoot_of(&play), Some(0), "not about the stirring");
    play.check();
}

#[test]
fn a_task_of_a_rescue_that_was_taken_back_keeps_its_number() {
    let mut play = Play::with_jar(vec![add("a", 40), add("b", 40), add("c", 20)]);
    play.settle("90").settle("150").say(Command::Next);
    assert_eq!(play.current(), Some(3), "more of the first");
    play.settle("160").say(Command::Undo).say(Command::Undo);
    play.settle("165").say(Command::Next).say(Command::Next);
    assert_eq!(play.current(), Some(4), "a new task has a new number");
    assert_eq!(
        play.session.book().task(TaskId(0)).unwrap().poured,
        mass("50"),
        "what was poured for it counts for the ingredient"
    );
    play.check();
}

#[test]
fn undo_goes_back_through_a_rescue_inside_a_rescue_to_the_plan() {
    let mut play = Play::with_jar(vec![add("a", 40), add("b", 40), add("c", 20)]);
    play.settle("90").settle("150").say(Command::Next);
    play.settle("190").say(Command::Next);
    assert_eq!(play.targets().len(), 5, "a rescue of the rescue");
    while play.session.book().undoes().is_some() {
        play.say(Command::Undo);
    }
    assert_eq!(play.targets(), ["40.0", "40.0", "20.0"]);
    assert_eq!(play.current(), Some(0));
    play.say(Command::Undo);
    assert_eq!(play.refusals, [Refusal::NothingToUndo]);
    play.check();
}

#[test]
fn undo_after_the_end_is_refused() {
    let mut play = Play::with_jar(vec![add("a", 100)]);
    play.settle("150").say(Command::Undo);
    assert_eq!(play.session.book().state(), BatchState::Complete);
    assert_eq!(play.refusals, [Refusal::Over]);
    play.check();
}

#[test]
fn a_finer_division_told_later_books_what_was_flicker_before() {
    let mut play = Play::with_jar(vec![add("a", 50), add("b", 50)]);
    let scale = |division: &str| {
        Input::Scale(Scale {
            division: Some(mass(division)),
            capacity: None,
        })
    };
    play.input(scale("1")).settle("90").settle("90.8");
    assert_eq!(play.poured()[0], "40.0");
    play.input(scale("0.1"));
    assert_eq!(play.poured()[0], "40.8");
    play.check();
}

#[test]
fn there_is_a_way_on_when_no_top_up_can_be_done() {
    let mut play = Play::with_jar(vec![add("a", 50), add("b", 50)]);
    let mut procedure = play.session.book().procedure().clone();
    procedure.jar_ul = Some(60_000);
    play = {
        let scale = play.session.book().scale();
        let (session, effects) = Session::open(Tick::ZERO, procedure, Limits::default(), scale);
        let mut small = Play {
            session,
            journal: Vec::new(),
            cues: Vec::new(),
            refusals: Vec::new(),
            now: Tick::ZERO,
        };
        small.take(effects);
        small
    };
    play.settle("0").settle("50").settle("120");
    play.say(Command::Next);
    assert_eq!(
        (play.current(), play.refusals.len()),
        (Some(2), 0),
        "yes takes what can be done: here some of the mix is taken out"
    );
    // 70 g of a jar for 60 g: topped up it would hold 140 g, so 60/140 of it may stay.
    play.settle("80");
    assert_eq!(play.current(), Some(1));
    assert_eq!(play.targets(), ["50.0", "-40.0", "30.0"]);
    play.settle("110");
    assert_eq!(play.session.book().state(), BatchState::Complete);
    play.check();
}

#[test]
fn a_word_never_makes_a_jar_of_less_than_the_empty_pan() {
    let mut play = Play::open(vec![add("a", 100)]);
    play.input(Input::Scale(Scale {
        division: Some(mass("1")),
        capacity: None,
    }));
    play.settle("15").input(Input::Scale(Scale {
        division: Some(mass("0.1")),
        capacity: None,
    }));
    play.settle("8").say(Command::Next);
    assert_eq!(play.refusals, [Refusal::NoJar]);
    play.check();
}

#[test]
fn what_was_named_as_another_ingredient_stays_in_the_jar_when_a_judgement_is_taken_back() {
    let mut play = Play::with_jar(vec![add("a", 50), add("b", 30), add("c", 20)]);
    play.settle("100")
        .settle("130")
        .say(Command::WasOther("sand".to_owned()))
        .say(Command::Undo);
    let book = play.session.book();
    let named = |key: &str| {
        let tasks = book
            .tasks()
            .filter(|task| book.pours(task).is_some_and(|one| one.key == key));
        tasks.map(|task| task.poured).collect::<Vec<_>>()
    };
    assert_eq!(
        named("sand"),
        [mass("30")],
        "all that is in the jar is seen"
    );
    assert_eq!(named("b"), [mass("0")]);
    assert_eq!(book.situation().outside, mass("30"));
    play.check();
}
