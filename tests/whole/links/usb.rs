//! A USB scale made of files, and the link that reads it.

use std::fs::{self, File};
use std::io::Write as _;
use std::path::Path;
use std::thread;

use serde_json::{Value, json};
use tarehand_mixing::Tick;
use tarehand_protocol::scale::hid::Reports;
use tarehand_protocol::scale::{Decoded, Decoder};
use tarehand_protocol::{Motion, NoWeight, Reading, Sent};
use tarehandd::clock::Clock;
use tarehandd::links::hid::{HidLink, Machine, Wanted};
use tarehandd::links::{Link, LinkEvent};
use tokio::sync::mpsc;
use tokio_util::sync::CancellationToken;

use super::frames::Given;

/// A weighing device by the standard's usages: id 3, then status, unit, scaling, weight (HID Point of Sale usage tables).
const DESCRIPTOR: &[u8] = &[
    0x05, 0x8d, 0x09, 0x20, 0xa1, 0x01, 0x85, 0x03, 0x15, 0x00, 0x75, 0x08, 0x95, 0x01, 0x09, 0x70,
    0x81, 0x02, 0x09, 0x50, 0x81, 0x02, 0x15, 0x80, 0x09, 0x41, 0x81, 0x02, 0x15, 0x00, 0x75, 0x10,
    0x09, 0x40, 0x81, 0x02, 0xc0,
];
const KEY: &str = "hid:1209:0001:0042";

/// Plugs it in, sends a report for each, and returns what is read.
pub(crate) fn heard(given: &[Given]) -> Vec<Value> {
    let folder = tempfile::tempdir().unwrap();
    let (machine, path) = plugged(folder.path());
    let (events, mut told) = mpsc::channel(64);
    let stop = CancellationToken::new();
    let link = Box::new(HidLink::new(Wanted::Key(KEY.to_owned())).on(machine));
    let (clock, token) = (Clock::starting_at(Tick::ZERO, 1.0), stop.clone());
    let running = thread::spawn(move || link.run(clock, events, token));
    let mut node = File::options().write(true).open(path).unwrap();
    let mut decoder = None;
    let mut all = Vec::new();
    while all.len() < given.len() {
        match told.blocking_recv().expect("the link runs") {
            LinkEvent::Described { descriptor } => {
                decoder = Some(Decoder::reports(Reports::find(&descriptor).unwrap()));
                node.write_all(&report(given[0])).unwrap();
            }
            LinkEvent::Packet { bytes, .. } => {
                let decoder = decoder.as_mut().expect("it was described");
                decoder.packet(&bytes, &mut |decoded| all.push(line(&decoded)));
                // One report a call, as the kernel hands them over.
                if let Some(&next) = given.get(all.len()) {
                    node.write_all(&report(next)).unwrap();
                }
            }
            LinkEvent::Opened { key, .. } => assert_eq!(key, KEY),
            other => panic!("{other:?}"),
        }
    }
    stop.cancel();
    running.join().unwrap();
    all
}

/// Shows it as the kernel does; its node is a pipe.
fn plugged(folder: &Path) -> (Machine, std::path::PathBuf) {
    let machine = Machine {
        class: folder.join("class"),
        nodes: folder.join("dev"),
    };
    let device = machine.class.join("hidraw0/device");
    fs::create_dir_all(&device).unwrap();
    fs::create_dir_all(&machine.nodes).unwrap();
    let words = "HID_ID=0003:00001209:00000001\nHID_NAME=Trial Scale\nHID_UNIQ=0042\n";
    fs::write(device.join("uevent"), words).unwrap();
    fs::write(device.join("report_descriptor"), DESCRIPTOR).unwrap();
    let path = machine.nodes.join("hidraw0");
    let made = std::process::Command::new("mkfifo").arg(&path).status();
    assert!(made.unwrap().success());
    (machine, path)
}

/// Status, grams, tenths of them, the weight.
fn report(given: Given) -> Vec<u8> {
    let (status, tenths) = match given {
        Given::Over => (6, 0),
        Given::Weight {
            moving: true,
            tenths,
        } => (3, tenths),
        Given::Weight {
            moving: false,
            tenths,
        } => (4, tenths),
    };
    let [low, high] = tenths.to_le_bytes();
    vec![3, status, 2, 0xff, low, high]
}

/// Says of a reading what the service would.
fn line(decoded: &Decoded) -> Value {
    match decoded {
        Decoded::Reading(Reading::Weight(weighed)) => {
            let Sent::Single(digits, unit) = weighed.sent else {
                panic!("{weighed:?}");
            };
            let state = match weighed.motion {
                Motion::Stable => "stable",
                Motion::Moving => "moving",
                Motion::Unknown => "unknown",
            };
            json!({
                "gross_g": weighed.gross.grams(),
                "state": state,
                "unit": unit.to_string(),
                "digits": digits.to_string(),
            })
        }
        Decoded::Reading(Reading::NoWeight(NoWeight::Over)) => {
            json!({"gross_g": null, "state": "over", "unit": null, "digits": null})
        }
        other => panic!("{other:?}"),
    }
}
