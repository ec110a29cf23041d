//! `tarehand watch`: lines people could not read, through the real program, alone and told.
//!
//! The bytes and their sources stand in `protocol/tests/scale/questions.rs`; here it is proved that they come through.

use std::fs;
use std::process::Stdio;

use rustix::process::Signal;
use serde_json::{Value, json};
use tarehand_tests::binaries::repository;
use tarehand_tests::{Home, LIMIT, Running, ScaleDouble, ScaleSetting, Service, run, wait_for};

/// So many looks at what was said without news, and the bytes are sent again: the first came before anybody listened.
const LOOKS: u32 = 150;

/// Scales that say only what they are told to, each at a link of its own: what was told about one is kept.
struct Shop {
    home: Home,
    service: Service,
    links: u32,
}

impl Shop {
    fn open() -> Self {
        let home = Home::new();
        let service = Service::start(&home, &[]);
        Self {
            home,
            service,
            links: 0,
        }
    }

    fn scale(&mut self) -> ScaleDouble {
        self.links += 1;
        let link = self.home.path().join(format!("scale-{}", self.links));
        let mut scale = ScaleDouble::start(&link, &ScaleSetting::default());
        scale.silence();
        scale
    }

    fn watch(&self, scale: &ScaleDouble, flags: &[&str]) -> Running {
        let mut command = self.home.tarehand(&["watch", "--json", "--port"]);
        command.arg(scale.link()).args(flags);
        Running::start(&mut command, Stdio::null())
    }

    /// These bytes give these readings, one line each.
    #[track_caller]
    fn check(&mut self, flags: &[&str], bytes: &[u8], expect: &[&str]) {
        let mut scale = self.scale();
        let watch = self.watch(&scale, flags);
        let hex: String = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
        let mut looks = 0;
        let mut last = Vec::new();
        // An end of a line first: a program that opens a line hears the rest of the frame that runs.
        let send = json!({"do": "garbage", "hex": format!("0d0a{hex}")});
        let seen = tarehand_tests::wait::wait_until(LIMIT / 4, || {
            if looks % LOOKS == 0 {
                scale.tell(&send);
            }
            looks += 1;
            last = lines(&watch).iter().map(told).collect();
            let found = last.windows(expect.len()).any(|window| window == expect);
            found.then_some(())
        });
        assert!(
            seen.is_some(),
            "{flags:?} of `{}` gave {last:#?}, not {expect:#?}; {}",
            bytes.escape_ascii(),
            watch.said().1
        );
        watch.signal(Signal::INT);
        let _done = watch.finish(LIMIT).with_code(0);
    }
}

