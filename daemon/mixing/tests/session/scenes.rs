//! What may happen at a bench, and on which scale: random scenes.

use proptest::prelude::*;
use tarehand_mixing::session::Command;
use tarehand_mixing::settler::Reports;
use tarehand_protocol::NoWeight;

use super::facts;
use super::world::Make;

/// One thing that happens at a bench.
#[derive(Clone, Debug)]
pub(super) enum Scene {
    /// Pours this many percent of what is missing, at so many milligrams a second.
    Pour {
        percent: i64,
        mg_per_s: i64,
    },
    /// A few drops, with pauses between them.
    Drip(u8),
    /// Too much.
    Slip {
        mg: i64,
    },
    /// A portion is weighed in a small cup, and all of it but this much is poured into the jar.
    Cup {
        heel_mg: i64,
    },
    /// Another bottle of the same comes to the pan, this much heavier.
    OtherBottle {
        more_g: i64,
    },
    /// A lid is laid beside the bottle, and taken off again.
    Lid {
        mg: i64,
    },
    Lift,
    LiftAndAdd {
        mg: i64,
    },
    /// A stick comes out of the jar and takes a little along.
    Stick {
        mg: i64,
    },
    /// Something else stands on the pan for a while.
    Another {
        mg: i64,
    },
    TareKey {
        says_so: bool,
    },
    Silence {
        s: u64,
        mg: i64,
    },
    Unplugged {
        s: u64,
        mg: i64,
        power: bool,
    },
    Spike {
        mg: i64,
    },
    NoWeight(NoWeight, u8),
    Drift(i8),
    Pause {
        mg: i64,
    },
    Say(Command),
    /// So many splashes too much, and the trail after them; where the step thins.
    TooMuchThinner {
        splashes: i64,
        seconds: f64,
    },
    /// There is no more of what is poured now.
    RanOut,
    /// What was poured last was something else.
    WasOther(&'static str),
    Wait(u64),
    Restart {
        mg: i64,
        lifted: bool,
    },
}

pub(super) fn scene() -> impl Strategy<Value = Scene> {
    let mg = 0_i64..40_000;
    let none = prop_oneof![1 => Just(0_i64), 1 => 0_i64..30_000];
    prop_oneof![
        8 => (20_i64..104, 1_000_i64..30_000).prop_map(|(percent, mg_per_s)| Scene::Pour { percent, mg_per_s }),
        1 => (1_u8..6).prop_map(Scene::Drip),
        2 => mg.clone().prop_map(|mg| Scene::Slip { mg }),
        2 => Just(Scene::Lift),
        2 => (0_i64..400).prop_map(|heel_mg| Scene::Cup { heel_mg }),
        1 => (20_i64..500).prop_map(|more_g| Scene::OtherBottle { more_g }),
        1 => (2_000_i64..30_000).prop_map(|mg| Scene::Lid { mg }),
        1 => mg.clone().prop_map(|mg| Scene::LiftAndAdd { mg }),
        1 => (0_i64..900).prop_map(|mg| Scene::Stick { mg }),
        1 => (1_000_i64..300_000).prop_map(|mg| Scene::Another { mg }),
        2 => any::<bool>().prop_map(|says_so| Scene::TareKey { says_so }),
        1 => (1_u64..20, none.clone()).prop_map(|(s, mg)| Scene::Silence { s, mg }),
        1 => (0_u64..20, none.clone(), any::<bool>()).prop_map(|(s, mg, power)| Scene::Unplugged { s, mg, power }),
        1 => (-200_000_i64..900_000).prop_map(|mg| Scene::Spike { mg }),
        1 => (prop_oneof![Just(NoWeight::Over), Just(NoWeight::Under), Just(NoWeight::Fault), Just(NoWeight::Blank)], 1_u8..20)
            .prop_map(|(why, count)| Scene::NoWeight(why, count)),
        1 => (-2_i8..3).prop_map(Scene::Drift),
        1 => none.clone().prop_map(|mg| Scene::Pause { mg }),
        3 => facts::command().prop_filter("nobody gives up, and answers are honest", |command| {
            !matches!(command, Command::Abort | Command::Answer(_) | Command::Tared | Command::Pause | Command::Next)
        }).prop_map(Scene::Say),
        2 => (1_i64..12, prop_oneof![Just(0.0), 0.1_f64..3.0])
            .prop_map(|(splashes, seconds)| Scene::TooMuchThinner { splashes, seconds }),
        1 => Just(Scene::RanOut),
        1 => prop::sample::select(vec!["a", "b", "c", "dust"]).prop_map(Scene::WasOther),
        1 => (0_u64..100).prop_map(Scene::Wait),
        1 => (none, any::<bool>()).prop_map(|(mg, lifted)| Scene::Restart { mg, lifted }),
    ]
}

pub(super) fn make() -> impl Strategy<Value = Make> {
    let reports = prop_oneof![6 => Just(Reports::Stream), 1 => Just(Reports::OnChange), 1 => Just(Reports::Finished)];
    let period = prop_oneof![
        1 => Just(12_u64), 6 => 50_u64..200, 2 => 200_u64..1_000, 1 => Just(3_300),
    ];
    (
        reports,
        period,
        prop::sample::select(vec![10_i64, 100, 1_000]),
        prop_oneof![Just(0_u32), 50_u32..500],
        prop_oneof![Just(0_u32), 0_u32..40],
        any::<bool>(),
    )
        .prop_map(
            |(reports, period_ms, division_mg, lag_ms, noise, says_motion)| Make {
                reports,
                period_ms: if reports == Reports::Stream {
                    period_ms
                } else {
                    period_ms.min(200)
                },
                division_mg,
                lag_ms,
                // A scale that speaks only of changes would never be silent.
                noise: if reports == Reports::Stream { noise } else { 0 },
                says_motion,
            },
        )
}
