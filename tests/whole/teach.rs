//! Scales that nobody described, taught: at the scale, with a person's hands and answers, and from captures.

use std::fmt::Write as _;
use std::fs;
use std::io::{PipeWriter, Write};
use std::path::PathBuf;
use std::process::{Command, Stdio};

use rustix::process::Signal;
use serde_json::{Value, json};
use tarehand_protocol::scale::capture::Capture;
use tarehand_tests::{
    Finished, Home, LIMIT, Running, ScaleDouble, ScaleSetting, Service, run, wait_for,
};

/// How many times as fast as the wall's the bench's clock and the scale's time run.
const SPEED: f64 = 5.0;
/// What stands on the pan, in milligrams; none of it is round.
const WEIGHTS: [i64; 3] = [103_400, 251_700, 480_200];
/// What a person says of it.
const SAID: [&str; 3] = ["103.4 g", "251,7", "0.4802 kg"];

/// The questions of a lesson, and a person's answers.
pub(crate) struct Talk {
    teach: Running,
    typing: PipeWriter,
    /// So much of what was said is read.
    read: usize,
}

impl Talk {
    pub(crate) fn begin(command: &mut Command) -> Self {
        let (answers, typing) = std::io::pipe().unwrap();
        Self {
            teach: Running::start(command, Stdio::from(answers)),
            typing,
            read: 0,
        }
    }

    /// Waits until these words are said, after those waited for before.
    #[track_caller]
    pub(crate) fn is_told(&mut self, words: &str) {
        let (teach, read) = (&mut self.teach, self.read);
        let said = wait_for(&format!("`{words}`"), LIMIT, || {
            let said = teach.said().1;
            if let Some(at) = said[read..].find(words) {
                return Some(Ok(read + at + words.len()));
            }
            teach.ended().map(|_| Err(said))
        });
        match said {
            Ok(read) => self.read = read,
            Err(said) => panic!("it ended without `{words}`:\n{said}"),
        }
    }

    pub(crate) fn says(&mut self, answer: &str) {
        writeln!(self.typing, "{answer}").unwrap();
    }

    #[track_caller]
    pub(crate) fn ends_with(&mut self, code: i32) -> Finished {
        let status = wait_for("the end", LIMIT, || self.teach.ended());
        let (stdout, stderr) = self.teach.said();
        assert_eq!(status.code(), Some(code), "{stdout}\n{stderr}");
        Finished {
            code: status.code(),
            stdout,
            stderr,
        }
    }
}

/// A person who teaches a scale.
struct Person {
    talk: Talk,
    scale: ScaleDouble,
    service: Service,
    home: Home,
}

impl Person {
    fn at(shape: &'static str, flags: &[&str]) -> Self {
        let home = Home::new();
        let setting = ScaleSetting {
            shape,
            speed: SPEED,
            capacity_g: 500.0,
            ..ScaleSetting::default()
        };
        let mut scale = ScaleDouble::start(&home.path().join("scale"), &setting);
        scale.lift();
        let service = Service::start(&home, &["--clock-rate", &SPEED.to_string()]);
        let mut command = home.tarehand(&["scales", "teach", "--port"]);
        command.arg(scale.link()).args(flags);
        Self {
            talk: Talk::begin(&mut command),
            scale,
            service,
            home,
        }
    }

    #[track_caller]
    fn is_told(&mut self, words: &str) {
        self.talk.is_told(words);
    }

    fn says(&mut self, answer: &str) {
        self.talk.says(answer);
    }

    /// Waits until all that is sent shows what stands there: a second of the scale's time.
    fn is_still(&mut self) {
        let sent = |scale: &mut ScaleDouble| scale.truth()["sent_frames"].as_u64().unwrap();
        let until = sent(&mut self.scale) + 14;
        let scale = &mut self.scale;
        wait_for("the scale to be still", LIMIT, || {
            (until <= sent(scale)).then_some(())
        });
    }

    /// Goes through the lesson up to the looking; says this of the known weights.
    fn goes_through(&mut self, said: [&str; 3]) {
        self.is_told("In which unit");
        self.says("");
        self.is_told("Take everything off the pan");
        self.says("");
        for (milligrams, said) in WEIGHTS.into_iter().zip(said) {
            self.is_told("Type what it weighs");
            self.scale.load(milligrams * 1_000, 0);
            self.is_still();
            self.says(said);
        }
        self.is_told("Take everything off the pan");
        self.scale.lift();
        self.is_still();
        self.says("");
        self.is_told("Press the pan");
        self.says("");
        for push in [40, 330, 170, 390, 250, 90] {
            self.scale.tap(push * 1_000_000, 0.7);
            self.is_still();
        }
        self.is_told("less than zero");
        self.says("n");
        self.is_told("Looking for what explains");
    }

    /// Names the scale and lets what was learnt be proved, after a slip of the finger.
    fn proves(&mut self) {
        self.is_told("What do you call this scale?");
        self.says("Window scale");
        self.is_told("Now the proof");
        self.scale.load(151_300_000, 0);
        self.is_still();
        self.says("15.13 g");
        self.is_told("Type again what stands on the pan");
        self.says("151.3");
        self.is_told("it holds");
    }

