//! Killed at any moment, the service has every gram that it announced, and no gram twice.
//!
//! A person who keeps to what the service shows makes batch after batch on a double of a scale that knows what was
//! really poured. Meanwhile the service is killed, or its scale unplugged, at moments drawn by chance from a seed.
//! What must hold is that the journal comes before any cue, and that a gap is judged.

mod announced;
mod chance;
mod person;
mod record;
mod station;

use chance::Chance;
use person::{Person, Trouble};

/// Makes batches until trouble has come so often, and then the last one to its end in peace.
#[track_caller]
fn check(trouble: Trouble, times: u32, seed: u64) {
    let mut person = Person::at_work(trouble, Chance::new(seed));
    person.make_batches(times);
    let seen = person.phases();
    for phase in trouble.phases() {
        assert!(seen.contains_key(phase), "none {phase}: {seen:?}");
    }
}

#[test]
fn two_hundred_kills_lose_no_announced_gram_and_double_none() {
    check(Trouble::Killed, 200, 1);
}

#[test]
fn forty_pulled_plugs_lose_no_announced_gram_and_double_none() {
    check(Trouble::Unplugged, 40, 2);
}
