use std::collections::BTreeMap;
use std::time::Duration;

use crate::procedure::{
    Addition, Amends, Amount, Ingredient, OfSet, Procedure, Step, StepKind, Weigh, Within,
};
use crate::ratio::Ratio;
use crate::session::{
    Answer, BatchState, Command, Cue, Effect, Input, Limits, Record, Refusal, Session,
};
use crate::settler::{Change, Fact, Live};
use crate::weighing::Scale;

use tarehand_protocol::Motion;

use super::*;

mod fine;
mod fine_walked;
mod opened_again;
mod table;
mod walked;

use table::{Table, shuffled};

fn mass(text: &str) -> Mass {
    format!("{text} g").parse().unwrap()
}

fn add(key: &str, grams: i64) -> StepKind {
    StepKind::Add(Addition {
        ingredient: Ingredient::by_name(key),
        amount: Amount::Weighed {
            share: Ratio::new(grams, 100),
            target: Mass::from_grams(grams),
            within: Within::Fraction(Ratio::new(2, 100)),
        },
        weigh: Weigh::Jar,
    })
}

/// A jar with the turn of each of its steps.
fn jar(key: &str, steps: Vec<(u32, StepKind)>) -> Procedure {
    let (turns, steps): (Vec<u32>, Vec<StepKind>) = steps.into_iter().unzip();
    let planned = steps.iter().filter_map(StepKind::target).sum();
    Procedure {
        of_set: Some(OfSet {
            set: "test".to_owned(),
            run: "r".to_owned(),
            jars: 2,
            key: key.to_owned(),
            turns,
            made: BTreeMap::new(),
            covers: None,
        }),
        ..Procedure::of_steps(
            key,
            planned,
            steps
                .into_iter()
                .map(|kind| Step { kind, note: None })
                .collect(),
        )
    }
}

/// Two jars, bottle by bottle: base into both, then each its colour.
fn two() -> Table {
    Table::of(vec![
        jar("dusk", vec![(0, add("base", 60)), (2, add("blue", 10))]),
        jar("dawn", vec![(1, add("base", 40)), (3, add("rose", 12))]),
    ])
}

#[test]
fn bottle_by_bottle_each_jar_has_its_turn_and_is_known_by_its_weight() {
    let mut table = two();
    table.settle("0").settle("50").pour("110");
    assert_eq!(
        table.jars.at_hand(),
        AtHand::Bring {
            jar: 1,
            instead: Some(0)
        }
    );
    assert_eq!(table.cues.last(), Some(&(1, Cue::JarsTurn)));
    table.lift().settle("52").pour("92");
    assert_eq!(table.poured(1), ["40.0", "0.0"]);
    // Dusk comes back: 110 g and no other jar weighs so much.
    table.lift().settle("110");
    assert_eq!(table.jars.on_pan(), Some(0));
    table.pour("120");
    assert_eq!(table.state(0), BatchState::Complete);
    table.lift().settle("92").pour("104");
    assert!(table.jars.is_over());
    table.check();
}

#[test]
fn a_rest_that_ends_while_another_jar_is_poured_into_waits_for_that_pour() {
    let rest = StepKind::Rest {
        time: Duration::from_secs(60),
    };
    let mut table = Table::of(vec![
        jar(
            "dusk",
            vec![(0, add("base", 60)), (0, rest), (1, add("blue", 10))],
        ),
        jar("dawn", vec![(2, add("base", 40)), (2, add("rose", 12))]),
    ]);
    table.settle("0").settle("50").pour("110");
    table.lift().settle("52");
    let live = |gross| {
        Input::Fact(Fact::Live(Live {
            gross: mass(gross),
            flow_g_s: 4.0,
            change: Change::Gradual,
            motion: Motion::Moving,
            quiet: false,
        }))
    };
    table.input(live("60")).wait(60_000).input(live("84"));
    assert_eq!(table.jars.at_hand(), AtHand::Jar(1), "it runs still");
    table.pour("92");
    assert_eq!(table.poured(1), ["40.0", "0.0"]);
    let bring = AtHand::Bring {
        jar: 0,
        instead: Some(1),
    };
    assert_eq!(table.jars.at_hand(), bring);
    // What runs into a jar that has no turn does not give it one.
    table.input(live("96"));
    assert_eq!(table.jars.at_hand(), bring);
    table.check();
}

