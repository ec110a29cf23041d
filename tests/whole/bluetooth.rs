//! Scales on Bluetooth LE, at a double of the Bluetooth service on a bus of its own.

#[expect(
    clippy::significant_drop_tightening,
    reason = "what is locked is locked for one step of the double, signals included"
)]
pub(crate) mod bluez;
pub(crate) mod station;

use std::os::unix::net::UnixListener;
use std::path::Path;
use std::process::Stdio;
use std::time::Duration;

use serde_json::Value;
use tarehand_tests::{Home, LIMIT, Running, Service, run, wait_for};

use self::bluez::{Connects, Offers, Scale, address};
use self::station::{NAME, Station, own, profile};
use crate::bench::{JAR_UG, fixture, kinds, micrograms};
use crate::teach::Talk;

const GRAM: i64 = 1_000_000;
/// Far less than the library's own 25 s.
const GIVEN_UP: Duration = Duration::from_secs(12);

/// The grams of the jar's contents, as the record tells them.
#[track_caller]
fn in_jar(record: &Value) -> i64 {
    micrograms(&record["in_jar_g"])
}

#[test]
fn a_scale_found_by_its_name_is_started_and_mixes_a_batch() {
    let station = Station::new();
    station.hear();
    assert_eq!(
        station.bluez.scale(0, |scale| scale.written.clone()),
        [b"GO"]
    );
    station.open("quarry-green");
    station.put_jar();
    let poured = station.pour_rest();
    let record = station.record();
    let away = (in_jar(&record) - poured).abs();
    assert!(away <= 5 * GRAM / 10, "{poured} µg went in: {record}");
}

#[test]
fn a_radio_scale_of_which_only_the_place_of_its_weight_is_known_is_taught() {
    let station = Station::new();
    let text = format!("name = \"window pan\"\n[bluetooth]\n{}", own());
    let profile = station.home.write("radio.toml", &text);
    let mut teach = station.home.tarehand(&["scales", "teach", "--profile"]);
    let mut talk = Talk::begin(teach.arg(profile));
    talk.is_told("In which unit");
    talk.says("");
    talk.is_told("Take everything off the pan");
    talk.says("");
    let tenth = GRAM / 10;
    for (more, said) in [(1_034, "103.4"), (1_483, "251.7"), (2_285, "480.2")] {
        talk.is_told("Type what it weighs");
        station.bluez.load(more * tenth);
        talk.says(said);
    }
    talk.is_told("Take everything off the pan");
    station.bluez.load(-4_802 * tenth);
    talk.says("");
    talk.is_told("Press the pan");
    talk.says("");
    station.bluez.pour(400 * GRAM, 200);
    talk.is_told("less than zero");
    talk.says("n");
    talk.is_told("Found, because");
    talk.is_told("Now the proof");
    station.bluez.load(-200 * GRAM);
    talk.says("200");
    talk.is_told("it holds");
    let told = talk.ends_with(0);
    let taught = std::fs::read_to_string(told.stdout.trim()).unwrap();
    assert!(
        taught.contains("length = 5") && taught.contains("[bluetooth]"),
        "{taught}"
    );
    station.wait_gross(200.0);
}

#[test]
fn a_link_lost_in_mid_pour_loses_nothing_and_what_nobody_saw_is_found() {
    let station = Station::new();
    station.hear();
    station.open("quarry-green");
    station.put_jar();
    station.bluez.pour(30 * GRAM, 20);
    station.wait_settled(30.0);
    station.bluez.pour(40 * GRAM, 100);
    station.wait_weight("the pour to run", |weight| {
        (36.0 <= weight["net_g"].as_f64()?).then_some(())
    });
    station.bluez.lose(0);
    let hint = station.wait_trouble("is lost");
    assert!(hint.contains("wake it"), "{hint}");
    station.wait_weight("no weight", |weight| {
        weight["gross_g"].is_null().then_some(())
    });
    wait_for("the pour to end", LIMIT, || {
        (station.bluez.with(|world| world.to_pour_ug) == 0).then_some(())
    });
    station.bluez.scale(0, |scale| scale.awake = true);
    station.wait_settled(70.0);
    let poured = 70 * GRAM + station.pour_rest();
    let record = station.record();
    let away = (in_jar(&record) - poured).abs();
    assert!(away <= 5 * GRAM / 10, "{poured} µg went in: {record}");
    let unseen = micrograms(&record["contents"][0]["unseen_g"]);
    assert!(25 * GRAM <= unseen, "{record}");
    let seen = kinds(&record);
    assert!(
        seen.contains(&"scale-lost") && seen.contains(&"scale-back"),
        "{seen:?}"
    );
}