    #[track_caller]
    fn ends_with(&mut self, code: i32) -> Finished {
        self.talk.ends_with(code)
    }
}

/// The scale is taught, proved, and read by what was written; returns the profile.
#[track_caller]
fn check(shape: &'static str) -> (Person, String) {
    let mut person = Person::at(shape, &["--capture", "lesson.jsonl"]);
    person.goes_through(SAID);
    person.is_told("Found, because");
    person.proves();
    let told = person.ends_with(0);
    let path = person
        .home
        .config()
        .join("tarehand/scales/window-scale.toml");
    assert_eq!(told.stdout.trim(), path.to_str().unwrap());
    let profile = fs::read_to_string(&path).unwrap();
    assert!(
        profile.contains("# proved on the scale: 151.3 g"),
        "{profile}"
    );
    // The bench has the scale, and reads it by the profile.
    person.scale.load(222_200_000, 0);
    person.is_still();
    let mut watch = person.home.tarehand(&["watch", "--json", "--count", "2"]);
    let told = run(&mut watch, "", LIMIT).good();
    assert!(
        told.lines().all(|line| grams(line) == Some(222.2)),
        "{told}"
    );
    (person, profile)
}

fn grams(line: &str) -> Option<f64> {
    serde_json::from_str::<Value>(line).unwrap()["gross_g"].as_f64()
}

#[test]
fn a_text_that_nobody_knows_is_taught_at_the_scale_and_read_by_its_profile_elsewhere() {
    let (mut person, _) = check("stranger");
    // Another home, told by the file alone.
    let home = Home::new();
    let _service = Service::start(&home, &[]);
    let path = person
        .home
        .config()
        .join("tarehand/scales/window-scale.toml");
    let mut detach = person.home.tarehand(&["stop"]);
    let _stopped = run(&mut detach, "", LIMIT);
    person.scale.load(333_300_000, 0);
    person.is_still();
    let mut watch = home.tarehand(&["watch", "--json", "--count", "2", "--port"]);
    watch.arg(person.scale.link()).arg("--profile").arg(&path);
    let told = run(&mut watch, "", LIMIT).good();
    assert!(told.contains("333.3"), "{told}");
}

#[test]
fn bits_that_nobody_knows_are_taught_at_the_scale_and_again_from_what_was_kept_of_the_lesson() {
    let (person, profile) = check("bits");
    assert!(profile.contains("length = 8"), "{profile}");
    let kept = fs::read_to_string(person.home.path().join("lesson.jsonl")).unwrap();
    assert!(Capture::parse(&kept).is_ok_and(|kept| 100 < kept.moments.len()));
    let flags = [
        "scales",
        "teach",
        "--from",
        "lesson.jsonl",
        "--name",
        "Window scale",
    ];
    let again = run(&mut person.home.tarehand(&flags), "", LIMIT).good();
    let layout = |text: &str| {
        text.split("\n[binary]")
            .nth(1)
            .map(str::trim)
            .map(str::to_owned)
    };
    assert_eq!(layout(&again), layout(&profile));
}

#[test]
fn where_two_explanations_remain_the_weight_that_tells_them_apart_is_asked_for_and_learnt_from() {
    let mut person = Person::at("pair", &["--json"]);
    person.goes_through(SAID);
    person.is_told("Not sure: two explanations remain; about 350 g");
    person.is_told("Put about 350 g on the pan");
    person.scale.load(350_300_000, 0);
    person.is_still();
    person.says("350.3");
    person.is_told("Found, because");
    person.proves();
    let told: Value = serde_json::from_str(&person.ends_with(0).stdout).unwrap();
    assert_eq!(told["outcome"], "found");
    assert_eq!(told["proof"], json!({"said_g": 151.3, "read_g": 151.3}));
    assert!(
        told["profile"]
            .as_str()
            .unwrap()
            .contains("(?:a)(?<weight>"),
        "{told}"
    );
}

#[test]
fn a_slip_of_the_finger_is_found_among_the_weights_and_put_right_in_what_is_kept() {
    let mut person = Person::at("stranger", &["--capture", "lesson.jsonl"]);
    person.goes_through(["134.0", SAID[1], SAID[2]]);
    person.is_told("Without the 134 g all is explained");
    person.says("103.4");
    person.is_told("Found, because");
    person.proves();
    let _told = person.ends_with(0);
    let kept = fs::read_to_string(person.home.path().join("lesson.jsonl")).unwrap();
    let said = kept.lines().filter(|line| line.contains("\"pan\""));
    let said: String = said.collect();
    assert!(
        said.contains("103.4 g") && !said.contains("134 g"),
        "{said}"
    );
}