#[test]
fn a_jar_that_weighs_as_much_as_a_finished_one_can_be_named() {
    let mut table = Table::of(vec![
        jar("dusk", vec![(0, add("base", 60))]),
        jar("dawn", vec![(1, add("base", 40))]),
    ]);
    table.settle("0").settle("50").pour("110");
    assert_eq!(table.state(0), BatchState::Complete);
    table.say(Command::JarIs("dawn".to_owned()));
    assert_eq!(table.refusals, []);
    assert_eq!(table.jars.on_pan(), Some(1));
}

#[test]
fn a_jar_that_is_set_down_in_its_turn_says_yes_to_nothing() {
    let look = StepKind::Look {
        expect: "smooth".to_owned(),
    };
    let mut table = Table::of(vec![
        jar("dusk", vec![(0, add("base", 60)), (2, look)]),
        jar("dawn", vec![(1, add("base", 40))]),
    ]);
    table.settle("0").settle("50").pour("110");
    table.lift().settle("50").pour("90");
    table.lift().settle("110");
    assert_eq!(table.state(0), BatchState::Running, "nobody has looked yet");
    table.lift().settle("110");
    assert_eq!(table.state(0), BatchState::Complete, "lifted and set back");
    table.check();
}

#[test]
fn two_jars_too_alike_are_asked_about_and_the_one_whose_turn_it_is_is_proposed() {
    let mut table = Table::of(vec![
        jar("dusk", vec![(0, add("base", 50)), (2, add("blue", 10))]),
        jar("dawn", vec![(1, add("base", 50)), (3, add("rose", 12))]),
    ]);
    table.settle("0").settle("50").pour("100");
    table.lift().settle("50").pour("100.1");
    table.lift().settle("100.1");
    assert_eq!(table.jars.at_hand(), AtHand::Which { jars: vec![0, 1] });
    assert_eq!(table.cues.last(), Some(&(0, Cue::AsksForJar)));
    table.say(Command::Next);
    assert_eq!(table.jars.on_pan(), Some(0));
    table.lift().settle("100.1");
    assert_eq!(table.jars.at_hand(), AtHand::Which { jars: vec![0, 1] });
    // Lifted and set back says yes.
    table.lift().settle("100.1");
    assert_eq!(table.jars.on_pan(), Some(0));
    table.lift().settle("100.1");
    table.say(Command::Answer(Answer::Option(2)));
    assert_eq!(table.jars.on_pan(), Some(1));
    table.check();
}

#[test]
fn what_is_poured_into_a_jar_whose_turn_it_is_not_is_asked_about() {
    let mut table = two();
    table.settle("0").settle("50").pour("110");
    // The base that was meant for dawn goes into dusk.
    table.pour("150");
    assert_eq!(
        table.jars.at_hand(),
        AtHand::OutOfTurn {
            jar: 0,
            poured: mass("40")
        }
    );
    assert_eq!(table.poured(0), ["60.0", "0.0"], "nothing is booked yet");
    table.say(Command::Undo);
    assert_eq!(table.refusals, [Refusal::Asked]);
    table.say(Command::WasOther("base".to_owned()));
    let book = table.jars.sessions()[0].book();
    let base: Mass = book
        .all_tasks()
        .filter(|task| book.pours(task).is_some_and(|of| of.key == "base"))
        .map(|task| task.poured)
        .sum();
    assert_eq!(base, mass("100"), "it is booked as what it was");
    table.check();
}

#[test]
fn a_person_may_go_on_with_the_jar_that_is_there() {
    let mut table = two();
    table.settle("0").settle("50").pour("110");
    table.say(Command::Next).pour("120");
    assert_eq!(table.state(0), BatchState::Complete);
    assert_eq!(table.poured(0), ["60.0", "10.0"]);
    table.check();
}

