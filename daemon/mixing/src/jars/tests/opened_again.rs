//! Finished jars that are opened again.

use super::*;

/// A finished jar that is opened again for something to be added.
fn opened_again(key: &str, turn: u32, tare: &str, holds: &str) -> Procedure {
    opened_for(key, vec![(turn, add("drops", 4))], tare, holds)
}

/// A finished jar that is opened again for these steps.
pub(super) fn opened_for(
    key: &str,
    steps: Vec<(u32, StepKind)>,
    tare: &str,
    holds: &str,
) -> Procedure {
    let amends = Amends {
        mark: key.to_owned(),
        recipe: "Slip".to_owned(),
        tare: mass(tare),
        holds: mass(holds),
        within: mass("0.1"),
        out_of: BTreeMap::new(),
    };
    Procedure {
        amends: Some(Box::new(amends)),
        ..jar(key, steps)
    }
}

#[test]
fn finished_jars_that_are_opened_again_are_known_by_what_their_records_say() {
    let mut table = Table::of(vec![
        opened_again("grey", 1, "60", "40"),
        opened_again("pale", 2, "60", "50"),
    ]);
    table.settle("0").settle("110");
    assert_eq!(table.jars.on_pan(), Some(1), "the second came first");
    table.say(Command::Next).pour("114");
    assert_eq!(table.state(1), BatchState::Complete);
    // The scale never saw the pan empty between them.
    table.settle("100");
    assert_eq!(table.jars.on_pan(), Some(0));
    table.pour("104.1").wait(2_000);
    assert_eq!(table.state(0), BatchState::Complete);
    assert_eq!(
        (table.poured(0), table.poured(1)),
        (vec!["4.1".to_owned()], vec!["4.0".to_owned()])
    );
    table.check();
}

#[test]
fn a_jar_that_none_of_the_records_knows_is_asked_about_and_then_taken_as_it_is() {
    let mut table = Table::of(vec![
        opened_again("grey", 1, "60", "40"),
        opened_again("pale", 2, "60", "50"),
    ]);
    table.settle("0").settle("95");
    assert_eq!(table.jars.at_hand(), AtHand::Which { jars: vec![0, 1] });
    table.say(Command::Answer(Answer::Option(1)));
    assert_eq!(table.jars.on_pan(), Some(0));
    let off = table.jars.sessions()[0].book().unlike_its_record();
    assert_eq!(off, Some(mass("-5")), "five grams have dried or were taken");
    table.pour("99");
    assert_eq!(table.state(0), BatchState::Complete);
    table.check();
}
