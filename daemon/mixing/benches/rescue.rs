//! All ways out of one slip: a plain recipe of twelve ingredients, and premixes three levels deep.
//!
//! The goals are 5 µs and 1 ms. `tests/oracles/rescue.py --bench` times a linear program of the same size with
//! scipy's HiGHS, on the same machine, to compare with.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use tarehand_mixing::procedure::{
    Addition, Amount, Ingredient, Premix, Procedure, Step, StepKind, Weigh, Within,
};
use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::rescue::{Situation, ways};
use tarehand_mixing::weighing::Scales;
use tarehand_protocol::Mass;

fn procedure(parts: &[(String, i64)], premixes: Vec<Premix>) -> Procedure {
    let planned = Mass::from_grams(250);
    let sum: i64 = parts.iter().map(|(_, parts)| parts).sum();
    let step = |(key, parts): &(String, i64)| {
        let share = Ratio::new(*parts, sum);
        Step {
            kind: StepKind::Add(Addition {
                ingredient: Ingredient::by_name(key),
                amount: Amount::Weighed {
                    target: (&share * &Ratio::from_mass(planned)).to_mass(),
                    share,
                    within: Within::Fraction(Ratio::new(3, 100)),
                },
                weigh: Weigh::Jar,
            }),
            note: None,
        }
    };
    Procedure {
        premixes,
        ..Procedure::of_steps("Bench", planned, parts.iter().map(step).collect())
    }
}

/// Twelve ingredients; the third is a tenth too much, the seventh a fifth.
fn plain() -> Situation {
    let parts: Vec<(String, i64)> = (1..=12)
        .map(|at| (format!("ingredient-{at}"), 3 + at * 2))
        .collect();
    let mut situation = Situation::of(&procedure(&parts, Vec::new()), Scales::default());
    for (at, percent) in [(0, 100), (1, 100), (2, 110), (3, 100), (6, 120)] {
        let source = situation.sources[at].clone();
        // What was poured is what a scale showed.
        let poured = (&source.open * &Ratio::new(percent, 100)).to_mass();
        situation.put(&source.key, &Ratio::from_mass(poured));
    }
    situation
}

/// Nine raw ingredients in premixes three levels deep; one of them went in by itself.
fn nested() -> Situation {
    let premix = |key: &str, parts: &[(&str, i64)]| {
        let sum: i64 = parts.iter().map(|(_, parts)| parts).sum();
        Premix {
            key: key.to_owned(),
            parts: parts
                .iter()
                .map(|(key, parts)| (Ingredient::by_name(key), Ratio::new(*parts, sum)))
                .collect(),
        }
    };
    let premixes = vec![
        premix("veil", &[("satin", 3), ("glue-water", 2), ("gel", 1)]),
        premix("satin", &[("thin-varnish", 5), ("matt", 1)]),
        premix("thin-varnish", &[("varnish", 4), ("water", 1)]),
        premix("glue-water", &[("glue", 7), ("water", 3)]),
    ];
    let parts = [
        ("base", 40),
        ("veil", 30),
        ("satin", 12),
        ("white", 10),
        ("blue", 5),
        ("mica", 3),
    ];
    let parts = parts.map(|(key, parts)| (key.to_owned(), parts));
    let mut situation = Situation::of(&procedure(&parts, premixes), Scales::default());
    for (key, grams) in [("base", 104), ("veil", 75), ("water", 4)] {
        situation.put(key, &Ratio::from_mass(Mass::from_grams(grams)));
    }
    situation
}

fn rescue(criterion: &mut Criterion) {
    for (name, situation) in [
        ("rescue/plain, 12 ingredients", plain()),
        ("rescue/nested, 3 levels", nested()),
    ] {
        let feasible = ways(&situation)
            .ways
            .iter()
            .filter(|way| way.is_feasible())
            .count();
        assert_eq!(feasible, 4, "all but making less can be done");
        criterion.bench_function(name, |bencher| bencher.iter(|| ways(black_box(&situation))));
    }
}

criterion_group!(benches, rescue);
criterion_main!(benches);
