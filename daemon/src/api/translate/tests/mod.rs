//! Everything that a view tells, as text and as data, kept for the page: its English says the same, built from the data.

mod asked;
mod happened;
mod remarked;
mod to_know;

use std::collections::BTreeMap;
use std::path::Path;

use serde_json::{Value, json};
use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::procedure::{Amends, CountUnit, OfSet, Procedure, Step, StepKind};
use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::recipe::{Settings, check};
use tarehand_mixing::rescue::RescueKind;
use tarehand_mixing::session::{
    Book, By, Cue, Entry, Extra, Limits, Record, Seen, TaskId, ThinNow, Verdict,
};
use tarehand_mixing::sizing::{Count, Goal, size};
use tarehand_mixing::tick::Tick;
use tarehand_mixing::trail::{Basis, Reason, Unthinned, WaterWarning};
use tarehand_mixing::weighing::Scale;
use tarehand_protocol::Mass;

use super::action::count_said;
use super::concern::unlike;
use super::{concern_lines, cue_line, steps, thinning};
use asked::{asked, option};
use happened::{happened, taken_ways};
use remarked::{labelled, looked_at, planned, remarked};
use to_know::to_know;

/// A recipe with every kind of step; made for this test.
const DUSK: &str = r#"
[recipe]
name = "Dusk blue"
makes = "120 g"

[[step]]
add = "night-paste"
amount = "20 g"
[[step]]
add = "clear-medium"
amount = "99.5 g"
[[step]]
add = "levelling-drops"
amount = "500 mg"
[[step]]
add = "first-panel"
amount = "all of the first panel's jar"
[[step]]
stir = "40 s"
[[step]]
stir = "2.5 s"
[[step]]
rest = "2 min"
[[step]]
rest = "125 s"

[[step]]
rest = "8 h"
[[step]]
strain = "a fine sieve"
[[step]]
look = "no streaks"
[[step]]
trail = "3 s"
[[step]]
thin = "water"
by = "1.5 g"
at_most = "9 g"
trail = "4.5 s"
[[step]]
note = "label the jar"
[[step]]
decant = "40.25 g"
into = "squeeze bottle"
[[step]]
decant = "all"
into = "pump bottle"
"#;
const MEDIUM: TaskId = TaskId(1);
const THIN: TaskId = TaskId(11);

fn g(milligrams: i64) -> Mass {
    Mass::from_milligrams(milligrams)
}

fn procedure() -> Procedure {
    let sources = Sources::new().with_recipe("dusk", Source::new("dusk.toml", DUSK));
    let settings = Settings::default();
    let checked = check(&sources, "dusk", &settings);
    let recipe = checked
        .recipe
        .unwrap_or_else(|| panic!("{:?}", checked.diagnostics));
    let goal = Goal::Make(recipe.makes().unwrap());
    let mut procedure = size(&recipe, &goal).unwrap().procedure;
    procedure.steps.push(Step {
        note: None,
        kind: StepKind::TakeOut { mass: g(12_345) },
    });
    procedure
}

/// A batch in which this happened.
fn book(happened: Vec<Entry>) -> Book {
    book_of(procedure(), happened)
}

fn book_of(procedure: Procedure, happened: Vec<Entry>) -> Book {
    let opened = Entry::Opened {
        procedure,
        limits: Limits::default(),
        scale: Scale::default(),
    };
    let placed = Entry::JarPlaced {
        empty: Mass::ZERO,
        gross: g(100_000),
    };
    let entries = [opened, placed].into_iter().chain(happened);
    let journal: Vec<Record> = entries
        .map(|entry| Record {
            at: Tick::ZERO,
            entry,
        })
        .collect();
    Book::rebuild(&journal).unwrap()
}

fn began(task: TaskId) -> Entry {
    Entry::Began { task }
}

/// More was poured of the medium than it should receive.
fn too_much() -> Vec<Entry> {
    vec![
        began(MEDIUM),
        Entry::Poured {
            task: MEDIUM,
            before: g(100_000),
            after: g(206_850),
            seen: Seen::Watched,
            stop: None,
        },
    ]
}

