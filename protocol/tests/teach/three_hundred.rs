//! Three hundred random scales.

use tarehand_protocol::Reading;
use tarehand_protocol::scale::capture::Captured;
use tarehand_protocol::scale::teach::{Taught, teach};
use tarehand_protocol::scale::{Decoded, Decoder, Profile};

use super::chance::Chance;
use super::random::{Now, Scale};
use super::script::{Player, lesson};

#[derive(Debug, Default)]
struct Tally {
    right: usize,
    unsure: usize,
    wrong: Vec<u64>,
    deaf: Vec<u64>,
    invented: Vec<u64>,
}

/// Decodes frames of these raw numbers and returns each with the grams it was read as.
fn read(
    profile: &Profile,
    scale: &Scale,
    now: &Now,
    raws: &[i64],
    chance: &mut Chance,
) -> Vec<(i64, Option<f64>)> {
    let mut decoder = Decoder::of(profile);
    let mut out = Vec::new();
    let mut now = now.clone();
    now.moving = false;
    for &raw in raws {
        let mut got = None;
        let frame = scale.frame(raw, &now, chance);
        let mut sink = |decoded: Decoded| {
            if let Decoded::Reading(Reading::Weight(weighed)) = decoded {
                got = Some(weighed.gross.grams());
            }
        };
        if scale.packets {
            decoder.packet(&frame, &mut sink);
        } else {
            decoder.push(&frame, &mut sink);
            // Each frame alone, with a silence behind it.
            decoder.flush(&mut sink);
        }
        now.frame += 1;
        now.millis += 100;
        out.push((raw, got));
    }
    out
}

fn is(scale: &Scale, raw: i64, grams: f64) -> bool {
    let truth = scale.grams(raw);
    (truth - grams).abs() <= 2e-6 + truth.abs() * 1e-9
}

fn judge(seed: u64, tally: &mut Tally) {
    let mut chance = Chance::new(seed);
    let scale = Scale::random(&mut chance);
    let (told, now) = lesson(&scale, &mut chance);
    let loud = std::env::var("TEACH_SEED").is_ok();
    let taught = teach(&told.lesson).unwrap();
    if loud {
        println!("{scale:?}\nleast {} most {}\n", told.least, told.most);
    }
    let profile = match taught {
        Taught::Found { best, .. } => best.profile,
        other => {
            if loud {
                if let Taught::Doubtful { candidates, .. } = &other {
                    for candidate in candidates {
                        println!("{:#?}", candidate.evidence);
                    }
                }
            }
            println!(
                "seed {seed}: unsure {:?} {:?}",
                scale.writing,
                match other {
                    Taught::Nothing(because) => because.to_string(),
                    Taught::Doubtful { doubt, candidates } =>
                        format!("{doubt} {}", candidates.len()),
                    Taught::Found { .. } => String::new(),
                }
            );
            tally.unsure += 1;
            return;
        }
    };
    if loud {
        println!("{}", profile.source());
    }
    let inside: Vec<i64> = (0..200)
        .map(|_| chance.within(told.least.max(0), told.most - 2))
        .chain((told.least < 0).then(|| told.least / 2))
        .collect();
    let readings = read(&profile, &scale, &now, &inside, &mut chance);
    let wrong = readings
        .iter()
        .find(|(raw, got)| got.is_some_and(|got| !is(&scale, *raw, got)));
    let right = readings.iter().filter(|(_, got)| got.is_some()).count();
    if let Some(wrong) = wrong {
        println!(
            "seed {seed}: WRONG {:?} truth {} at {wrong:?}",
            scale.writing,
            scale.grams(wrong.0)
        );
        tally.wrong.push(seed);
    } else if right * 5 < readings.len() * 4 {
        println!(
            "seed {seed}: deaf {:?} {right} of {}",
            scale.writing,
            readings.len()
        );
        tally.deaf.push(seed);
    } else {
        tally.right += 1;
    }
    let mut outside: Vec<i64> = (1..40)
        .map(|at| told.most + 3 + told.most * at / 40)
        .collect();
    if scale.goes_below() {
        outside.extend((1..40).map(|at| told.least - 3 - told.most * at / 80));
    }
    let mut readings = read(&profile, &scale, &now, &outside, &mut chance);
    let mut strange = now.clone();
    strange.strange = true;
    if scale.has_strange() {
        readings.extend(read(&profile, &scale, &strange, &inside, &mut chance));
    }
    if let Some(invented) = readings.iter().find(|(_, got)| got.is_some()) {
        println!(
            "seed {seed}: INVENTED {:?} {invented:?} truth {}",
            scale.writing,
            scale.grams(invented.0)
        );
        tally.invented.push(seed);
    }
}

#[test]
fn of_three_hundred_random_scales_nearly_all_are_learnt_and_none_is_learnt_wrong() {
    let mut tally = Tally::default();
    let seeds = std::env::var("TEACH_SEED")
        .ok()
        .and_then(|seed| seed.parse().ok());
    let seeds = match seeds {
        Some(seed) => seed..seed + 1,
        None => 0..300_u64,
    };
    let count = seeds.end - seeds.start;
    for seed in seeds {
        judge(seed, &mut tally);
    }
    println!("{tally:?}");
    assert!(
        tally.wrong.is_empty() && tally.invented.is_empty(),
        "{tally:?}"
    );
    assert!(count * 98 / 100 <= tally.right as u64, "{tally:?}");
}

#[test]
fn a_double_plays_what_it_says() {
    let mut chance = Chance::new(7);
    let scale = Scale::random(&mut chance);
    let mut player = Player::new(&scale, &mut chance);
    player.send(1);
    let bytes = player.moments.iter().any(|moment| match &moment.what {
        Captured::Bytes(bytes) | Captured::Packet(bytes) => !bytes.is_empty(),
        Captured::Pan(_) => false,
    });
    assert!(bytes);
}