fn lines(watch: &Running) -> Vec<Value> {
    let (stdout, _) = watch.said();
    let whole = stdout.rfind('\n').map_or("", |end| &stdout[..end]);
    whole
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

/// Tells a reading in short: the grams or `null`, the state, and the bytes where they were rejected.
fn told(reading: &Value) -> String {
    let state = reading["state"].as_str().unwrap();
    let gross = reading["gross_g"]
        .as_f64()
        .map_or_else(|| "null".to_owned(), |gross| gross.to_string());
    match reading["raw"].as_str() {
        Some(raw) => {
            assert!(reading["why"].is_string(), "{reading}");
            format!("{gross} {state} {raw}")
        }
        None => format!("{gross} {state}"),
    }
}

fn profile(name: &str) -> String {
    let path = repository().join(format!("fixtures/scale/{name}.toml"));
    path.to_str().unwrap().to_owned()
}

#[test]
fn a_line_with_a_shape_of_its_own_is_read_without_being_told() {
    let mut shop = Shop::open();
    let labelled = b"Reading: 0.00 kg calibration_factor: 1000.00\r\n";
    shop.check(&[], labelled, &["0 unknown"]);
    shop.check(&[], b"nan\r\n", &["null fault"]);
    shop.check(&["--unit", "g"], b"nan\r\n", &["null fault"]);
    shop.check(&[], b"D NEG.\r\n", &["null under"]);
    shop.check(
        &[],
        b"ST,GS,+   12.30 g\r\nOL,GS,+\r\n",
        &["12.3 stable", "null over"],
    );
}

#[test]
fn bare_numbers_are_no_weight_until_their_unit_is_told() {
    let mut shop = Shop::open();
    let spiky = b"170.95\r\n-143.37\r\n171.36\r\n";
    let raw = [
        "null rejected 31 37 30 2e 39 35",
        "null rejected 2d 31 34 33 2e 33 37",
        "null rejected 31 37 31 2e 33 36",
    ];
    shop.check(&[], spiky, &raw);
    let read = ["170.95 unknown", "-143.37 unknown", "171.36 unknown"];
    shop.check(&["--unit", "g"], spiky, &read);
    let padded = b"001.123\r001,123\r";
    let raw = [
        "null rejected 30 30 31 2e 31 32 33",
        "null rejected 30 30 31 2c 31 32 33",
    ];
    shop.check(&[], padded, &raw);
    shop.check(&["--unit", "kg"], padded, &["1123 unknown", "1123 unknown"]);
}

#[test]
fn a_profile_reads_what_nobody_can_know() {
    let mut shop = Shop::open();
    let odd = [
        0x20, 0x20, 0xb0, 0xae, 0xb0, 0xb0, 0x20, 0x6b, 0x67, 0x20, 0x0d, 0x8a,
    ];
    shop.check(
        &["--profile", &profile("seven-bits-odd")],
        &odd,
        &["0 unknown"],
    );
    let two = b"34.78,2.30\r\n170.57,2.60\r\n";
    let raw = [
        "null rejected 33 34 2e 37 38 2c 32 2e 33 30",
        "null rejected 31 37 30 2e 35 37 2c 32 2e 36 30",
    ];
    shop.check(&[], two, &raw);
    let first = profile("numbers-first");
    shop.check(
        &["--profile", &first],
        two,
        &["34.78 unknown", "170.57 unknown"],
    );
    let silent = b"\x02\x20\x20\x20\x20\x20\x20350\x20\x20\x20350\r";
    shop.check(
        &["--profile", &profile("status-bytes-silent")],
        silent,
        &["3500 stable"],
    );
    let over = profile("zero-when-over");
    shop.check(
        &["--profile", &over],
        b"29.500\r\n00.000\r\n",
        &["29500 unknown", "null over"],
    );
}

#[test]
fn frames_with_a_check_are_read_whole_or_not_at_all() {
    let mut shop = Shop::open();
    let torn = b"03301B+00003301B+000033+00003301B+";
    let expect = [
        "33 unknown",
        "null rejected 2b 30 30 30 30 33 33",
        "33 unknown",
    ];
    shop.check(&["--profile", &profile("signed-xor-hex")], torn, &expect);
    let wrong = b"+00015511;+00005011>";
    let expect = [
        "15.5 unknown",
        "null rejected 2b 30 30 30 30 35 30 31 31 3e",
    ];
    shop.check(
        &["--profile", &profile("signed-xor-nibbles")],
        wrong,
        &expect,
    );
}

#[test]
fn a_word_in_place_of_a_number_is_never_a_weight() {
    let mut shop = Shop::open();
    let bytes = b"    0.00      ?\r\n    0.40      ?G  \r\nES\r\n";
    let question = profile("question-mark");
    let expect = ["0 moving", "400 moving", "null fault"];
    shop.check(&["--profile", &question], bytes, &expect);
    shop.check(&[], b"ES\r\n", &["null rejected 45 53"]);
    let hidden = b"???s.R?0?\r\n";
    let raw = ["null rejected 3f 3f 3f 73 2e 52 3f 30 3f"];
    shop.check(&[], hidden, &raw);
    shop.check(&["--unit", "g"], hidden, &raw);
}

// github.com/serialport/node-serialport/issues/1385.
#[test]
fn a_weight_that_comes_in_three_pieces_is_one_reading() {
    let mut shop = Shop::open();
    let mut scale = shop.scale();
    let watch = shop.watch(&scale, &[]);
    wait_for("somebody who listens", LIMIT, || {
        scale.tell(&json!({"do": "garbage", "hex": "45530d0a"}));
        (!lines(&watch).is_empty()).then_some(())
    });
    for hex in ["20203132", "332e34", "20670d0a"] {
        scale.tell(&json!({"do": "garbage", "hex": hex}));
    }
    let news = wait_for("the weight", LIMIT, || {
        let told: Vec<String> = lines(&watch).iter().map(told).collect();
        told.contains(&"123.4 unknown".to_owned()).then_some(told)
    });
    let others = news.iter().filter(|line| *line != "null rejected 45 53");
    assert_eq!(others.count(), 1, "{news:?}");
}

#[test]
fn a_told_unit_is_kept_for_the_scale_also_over_a_restart() {
    let home = Home::new();
    let setting = ScaleSetting {
        shape: "bare",
        ..ScaleSetting::default()
    };
    let scale = ScaleDouble::start(&home.path().join("scale"), &setting);
    let link = scale.link().to_str().unwrap().to_owned();
    let watch = |flags: &[&str]| {
        let arguments = ["watch", "--json", "--count", "2", "--port", &link];
        let told = run(home.tarehand(&arguments).args(flags), "", LIMIT).good();
        told.lines()
            .map(|line| serde_json::from_str(line).unwrap())
            .collect::<Vec<Value>>()
    };
    let service = Service::start(&home, &[]);
    let before = watch(&[]);
    assert_eq!(before.len(), 2, "as many as were asked for");
    assert_eq!(before[1]["gross_g"], Value::Null);
    assert!(before[1]["hint"].as_str().unwrap().contains("--unit"));
    assert_eq!(watch(&["--unit", "oz"])[1]["unit"], "oz");
    assert_eq!(watch(&[])[1]["unit"], "oz");
    let _stopped = service.terminate(LIMIT).with_code(0);
    let _service = Service::start(&home, &[]);
    assert_eq!(watch(&[])[1]["unit"], "oz");
}

#[test]
fn ten_megabytes_without_an_end_of_a_line_are_one_rejection_in_bounded_memory() {
    let mut shop = Shop::open();
    let mut scale = shop.scale();
    let watch = shop.watch(&scale, &[]);
    wait_for("somebody who listens", LIMIT, || {
        scale.tell(&json!({"do": "garbage", "hex": "45530d0a"}));
        (!lines(&watch).is_empty()).then_some(())
    });
    let resident_kb = || {
        let pid = shop.service.process().pid().as_raw_nonzero();
        let status = fs::read_to_string(format!("/proc/{pid}/status")).unwrap();
        let line = status.lines().find(|line| line.starts_with("VmRSS:"));
        let words = line.unwrap().split_whitespace().nth(1).unwrap();
        words.parse::<u64>().unwrap()
    };
    let before = resident_kb();
    scale.tell(&json!({"do": "flood", "hex": "37", "bytes": 10_000_000}));
    scale.tell(&json!({"do": "garbage", "hex": "0d0a20312e3520670d0a"}));
    let news = wait_for("the line after the flood", LIMIT, || {
        let lines = lines(&watch);
        let last = lines.iter().any(|line| told(line) == "1.5 unknown");
        last.then_some(lines)
    });
    let grown = resident_kb().saturating_sub(before);
    assert!(grown < 4_096, "{grown} kB more than before");
    let long = news.iter().filter(|line| {
        let raw = line["raw"].as_str().unwrap_or_default();
        raw.starts_with("37 37")
    });
    assert_eq!(long.count(), 1, "{news:?}");
}

#[test]
fn a_port_that_is_not_there_is_said_at_once_and_so_is_its_return() {
    let home = Home::new();
    let _service = Service::start(&home, &[]);
    let link = home.path().join("scale");
    let mut command = home.tarehand(&["watch", "--json", "--port"]);
    let watch = Running::start(command.arg(&link), Stdio::null());
    let messages = |count: usize| {
        wait_for("a message", LIMIT, || {
            let (_, messages) = watch.said();
            let lines: Vec<String> = messages.lines().map(str::to_owned).collect();
            (count <= lines.len()).then_some(lines)
        })
    };
    // The first of all: not after a silence that makes one wonder.
    let missing = format!(
        "trouble: scale: no scale at `{}`: plug the scale in and switch it on; it is found by itself",
        link.display()
    );
    assert_eq!(messages(1), [missing.as_str()]);
    let mut scale = ScaleDouble::start(&link, &ScaleSetting::default());
    assert_eq!(messages(2)[1], "all well again");
    wait_for("a reading", LIMIT, || {
        (!lines(&watch).is_empty()).then_some(())
    });
    scale.unplug();
    let last = messages(3).remove(2);
    assert!(
        last.starts_with("trouble: scale: the scale at ")
            && last.contains("was unplugged or switched off"),
        "{last}"
    );
    scale.replug();
    assert_eq!(messages(4)[3..], ["all well again"]);
    watch.signal(Signal::INT);
    let _done = watch.finish(LIMIT).with_code(0);
}
