//! What a label says of a jar that was opened again.

use std::time::Duration;

use tarehand_protocol::Mass;

use super::{lagoon, part};
use crate::composition::{Holding, Part as Held};
use crate::document::Source;
use crate::label::{CameBy, Content, Days, InJar, Keeps, Since};
use crate::procedure::{
    Addition, Amends, Amount, Ingredient, Origin, Premix, Procedure, Step, StepKind, Weigh, Within,
};
use crate::ratio::Ratio;
use crate::shelf::Shelf;
use crate::units::Measures;

fn holding(parts: &[(&str, i64)]) -> Holding {
    Holding::of(
        parts
            .iter()
            .map(|&(key, milligrams)| (Held::by_name(key), Mass::from_milligrams(milligrams))),
    )
}

fn ingredient(name: &str, cautions: &[&str]) -> Ingredient {
    Ingredient {
        name: name.to_owned(),
        cautions: cautions.iter().map(|&text| text.to_owned()).collect(),
        ..Ingredient::by_name(&part(name, 0, None).key)
    }
}

fn procedure(inside: Vec<Ingredient>, beside: Vec<Ingredient>) -> Procedure {
    let add = |ingredient, amount| Step {
        kind: StepKind::Add(Addition {
            ingredient,
            amount,
            weigh: Weigh::Jar,
        }),
        note: None,
    };
    let weighed = || Amount::Weighed {
        share: Ratio::one(),
        target: Mass::ZERO,
        within: Within::Mass(Mass::ZERO),
    };
    let inside = inside.into_iter().map(|one| add(one, weighed()));
    let beside = beside.into_iter().map(|one| add(one, Amount::ByEye));
    Procedure::of_steps("any", Mass::ZERO, inside.chain(beside).collect())
}

/// The batch of the usual label.
fn own() -> Procedure {
    let satin = Ingredient {
        origin: Origin::Premix,
        ..ingredient("Satin blend", &["ventilate"])
    };
    let inside = vec![
        ingredient("Slow medium", &["not for skin"]),
        satin,
        ingredient("Pearl blue", &[]),
    ];
    Procedure {
        premixes: vec![Premix {
            key: "satin-blend".to_owned(),
            parts: vec![
                (ingredient("Gloss medium", &[]), Ratio::new(99, 100)),
                (
                    ingredient("Levelling drops", &["ventilate"]),
                    Ratio::new(1, 100),
                ),
            ],
        }],
        ..procedure(inside, vec![ingredient("Water", &[])])
    }
}

fn amending(added: Ingredient) -> Procedure {
    let amends = Amends {
        mark: "8KER7".to_owned(),
        recipe: "any".to_owned(),
        tare: Mass::ZERO,
        holds: Mass::ZERO,
        within: Mass::ZERO,
        out_of: Default::default(),
    };
    Procedure {
        amends: Some(Box::new(amends)),
        ..procedure(vec![added], Vec::new())
    }
}

/// The usual label once its jar holds this, which came by these batches, each opened on its day and with its shelf.
fn now(
    holds: &[(&str, i64)],
    since: Since,
    batches: &[(Procedure, &str, &str)],
    days: Option<Days>,
) -> Content {
    let poured = holding(holds);
    let shelves: Vec<Shelf> = batches
        .iter()
        .map(|(_, _, text)| Shelf::parse(&Source::new("shelf.toml", *text), &Measures::default()).0)
        .collect();
    let came_by = batches.iter().zip(&shelves);
    let came_by = came_by.map(|((procedure, day, _), shelf)| CameBy {
        day: day.parse().ok(),
        procedure,
        shelf,
    });
    let jar = InJar {
        poured: &poured,
        since,
        came_by: came_by.collect(),
    };
    lagoon().now(&jar, days)
}

const MADE: &str = "2026-11-30";
const LATER: &str = "2026-12-05";

fn named(content: &Content) -> Vec<(&str, i64)> {
    let parts = content.parts.iter().chain(&content.beside);
    parts
        .map(|part| (part.name.as_str(), part.mass.micrograms() / 1000))
        .collect()
}

