//! The link on real pseudo-terminals.

use std::io;
use std::sync::{Mutex, mpsc};
use std::thread;
use std::time::Duration;

use super::doubles::{Listing, PtyScale, Running, StoppedClock, link_to, usb_at};
use crate::clock::Clock;
use crate::links::LinkEvent;
use crate::links::serial::attached::Attached;
use crate::links::serial::error::OpenError;
use crate::links::serial::list::{Access, access_to};
use crate::links::serial::open::{Host, System};
use crate::links::serial::port::Port;
use crate::links::serial::{Identity, Line, SerialLink, Settings, Wanted};
use tarehand_mixing::Tick;
use tarehand_protocol::scale::profile::Poll;

fn start(path: &str) -> Running {
    Running::start(link_to(path), System, StoppedClock::new())
}

#[test]
fn bytes_arrive_whole_and_in_order() {
    let mut scale = PtyScale::plug_in();
    let mut running = start(&scale.path);
    running.opened();
    let lines: String = (0..5_000)
        .map(|number| format!("ST,GS,{number:>8} g\r\n"))
        .collect();
    let sent = lines.clone();
    let writer = thread::spawn(move || {
        scale.send(sent.as_bytes());
        scale
    });
    running.hears(lines.as_bytes());
    running.stop();
    drop(writer.join().unwrap());
}

#[test]
fn on_the_real_clock_bytes_are_stamped_in_rising_time() {
    let mut scale = PtyScale::plug_in();
    let clock = Clock::starting_at(Tick::from_millis(5_000), 1.0);
    let mut running = Running::start(link_to(&scale.path), System, clock);
    running.opened();
    let mut last = Tick::from_millis(5_000);
    let mut stamped = 0;
    while stamped < 3 {
        scale.send(b"1");
        match running.next() {
            LinkEvent::Bytes { at, bytes } => {
                assert_eq!(bytes, b"1");
                assert!(last < at);
                last = at;
                stamped += 1;
            }
            // A machine so busy that this is a stall may skip it.
            LinkEvent::Skipped { at } => last = at,
            other => panic!("not bytes but {other:?}"),
        }
    }
    running.stop();
}

#[test]
fn what_was_sent_before_opening_is_thrown_away() {
    let mut scale = PtyScale::plug_in();
    scale.send(b"old old old");
    let mut running = start(&scale.path);
    running.opened();
    scale.send(b"new");
    running.hears(b"new");
    running.stop();
}

#[test]
fn a_scale_unplugged_and_plugged_in_under_another_path_is_found_through_its_link() {
    let folder = tempfile::tempdir().unwrap();
    let link = folder.path().join("scale");
    let mut first = PtyScale::plug_in();
    first.link_from(&link);
    let mut running = start(link.to_str().unwrap());
    let (device, key) = running.opened();
    assert_eq!(device, format!("{}, 9600 8N1", link.display()));
    assert_eq!(key, format!("path:{}", link.display()));
    first.send(b"12.30");
    running.hears(b"12.30");

    // The second is there before the first goes, so that it cannot get the same path.
    let mut second = PtyScale::plug_in();
    assert_ne!(first.path, second.path);
    drop(first);
    assert_eq!(
        running.gone(),
        format!(
            "the scale at {}, 9600 8N1 was unplugged or switched off",
            link.display()
        )
    );
    second.link_from(&link);
    running.opened();
    second.send(b"45.60");
    running.hears(b"45.60");
    running.stop();
}

#[test]
fn a_usb_device_is_found_under_another_path_by_its_serial_number() {
    let listing = Listing::default();
    let (first, mut second) = (PtyScale::plug_in(), PtyScale::plug_in());
    listing.set(vec![usb_at(&first.path, "A7"), usb_at(&second.path, "B2")]);
    let mut running = Running::start(link_to(&first.path), listing.clone(), StoppedClock::new());
    let (device, key) = running.opened();
    assert_eq!(device, format!("{} (Bench scale), 9600 8N1", first.path));
    assert_eq!(key, "usb:1209:0001:sn=A7:if=0");

    listing.set(vec![usb_at(&second.path, "A7")]);
    drop(first);
    running.gone();
    let (device, key) = running.opened();
    assert_eq!(device, format!("{} (Bench scale), 9600 8N1", second.path));
    assert_eq!(key, "usb:1209:0001:sn=A7:if=0");
    second.send(b"1");
    running.hears(b"1");
    running.stop();
}

#[test]
fn another_device_at_the_old_path_is_not_taken_for_the_scale() {
    let listing = Listing::default();
    let first = PtyScale::plug_in();
    listing.set(vec![usb_at(&first.path, "A7")]);
    let mut running = Running::start(link_to(&first.path), listing.clone(), StoppedClock::new());
    running.opened();
    listing.set(vec![usb_at(&first.path, "B2")]);
    let path = first.path.clone();
    drop(first);
    running.gone();
    assert_eq!(
        running.gone(),
        format!("another device is at `{path}` now: Bench scale")
    );
    running.stop();
}

#[test]
fn of_two_devices_with_one_number_none_is_taken() {
    let listing = Listing::default();
    listing.set(vec![usb_at("/dev/left", "A7"), usb_at("/dev/right", "A7")]);
    let identity: Identity = "usb:1209:0001:sn=A7:if=0".parse().unwrap();
    let link = SerialLink::new(Wanted::Device(identity), Line::Known(Settings::default()));
    let mut running = Running::start(link, listing, StoppedClock::new());
    assert_eq!(
        running.gone(),
        "`usb:1209:0001:sn=A7:if=0` may be any of these: /dev/left, /dev/right"
    );
    running.stop();
}