#[test]
fn a_value_kept_from_before_the_gap_is_not_the_weight_now() {
    let station = Station::new();
    station.bluez.scale(0, |scale| scale.replays = true);
    station.bluez.load(30 * GRAM);
    station.hear();
    station.wait_gross(30.0);
    let mut events = station.events();
    station.bluez.lose(0);
    events.wait_for("no weight", "weight", LIMIT, |weight| {
        weight["gross_g"].is_null().then_some(())
    });
    station.bluez.load(40 * GRAM);
    station.bluez.scale(0, |scale| scale.awake = true);
    let first = events.wait_for("a weight", "weight", LIMIT, |weight| {
        weight["gross_g"].as_f64()
    });
    assert_eq!(first.to_string(), "70");
}

#[test]
fn a_notification_seen_twice_is_one_reading() {
    let station = Station::new();
    station.bluez.scale(0, |scale| scale.twice = true);
    station.hear();
    // Each value is sent twice and is another one than before.
    station.bluez.pour(300 * GRAM, 300);
    let client = station.service.client();
    let mut readings = client.events("/v1/benches/bench/readings");
    let mut heard: Vec<f64> = Vec::new();
    readings.wait_for("40 readings", "reading", LIMIT, |reading| {
        heard.push(reading["gross_g"].as_f64()?);
        (40 <= heard.len()).then_some(())
    });
    let doubles = heard
        .windows(2)
        .filter(|pair| pair[0].total_cmp(&pair[1]).is_eq());
    // On a busy machine the double itself may pause between the two.
    assert!(doubles.count() <= 8, "{heard:?}");
}

#[test]
fn a_scale_that_refuses_is_said_to_and_taken_when_it_lets_us() {
    let station = Station::new();
    station
        .bluez
        .scale(0, |scale| scale.connects = Connects::Refuses);
    station.attach(NAME, Some(&profile(&own())));
    let hint = station.wait_trouble("refuses to be connected");
    assert!(hint.contains("phone"), "{hint}");
    station
        .bluez
        .scale(0, |scale| scale.connects = Connects::Well);
    station.wait_open();
}

#[test]
fn a_connect_that_hangs_is_given_up_and_the_next_one_is_not_refused_for_it() {
    let station = Station::new();
    station
        .bluez
        .scale(0, |scale| scale.connects = Connects::Hangs);
    station.attach(&address(0), Some(&profile(&own())));
    station.wait_trouble("does not answer");
    station
        .bluez
        .scale(0, |scale| scale.connects = Connects::Well);
    station.wait_open();
}

#[test]
fn a_scale_that_says_nothing_is_gone_and_back_when_it_speaks() {
    let station = Station::new();
    station.bluez.scale(0, |scale| scale.mute = true);
    station.attach(&address(0), Some(&profile(&own())));
    let hint = station.wait_trouble("connected, but says nothing");
    assert!(hint.contains("`start`"), "{hint}");
    station.bluez.scale(0, |scale| scale.mute = false);
    station.wait_open();
    station.bluez.scale(0, |scale| scale.mute = true);
    station.wait_trouble("heard no more");
    station.bluez.scale(0, |scale| scale.mute = false);
    station.wait_open();
}

#[test]
fn a_radio_that_is_switched_off_is_said_to_be_and_never_switched_on() {
    let station = Station::new();
    station.bluez.power(false);
    station.attach(NAME, Some(&profile(&own())));
    let hint = station.wait_trouble("switched off");
    assert!(hint.contains("never switched on for you"), "{hint}");
    let listed = list(&station);
    assert!(listed.contains("radio is switched off"), "{listed}");
    station.bluez.power(true);
    station.wait_open();
    station.bluez.power(false);
    station.wait_trouble("switched off");
    station.bluez.power(true);
    station.wait_open();
    assert_eq!(station.bluez.with(|world| world.switched_on), 0);
}

