//! A study of stop leads: two hundred simulated hands, bottles and scales, with what was learnt and without.
//!
//! The hands of `world` know nothing of the learner; each pours the same pours, chance by chance, twice.
#![expect(
    clippy::unwrap_used,
    clippy::cast_precision_loss,
    clippy::expect_used,
    reason = "numbers of a study, all small"
)]

mod bench;
mod world;

use std::thread;

use rand::SeedableRng as _;
use rand_pcg::Pcg64Mcg;
use tarehand_mixing::learnt::{PourRun, Told, stop_lead};

use bench::{Poured, pour};
use world::Hand;

const HANDS: u64 = 200;
/// Pours that teach before it is looked at.
const TAUGHT: usize = 8;
/// Pours that are looked at of each hand, from the ninth on: at least, and at most.
///
/// Each pour is poured with the same chances with and without, and a hand is looked at until it is better off by five
/// standard errors; where that is not plain, for all of these. The part by which it is better or worse is known to about
/// two hundredths then (printed with the figures), so that chance alone makes nobody five worse.
const LOOKED_AT: [usize; 2] = [40, 240];
const PLAIN: f64 = 5.0;

/// What became of a hand's pours, without and with what was learnt: the mean distance from the target, in grams.
struct Outcome {
    number: u64,
    /// Of the pours right after the first eight, 9 to 16.
    soon: [f64; 2],
    /// Of all that are looked at.
    all: [f64; 2],
    /// How far chance moves the part by which it is better or worse off: one standard deviation.
    chance: f64,
    looked_at: usize,
    /// In how many of these the lead was used.
    used: usize,
}

fn study(number: u64) -> Outcome {
    let mut chance = Pcg64Mcg::seed_from_u64(number);
    let hand = Hand::any(&mut chance);
    let mut told: Vec<PourRun> = Vec::new();
    let (mut off, mut used) = (Vec::new(), 0);
    for place in 0..TAUGHT + LOOKED_AT[1] {
        let chances = hand.pour(&mut chance);
        let (_, lead) = stop_lead(&told);
        let with = pour(&hand, &chances, lead);
        let without = match lead {
            Some(_) => pour(&hand, &chances, None),
            None => with.clone(),
        };
        told.extend(pours(&with));
        if TAUGHT <= place {
            off.push([without.off_g.abs(), with.off_g.abs()]);
            used += usize::from(lead.is_some());
        }
        if LOOKED_AT[0] <= off.len() && is_plainly_better(&off) {
            break;
        }
    }
    let mean = |of: &[[f64; 2]]| {
        let count = of.len() as f64;
        [0, 1].map(|way| of.iter().map(|off| off[way]).sum::<f64>() / count)
    };
    Outcome {
        number,
        soon: mean(&off[..TAUGHT]),
        all: mean(&off),
        chance: chance_of(&off),
        looked_at: off.len(),
        used,
    }
}

/// The standard error of the mean of what each pour is nearer or farther, as a part of the mean miss without.
fn chance_of(off: &[[f64; 2]]) -> f64 {
    let count = off.len() as f64;
    let differences: Vec<f64> = off.iter().map(|[without, with]| with - without).collect();
    let mean = differences.iter().sum::<f64>() / count;
    let squares: f64 = differences.iter().map(|d| (d - mean).powi(2)).sum();
    let without: f64 = off.iter().map(|[without, _]| without).sum::<f64>() / count;
    (squares / (count - 1.0) / count).sqrt() / without
}

fn is_plainly_better(off: &[[f64; 2]]) -> bool {
    let sum = |way: usize| off.iter().map(|off| off[way]).sum::<f64>();
    sum(1) / sum(0) - 1.0 < -PLAIN * chance_of(off)
}

fn pours(poured: &Poured) -> impl Iterator<Item = PourRun> {
    poured.told.iter().filter_map(|run| match run.told {
        Told::Pour(pour) => Some(pour),
        Told::Plain(_) => None,
    })
}

fn outcomes() -> Vec<Outcome> {
    let workers = 2;
    let of_worker: Vec<Vec<Outcome>> = thread::scope(|scope| {
        let running: Vec<_> = (0..workers)
            .map(|worker| {
                scope.spawn(move || {
                    (0..HANDS)
                        .filter(|hand| hand % workers == worker)
                        .map(study)
                        .collect()
                })
            })
            .collect();
        running
            .into_iter()
            .map(|worker| worker.join().unwrap())
            .collect()
    });
    of_worker.into_iter().flatten().collect()
}

#[test]
fn eight_pours_bring_the_first_stop_nearer_and_no_hand_is_worse_off() {
    let outcomes = outcomes();
    let falls = |of: fn(&Outcome) -> [f64; 2]| {
        let parts: Vec<f64> = outcomes
            .iter()
            .map(|outcome| 1.0 - of(outcome)[1] / of(outcome)[0])
            .collect();
        parts.iter().sum::<f64>() / parts.len() as f64
    };
    let (soon, all) = (falls(|outcome| outcome.soon), falls(|outcome| outcome.all));
    let worse = |outcome: &Outcome| outcome.all[1] / outcome.all[0] - 1.0;
    let worst = outcomes
        .iter()
        .max_by(|a, b| worse(a).total_cmp(&worse(b)))
        .unwrap();
    let used = outcomes.iter().filter(|outcome| 0 < outcome.used).count();
    let looked_at: usize = outcomes.iter().map(|outcome| outcome.looked_at).sum();
    println!(
        "the miss at the first stop falls by {:.1} % over pours 9 to 16 and by {:.1} % over all, \
         averaged over {HANDS} hands; {used} use a lead; {looked_at} pours were looked at; the worst off is hand {}: {:+.1} % (± {:.1} %), \
         {:.3} g in place of {:.3} g, in use at {} of {} pours",
        soon * 100.0,
        all * 100.0,
        worst.number,
        worse(worst) * 100.0,
        worst.chance * 100.0,
        worst.all[1],
        worst.all[0],
        worst.used,
        worst.looked_at,
    );
    assert!(0.30 <= soon, "{soon}");
    assert!(0.30 <= all, "{all}");
    assert!(worse(worst) <= 0.05, "{}", worse(worst));
}
