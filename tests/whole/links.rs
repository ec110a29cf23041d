//! The same weights come through every link as the same readings.
//!
//! | link | what plays the device | what reads it |
//! |---|---|---|
//! | serial | the double on a pseudo-terminal | the service |
//! | Bluetooth LE | the double of the system's service, on a bus of its own | the service |
//! | replay | a capture of lines, and one of packets | the service |
//! | USB | files as the kernel shows them, and a pipe for the node | the link itself: no process can be shown a device |

mod frames;
mod usb;

use serde_json::{Value, json};
use tarehand_tests::{Events, Home, LIMIT, ScaleDouble, ScaleSetting, Service, wait_for};

use self::frames::{Form, Given};
use crate::bench::SPEED;
use crate::bluetooth::bluez::{Offers, Scale};
use crate::bluetooth::station::{NAME, Station, own};

/// What lies on the pan, frame by frame.
const GIVEN: [Given; 8] = [
    Given::stable(0),
    Given::moving(123),
    Given::stable(123),
    Given::moving(1_842),
    Given::Over,
    Given::stable(1_842),
    Given::stable(20_000),
    Given::stable(5),
];

/// What each of them must be read as, through whatever link.
fn expected() -> Vec<Value> {
    let weight = |grams: f64, digits: &str, state: &str| json!({"gross_g": grams, "state": state, "unit": "g", "digits": digits});
    vec![
        weight(0.0, "0.0", "stable"),
        weight(12.3, "12.3", "moving"),
        weight(12.3, "12.3", "stable"),
        weight(184.2, "184.2", "moving"),
        json!({"gross_g": null, "state": "over", "unit": null, "digits": null}),
        weight(184.2, "184.2", "stable"),
        weight(2_000.0, "2000.0", "stable"),
        weight(0.5, "0.5", "stable"),
    ]
}

/// Gives the frames one by one, each when the one before was heard, and returns what was heard.
#[track_caller]
fn heard(readings: &mut Events, form: Form, mut give: impl FnMut(Vec<u8>)) -> Vec<Value> {
    let mut told = |given: Given| {
        give(form.frame(given));
        readings.wait_for("the reading", "reading", LIMIT, |line| {
            Some(what_counts(line))
        })
    };
    GIVEN.into_iter().map(&mut told).collect()
}

/// Of a reading, all but its age.
fn what_counts(line: &Value) -> Value {
    let of = |key: &str| line[key].clone();
    json!({"gross_g": of("gross_g"), "state": of("state"), "unit": of("unit"), "digits": of("digits")})
}

fn readings(service: &Service) -> Events {
    service.client().events("/v1/benches/bench/readings")
}

#[track_caller]
fn attach(service: &Service, body: &Value) {
    let path = "/v1/benches/bench/scale";
    let _view = service.client().put(path, body).with_status(200);
}

#[track_caller]
fn wait_for_scale(service: &Service, what: &str, is: impl Fn(&Value) -> bool) {
    let mut events = service.client().events("/v1/benches/bench/events");
    events.wait_for(what, "view", LIMIT, |view| is(&view["scale"]).then_some(()));
}

/// A line of a form, from the double that says nothing by itself.
#[track_caller]
fn by_serial(form: Form) -> Vec<Value> {
    let home = Home::new();
    let mut scale = ScaleDouble::start(&home.path().join("scale"), &ScaleSetting::default());
    scale.silence();
    let service = Service::start(&home, &[]);
    attach(
        &service,
        &json!({"port": scale.link(), "profile": form.profile("")}),
    );
    wait_for_scale(&service, "the line to be open", |scale| {
        scale["open"] == true
    });
    heard(&mut readings(&service), form, |frame| {
        let hex: String = frame.iter().map(|byte| format!("{byte:02x}")).collect();
        scale.tell(&json!({"do": "garbage", "hex": hex}));
    })
}

/// A capture in which the frames come a tenth of a second apart.
#[track_caller]
fn by_replay(form: Form) -> Vec<Value> {
    let home = Home::new();
    let mut text = "{\"capture\":1,\"device\":\"a pan\"}\n".to_owned();
    for (number, given) in GIVEN.into_iter().enumerate() {
        let hex: String = form
            .frame(given)
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        let (at_us, how) = ((number + 1) * 100_000, form.arrives());
        text += &format!("{{\"at_us\":{at_us},\"{how}\":\"{hex}\"}}\n");
    }
    let file = home.write("pan.capture", &text);
    let service = Service::start(&home, &["--clock-rate", &SPEED.to_string()]);
    // There must be a bench before anybody can listen to it, and nothing must have been played by then.
    attach(&service, &json!({"port": home.path().join("away")}));
    wait_for_scale(&service, "the bench", |scale| scale["open"] == false);
    let mut readings = readings(&service);
    attach(
        &service,
        &json!({"port": file, "profile": form.profile("")}),
    );
    heard(&mut readings, form, drop)
}

#[test]
fn lines_on_a_serial_port() {
    assert_eq!(by_serial(Form::Lines), expected());
}

#[test]
fn frames_of_bits_on_a_serial_port() {
    assert_eq!(by_serial(Form::CheckedBits), expected());
}

#[test]
fn packets_by_bluetooth() {
    let station = Station::with(vec![Scale::new(NAME, Offers::Own)]);
    station.bluez.scale(0, |scale| scale.mute = true);
    station.attach(NAME, Form::Packets.profile(&own()).as_deref());
    wait_for("the scale to be listened to", LIMIT, || {
        station.bluez.is_listened_to(0).then_some(())
    });
    let heard = heard(&mut readings(&station.service), Form::Packets, |frame| {
        station.bluez.report(0, &frame);
    });
    assert_eq!(heard, expected());
}

#[test]
fn lines_of_a_capture() {
    assert_eq!(by_replay(Form::Lines), expected());
}

#[test]
fn frames_of_bits_of_a_capture() {
    assert_eq!(by_replay(Form::CheckedBits), expected());
}

#[test]
fn packets_of_a_capture() {
    assert_eq!(by_replay(Form::Packets), expected());
}

#[test]
fn reports_of_a_usb_scale() {
    assert_eq!(usb::heard(&GIVEN), expected());
}