#[test]
fn what_was_added_stands_beside_the_ratio_and_brings_its_caution_and_its_best_before() {
    let shelf = "[[ingredient.dry-slow.pack]]\nholds = \"100 g\"\nbest_before = \"2026-12-24\"\n";
    let content = now(
        &[
            ("slow-medium", 92_880),
            ("satin-blend", 41_200),
            ("pearl-blue", 29_220),
            ("water", 5_000),
            ("dry-slow", 2_000),
        ],
        Since::AddedTo,
        &[
            (own(), MADE, ""),
            (
                amending(ingredient("Dry slow", &["wear gloves"])),
                LATER,
                shelf,
            ),
        ],
        Days::new(90),
    );
    assert_eq!(content.in_jar, Mass::from_milligrams(170_300));
    let beside: Vec<&str> = content.beside.iter().map(|one| one.name.as_str()).collect();
    assert_eq!(beside, ["Water", "Dry slow"]);
    assert_eq!(
        content.cautions,
        ["not for skin", "ventilate", "wear gloves"]
    );
    assert_eq!(
        content.keeps,
        Keeps::AsPack {
            until: "2026-12-24".parse().unwrap(),
            of: "Dry slow".to_owned()
        }
    );
    assert_eq!(content.trail, None, "it was measured before more came in");
    let satin = &content.premixes[0];
    assert_eq!(
        (satin.name.as_str(), satin.parts[0].mass),
        ("Satin blend", Mass::from_milligrams(40_788))
    );
}

#[test]
fn half_of_a_jar_has_the_same_ratio_and_its_trail() {
    let content = now(
        &[
            ("slow-medium", 46_440),
            ("satin-blend", 20_600),
            ("pearl-blue", 14_610),
            ("water", 2_500),
        ],
        Since::TakenFrom,
        &[(own(), MADE, "")],
        Days::new(90),
    );
    assert_eq!(
        named(&content),
        [
            ("Slow medium", 46_440),
            ("Satin blend", 20_600),
            ("Pearl blue", 14_610),
            ("Water", 2_500)
        ]
    );
    assert_eq!(content.trail, lagoon().trail);
    assert_eq!(content.keeps, lagoon().keeps);
    let mut shares = content.parts.iter().map(|one| one.share.clone().unwrap());
    let sum = shares.by_ref().fold(Ratio::zero(), |sum, one| &sum + &one);
    assert_eq!(sum, Ratio::one());
}

#[test]
fn an_older_jar_that_hardens_makes_this_one_harden_and_its_parts_stand_in_the_ratio() {
    let holds = [("slow-medium", 50_000), ("grit", 25_000), ("water", 1_000)];
    let other = procedure(
        vec![ingredient("Grit", &["no dust"])],
        vec![ingredient("Water", &[])],
    );
    let with = |other| {
        now(
            &holds,
            Since::AddedTo,
            &[(own(), MADE, ""), (other, "2026-11-01", "")],
            Days::new(30),
        )
    };
    let content = with(other.clone());
    assert_eq!(
        named(&content),
        [("Slow medium", 50_000), ("Grit", 25_000), ("Water", 1_000)]
    );
    assert_eq!(content.parts[1].share, Some(Ratio::new(1, 3)));
    assert_eq!(content.premixes, [], "none of the premix is left");
    assert_eq!(content.cautions, ["not for skin", "no dust"]);
    assert!(
        matches!(&content.keeps, Keeps::AsSet { until, .. } if until.to_string() == "2026-12-01"),
        "{:?}",
        content.keeps
    );
    let within = Duration::from_secs(3600);
    let hard = with(Procedure {
        pot_life: Some(within),
        ..other
    });
    assert_eq!(hard.keeps, Keeps::Hardens { within });
}

#[test]
fn what_is_inside_the_ratio_and_beside_it_is_split_as_it_was() {
    let mut made = lagoon();
    made.parts.push(part("Water", 15_000, None));
    let poured = holding(&[("water", 10_000)]);
    let (own, shelf) = (own(), Shelf::default());
    let jar = InJar {
        poured: &poured,
        since: Since::TakenFrom,
        came_by: vec![CameBy {
            day: MADE.parse().ok(),
            procedure: &own,
            shelf: &shelf,
        }],
    };
    let content = made.now(&jar, None);
    assert_eq!(named(&content), [("Water", 7_500), ("Water", 2_500)]);
}
