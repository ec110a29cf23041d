//! What stands in for scales, machines and clocks.

use std::collections::VecDeque;
use std::io::{self, Read, Write};
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, mpsc as std_mpsc};
use std::thread;
use std::time::Duration;

use serialport::{SerialPort, TTYPort};
use tarehand_mixing::Tick;
use tokio::runtime::{Builder, Runtime};
use tokio::sync::mpsc;
use tokio_util::sync::CancellationToken;

use crate::links::LinkEvent;
use crate::links::outlet::Outlet;
use crate::links::serial::attached::{Attached, Hardware, UsbDevice};
use crate::links::serial::error::OpenError;
use crate::links::serial::open::{Host, System};
use crate::links::serial::port::Port;
use crate::links::serial::settings::Settings;
use crate::links::serial::time::Time;
use crate::links::serial::{Line, SerialLink, Wanted};

/// No wait of a test is longer; a test that meets it has failed.
const DEADLINE: Duration = Duration::from_secs(20);

/// A clock that stands still until a test moves it.
#[derive(Clone, Debug)]
pub(super) struct StoppedClock {
    micros: Arc<AtomicU64>,
    rate: f64,
}

impl StoppedClock {
    pub(super) fn at_rate(rate: f64) -> Self {
        Self {
            micros: Arc::default(),
            rate,
        }
    }

    pub(super) fn new() -> Self {
        Self::at_rate(1.0)
    }

    pub(super) fn pass(&self, time: Duration) {
        self.micros
            .fetch_add(u64::try_from(time.as_micros()).unwrap(), Ordering::SeqCst);
    }
}

impl Time for StoppedClock {
    fn now(&self) -> Tick {
        Tick::from_micros(self.micros.load(Ordering::SeqCst))
    }

    fn rate(&self) -> f64 {
        self.rate
    }
}

/// A link that runs on a thread of its own.
pub(super) struct Running {
    events: mpsc::Receiver<LinkEvent>,
    waiting: Runtime,
    stop: CancellationToken,
    ended: std_mpsc::Receiver<()>,
}

impl Running {
    pub(super) fn start(
        link: SerialLink,
        host: impl Host + 'static,
        time: impl Time + Send + 'static,
    ) -> Self {
        Self::start_with_queue(64, link, host, time)
    }

    pub(super) fn start_with_queue(
        places: usize,
        link: SerialLink,
        host: impl Host + 'static,
        time: impl Time + Send + 'static,
    ) -> Self {
        let (sender, events) = mpsc::channel(places);
        let (end, ended) = std_mpsc::channel();
        let stop = CancellationToken::new();
        let outlet = Outlet::new(sender, stop.clone());
        thread::spawn(move || {
            link.run_on(&host, &time, &outlet);
            let _ = end.send(());
        });
        Self {
            events,
            waiting: Builder::new_current_thread().enable_time().build().unwrap(),
            stop,
            ended,
        }
    }

    #[track_caller]
    pub(super) fn next(&mut self) -> LinkEvent {
        let event = self
            .waiting
            .block_on(async { tokio::time::timeout(DEADLINE, self.events.recv()).await });
        event
            .expect("the link says something in time")
            .expect("the link runs")
    }

    #[track_caller]
    pub(super) fn opened(&mut self) -> (String, String) {
        match self.next() {
            LinkEvent::Opened { device, key } => (device, key),
            other => panic!("not opened but {other:?}"),
        }
    }

    #[track_caller]
    pub(super) fn gone(&mut self) -> String {
        match self.next() {
            LinkEvent::Gone { why, hint, .. } => {
                assert!(hint.is_some(), "`{why}` comes with a hint");
                why
            }
            other => panic!("not gone but {other:?}"),
        }
    }

    /// Takes bytes until as many have come as expected, and compares.
    #[track_caller]
    pub(super) fn hears(&mut self, expected: &[u8]) {
        let mut heard = Vec::new();
        while heard.len() < expected.len() {
            match self.next() {
                LinkEvent::Bytes { bytes, .. } => heard.extend(bytes),
                other => panic!("not bytes but {other:?}"),
            }
        }
        assert_eq!(
            String::from_utf8_lossy(&heard),
            String::from_utf8_lossy(expected)
        );
    }

    /// Tells the link to stop, and waits until it has.
    #[track_caller]
    pub(super) fn stop(self) {
        self.stop.cancel();
        self.ended.recv_timeout(DEADLINE).expect("the link ends");
    }

    /// Goes away without a word, and waits until the link has noticed.
    #[track_caller]
    pub(super) fn leave(self) {
        drop(self.events);
        self.ended.recv_timeout(DEADLINE).expect("the link ends");
    }
}

/// A scale on a pseudo-terminal.
///
/// The link's end is kept raw and open here too, so that nothing is echoed and closing is no hang-up.
pub(super) struct PtyScale {
    scale: TTYPort,
    _kept_open: TTYPort,
    pub(super) path: String,
}

impl PtyScale {
    pub(super) fn plug_in() -> Self {
        let (mut scale, kept_open) = TTYPort::pair().unwrap();
        scale.set_timeout(DEADLINE).unwrap();
        Self {
            path: kept_open.name().unwrap(),
            scale,
            _kept_open: kept_open,
        }
    }

    pub(super) fn send(&mut self, bytes: &[u8]) {
        self.scale.write_all(bytes).unwrap();
    }