fn told() -> Vec<Value> {
    let verdicts = [
        Verdict::Within,
        Verdict::Overshoot,
        Verdict::Shortfall,
        Verdict::Recorded,
        Verdict::Skipped,
    ];
    let judged = verdicts.map(|verdict| Cue::Judged { verdict });
    let others = [
        Cue::Stop,
        Cue::Begin { task: MEDIUM },
        Cue::Begin { task: TaskId(4) },
        Cue::Rescued { total: g(131_250) },
        Cue::Asks,
        Cue::TimeIsUp,
        Cue::LoadGone,
        Cue::ScaleLost,
        Cue::ScaleBack,
        Cue::FineLost,
        Cue::FineBack,
        Cue::WaitingToSettle,
        Cue::AsksForJar,
        Cue::Complete,
        Cue::Aborted,
    ];
    let alone = book(Vec::new());
    let mut of_set = procedure();
    of_set.of_set = Some(OfSet {
        set: "Dusk".to_owned(),
        run: "R1".to_owned(),
        jars: 2,
        key: "dusk".to_owned(),
        turns: (0..).take(of_set.steps.len()).collect(),
        made: BTreeMap::new(),
        covers: None,
    });
    let among = book_of(of_set, Vec::new());
    let of_one = judged.into_iter().chain(others).map(|cue| (cue, &alone));
    let of_several = [Cue::JarsTurn, Cue::Complete].map(|cue| (cue, &among));
    let all = of_one.chain(of_several);
    (1..)
        .zip(all)
        .map(|(number, (cue, book))| json!(cue_line(number, cue, book)))
        .collect()
}

fn thinned() -> Vec<Value> {
    let limits = Limits::default();
    let splash = |reason| ThinNow::Splash {
        until: g(1_500),
        reason,
    };
    let trails = |basis| {
        splash(Reason::Trails {
            basis,
            spread: 0.125,
            expected_s: 3.25,
        })
    };
    let too_thin = |unthinned| ThinNow::TooThin { unthinned };
    let all = [
        splash(Reason::Recipe),
        splash(Reason::WaterLimit),
        trails(Basis::ThisJar { points: 3 }),
        trails(Basis::EarlierBatches { batches: 1 }),
        trails(Basis::EarlierBatches { batches: 4 }),
        ThinNow::Measure,
        ThinNow::Right,
        too_thin(Unthinned::Told(g(7_255))),
        too_thin(Unthinned::Tried(g(12_050))),
        too_thin(Unthinned::Never),
        ThinNow::AtMost,
    ];
    let warning = WaterWarning {
        fraction: Ratio::new(9, 25),
        limit: Ratio::new(3, 10),
    };
    let lines = all.map(|now| {
        json!({
            "advice": thinning::advice_text(now, &limits),
            "advised": thinning::advised(now, &limits),
            "water": thinning::water_text(&warning),
            "watered": thinning::watered(&warning),
        })
    });
    lines.into_iter().collect()
}

fn counted() -> Vec<Value> {
    let counts = [
        (186, CountUnit::Drop, 31),
        (31, CountUnit::Drop, 31),
        (210, CountUnit::Drop, 31),
        (10, CountUnit::Drop, 31),
        (6_150, CountUnit::Teaspoon, 4_100),
        (100, CountUnit::Teaspoon, 4_100),
        (3_075, CountUnit::Tablespoon, 12_300),
    ];
    let lines = counts.map(|(expected, unit, each)| {
        let count = Count::nearest(g(expected), unit, g(each)).unwrap();
        json!({"count": count.to_string(), "counted": count_said(&count)})
    });
    lines.into_iter().collect()
}

/// Returns what a batch that was rescued has still to do, and all that was planned.
fn to_do() -> Vec<Value> {
    let rescued = Entry::Rescued {
        option: option(RescueKind::TopUpExact, None),
        targets: Vec::new(),
        extra: vec![Extra {
            task: book(Vec::new()).next_task_id(),
            step: 0,
            target: g(2_360),
        }],
        steps: Vec::new(),
        premixes: Vec::new(),
        by: By::Person,
    };
    let mut happened = too_much();
    happened.push(rescued);
    let steps = steps(&book(happened));
    steps.iter().map(|step| json!(step)).collect()
}

/// Returns a finished jar that is opened again.
fn finished() -> Amends {
    Amends {
        mark: "8KER7".to_owned(),
        recipe: "Harbour grey, satin".to_owned(),
        tare: g(80_000),
        holds: g(65_700),
        within: g(1_000),
        out_of: BTreeMap::new(),
    }
}

#[test]
fn all_that_a_view_tells_is_as_the_page_is_tested_with() {
    let mut concerns = concern_lines(&to_know());
    concerns.extend([-5_700, 3_000].map(|off| unlike(&finished(), g(off))));
    let made = json!({
        "steps": to_do(),
        "questions": asked(),
        "cues": told(),
        "concerns": concerns,
        "thinning": thinned(),
        "counts": counted(),
        "remarks": remarked(),
        "plan": planned(),
        "shelf": looked_at(),
        "labels": labelled(),
        "happened": happened(),
        "taken": taken_ways(),
    });
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/page/told.json");
    let text = serde_json::to_string_pretty(&made).unwrap() + "\n";
    if cfg!(feature = "write-fixtures") {
        std::fs::write(&path, &text).unwrap();
    }
    assert_eq!(
        std::fs::read_to_string(&path).unwrap_or_default(),
        text,
        "what a view tells has changed: write the fixture anew and change the page's words with it: \
         cargo test -p tarehandd --features write-fixtures all_that_a_view_tells"
    );
}
