//! What is asked, and the ways out.

use serde_json::{Value, json};
use tarehand_mixing::procedure::Weigh;
use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::rescue::{Obstacle, Pour, RescueKind, RescueOption, ShareLine};
use tarehand_mixing::session::{Entry, JarThen, Question, Slip, Taken, TaskId};
use tarehand_mixing::weighing::Scale;

use super::super::{jars, question_view};
use super::{MEDIUM, THIN, began, book, g, too_much};

pub(super) fn option(kind: RescueKind, obstacle: Option<Obstacle>) -> RescueOption {
    let pour = |name: &str, mass| Pour {
        key: name.to_lowercase(),
        name: name.to_owned(),
        mass,
    };
    let share = |name: &str, planned, result| ShareLine {
        key: name.to_lowercase(),
        name: name.to_owned(),
        planned: Ratio::new(planned, 10_000),
        result: Ratio::new(result, 10_000),
    };
    RescueOption {
        kind,
        total: g(131_250),
        take_out: g(9_950),
        pours: match kind {
            RescueKind::Accept => Vec::new(),
            RescueKind::TopUpLeast => vec![pour("Night paste", g(850))],
            _ => vec![
                pour("Night paste", g(2_360)),
                pour("Clear medium", g(24_030)),
            ],
        },
        shares: vec![
            share("Night paste", 1_225, 1_425),
            share("Clear medium", 8_775, 8_575),
        ],
        within: false,
        cost: None,
        obstacle,
    }
}

pub(super) fn options() -> Vec<RescueOption> {
    let name = || "Night paste".to_owned();
    vec![
        option(RescueKind::TopUpExact, None),
        option(RescueKind::TopUpLeast, None),
        option(
            RescueKind::MakeLess,
            Some(Obstacle::TooMuchIn {
                name: name(),
                makes: g(160_000),
                most: g(120_000),
            }),
        ),
        option(
            RescueKind::TakeOut,
            Some(Obstacle::Stock {
                name: name(),
                needs: g(2_360),
                has: g(1_450),
            }),
        ),
        option(
            RescueKind::Unthinned,
            Some(Obstacle::Jar {
                needs_ul: 131_201,
                holds_ul: 125_000,
            }),
        ),
        option(
            RescueKind::ReadyMade,
            Some(Obstacle::JarWeight {
                needs: g(131_250),
                holds: g(125_000),
            }),
        ),
        option(
            RescueKind::Accept,
            Some(Obstacle::Outrun {
                name: name(),
                enough_for: g(80_000),
                of: "Clear medium".to_owned(),
                makes: g(110_050),
            }),
        ),
        RescueOption {
            shares: Vec::new(),
            total: g(110_000),
            ..option(RescueKind::Accept, None)
        },
    ]
}

fn trail(seconds: f64) -> Entry {
    Entry::Trail {
        task: THIN,
        seconds,
        jar: Some(JarThen {
            thinner: g(1_500),
            total: g(121_500),
        }),
        taken: Taken::Said,
    }
}

pub(super) fn asked() -> Vec<Value> {
    let (before, after) = (g(150_000), g(151_275));
    let on_fine = vec![
        Entry::FineKnown {
            scale: Some(Scale {
                division: Some(g(10)),
                capacity: None,
            }),
        },
        Entry::WeighFits {
            task: TaskId(2),
            weigh: Weigh::Fine,
        },
        began(TaskId(2)),
    ];
    let too_thin = Question::TooThin {
        task: THIN,
        options: options(),
    };
    let overshoot = Question::Overshoot {
        task: MEDIUM,
        options: options(),
    };
    let off = |slip| Question::OffRatio {
        task: MEDIUM,
        slip,
        options: Vec::new(),
    };
    let lighter = Question::Lighter {
        before: after,
        after: before,
    };
    let unseen = Question::PouredUnseen { before, after };
    let all = [
        (too_much(), overshoot),
        (vec![], off(Slip::RanOut)),
        (vec![], off(Slip::TakenOut)),
        (vec![], too_thin.clone()),
        (vec![trail(0.0)], too_thin.clone()),
        (vec![trail(2.5)], too_thin),
        (vec![], unseen.clone()),
        (on_fine.clone(), unseen),
        (vec![], Question::AddedInHand { before, after }),
        (vec![], lighter.clone()),
        (on_fine, lighter),
        (
            vec![],
            Question::BottleLighter {
                before: after,
                after: before,
            },
        ),
        (vec![], Question::ZeroLost { before, after }),
    ];
    let views = all.map(|(happened, question)| {
        let book = book(happened);
        json!({"planned_g": book.planned().grams(), "question": question_view(&book, &question)})
    });
    let jars = [
        jars::which([("Dusk blue", None), ("Dawn", Some(g(20_050)))].into_iter()),
        jars::out_of_turn("Dawn", g(2_360), Some("Night paste")),
        jars::out_of_turn("Dawn", g(2_360), None),
    ];
    let of_jars = jars.map(|question| json!({"planned_g": 120.0, "question": question}));
    views.into_iter().chain(of_jars).collect()
}