#[test]
fn a_busy_port_is_said_and_taken_when_free() {
    let scale = PtyScale::plug_in();
    let Ok(holder) = System.open(&scale.path, Settings::default()) else {
        panic!("the port opens");
    };
    let mut running = start(&scale.path);
    assert_eq!(
        running.gone(),
        format!("`{}` is in use by this service already", scale.path)
    );
    drop(holder);
    running.opened();
    running.stop();
}

#[test]
fn a_missing_port_is_said_once_and_opened_when_it_appears() {
    let folder = tempfile::tempdir().unwrap();
    let link = folder.path().join("scale");
    let mut running = start(link.to_str().unwrap());
    assert_eq!(running.gone(), format!("no scale at `{}`", link.display()));
    let mut scale = PtyScale::plug_in();
    scale.link_from(&link);
    running.opened();
    scale.send(b"1");
    running.hears(b"1");
    running.stop();
}

#[test]
fn the_poll_command_reaches_the_scale() {
    let mut scale = PtyScale::plug_in();
    let clock = StoppedClock::new();
    let link = link_to(&scale.path).polling(Poll {
        send: b"W\r".to_vec(),
        every: Duration::from_millis(200),
    });
    let mut running = Running::start(link, System, clock.clone());
    running.opened();
    scale.receives(b"W\r");
    scale.send(b"1.123");
    running.hears(b"1.123");
    clock.pass(Duration::from_millis(200));
    scale.receives(b"W\r");
    running.stop();
}

/// This machine, where every read waits for a sign from the test.
struct Gated {
    signs: Mutex<Option<mpsc::Receiver<()>>>,
}

struct GatedPort {
    port: Box<dyn Port>,
    signs: mpsc::Receiver<()>,
}

impl Host for Gated {
    fn attached(&self) -> Vec<Attached> {
        Vec::new()
    }

    fn open(&self, path: &str, settings: Settings) -> Result<Box<dyn Port>, OpenError> {
        let signs = self.signs.lock().unwrap().take().expect("opened once");
        let port = System.open(path, settings)?;
        Ok(Box::new(GatedPort { port, signs }))
    }
}

impl Port for GatedPort {
    fn read(&mut self, buffer: &mut [u8], wait: Duration) -> io::Result<usize> {
        // A test that is over gives no more signs.
        self.signs
            .recv()
            .map_err(|_| io::Error::from(io::ErrorKind::TimedOut))?;
        self.port.read(buffer, wait.max(Duration::from_secs(10)))
    }

    fn write(&mut self, command: &[u8]) -> io::Result<()> {
        self.port.write(command)
    }

    fn clear_input(&mut self) -> io::Result<()> {
        self.port.clear_input()
    }

    fn apply(&mut self, settings: Settings) -> io::Result<()> {
        self.port.apply(settings)
    }
}

#[test]
fn after_a_stall_the_backlog_is_cleared_and_what_is_new_is_live() {
    let mut scale = PtyScale::plug_in();
    let (sign, signs) = mpsc::channel();
    let clock = StoppedClock::new();
    let host = Gated {
        signs: Mutex::new(Some(signs)),
    };
    let mut running = Running::start(link_to(&scale.path), host, clock.clone());
    running.opened();
    // What a scale with lines of 17 bytes sends in 24 s, ten a second: more than one read can take.
    let backlog = b"ST,GS,  123.45 g\n".repeat(240);
    scale.send(&backlog);
    clock.pass(Duration::from_secs(24));
    sign.send(()).unwrap();
    assert_eq!(
        running.next(),
        LinkEvent::Skipped {
            at: Tick::from_millis(24_000)
        }
    );
    scale.send(b"new");
    sign.send(()).unwrap();
    running.hears(b"new");
    drop(sign);
    running.stop();
}

#[test]
fn a_link_stops_while_its_queue_is_full() {
    let mut scale = PtyScale::plug_in();
    let mut running =
        Running::start_with_queue(1, link_to(&scale.path), System, StoppedClock::new());
    running.opened();
    // More than one read takes, so at least two events: the second waits.
    scale.send(&[b'x'; 10_000]);
    running.stop();
}

#[test]
fn a_link_stops_while_it_waits_to_look_again() {
    let mut running = start("/nowhere/at/all");
    running.gone();
    running.stop();
}

#[test]
fn a_link_ends_when_nobody_listens() {
    let scale = PtyScale::plug_in();
    let mut running = start(&scale.path);
    running.opened();
    running.leave();
}

#[test]
fn a_closed_port_can_be_opened_again_at_once() {
    let scale = PtyScale::plug_in();
    for _ in 0..3 {
        let mut running = start(&scale.path);
        running.opened();
        running.stop();
    }
}

#[test]
fn who_holds_a_device_is_seen_without_opening_it() {
    let file = tempfile::NamedTempFile::new().unwrap();
    let path = file.path().to_str().unwrap().to_owned();
    assert_eq!(access_to(&path), Access::Ours);

    let path = file.into_temp_path();
    let path = path.to_str().unwrap();
    assert_eq!(access_to(path), Access::Free);

    let mut other = std::process::Command::new("cat")
        .stdin(std::process::Stdio::piped())
        .stdout(std::fs::File::options().write(true).open(path).unwrap())
        .spawn()
        .unwrap();
    match access_to(path) {
        Access::InUse(holder) => {
            assert_eq!(holder.to_string(), format!("`cat`, process {}", other.id()))
        }
        access => panic!("not in use but {access:?}"),
    }
    drop(other.stdin.take());
    other.wait().unwrap();
}
