//! What is to be known before.

use tarehand_mixing::concern::{Concern, Way};
use tarehand_mixing::procedure::CountUnit;
use tarehand_mixing::sizing::Count;
use tarehand_protocol::Mass;

use super::g;

pub(super) fn to_know() -> Vec<Concern> {
    let ingredient = || "Night paste".to_owned();
    let ways = || {
        vec![
            Way::BiggerBatch {
                planned: g(250_500),
            },
            Way::EvenBatch {
                planned: g(150_100),
            },
            Way::SmallerBatch { planned: g(90_050) },
            Way::CountDrops,
            Way::DiluteFirst { times: 10 },
            Way::FinerScale { division: g(10) },
            Way::LargerJar { holds_ul: 131_250 },
            Way::LighterJar { tare: g(99_950) },
            Way::OutOfBottle,
            Way::GetMore { missing: g(850) },
        ]
    };
    let counted = Count::nearest(g(210), CountUnit::Drop, g(31)).unwrap();
    vec![
        Concern::Widened {
            step: 1,
            ingredient: ingredient(),
            target: g(2_005),
            asked: g(40),
            in_force: Mass::from_micrograms(81_650),
            smallest: Mass::from_micrograms(4_082_483),
            ways: ways(),
        },
        Concern::Unweighable {
            step: 1,
            ingredient: ingredient(),
            target: g(30),
            uncertainty: Mass::from_micrograms(81_650),
            ways: Vec::new(),
        },
        Concern::Unseen {
            step: 1,
            ingredient: ingredient(),
            amount: g(50),
            division: g(100),
        },
        Concern::UnevenCount {
            step: 1,
            ingredient: ingredient(),
            count: counted,
            off: -0.125,
            ways: Vec::new(),
        },
        Concern::UnevenCount {
            step: 1,
            ingredient: ingredient(),
            count: counted,
            off: 0.33,
            ways: Vec::new(),
        },
        Concern::OverCapacity {
            contents: g(5_500_500),
            tare: Some(g(312_400)),
            capacity: g(5_000_000),
            ways: Vec::new(),
        },
        Concern::OverCapacity {
            contents: g(5_501_500),
            tare: None,
            capacity: g(5_000_000),
            ways: Vec::new(),
        },
        Concern::LittleLeftForJar {
            contents: g(4_500_000),
            capacity: g(5_000_000),
        },
        Concern::JarTooSmall {
            contents_ul: 131_250,
            jar_ul: 125_000,
            assumed: vec!["night-paste".to_owned(), "water".to_owned()],
            ways: Vec::new(),
        },
        Concern::JarTooSmall {
            contents_ul: 131_240,
            jar_ul: 125_000,
            assumed: Vec::new(),
            ways: Vec::new(),
        },
        Concern::StockShort {
            ingredient: ingredient(),
            needed: g(20_050),
            stock: g(9_995),
            ways: Vec::new(),
        },
    ]
}
