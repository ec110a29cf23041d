//! The double of a scale is a scale: what a program reads at its link is what was done to its pan.

use std::fs::{self, File, OpenOptions};
use std::io::{ErrorKind, Read, Write};
use std::os::unix::fs::OpenOptionsExt;
use std::path::Path;

use rustix::fs::OFlags;
use serde_json::json;
use tarehand_tests::{Home, LIMIT, ScaleDouble, ScaleSetting, wait_for};

const GRAM: i64 = 1_000_000;

/// The program's end of the line, opened as a program with no terminal library opens it.
struct Terminal {
    file: File,
    seen: Vec<u8>,
}

impl Terminal {
    fn open(link: &Path) -> Self {
        let flags = OFlags::NOCTTY | OFlags::NONBLOCK;
        let file = OpenOptions::new()
            .read(true)
            .write(true)
            .custom_flags(i32::try_from(flags.bits()).unwrap())
            .open(link)
            .unwrap();
        Self {
            file,
            seen: Vec::new(),
        }
    }

    /// Waits until `wanted` was read, and forgets all up to its end.
    #[track_caller]
    fn wait_for(&mut self, wanted: &[u8]) {
        let what = format!("`{}`", wanted.escape_ascii());
        wait_for(&what, LIMIT, || {
            let mut buffer = [0; 1024];
            match self.file.read(&mut buffer) {
                Ok(count) => self.seen.extend(&buffer[..count]),
                Err(error) => assert_eq!(error.kind(), ErrorKind::WouldBlock, "{error}"),
            }
            let at = self
                .seen
                .windows(wanted.len())
                .position(|window| window == wanted)?;
            self.seen.drain(..at + wanted.len());
            Some(())
        });
    }

    /// Waits until reading says that the other end is gone.
    #[track_caller]
    fn wait_for_hang_up(&mut self) {
        wait_for("the hang-up", LIMIT, || {
            match self.file.read(&mut [0; 1024]) {
                Ok(0) => Some(()),
                Ok(_) => None,
                Err(error) => (error.kind() != ErrorKind::WouldBlock).then_some(()),
            }
        });
    }
}

/// A scale of 0.01 g whose time runs fast, and a program's end of its line.
fn scale(home: &Home, shape: &'static str) -> (ScaleDouble, Terminal) {
    let setting = ScaleSetting {
        shape,
        division: "0.01",
        speed: 10.0,
        ..ScaleSetting::default()
    };
    let double = ScaleDouble::start(&home.path().join("scale"), &setting);
    let terminal = Terminal::open(double.link());
    (double, terminal)
}

/// A jar of 50 g with 12.30 g in it stands still on the pan; `frame` comes.
#[track_caller]
fn check(shape: &'static str, frame: &[u8]) {
    let home = Home::new();
    let (mut scale, mut terminal) = scale(&home, shape);
    scale.load(50 * GRAM, 12_300_000);
    terminal.wait_for(frame);
}

#[test]
fn the_head_shape_comes_as_told() {
    check("head", b"ST,GS,+   62.30 g\r\n");
}

#[test]
fn the_status_shape_comes_as_told() {
    // STX, two decimals and step 1, nothing special, gram; the seven-bit sum with the check is 0 mod 128.
    check("status", b"\x02\x2c\x20\x21  6230     0\r\x29");
}

#[test]
fn the_polled_shape_comes_as_told() {
    check("polled", b"\n   62.30G\r00\x03");
}

#[test]
fn the_tagged_shape_comes_as_told() {
    check("tagged", b":W  62.30 gS \r");
}

#[test]
fn the_bare_shape_comes_as_told() {
    check("bare", b"62.30\r\n");
}

#[test]
fn the_steady_unit_shape_comes_as_told() {
    check("steady-unit", b"+   62.30 g  \r\n");
}