#[test]
fn a_device_that_the_service_forgets_is_looked_for_again() {
    let station = Station::new();
    station.hear();
    station.bluez.scale(0, |scale| scale.awake = false);
    station.bluez.forget(0);
    station.wait_trouble("forgotten");
    station.bluez.scale(0, |scale| scale.awake = true);
    station.wait_open();
}

#[test]
fn a_bluetooth_service_that_is_gone_is_said_to_be_and_used_when_it_is_back() {
    let mut station = Station::new();
    station.hear();
    station.bluez.crash();
    let hint = station.wait_trouble("no Bluetooth service runs");
    assert!(hint.contains("systemctl start bluetooth"), "{hint}");
    station.bluez.come_back();
    station.wait_open();
}

#[test]
fn a_bus_that_dies_is_opened_anew_when_it_is_back() {
    let mut station = Station::new();
    station.hear();
    station.bus.die();
    station.wait_trouble("");
    station.bluez.crash();
    station.bus.come_back();
    station.bluez.come_back();
    station.wait_open();
}

// The library would wait 25 s for it, and nothing could end that.
#[test]
fn a_bus_that_accepts_and_never_answers_is_given_up_within_seconds() {
    let home = Home::new();
    let stuck = UnixListener::bind(home.path().join("bus")).unwrap();
    let mut command = Service::command(&home);
    command.env(
        "DBUS_SYSTEM_BUS_ADDRESS",
        format!("unix:path={}", home.path().join("bus").display()),
    );
    let service = Service::start_command(&home, &mut command);
    let listed = run(&mut home.tarehand(&["scales"]), "", GIVEN_UP).good();
    let said = "the system's message bus does not answer";
    assert!(listed.contains(said), "{listed}");
    let _ended = service.terminate(LIMIT).with_code(0);
    drop(stuck);
}

// Else it stays connected, drains its battery, and no other program gets it.
#[test]
fn a_service_that_ends_lets_the_scale_go() {
    let station = Station::new();
    station.hear();
    let Station {
        service,
        bluez,
        bus,
        home,
        ..
    } = station;
    let _ended = service.terminate(LIMIT).with_code(0);
    wait_for("the scale to be free", LIMIT, || {
        (!bluez.is_connected(0)).then_some(())
    });
    drop((bluez, bus, home));
}

#[test]
fn of_two_scales_of_one_name_the_address_is_asked_for() {
    let scales = vec![Scale::new(NAME, Offers::Own); 2];
    let station = Station::with(scales);
    station.attach(NAME, Some(&profile(&own())));
    let hint = station.wait_trouble(&format!("{}, {}", address(0), address(1)));
    assert!(hint.contains(&format!("--radio {}", address(0))), "{hint}");
    station.attach(&address(1), Some(&profile(&own())));
    station.wait_open();
    assert!(station.bluez.is_listened_to(1) && !station.bluez.is_listened_to(0));
}

#[test]
fn a_scale_asleep_is_said_to_be_and_taken_when_it_wakes() {
    let station = Station::new();
    station.bluez.scale(0, |scale| scale.awake = false);
    station.attach(NAME, Some(&profile(&own())));
    let hint = station.wait_trouble("not in reach, or asleep");
    assert!(hint.contains("press a key"), "{hint}");
    station.bluez.scale(0, |scale| scale.awake = true);
    station.wait_open();
}