#[test]
fn a_jar_that_was_mistaken_for_another_is_put_right_by_a_word() {
    let mut table = two();
    table.settle("0").settle("50").pour("110");
    table.lift().settle("57");
    assert_eq!(
        table.jars.on_pan(),
        Some(1),
        "an empty jar, and dawn's turn"
    );
    table.say(Command::JarIs("sunrise".to_owned()));
    assert_eq!(table.refusals, [Refusal::NoSuchJar]);
    table.say(Command::JarIs("dusk".to_owned()));
    assert_eq!(table.jars.on_pan(), Some(0));
    let dawn = table.jars.sessions()[1].book();
    assert_eq!(dawn.jar(), JarPlace::Awaited, "dawn was never there");
    table.check();
}

#[test]
fn while_one_jar_rests_another_has_its_turn() {
    let rest = StepKind::Rest {
        time: Duration::from_secs(300),
    };
    let mut table = Table::of(vec![
        jar(
            "dusk",
            vec![(0, add("base", 60)), (0, rest), (1, add("blue", 10))],
        ),
        jar("dawn", vec![(2, add("base", 40))]),
    ]);
    table.settle("0").settle("50").pour("110");
    assert_eq!(
        table.jars.at_hand(),
        AtHand::Bring {
            jar: 1,
            instead: Some(0)
        }
    );
    table.lift().settle("50").pour("90");
    assert_eq!(table.jars.at_hand(), AtHand::Resting(0));
    table.wait(301_000);
    assert_eq!(
        table.jars.at_hand(),
        AtHand::Bring {
            jar: 0,
            instead: Some(1)
        }
    );
    table.check();
}

#[test]
fn nothing_is_poured_of_a_premix_before_it_is_made() {
    let mut table = Table::of(vec![
        jar("blend", vec![(5, add("white", 80))]),
        jar("dusk", vec![(0, add("blend", 60))]),
    ]);
    table.settle("0");
    assert_eq!(table.jars.at_hand(), AtHand::Jar(0));
    table.settle("50").pour("130");
    assert_eq!(
        table.jars.at_hand(),
        AtHand::Bring {
            jar: 1,
            instead: Some(0)
        }
    );
    table.check();
}

#[test]
fn jars_that_were_changed_while_nobody_saw_the_pan_are_known_again() {
    let mut table = two();
    table.settle("0").settle("50").pour("110");
    table.lift().settle("52").pour("92");
    table.restart();
    table.settle("110");
    assert_eq!(table.jars.on_pan(), Some(0));
    assert_eq!(table.poured(1), ["40.0", "0.0"], "nothing was poured");
    table
        .settle("120")
        .input(Input::Fact(Fact::Lost))
        .settle("92");
    assert_eq!(table.jars.on_pan(), Some(1));
    table.pour("104");
    assert_eq!(table.poured(1), ["40.0", "12.0"]);
    table.check();
}

#[test]
fn a_zero_that_drifts_while_other_jars_are_weighed_moves_no_gram() {
    let mut table = two();
    table.settle("0").settle("50").pour("110");
    table.lift().settle("0.7").settle("52.7").pour("92.7");
    table.lift().settle("0.9").settle("110.9");
    assert_eq!(table.jars.on_pan(), Some(0));
    assert_eq!(table.poured(0), ["60.0", "0.0"]);
    table.pour("120.9");
    assert_eq!(table.poured(0), ["60.0", "10.0"]);
    table.check();
}

#[test]
fn a_new_jar_that_weighs_what_a_known_one_does_is_asked_about() {
    let mut table = two();
    table.settle("0").settle("50").pour("110");
    table.lift().settle("110.1");
    assert_eq!(table.jars.on_pan(), Some(0), "lifted and set back");
    let mut table = Table::of(vec![
        jar("dusk", vec![(0, add("base", 60))]),
        jar("dawn", vec![(1, add("base", 40))]),
    ]);
    table
        .settle("0")
        .settle("50")
        .settle("110")
        .lift()
        .settle("110");
    assert_eq!(table.jars.at_hand(), AtHand::Which { jars: vec![0, 1] });
    table.say(Command::Answer(Answer::No));
    assert_eq!(table.jars.on_pan(), Some(1));
    table.check();
}