#[test]
fn a_pour_arrives_and_is_in_the_truth() {
    let home = Home::new();
    let (mut scale, mut terminal) = scale(&home, "head");
    scale.load(50 * GRAM, 0);
    terminal.wait_for(b"ST,GS,+   50.00 g\r\n");
    scale.pour(12_345_678, 5 * GRAM);
    terminal.wait_for(b"US,GS,");
    scale.wait_until_poured();
    terminal.wait_for(b"ST,GS,+   62.35 g\r\n");
    assert_eq!(scale.contents_ug(), 12_345_678);
}

#[test]
fn a_lifted_jar_leaves_nothing_and_comes_back_with_what_was_added_in_the_hand() {
    let home = Home::new();
    let (mut scale, mut terminal) = scale(&home, "head");
    scale.load(50 * GRAM, 0);
    terminal.wait_for(b"ST,GS,+   50.00 g\r\n");
    scale.lift();
    terminal.wait_for(b"ST,GS,+    0.00 g\r\n");
    scale.pour_at_once(5 * GRAM);
    scale.put_back();
    terminal.wait_for(b"ST,GS,+   55.00 g\r\n");
    assert_eq!(scale.truth()["pours"][0]["in_hand"], true);
}

#[test]
fn the_tare_key_makes_it_a_net_weight() {
    let home = Home::new();
    let (mut scale, mut terminal) = scale(&home, "head");
    scale.load(50 * GRAM, 0);
    terminal.wait_for(b"ST,GS,+   50.00 g\r\n");
    scale.press_tare();
    terminal.wait_for(b"ST,NT,+    0.00 g\r\n");
    scale.lift();
    terminal.wait_for(b"ST,NT,-   50.00 g\r\n");
}

#[test]
fn a_power_cycle_brings_a_banner_and_takes_the_jar_for_zero() {
    let home = Home::new();
    let (mut scale, mut terminal) = scale(&home, "head");
    scale.load(50 * GRAM, 0);
    terminal.wait_for(b"ST,GS,+   50.00 g\r\n");
    scale.power_cycle(1.0);
    terminal.wait_for(b"self test passed\r\n");
    terminal.wait_for(b"ST,GS,+    0.00 g\r\n");
}

#[test]
fn unplugging_hangs_up_and_replugging_speaks_under_the_same_link() {
    let home = Home::new();
    let (mut scale, mut terminal) = scale(&home, "head");
    terminal.wait_for(b"\r\n");
    let before = fs::read_link(scale.link()).unwrap();
    scale.unplug();
    terminal.wait_for_hang_up();
    assert!(fs::symlink_metadata(scale.link()).is_err());
    scale.replug();
    assert_ne!(fs::read_link(scale.link()).unwrap(), before);
    Terminal::open(scale.link()).wait_for(b"ST,GS,+    0.00 g\r\n");
}

#[test]
fn silence_is_silence_until_it_resumes() {
    let home = Home::new();
    let (mut scale, mut terminal) = scale(&home, "head");
    terminal.wait_for(b"\r\n");
    scale.silence();
    let sent = scale.truth()["sent_frames"].clone();
    scale.load(50 * GRAM, 0);
    // Garbage goes out although the scale is silent: what comes before it is all there was.
    scale.tell(&json!({"do": "garbage", "hex": "ff00"}));
    terminal.wait_for(b"\xff\x00");
    assert_eq!(scale.truth()["sent_frames"], sent);
    scale.resume();
    terminal.wait_for(b"ST,GS,+   50.00 g\r\n");
}

#[test]
fn what_a_program_sends_is_remembered() {
    let home = Home::new();
    let setting = ScaleSetting {
        shape: "polled",
        reports: "polled",
        division: "0.01",
        ..ScaleSetting::default()
    };
    let mut scale = ScaleDouble::start(&home.path().join("scale"), &setting);
    let mut terminal = Terminal::open(scale.link());
    terminal.file.write_all(b"W\r").unwrap();
    terminal.wait_for(b"0.00G\r");
    assert_eq!(scale.truth()["received_hex"], "570d");
}