    #[track_caller]
    pub(super) fn receives(&mut self, expected: &[u8]) {
        let mut received = vec![0; expected.len()];
        self.scale.read_exact(&mut received).unwrap();
        assert_eq!(received, expected);
    }

    /// Makes `link` lead here, at once also where it led elsewhere.
    pub(super) fn link_from(&self, link: &Path) {
        let new = link.with_extension("new");
        std::os::unix::fs::symlink(&self.path, &new).unwrap();
        std::fs::rename(&new, link).unwrap();
    }
}

/// A link to the port at a path.
pub(super) fn link_to(path: &str) -> SerialLink {
    SerialLink::new(
        Wanted::Path(path.to_owned()),
        Line::Known(Settings::default()),
    )
}

/// A USB device with a serial number, seen at a path.
pub(super) fn usb_at(path: &str, serial_number: &str) -> Attached {
    Attached {
        path: path.to_owned(),
        hardware: Hardware::Usb(UsbDevice {
            vendor: 0x1209,
            product: 0x0001,
            serial_number: Some(serial_number.to_owned()),
            port_chain: Some("1-1".to_owned()),
            interface: Some(0),
            words: Some("Bench scale".to_owned()),
        }),
    }
}

/// This machine, with a made-up list of what is attached.
#[derive(Clone, Default)]
pub(super) struct Listing {
    pub(super) ports: Arc<Mutex<Vec<Attached>>>,
}

impl Listing {
    pub(super) fn set(&self, ports: Vec<Attached>) {
        *self.ports.lock().unwrap() = ports;
    }
}

impl Host for Listing {
    fn attached(&self) -> Vec<Attached> {
        self.ports.lock().unwrap().clone()
    }

    fn open(&self, path: &str, settings: Settings) -> Result<Box<dyn Port>, OpenError> {
        System.open(path, settings)
    }
}

/// What a scripted read brings.
#[derive(Clone, Debug)]
pub(super) enum Cue {
    /// Bytes.
    Bytes(&'static [u8]),
    /// Nothing, until the read gives up waiting; the clock moves so far.
    Quiet,
    /// An empty read that does not wait.
    Empty,
    /// An error.
    Fails(io::ErrorKind),
    /// Time in which nobody reads.
    Stall(Duration),
}

/// What was done to a scripted machine, in order.
#[derive(Clone, Default)]
pub(super) struct Deeds(Arc<Mutex<Vec<String>>>);

impl Deeds {
    pub(super) fn note(&self, deed: impl Into<String>) {
        self.0.lock().unwrap().push(deed.into());
    }

    pub(super) fn take(&self) -> Vec<String> {
        std::mem::take(&mut *self.0.lock().unwrap())
    }
}

/// A machine with one port that plays a script, and is missing after it.
pub(super) struct Stage {
    pub(super) clock: StoppedClock,
    pub(super) deeds: Deeds,
    script: Mutex<Option<VecDeque<Cue>>>,
}

impl Stage {
    pub(super) fn new(clock: StoppedClock, script: &[Cue]) -> Self {
        Self {
            clock,
            deeds: Deeds::default(),
            script: Mutex::new(Some(script.iter().cloned().collect())),
        }
    }
}

impl Host for Stage {
    fn attached(&self) -> Vec<Attached> {
        self.deeds.note("look");
        Vec::new()
    }

    fn open(&self, path: &str, _: Settings) -> Result<Box<dyn Port>, OpenError> {
        match self.script.lock().unwrap().take() {
            Some(script) => {
                self.deeds.note("open");
                Ok(Box::new(Player {
                    clock: self.clock.clone(),
                    deeds: self.deeds.clone(),
                    script,
                }))
            }
            None => Err(OpenError::Missing {
                place: path.to_owned(),
            }),
        }
    }
}

/// A port that plays a script; after it the device is gone.
struct Player {
    clock: StoppedClock,
    deeds: Deeds,
    script: VecDeque<Cue>,
}

impl Port for Player {
    fn read(&mut self, buffer: &mut [u8], wait: Duration) -> io::Result<usize> {
        loop {
            match self.script.pop_front() {
                Some(Cue::Stall(time)) => self.clock.pass(time),
                Some(Cue::Bytes(bytes)) => {
                    buffer[..bytes.len()].copy_from_slice(bytes);
                    return Ok(bytes.len());
                }
                Some(Cue::Quiet) => {
                    self.clock.pass(wait.mul_f64(self.clock.rate));
                    return Err(io::ErrorKind::TimedOut.into());
                }
                Some(Cue::Empty) => return Ok(0),
                Some(Cue::Fails(kind)) => return Err(kind.into()),
                None => return Err(io::ErrorKind::BrokenPipe.into()),
            }
        }
    }

    fn write(&mut self, command: &[u8]) -> io::Result<()> {
        let at = self.clock.now().micros() / 1000;
        self.deeds
            .note(format!("{at}: {}", String::from_utf8_lossy(command)));
        Ok(())
    }

    fn clear_input(&mut self) -> io::Result<()> {
        self.deeds.note("clear");
        Ok(())
    }

    fn apply(&mut self, settings: Settings) -> io::Result<()> {
        self.deeds.note(settings.to_string());
        Ok(())
    }
}

impl Drop for Player {
    fn drop(&mut self) {
        self.deeds.note("close");
    }
}
