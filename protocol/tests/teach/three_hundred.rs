//! Three hundred random scales, and three hundred others: what right means is said in `judge.rs`.

use std::ops::Range;

use tarehand_protocol::scale::capture::Captured;

use super::chance::Chance;
use super::judge::{Verdict, judge};
use super::random::Scale;
use super::script::Player;

/// Seeds with what came of them, where that is not right.
#[derive(Debug, Default)]
struct Tally {
    right: usize,
    unsure: Vec<(u64, Verdict)>,
    narrow: Vec<(u64, Verdict)>,
    wrong: Vec<(u64, Verdict)>,
}

fn judged(seeds: Range<u64>) -> Tally {
    let mut tally = Tally::default();
    for seed in seeds {
        let verdict = judge(seed);
        match verdict {
            Verdict::Right => tally.right += 1,
            Verdict::Unsure(_) => tally.unsure.push((seed, verdict)),
            Verdict::Narrow(_) => tally.narrow.push((seed, verdict)),
            Verdict::Wrong(_) | Verdict::Invented(_) => tally.wrong.push((seed, verdict)),
        }
    }
    tally
}

#[track_caller]
fn check(seeds: Range<u64>, right: usize) {
    let tally = judged(seeds);
    assert!(tally.wrong.is_empty(), "{tally:#?}");
    assert!(right <= tally.right, "{tally:#?}");
}

#[test]
fn of_a_hundred_and_fifty_random_scales_nearly_all_are_learnt_and_none_is_learnt_wrong() {
    check(0..150, 148);
}

#[test]
fn of_another_hundred_and_fifty_nearly_all_are_learnt_and_none_is_learnt_wrong() {
    check(150..300, 147);
}

// These were not looked at while the finder was made; of the thousand from 1,000 on 994 are learnt, 4 said to be
// unsure, and 2 read less than 98 in a hundred.
#[test]
fn of_a_hundred_and_fifty_that_nobody_looked_at_none_is_learnt_wrong() {
    check(1_000..1_150, 146);
}

#[test]
fn of_another_hundred_and_fifty_that_nobody_looked_at_none_is_learnt_wrong() {
    check(1_150..1_300, 146);
}

#[test]
fn a_double_plays_what_it_says() {
    let mut chance = Chance::new(7);
    let scale = Scale::random(&mut chance);
    let mut player = Player::new(&scale, &mut chance);
    player.send(1);
    let bytes = player.moments.iter().any(|moment| match &moment.what {
        Captured::Bytes(bytes) | Captured::Packet(bytes) => !bytes.is_empty(),
        Captured::Pan(_) | Captured::Hand(_) | Captured::Display(_) => false,
    });
    assert!(bytes);
}
