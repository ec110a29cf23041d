//! What happens in the small machine. Each scene mixes a batch, and the record has every gram.

use std::fs::File;
use std::path::{Path, PathBuf};

use rustix::termios::{ControlModes, tcgetattr};
use serde_json::{Value, json};
use tarehand_tests::onlooker::{kinds, micrograms};
use tarehand_tests::window_pan::{self, own, profile};
use tarehand_tests::{LIMIT, Onlooker, wait_for};

use crate::gadget::NAME as USB_NAME;
use crate::machine::Machine;

/// A scene by what it proves.
pub(crate) type Scene = (&'static str, fn(&mut Machine));

pub(crate) const SCENES: &[Scene] = &[
    ("every scale of the machine is listed by its name", listed),
    (
        "a USB scale unplugged in mid-pour is found under another name, and nothing is lost",
        usb_unplugged,
    ),
    (
        "a serial scale unplugged in mid-pour is found under another name, and nothing is lost",
        serial_unplugged,
    ),
    (
        "a port is opened with seven bits and even parity",
        seven_bits,
    ),
    (
        "a scale whose radio goes off and on again loses nothing",
        scale_off,
    ),
    ("a batch outlives the Bluetooth service", service_killed),
    (
        "a batch outlives the machine's own radio",
        controller_unplugged,
    ),
];

const GRAM: i64 = 1_000_000;
const JAR_UG: i64 = 60 * GRAM;

/// Two additions, so that a scene is short.
const RECIPE: &str = "\
[recipe]
name   = \"Slate wash\"
makes  = \"60 g\"
within = \"0.5 g\"

[[step]]
add    = \"base\"
amount = \"40 g\"

[[step]]
add    = \"white\"
amount = \"20 g\"
";

/// Mixes a batch, with `fault` in the middle of its first pour, and looks at the record.
///
/// The fault returns when the scale is away, and ends when what it returns is called.
fn mix(machine: &mut Machine, attach: &Value, fault: impl FnOnce(&mut Machine, &Onlooker)) {
    machine.pan.clear();
    let at = machine.onlooker();
    at.attach(attach);
    let _scale = at.wait_open();
    at.wait_gross(0.0);
    let _view = at.open_batch("slate-wash", RECIPE);
    at.wait_doing("put-jar");
    machine.pan.load(JAR_UG);
    at.wait_doing("pour");
    machine.pan.pour(30 * GRAM, 30);
    at.wait_weight("the pour to run", |weight| {
        (10.0 <= weight["net_g"].as_f64()?).then_some(())
    });
    fault(machine, &at);
    let _scale = at.wait_open();
    at.wait_settled(30.0);
    let mut poured = 30 * GRAM;
    while let Some(wanted) = at.wait_wanted() {
        machine.pan.pour(wanted.ug, 15);
        poured += wanted.ug;
        at.wait_done(&wanted.step);
    }
    let record = at.record();
    let away = (micrograms(&record["in_jar_g"]) - poured).abs();
    assert!(away <= GRAM / 2, "{poured} µg went in: {record}");
    let unseen = micrograms(&record["contents"][0]["unseen_g"]);
    let seen = kinds(&record);
    let lost = seen.contains(&"scale-lost");
    assert!(
        !lost || (seen.contains(&"scale-back") && 0 < unseen),
        "what went in unseen is said to: {record}"
    );
    machine.pan.clear();
}

/// Waits until nothing is poured any more, so that the scale comes back to a jar at rest.
fn let_pour(machine: &Machine) {
    wait_for("the pour to end", LIMIT, || {
        (!machine.pan.pours()).then_some(())
    });
}

fn at_port(path: &Path) -> Value {
    json!({ "port": path })
}

fn by_radio() -> Value {
    json!({"radio": window_pan::NAME, "profile": profile(&own())})
}

fn listed(machine: &mut Machine) {
    let (usb, serial) = machine.gadget.plug();
    machine.peripheral.wake();
    let page = machine.person(&["scales"]);
    for said in [
        usb.to_str().unwrap(),
        serial.to_str().unwrap(),
        USB_NAME,
        window_pan::NAME,
    ] {
        assert!(page.contains(said), "`{said}` is not in:\n{page}");
    }
}

fn usb_unplugged(machine: &mut Machine) {
    let (usb, _) = machine.gadget.plug();
    mix(machine, &at_port(&usb), |machine, at| {
        replug(machine, at, &usb)
    });
}

fn serial_unplugged(machine: &mut Machine) {
    let (_, serial) = machine.gadget.plug();
    mix(machine, &at_port(&serial), |machine, at| {
        replug(machine, at, &serial)
    });
}

/// Unplugs the device for as long as the pour runs; somebody holds its node, so that the name is taken when it is back.
fn replug(machine: &mut Machine, at: &Onlooker, node: &PathBuf) {
    let held = File::open(node).unwrap();
    machine.gadget.unplug();
    at.wait_trouble("");
    let_pour(machine);
    let (usb, serial) = machine.gadget.plug();
    assert!(
        usb != *node && serial != *node,
        "{} has its old name",
        node.display()
    );
    drop(held);
}

fn seven_bits(machine: &mut Machine) {
    let (_, serial) = machine.gadget.plug();
    let attach = json!({
        "port": serial,
        "profile": "name = \"seven bits\"\n[serial]\nspeed = 9600\ndata = 7\nparity = \"even\"\n",
    });
    mix(machine, &attach, |_, _| {
        let line = File::open(&serial).unwrap();
        let modes = tcgetattr(&line).unwrap().control_modes;
        assert!(
            modes.contains(ControlModes::CS7 | ControlModes::PARENB)
                && !modes.intersects(ControlModes::PARODD)
                && !modes.contains(ControlModes::CS8),
            "the port was opened with {modes:?}"
        );
    });
}

fn scale_off(machine: &mut Machine) {
    machine.peripheral.wake();
    mix(machine, &by_radio(), |machine, at| {
        machine.radio.power_theirs(false);
        machine.peripheral.sleep();
        at.wait_trouble("");
        let_pour(machine);
        machine.radio.power_theirs(true);
        machine.peripheral.wake();
    });
}

fn service_killed(machine: &mut Machine) {
    machine.peripheral.wake();
    mix(machine, &by_radio(), |machine, at| {
        machine.radio.crash();
        machine.peripheral.sleep();
        at.wait_trouble("");
        let_pour(machine);
        machine.radio.come_back();
        machine.peripheral.wake();
    });
}

fn controller_unplugged(machine: &mut Machine) {
    machine.peripheral.wake();
    mix(machine, &by_radio(), |machine, at| {
        machine.radio.unplug();
        machine.peripheral.sleep();
        at.wait_trouble("");
        let_pour(machine);
        machine.radio.plug();
        machine.radio.wait_on();
        machine.peripheral.wake();
    });
}
