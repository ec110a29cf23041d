//! Lessons: what was heard while known weights stood on the pan.

use tarehand_protocol::scale::capture::{Capture, Captured, Moment};
use tarehand_protocol::scale::teach::{Aside, Candidate, Lesson, Pan, Taught, teach};
use tarehand_protocol::scale::{Decoder, Raw};
use tarehand_protocol::{Mass, MassUnit};

use super::feed::Feed;
use super::kit::{Kit, micrograms};
use super::{frames, run};

/// Frames while one weight stands on the pan.
const EACH: usize = 12;

pub(crate) fn holds(input: &[u8]) {
    let mut feed = Feed::new(input);
    match feed.yes() {
        true => a_scale_is_not_learnt_wrong(&mut feed),
        false => anything_is_taken(feed),
    }
}

/// Moments in any order and with anything in them.
fn anything_is_taken(mut feed: Feed<'_>) {
    let unit = feed.one_of(&MassUnit::ALL);
    let packets = feed.yes();
    let mut asides = Vec::new();
    let mut moments = Vec::new();
    let mut at_us = 0;
    while !feed.is_empty() && moments.len() < 200 {
        at_us += u64::from(feed.byte()) * 1_000;
        let what = match feed.below(8) {
            0 => Captured::Pan(Mass::from_grams(i64::from(feed.below(4)) * 50)),
            1 => {
                asides.push(Aside {
                    from_us: at_us,
                    until_us: at_us + u64::from(feed.byte()) * 5_000,
                    pan: feed.one_of(&[Pan::Lifted, Pan::Pressed, Pan::Unsaid]),
                });
                continue;
            }
            // Many alike, as scales send.
            2..=4 => {
                let bytes = feed.bytes(16).to_vec();
                let again = |at: u64| Moment {
                    at_us: at_us + at,
                    what: heard(packets, bytes.clone()),
                };
                moments.extend((0..8).map(again));
                at_us += 8;
                continue;
            }
            _ => heard(packets, feed.bytes(20).to_vec()),
        };
        moments.push(Moment { at_us, what });
    }
    let capture = Capture {
        device: String::new(),
        moments,
    };
    let lesson = Lesson::new(unit).hear(&capture, &asides);
    for candidate in candidates(teach(&lesson)) {
        let decoder = Decoder::of(&candidate.profile);
        for moment in &capture.moments {
            if let Captured::Bytes(bytes) | Captured::Packet(bytes) = &moment.what {
                run::memory_is_bounded(&decoder, bytes);
            }
        }
    }
}

fn heard(packet: bool, bytes: Vec<u8>) -> Captured {
    match packet {
        true => Captured::Packet(bytes),
        false => Captured::Bytes(bytes),
    }
}

fn candidates(taught: Result<Taught, impl std::error::Error>) -> Vec<Candidate> {
    match taught {
        Ok(Taught::Found { best, mut others }) => {
            others.insert(0, *best);
            others
        }
        Ok(Taught::Doubtful { candidates, .. }) => candidates,
        Ok(Taught::Nothing(_)) | Err(_) => Vec::new(),
    }
}

/// A scale of bits that is found reads every weight between those it was taught with rightly, or not at all.
fn a_scale_is_not_learnt_wrong(feed: &mut Feed<'_>) {
    let kit = frames::kit(feed);
    let form = feed.one_of(&["unsigned", "signed", "sign-magnitude", "bcd"]);
    let length = 2 + usize::from(feed.below(2));
    let kilograms = feed.yes();
    let packets = feed.yes();
    let mut filler = feed.byte();
    let most = match form {
        "bcd" => 9_999,
        _ => 30_000,
    };
    let weight = |feed: &mut Feed<'_>| i64::from(feed.word() % most);
    let taught = [0, weight(feed), weight(feed), weight(feed), 0];
    let frame = |whole: i64, filler: u8| {
        let number = frames::written_as(form, bytes(form, whole, length));
        kit.build(&number, false, false, kilograms, filler)
    };
    let mut moments = Vec::new();
    let mut at_us = 0;
    for whole in taught {
        moments.push(Moment {
            at_us,
            what: Captured::Pan(mass(&kit, whole, kilograms)),
        });
        for _ in 0..EACH {
            at_us += 100_000;
            filler = filler.wrapping_mul(5).wrapping_add(3);
            let what = heard(packets, frame(whole, filler));
            moments.push(Moment { at_us, what });
        }
    }
    let capture = Capture {
        device: String::new(),
        moments,
    };
    let unit = match kilograms {
        true => MassUnit::Kilogram,
        false => MassUnit::Gram,
    };
    let lesson = Lesson::new(unit).hear(&capture, &[]);
    let Ok(Taught::Found { best, .. }) = teach(&lesson) else {
        return;
    };
    let decoder = Decoder::of(&best.profile);
    for _ in 0..8 {
        let whole = weight(feed);
        let sent = frame(whole, filler);
        assert!(sent.len() <= Raw::LIMIT);
        let got = match packets {
            true => run::of_packet(&decoder, &sent),
            false => run::outcomes(&decoder, [sent.as_slice(), &sent, &sent]),
        };
        for weighed in run::weights(&got) {
            assert_eq!(
                weighed.gross,
                mass(&kit, whole, kilograms),
                "{sent:02x?} by {}, taught {taught:?}",
                best.profile.source()
            );
        }
    }
}

/// Writes a number from zero, the least byte first.
fn bytes(form: &str, whole: i64, length: usize) -> Vec<u8> {
    let base = match form {
        "bcd" => 100,
        _ => 256,
    };
    let places = (0..length).scan(whole, |rest, _| {
        let place = *rest % base;
        *rest /= base;
        Some(match form {
            "bcd" => place / 10 * 16 + place % 10,
            _ => place,
        })
    });
    let byte = |place: i64| u8::try_from(place).expect("it is below the base");
    places.map(byte).collect()
}

fn mass(kit: &Kit, whole: i64, kilograms: bool) -> Mass {
    let micrograms = micrograms(whole, kit.decimals, kilograms);
    Mass::from_micrograms(i64::try_from(micrograms).expect("it is a weight of a bench"))
}
