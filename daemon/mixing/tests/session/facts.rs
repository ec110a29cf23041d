//! Random facts and commands straight into the session, sensible or not.

use std::time::Duration;

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use tarehand_mixing::Procedure;
use tarehand_mixing::procedure::StepKind;
use tarehand_mixing::session::{
    Answer, BatchState, Book, Command, Effect, Input, JarPlace, Limits, Verdict,
};
use tarehand_mixing::settler::{Change, Fact, Live, Zero};
use tarehand_mixing::weighing::Scale;
use tarehand_protocol::{Mass, Motion, NoWeight};

use super::witness::Witness;
use super::{person, recipes};

/// A weight, told from where the batch stands, so that random weights meet the interesting places.
#[derive(Clone, Copy, Debug)]
enum Weight {
    /// What the scale shows with nothing on it.
    Empty,
    /// As booked last.
    Last,
    /// So many tenths of a gram from what the bottle weighed last.
    Bottle(i64),
    /// So many tenths of a gram from the target, out of the bottle.
    OutOfBottle(i64),
    /// The scale's own zero.
    Zero,
    /// So many tenths of a gram from what is booked.
    Off(i64),
    /// So many tenths of a gram from the target of the current task.
    FromTarget(i64),
    /// So many tenths of a gram, whatever stands there.
    Tenths(i64),
}

#[derive(Clone, Debug)]
enum Act {
    Settled(Weight, Change),
    Live(Weight, f64, Change, bool),
    Unloaded(Weight),
    NoWeight(NoWeight),
    Lost,
    Back(Zero),
    Wait(u64),
    Say(Command),
    Scale(Option<i64>),
    Restart,
}

fn weight() -> impl Strategy<Value = Weight> {
    prop_oneof![
        2 => Just(Weight::Empty),
        3 => Just(Weight::Last),
        1 => Just(Weight::Zero),
        2 => (-9_i64..9).prop_map(Weight::Bottle),
        1 => (-300_i64..300).prop_map(Weight::Bottle),
        3 => (-12_i64..13).prop_map(Weight::OutOfBottle),
        4 => (-300_i64..300).prop_map(Weight::Off),
        2 => (-4_i64..5).prop_map(Weight::Off),
        6 => (-12_i64..13).prop_map(Weight::FromTarget),
        2 => (0_i64..300).prop_map(Weight::FromTarget),
        1 => (-500_i64..9_000).prop_map(Weight::Tenths),
    ]
}

fn change() -> impl Strategy<Value = Change> {
    prop_oneof![
        Just(Change::Jump),
        Just(Change::Gradual),
        Just(Change::Unclear)
    ]
}

pub(super) fn command() -> impl Strategy<Value = Command> {
    prop_oneof![
        6 => Just(Command::Next),
        2 => Just(Command::Back),
        1 => Just(Command::Pause),
        2 => Just(Command::Resume),
        3 => Just(Command::Undo),
        1 => Just(Command::Skip),
        3 => Just(Command::Answer(Answer::Yes)),
        3 => Just(Command::Answer(Answer::No)),
        2 => (0_u8..4).prop_map(|number| Command::Answer(Answer::Option(number))),
        2 => Just(Command::Tared),
        1 => prop_oneof![0.0..9.0, Just(f64::NAN), Just(-1.0), Just(f64::INFINITY)].prop_map(Command::Trail),
        1 => Just(Command::Remark("a drip at the rim".to_owned())),
        1 => Just(Command::WeighOut),
        1 => Just(Command::WeighIn),
    ]
}

