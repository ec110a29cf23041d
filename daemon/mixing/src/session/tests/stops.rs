//! Stop cues: what is learnt moves them, and what they ended is written down with them.

use std::collections::BTreeMap;

use super::*;
use crate::learnt::{Kind, PourRun, Run, StopLead, Told, runs};
use crate::procedure::{Covers, OfSet};

/// A pour at 5 g/s: the cue, the end of the flow, and where it settles.
fn pour<'a>(play: &'a mut Play, cue_at: &str, settles: &str) -> &'a mut Play {
    play.fact(live(cue_at, 5.0))
        .fact(live(settles, 0.0))
        .settle(settles)
}

fn told(play: &Play) -> Vec<Run> {
    runs(&play.journal)
}

fn two() -> Play {
    Play::with_jar(vec![add("a", 50), add("b", 50)])
}

/// The same, opened with a stop lead for the first of them.
fn led(lead: StopLead) -> Play {
    let mut play = two();
    let limits = Limits {
        stop_leads: [("a".to_owned(), lead)].into(),
        ..Limits::default()
    };
    let (scale, procedure) = (play.session.book().scale(), play.session.book().procedure());
    let (session, effects) = Session::open(Tick::ZERO, procedure.clone(), limits, scale);
    (play.session, play.journal) = (session, Vec::new());
    play.take(effects);
    play.settle("0").settle("50");
    play
}

#[test]
fn a_pour_that_ended_after_its_cue_tells_how_far_it_came() {
    let mut play = two();
    pour(&mut play, "95.8", "101.0");
    let told = told(&play);
    let [run] = told.as_slice() else {
        panic!("{told:?}")
    };
    assert_eq!((run.of.kind, run.of.key.as_str()), (Kind::StopLead, "a"));
    let expect = PourRun {
        flow_g_s: 5.0,
        over: mass("1.0"),
        lead: Mass::ZERO,
    };
    assert_eq!(run.told, Told::Pour(expect));
    play.check();
}

#[test]
fn a_pour_without_a_cue_tells_nothing() {
    let mut play = two();
    play.settle("100");
    assert_eq!(told(&play), []);
}

#[test]
fn a_pour_in_two_goes_tells_nothing() {
    let mut play = two();
    play.settle("80");
    pour(&mut play, "95.8", "100.2");
    assert_eq!(told(&play), []);
    let mut play = two();
    play.fact(live("95.8", 5.0)).fact(live("96", 0.0));
    pour(&mut play, "96.5", "100.2");
    assert_eq!(told(&play), [], "poured on after the first cue");
}

#[test]
fn a_pour_that_was_undone_or_was_another_ingredient_tells_nothing() {
    let mut play = two();
    pour(&mut play, "95.8", "100.2").say(Command::Undo);
    assert_eq!(told(&play), []);
    let mut play = two();
    pour(&mut play, "95.8", "100.2").say(Command::WasOther("b".to_owned()));
    assert_eq!(told(&play), []);
}

#[test]
fn a_pour_in_a_gap_tells_nothing() {
    let mut play = two();
    play.fact(live("95.8", 5.0))
        .fact(Fact::Lost)
        .fact(Fact::Back {
            zero: Zero::Trusted,
        })
        .settle("100.2");
    assert_eq!(told(&play), []);
}

#[test]
fn what_was_learnt_moves_the_cue_of_its_ingredient_and_is_written_beside_it() {
    // 5 g/s × 0.88 s = 4.4 g before the notch, and 5 g/s × 0.2 s earlier.
    let lead = StopLead {
        micros: 200_000,
        mass: Mass::ZERO,
    };
    let mut play = led(lead);
    play.fact(live("94.5", 5.0));
    assert!(!play.cues.contains(&Cue::Stop));
    play.fact(live("94.7", 5.0));
    assert!(play.cues.contains(&Cue::Stop));
    play.fact(live("99.9", 0.0)).settle("99.9");
    let Entry::Poured { stop, .. } = play.journal.iter().rev().find_map(poured).unwrap() else {
        panic!("no pour")
    };
    assert_eq!(stop.unwrap().lead, mass("1"));
    play.cues.clear();
    play.fact(live("144.9", 5.0));
    assert!(!play.cues.contains(&Cue::Stop), "b was not learnt");
}