#[test]
fn jars_that_are_changed_too_quickly_for_the_scale_are_asked_about_or_known() {
    let mut table = two();
    table.settle("0").settle("50").pour("110");
    // Dawn's empty jar, and the pan was never seen empty.
    table.settle("52");
    assert_eq!(table.jars.at_hand(), AtHand::Which { jars: vec![1, 0] });
    table.say(Command::Next).pour("92");
    assert_eq!(table.poured(1), ["40.0", "0.0"]);
    assert_eq!(table.poured(0), ["60.0", "0.0"], "nothing was taken out");
    // Dusk's weight is known, though a pour that came at once might weigh as much.
    table.settle("110").say(Command::Next);
    assert_eq!(table.jars.on_pan(), Some(0));
    table.pour("120").settle("92").pour("104");
    assert!(table.jars.is_over());
    table.check();
}

#[test]
fn another_jar_may_be_taken_before_the_one_whose_turn_it_is() {
    let mut table = Table::of(vec![
        jar("dusk", vec![(0, add("base", 60)), (1, add("blue", 10))]),
        jar("dawn", vec![(2, add("base", 40))]),
    ]);
    table
        .settle("0")
        .settle("50")
        .pour("110")
        .lift()
        .settle("42");
    assert_eq!(
        table.jars.at_hand(),
        AtHand::Which { jars: vec![0, 1] },
        "lighter than dusk's empty jar"
    );
    table.say(Command::Answer(Answer::Option(2)));
    assert_eq!(table.jars.on_pan(), Some(1));
    // It is dusk's turn still: the person says that dawn goes on.
    table.say(Command::Next).pour("82");
    assert_eq!(table.state(1), BatchState::Complete);
    // A heavier one may be dusk, changed in the hand: a word says that it is not.
    let mut table = two();
    table.settle("0").settle("50").pour("110").lift();
    table.say(Command::JarIs("dusk".to_owned()));
    assert_eq!(table.refusals, [Refusal::NoJar]);
    table.check();
}

#[test]
fn a_jar_of_a_set_may_be_weighed_out_of_a_bottle_beside_the_scale() {
    let base = match add("base", 40) {
        StepKind::Add(addition) => StepKind::Add(Addition {
            weigh: Weigh::Bottle,
            ..addition
        }),
        other => other,
    };
    let mut table = Table::of(vec![
        jar("dusk", vec![(0, add("base", 60)), (2, add("blue", 10))]),
        jar("dawn", vec![(1, base)]),
    ]);
    table
        .settle("0")
        .settle("50")
        .pour("110")
        .lift()
        .settle("0");
    // Dawn's jar stays beside the scale: what stands there now is the bottle.
    table.settle("300").lift().settle("260");
    assert_eq!(table.poured(1), ["40.0"]);
    assert_eq!(table.state(1), BatchState::Complete);
    table.lift().settle("0").settle("110").pour("120");
    assert_eq!(table.poured(0), ["60.0", "10.0"]);
    assert!(table.jars.is_over());
}

#[test]
fn a_new_jar_that_weighs_nearly_what_the_one_just_lifted_does_is_asked_about() {
    let mut table = two();
    table.settle("0").settle("50").pour("110").lift();
    table.settle("109");
    let jars = vec![0, 1];
    assert_eq!(table.jars.at_hand(), AtHand::Which { jars });
    table.say(Command::JarIs("dawn".to_owned()));
    assert_eq!(table.jars.on_pan(), Some(1));
    assert_eq!(table.poured(0), ["60.0", "0.0"]);
    table.check();
}

#[test]
fn a_new_jar_set_down_so_quickly_that_the_pan_was_hardly_seen_empty_is_known() {
    let mut table = two();
    table.settle("0").settle("50").pour("110").wait(500);
    // One reading of the empty pan, and the next one has the other jar.
    let gross = mass("48");
    table
        .input(Input::Fact(Fact::Unloaded { gross }))
        .pour("48");
    assert_eq!(table.jars.on_pan(), Some(1));
    table.pour("88");
    assert_eq!(table.poured(1), ["40.0", "0.0"]);
    table.check();
}