#[test]
fn a_lesson_that_is_left_gives_no_profile_and_leaves_the_bench_as_it_was() {
    let mut person = Person::at("stranger", &["--capture", "left.jsonl"]);
    person.is_told("In which unit");
    person.says("");
    person.is_told("Take everything off the pan");
    person.talk.teach.signal(Signal::INT);
    let told = person.ends_with(1);
    assert!(
        told.stderr.contains("no profile is written"),
        "{}",
        told.stderr
    );
    assert!(!person.home.config().join("tarehand/scales").exists());
    let kept = fs::read_to_string(person.home.path().join("left.jsonl")).unwrap();
    assert!(Capture::parse(&kept).is_ok());
    let view = person.service.client().get("/v1/benches/bench").json();
    assert_eq!(view["scale"], Value::Null);
}

/// A lesson as a capture, with these lines for a weight in hundredths of a gram.
fn lesson(line: impl Fn(i64) -> String) -> String {
    let mut text =
        "{\"capture\":1,\"device\":\"a board, 2400 7E1\"}\n{\"at_us\":0,\"display\":\"g\"}\n"
            .to_owned();
    let mut at_us = 0;
    for weight in [0, 10_340, 25_170, 48_020, 0] {
        writeln!(
            text,
            "{{\"at_us\":{at_us},\"pan\":\"{}.{:02} g\"}}",
            weight / 100,
            weight % 100
        )
        .unwrap();
        for _ in 0..60 {
            let hex: String = line(weight)
                .bytes()
                .map(|byte| format!("{byte:02x}"))
                .collect();
            writeln!(text, "{{\"at_us\":{at_us},\"bytes\":\"{hex}\"}}").unwrap();
            at_us += 100_000;
        }
        writeln!(text, "{{\"at_us\":{at_us},\"hand\":\"busy\"}}").unwrap();
    }
    text
}

fn teach(home: &Home, flags: &[&str]) -> Finished {
    let mut command = home.tarehand(&["scales", "teach"]);
    run(command.args(flags), "", LIMIT)
}

#[test]
fn from_captures_a_profile_is_said_or_written_but_never_over_another_file() {
    let home = Home::new();
    home.write(
        "lesson.jsonl",
        &lesson(|weight| format!("w={weight:06}#\r")),
    );
    let said = teach(&home, &["--from", "lesson.jsonl"]).good();
    assert!(said.contains("name = \"taught scale\""), "{said}");
    // How the line was opened is known from the capture.
    assert!(said.contains("speed = 2400"), "{said}");
    let written = teach(&home, &["--from", "lesson.jsonl", "-o", "mine.toml"]);
    let path: PathBuf = home.path().join("mine.toml");
    assert!(written.good().is_empty());
    let text = fs::read_to_string(&path).unwrap();
    let refused = teach(&home, &["--from", "lesson.jsonl", "-o", "mine.toml"]).with_code(1);
    assert!(refused.stderr.contains("already"), "{}", refused.stderr);
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
}

#[test]
fn a_doubtful_capture_tells_what_to_weigh_and_one_of_chance_tells_what_would_help() {
    let home = Home::new();
    let pair = |weight: i64| format!("a{weight:06}:b{:06}\r\n", weight * 1_004 / 1_000);
    home.write("pair.jsonl", &lesson(pair));
    let told = teach(&home, &["--from", "pair.jsonl", "--json"]).with_code(1);
    assert!(
        told.stderr
            .contains("about 350 g on the pan would tell them apart"),
        "{}",
        told.stderr
    );
    let told: Value = serde_json::from_str(&told.stdout).unwrap();
    assert_eq!(told["outcome"], "doubtful");
    assert_eq!(told["weigh_g"], 350.0);
    home.write("same.jsonl", &lesson(|_| "always the same\r\n".to_owned()));
    let told = teach(&home, &["--from", "same.jsonl"]).with_code(1);
    assert!(told.stderr.contains("try: "), "{}", told.stderr);
    assert_eq!(told.stdout, "");
}

#[test]
fn a_capture_that_is_broken_or_lacks_its_notes_is_said_to() {
    let home = Home::new();
    let whole = lesson(|weight| format!("w={weight:06}#\r"));
    let cases = [
        (
            "nothing of the kind\n".to_owned(),
            1,
            "line 1: it does not begin as a capture does",
        ),
        (
            whole.replacen("\"bytes\"", "\"bites\"", 1),
            1,
            "line 4: it cannot be read",
        ),
        (
            whole.replace("\"pan\":\"", "\"pan\":\"-x"),
            1,
            "line 3: `-x",
        ),
        (
            whole.replace(",\"display\":\"g\"", ",\"packet\":\"\""),
            2,
            "--unit g",
        ),
        (
            whole.replace("\"pan\":\"0.00 g\"", "\"pan\":\"1 g\""),
            1,
            "nobody said when the pan was empty",
        ),
    ];
    for (text, code, words) in cases {
        home.write("broken.jsonl", &text);
        let told = teach(&home, &["--from", "broken.jsonl"]).with_code(code);
        assert!(told.stderr.contains(words), "{words}: {}", told.stderr);
        assert!(told.stderr.contains("try: "), "{}", told.stderr);
    }
    let told = teach(&home, &["--from", "nowhere.jsonl"]).with_code(1);
    assert!(
        told.stderr.contains("cannot read nowhere.jsonl"),
        "{}",
        told.stderr
    );
}
