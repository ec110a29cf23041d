//! The service speaks for browsers that have no voice.

use serde_json::{Value, json};
use tarehand_tests::{Answer, Home, Service};

const PATH: &str = "/v1/page/voice";

fn say(service: &Service, text: &str, language: &str) -> Answer {
    let said = json!({"text": text, "language": language});
    service.client().post(PATH, &said)
}

/// Returns the seconds of a WAV file of one channel (Microsoft and IBM, 1991): what stands after `data`, by the bytes a second.
#[track_caller]
fn seconds(sound: &[u8]) -> f64 {
    let number = |at: usize| u32::from_le_bytes(sound[at..at + 4].try_into().unwrap());
    assert_eq!(
        (&sound[..4], &sound[8..16]),
        (&b"RIFF"[..], &b"WAVEfmt "[..])
    );
    assert_eq!(&sound[36..40], b"data");
    assert_eq!(usize::try_from(number(4)).unwrap() + 8, sound.len());
    assert_eq!(usize::try_from(number(40)).unwrap() + 44, sound.len());
    f64::from(number(40)) / f64::from(number(28))
}

#[test]
fn a_text_is_said_in_each_language_and_a_longer_one_takes_longer() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let state: Value = service.client().get(PATH).with_status(200).json();
    assert_eq!(state, json!({"languages": ["en", "de"]}));
    let mut lengths = Vec::new();
    for (text, language) in [
        ("Stop", "en"),
        ("Pour clear medium to 57.5 g", "en"),
        ("Noch 2,36 g Nachtblau zugeben, das Verhältnis stimmt", "de"),
        // Nothing of it is an option of the program.
        ("--version", "en"),
    ] {
        let sound = say(&service, text, language).with_status(200);
        assert_eq!(sound.field("content-type"), Some("audio/wav"));
        lengths.push(seconds(&sound.body));
    }
    // People say two to four words a second (common knowledge); a program is in that neighbourhood.
    assert!(
        lengths.iter().all(|length| (0.2..10.0).contains(length)),
        "{lengths:?}"
    );
    assert!(lengths[0] < lengths[1], "{lengths:?}");
}

#[test]
fn what_is_too_long_or_in_no_known_language_is_refused() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let long: Value = say(&service, &"a".repeat(401), "en")
        .with_status(422)
        .json();
    assert_eq!(long["type"], "urn:tarehand:problem:not-sayable");
    let _empty = say(&service, "", "en").with_status(422);
    for language in ["fr", "EN", "en --path=/", "-w/tmp/out.wav", ""] {
        let _unknown = say(&service, "hello", language).with_status(422);
    }
}

#[test]
fn without_the_program_the_service_says_what_to_install() {
    let home = Home::new();
    let empty = tempfile::tempdir().unwrap();
    let mut command = Service::command(&home);
    command.env("PATH", empty.path());
    let service = Service::start_command(&home, &mut command);
    let state: Value = service.client().get(PATH).with_status(200).json();
    assert_eq!(state, json!({"languages": []}));
    let refused: Value = say(&service, "hello", "en").with_status(503).json();
    assert_eq!(refused["type"], "urn:tarehand:problem:no-voice");
    assert!(
        refused["hint"].as_str().unwrap().contains("espeak-ng"),
        "{refused}"
    );
}