fn act() -> impl Strategy<Value = Act> {
    prop_oneof![
        12 => (weight(), change()).prop_map(|(weight, change)| Act::Settled(weight, change)),
        3 => (weight(), 0.0..20.0, change(), any::<bool>())
            .prop_map(|(weight, flow, change, quiet)| Act::Live(weight, flow, change, quiet)),
        2 => weight().prop_map(Act::Unloaded),
        1 => prop_oneof![Just(NoWeight::Over), Just(NoWeight::Under), Just(NoWeight::Fault), Just(NoWeight::Blank)].prop_map(Act::NoWeight),
        1 => Just(Act::Lost),
        2 => prop_oneof![Just(Zero::Trusted), Just(Zero::Suspect)].prop_map(Act::Back),
        6 => prop_oneof![0_u64..2_000, 2_000_u64..100_000].prop_map(Act::Wait),
        8 => command().prop_map(Act::Say),
        2 => prop_oneof![
            Just(Command::TrailStart),
            Just(Command::TrailStop),
            Just(Command::FlowTimed("60 s iso-4".parse().expect("within its range"))),
        ]
        .prop_map(Act::Say),
        1 => prop::option::of(prop::sample::select(vec![10_i64, 100, 1_000])).prop_map(Act::Scale),
        1 => Just(Act::Restart),
    ]
}

pub(super) fn scale(division_mg: Option<i64>) -> Scale {
    Scale {
        division: division_mg.map(Mass::from_milligrams),
        capacity: None,
    }
}

fn place(witness: &Witness, weight: Weight) -> Mass {
    let book = witness.book();
    let tenths = |count: i64| Mass::from_milligrams(count * 100);
    match weight {
        Weight::Empty => book.empty(),
        Weight::Last => book.last(),
        Weight::Zero => Mass::ZERO,
        Weight::Bottle(count) => bottle(book) + tenths(count),
        Weight::OutOfBottle(count) => bottle(book) - missing(book) - tenths(count),
        Weight::Off(count) => book.last() + tenths(count),
        Weight::FromTarget(count) => book.last() + missing(book) + tenths(count),
        Weight::Tenths(count) => tenths(count),
    }
}

fn missing(book: &Book) -> Mass {
    let task = book.current();
    let missing = task.and_then(|task| task.target.map(|target| target - task.poured));
    missing.unwrap_or(Mass::ZERO)
}

/// What the bottle weighed last; without one, something that may be one.
fn bottle(book: &Book) -> Mass {
    let bottle = book.bottle().map(|bottle| bottle.gross);
    bottle.unwrap_or(book.last() + Mass::from_grams(170))
}

fn carry_out(witness: &mut Witness, act: &Act) {
    let input = match act {
        Act::Settled(weight, change) => Input::Fact(Fact::Settled {
            gross: place(witness, *weight),
            change: *change,
        }),
        Act::Live(weight, flow_g_s, change, quiet) => Input::Fact(Fact::Live(Live {
            gross: place(witness, *weight),
            flow_g_s: *flow_g_s,
            change: *change,
            motion: Motion::Unknown,
            quiet: *quiet,
        })),
        Act::Unloaded(weight) => Input::Fact(Fact::Unloaded {
            gross: place(witness, *weight),
        }),
        Act::NoWeight(why) => Input::Fact(Fact::NoWeight(*why)),
        Act::Lost => Input::Fact(Fact::Lost),
        Act::Back(zero) => Input::Fact(Fact::Back { zero: *zero }),
        Act::Wait(millis) => {
            witness.wait(Duration::from_millis(*millis));
            return;
        }
        Act::Say(command) => Input::Command(command.clone()),
        Act::Scale(division) => Input::Scale(scale(*division)),
        Act::Restart => return witness.restart(),
    };
    witness.step(input);
}

/// A batch with its jar on the pan, mostly.
fn open(procedure: Procedure, division_mg: Option<i64>, jar: bool) -> Witness {
    let mut witness = Witness::open(procedure, Limits::default(), scale(division_mg));
    if jar {
        for grams in [0, 50] {
            let gross = Mass::from_grams(grams);
            witness.step(Input::Fact(Fact::Settled {
                gross,
                change: Change::Jump,
            }));
        }
    }
    witness
}

fn days() -> impl Strategy<Value = (Procedure, Option<i64>, bool, Vec<Act>)> {
    let division = prop::option::weighted(0.85, prop::sample::select(vec![10_i64, 100, 1_000]));
    (
        recipes::procedure(),
        division,
        prop::bool::weighted(0.95),
        prop::collection::vec(act(), 0..60),
    )
}