fn poured(record: &Record) -> Option<Entry> {
    Some(record.entry.clone()).filter(|entry| matches!(entry, Entry::Poured { .. }))
}

#[test]
fn a_cue_that_is_moved_late_is_never_later_than_the_notch() {
    let late = StopLead {
        micros: -1_000_000,
        mass: Mass::ZERO,
    };
    let mut play = led(late);
    play.fact(live("99.9", 5.0));
    assert!(!play.cues.contains(&Cue::Stop));
    play.fact(live("100.0", 5.0));
    assert!(play.cues.contains(&Cue::Stop));
}

#[test]
fn drops_a_splash_and_what_hung_at_the_stick_are_told_too() {
    let drops = StepKind::Add(Addition {
        ingredient: Ingredient::by_name("levelling"),
        amount: Amount::Counted {
            share: Ratio::new(3, 1_000),
            unit: crate::procedure::CountUnit::Drop,
            each: mass("0.03"),
            expected: mass("0.30"),
            within: None,
        },
        weigh: Weigh::Jar,
    });
    let thin = StepKind::Thin {
        with: Ingredient::by_name("water"),
        by: mass("5"),
        at_most: None,
        wanted_s: Some(3.0),
        weigh: Weigh::Jar,
    };
    let mut play = Play::on(
        "0.01",
        procedure(vec![add("base", 50), drops, stir(5), thin]),
    );
    play.settle("0")
        .settle("50")
        .settle("100")
        .settle("100.40")
        .say(Command::Next);
    play.settle("99.20").wait(6_000);
    play.settle("104.20").say(Command::Trail(3.0));
    let told: Vec<(Kind, String)> = told(&play)
        .into_iter()
        .map(|run| match run.told {
            Told::Plain(plain) => (run.of.kind, format!("{:.3}", plain.value)),
            Told::Pour(_) => panic!("nothing was told to stop"),
        })
        .collect();
    // Ten drops are 0.40 g; 1.2 g hung at the stick; 5 g of water on 50.40 g.
    let expect = [
        (Kind::Drop, "0.040".to_owned()),
        (Kind::Stick, "1.200".to_owned()),
        (Kind::Thinner, "0.099".to_owned()),
    ];
    assert_eq!(told, expect);
}

#[test]
fn what_was_let_out_of_a_jar_of_a_set_tells_what_its_part_of_the_surface_took() {
    let out = StepKind::Decant {
        amount: crate::procedure::Decanted::All,
        into: "the piece".to_owned(),
    };
    let mut procedure = procedure(vec![add("base", 60), add("colour", 40), out]);
    procedure.of_set = Some(OfSet {
        set: "tones".to_owned(),
        run: "today".to_owned(),
        jars: 1,
        key: "dark".to_owned(),
        turns: vec![0, 1, 2],
        made: BTreeMap::new(),
        covers: Some(Box::new(Covers {
            square_mm: Ratio::new(50_000, 1),
            takes: mass("90"),
        })),
    });
    let mut play = Play::of(procedure);
    play.settle("0").settle("50").settle("110").settle("150");
    play.settle("70").say(Command::Next);
    assert_eq!(play.session.book().state(), BatchState::Complete);
    let told = told(&play);
    let [run] = told.as_slice() else {
        panic!("{told:?}")
    };
    assert_eq!((run.of.kind, run.of.key.as_str()), (Kind::Yield, "dark"));
    // 80 g on 0.05 m², where the set's yield says 90 g.
    let Told::Plain(plain) = run.told else {
        panic!("{run:?}")
    };
    let figures = (format!("{:.0}", plain.value), plain.default.map(f64::round));
    assert_eq!(figures, ("1600".to_owned(), Some(1_800.0)));
}