// The bytes: 0x01f4 steps of 0.005 kg (GATT Specification Supplement, Weight Measurement).
#[test]
fn the_open_weight_scale_service_needs_no_profile_and_is_said_to_be_coarse() {
    let station = Station::with(vec![Scale::new("Floor plate", Offers::WeightScale)]);
    station.attach(&address(0), None);
    let scale = station.wait_open();
    let scale = if scale["battery_percent"].is_null() {
        station.wait("the battery", |view| {
            (view["scale"]["battery_percent"] == 80).then(|| view["scale"].clone())
        })
    } else {
        scale
    };
    assert_eq!(scale["division_g"], 10.0, "{scale}");
    let remark = scale["remark"].as_str().unwrap();
    assert!(remark.contains("steps of 5 g at best"), "{remark}");
    let mut events = station.events();
    station.bluez.report(0, &[0x00, 0xf4, 0x01]);
    events.wait_for(
        "2.5 kg, settled by its one report",
        "weight",
        LIMIT,
        |weight| (weight["gross_g"] == 2500.0).then_some(()),
    );
}

#[test]
fn a_weight_that_is_called_out_is_read_without_a_connection() {
    let station = Station::with(vec![Scale::new(NAME, Offers::CalledOut)]);
    station.bluez.load(12 * GRAM);
    station.attach(NAME, Some(&profile("manufacturer = 0xffff\n")));
    station.wait_gross(12.0);
    assert_eq!(station.bluez.scale(0, |scale| scale.connections), 0);
    station.bluez.scale(0, |scale| scale.awake = false);
    station.wait_trouble("heard no more");
    station.bluez.scale(0, |scale| scale.awake = true);
    station.wait_open();
}

/// Lists the scales by the command line.
#[track_caller]
fn list(station: &Station) -> String {
    run(&mut station.home.tarehand(&["scales"]), "", LIMIT).good()
}

#[test]
fn what_is_in_reach_is_listed_and_what_is_only_remembered_too() {
    let scales = vec![
        Scale::new("Floor plate", Offers::WeightScale),
        Scale::new(NAME, Offers::Own),
    ];
    let station = Station::with(scales);
    let listed = list(&station);
    let line = |listed: &str, scale: usize| {
        let mut lines = listed.lines();
        let line = lines.find(|line| line.contains(&address(scale)));
        line.unwrap_or_default().to_owned()
    };
    assert!(
        line(&listed, 0).contains("known as the open Weight Scale Service"),
        "{listed}"
    );
    assert!(line(&listed, 1).contains("-52 dBm"), "{listed}");
    // Once it was attached it is known by its profile, also when it sleeps.
    station.attach(&address(1), Some(&profile(&own())));
    station.wait_open();
    let listed = list(&station);
    assert!(line(&listed, 1).contains("read by bench"), "{listed}");
    station.bluez.scale(1, |scale| scale.awake = false);
    station.bluez.forget(1);
    station.wait_trouble("");
    let listed = list(&station);
    let far = line(&listed, 1);
    assert!(
        far.contains("asleep") && far.contains("known as window pan"),
        "{listed}"
    );
}

#[test]
fn a_radio_scale_named_on_the_command_line_is_kept_for_the_bench() {
    let mut station = Station::new();
    let file = station.home.write("pan.toml", &profile(&own()));
    let watch = |station: &Station, flags: &[&str], file: Option<&Path>| {
        let mut command = station.home.tarehand(&["watch", "--count", "3"]);
        command.args(flags);
        if let Some(file) = file {
            command.arg("--profile").arg(file);
        }
        run(&mut command, "", LIMIT).good()
    };
    station.bluez.load(JAR_UG);
    let told = watch(&station, &["--radio", &address(0)], Some(&file));
    assert!(told.contains("60"), "{told}");
    // The profile's own name will do as well.
    watch(&station, &[], Some(&file));
    station.bluez.load(-JAR_UG);
    let recipe = fixture("quarry-green.toml");
    let mut mix = station.home.tarehand(&["mix", "--radio", NAME]);
    mix.arg(&recipe).arg("--profile").arg(&file);
    let mixing = Running::start(&mut mix, Stdio::null());
    station.put_jar();
    station.restart();
    station.wait_open_after_kill();
    station.wait_doing("pour");
    drop(mixing);
    let mut mix = station.home.tarehand(&["mix"]);
    mix.arg(recipe)
        .args(["--radio", &address(0), "--port", "/dev/null"]);
    let _refused = run(&mut mix, "", LIMIT).with_code(2);
}