proptest! {
    #![proptest_config(cases(150))]

    /// Any inputs at all, in any state, and every entry is checked by the witness.
    #[test]
    fn whatever_comes_the_record_is_true_and_the_batch_can_be_finished((procedure, division_mg, jar, acts) in days()) {
        let mut witness = open(procedure, division_mg, jar);
        for act in &acts {
            carry_out(&mut witness, act);
        }
        witness.check_whole();
        if witness.book().state() != BatchState::Aborted {
            person::finish(&mut witness);
            prop_assert_eq!(witness.book().state(), BatchState::Complete);
            witness.check_whole();
            let effects = witness.step(Input::Command(Command::Undo));
            prop_assert!(matches!(effects.as_slice(), [Effect::Refuse(_)]), "what is over stays over");
        }
    }

    /// A judgement or rescue can be taken back, and taking all of them back gives the procedure as it was.
    #[test]
    fn undoing_everything_gives_the_plan_as_it_was((procedure, division_mg, _, acts) in days()) {
        let mut witness = open(procedure.clone(), division_mg, true);
        for act in &acts {
            carry_out(&mut witness, act);
        }
        if witness.book().is_over() { return Ok(()); }
        if witness.book().state() == BatchState::Paused {
            witness.step(Input::Command(Command::Resume));
        }
        person::come_to_rest(&mut witness);
        let poured: Mass = witness.book().contents().iter().map(|(_, mass)| *mass).sum();
        person::undo_all(&mut witness);
        if witness.book().is_over() { return Ok(()); }
        witness.check_whole();
        let book = witness.book();
        // What belongs to no step and is in the jar is no plan, and nothing is left to do of it.
        let (plan, besides): (Vec<_>, Vec<_>) = book.tasks().partition(|task| task.step < procedure.steps.len());
        prop_assert!(besides.iter().all(|task| Mass::ZERO < task.poured && task.verdict.is_some()));
        let targets: Vec<_> = plan.iter().map(|task| task.target).collect();
        let target = |kind: &StepKind| kind.target().or(kind.out().map(|out| Mass::ZERO - out));
        let planned: Vec<_> = procedure.steps.iter().map(|step| target(&step.kind)).collect();
        prop_assert_eq!(targets, planned);
        prop_assert!(plan.iter().all(|task| task.verdict.is_none()));
        prop_assert_eq!(book.planned(), procedure.planned);
        let still: Mass = book.contents().iter().map(|(_, mass)| *mass).sum();
        prop_assert_eq!(still, poured, "what was poured stays poured");
    }

    /// Whatever is open, an hour of nobody there changes nothing but timed steps, and judges no addition by weight unseen.
    #[test]
    fn an_hour_of_nobody_judges_nothing_wrongly((procedure, division_mg, jar, acts) in days()) {
        let mut witness = open(procedure, division_mg, jar);
        for act in &acts {
            carry_out(&mut witness, act);
        }
        let (held, question) = (witness.book().state(), witness.book().question().cloned());
        let contents = witness.book().last();
        for _ in 0..60 {
            witness.wait(Duration::from_secs(60));
        }
        // A step that was inside already is finished by its dwell, with the last digits it had not booked.
        let digit = witness.book().scale().flicker();
        let booked = (witness.book().last() - contents).abs();
        prop_assert!(booked <= digit + digit, "no gram is booked, not {booked}");
        if held != BatchState::Running {
            prop_assert_eq!(witness.book().state(), held);
            prop_assert_eq!(witness.book().question().cloned(), question);
        }
        if matches!(witness.book().jar(), JarPlace::Awaited) && witness.book().current().is_none() {
            prop_assert!(witness.book().tasks().all(|task| task.verdict != Some(Verdict::Within)));
        }
    }
}

/// The committed count keeps the module quick; `PROPTEST_CASES` raises it for a change of the session.
///
/// Without it the days are always the same ones, so that a failure is the change's and not the day's.
pub(super) fn cases(usually: u32) -> ProptestConfig {
    let asked = std::env::var("PROPTEST_CASES").ok();
    ProptestConfig {
        cases: asked.as_ref().map_or(usually, |text| text.parse().unwrap()),
        rng_seed: asked.map_or(RngSeed::Fixed(1), |_| RngSeed::Random),
        failure_persistence: None,
        max_shrink_time: 30_000,
        ..ProptestConfig::default()
    }
}
