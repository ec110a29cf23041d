//! The link: open, read whole reports, look again when the scale is gone.

use std::convert::Infallible;
use std::fs::File;
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};
use std::time::Duration;

use rustix::event::{PollFd, PollFlags, Timespec, poll};
use tarehand_protocol::api::TroubleWord;
use tokio::sync::mpsc;
use tokio_util::sync::CancellationToken;

use super::access;
use super::attached::{Attached, Kind, Machine};
use super::feature::{self, About, Ask};
use crate::clock::Clock;
use crate::links::outlet::{Outlet, Stopped};
use crate::links::{Link, LinkEvent};

/// The longest a stop is not heard of.
const LOOK_UP: Timespec = Timespec {
    tv_sec: 0,
    tv_nsec: 100_000_000,
};
/// How often a device that is away is looked for: nobody tells of a plug without udev's help.
const LOOK_AGAIN: Duration = Duration::from_secs(1);
/// A report that is there so soon after the opening may be the weighing before.
const STALE: Duration = Duration::from_millis(50);
/// No report is longer (`HID_MAX_BUFFER_SIZE` allows more than any scale sends).
const LONGEST_REPORT: usize = 4096;

/// Which device a person wants.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wanted {
    /// The one at this path; once it was there, that device wherever it is.
    Path(PathBuf),
    /// The one of this key.
    Key(String),
}

impl Wanted {
    /// Reads what a person or the log says: a path such as `/dev/hidraw0`, or a key.
    #[must_use]
    pub fn said(text: &str) -> Self {
        if text.starts_with("hid:") {
            Self::Key(text.to_owned())
        } else {
            Self::Path(PathBuf::from(text))
        }
    }

    fn is(&self, device: &Attached) -> bool {
        match self {
            Self::Path(path) => {
                let real = std::fs::canonicalize(path);
                *path == device.path || real.is_ok_and(|real| real == device.path)
            }
            Self::Key(key) => *key == device.key,
        }
    }
}

/// Returns whether a path or key names a HID device and no serial port.
#[must_use]
pub fn is_hid(said: &str) -> bool {
    let named = |path: &Path| {
        let node = path.file_name().and_then(|name| name.to_str());
        node.is_some_and(|node| node.starts_with("hidraw"))
    };
    let real = std::fs::canonicalize(said);
    said.starts_with("hid:") || named(Path::new(said)) || real.is_ok_and(|real| named(&real))
}

/// A scale of the weighing page.
#[derive(Clone, Debug)]
pub struct HidLink {
    wanted: Wanted,
    machine: Machine,
    /// What comes so soon after the opening may be the weighing before.
    stale: Duration,
    ask: Ask,
}

impl HidLink {
    /// Makes a link to a device of this machine.
    #[must_use]
    pub fn new(wanted: Wanted) -> Self {
        Self {
            wanted,
            machine: Machine::default(),
            stale: STALE,
            ask: feature::ask,
        }
    }

    /// Looks for the device where another machine shows its own; what comes is then new from the first report on.
    #[must_use]
    pub fn on(self, machine: Machine) -> Self {
        Self {
            machine,
            stale: Duration::ZERO,
            ..self
        }
    }

    fn keep_open(&mut self, clock: &Clock, outlet: &Outlet) -> Result<Infallible, Stopped> {
        let mut told: Option<String> = None;
        loop {
            outlet.go_on()?;
            let why = match self.open() {
                Ok((device, node)) => {
                    // The device is looked for from now on, not what is at its path next.
                    self.wanted = Wanted::Key(device.key.clone());
                    told = None;
                    let lost = self.read(&device, node, clock, outlet)?;
                    Fault::lost(&device, lost)
                }
                Err(fault) => fault,
            };
            if told.as_ref() != Some(&why.why) {
                told = Some(why.why.clone());
                outlet.tell(LinkEvent::Gone {
                    kind: why.kind,
                    why: why.why,
                    hint: why.hint,
                })?;
            }
            outlet.wait(LOOK_AGAIN)?;
        }
    }

    /// Reads reports until the device is gone, and says how it went.
    fn read(
        &self,
        device: &Attached,
        mut node: File,
        clock: &Clock,
        outlet: &Outlet,
    ) -> Result<Option<io::Error>, Stopped> {
        outlet.tell(LinkEvent::Opened {
            device: format!("{} ({})", device.path.display(), device.name),
            key: device.key.clone(),
        })?;
        outlet.tell(LinkEvent::Described {
            descriptor: device.descriptor.clone(),
        })?;
        let About { division, capacity } = feature::about(device, self.ask);
        if division.is_some() || capacity.is_some() {
            outlet.tell(LinkEvent::About {
                division,
                capacity,
                battery_percent: None,
            })?;
        }
        let opened = clock.now();
        let mut buffer = vec![0; LONGEST_REPORT];
        let mut first = true;
        loop {
            outlet.go_on()?;
            match ready(&node) {
                Ok(true) => {}
                Ok(false) => continue,
                Err(error) => return Ok(Some(error)),
            }
            // The kernel hands over one report a call.
            match node.read(&mut buffer) {
                Ok(0) => return Ok(None),
                Ok(count) => {
                    let at = clock.now();
                    let stale = std::mem::take(&mut first)
                        && at.since(opened).div_f64(clock.rate()) < self.stale;
                    if !stale {
                        let bytes = buffer[..count].to_vec();
                        outlet.tell(LinkEvent::Packet { at, bytes })?;
                    }
                }
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Ok(Some(error)),
            }
        }
    }

    fn open(&self) -> Result<(Attached, File), Fault> {
        let attached = self.machine.attached();
        let device = attached.into_iter().find(|device| self.wanted.is(device));
        let device = device.ok_or_else(|| Fault::missing(&self.wanted))?;
        match device.kind {
            Kind::Scale => {}
            Kind::Keyboard => return Err(Fault::keyboard(&device)),
            Kind::Unreadable | Kind::Other => return Err(Fault::no_scale(&device)),
        }
        match File::open(&device.path) {
            Ok(node) => Ok((device, node)),
            Err(error) => Err(Fault::closed(&device, &error)),
        }
    }
}

impl Link for HidLink {
    fn run(
        mut self: Box<Self>,
        clock: Clock,
        events: mpsc::Sender<LinkEvent>,
        stop: CancellationToken,
    ) {
        let Err(Stopped) = self.keep_open(&clock, &Outlet::new(events, stop));
    }
}

/// Waits a moment for a report.
fn ready(node: &File) -> io::Result<bool> {
    let mut waiting = [PollFd::new(node, PollFlags::IN)];
    match poll(&mut waiting, Some(&LOOK_UP)) {
        Ok(0) => Ok(false),
        Ok(_) => Ok(true),
        Err(rustix::io::Errno::INTR) => Ok(false),
        Err(error) => Err(error.into()),
    }
}

/// Why there is no way to the scale, in words, and what to do.
struct Fault {
    kind: TroubleWord,
    why: String,
    hint: Option<String>,
}

impl Fault {
    fn missing(wanted: &Wanted) -> Self {
        let place = match wanted {
            Wanted::Path(path) => path.display().to_string(),
            Wanted::Key(key) => key.clone(),
        };
        Self {
            kind: TroubleWord::Missing,
            why: format!("there is no USB scale at {place}"),
            hint: Some(
                "is it plugged in and switched on? it is found by itself when it is".to_owned(),
            ),
        }
    }

    fn keyboard(device: &Attached) -> Self {
        Self {
            kind: TroubleWord::NotAScale,
            why: format!(
                "{} ({}) is a keyboard: it types its weight",
                device.path.display(),
                device.name
            ),
            hint: Some(
                "such a scale tells nothing while you pour; see whether it can be set to send its weight"
                    .to_owned(),
            ),
        }
    }

    fn no_scale(device: &Attached) -> Self {
        Self {
            kind: TroubleWord::NotAScale,
            why: format!(
                "{} ({}) does not describe itself as a scale",
                device.path.display(),
                device.name
            ),
            hint: Some("see what is attached: tarehand scales".to_owned()),
        }
    }

    fn closed(device: &Attached, error: &io::Error) -> Self {
        let path = device.path.display();
        if error.kind() == io::ErrorKind::PermissionDenied {
            return Self {
                kind: TroubleWord::NotPermitted,
                why: format!("you may not open {path} ({})", device.name),
                hint: Some(access::hint(device)),
            };
        }
        Self {
            kind: TroubleWord::NotOpened,
            why: format!("{path} ({}) cannot be opened: {error}", device.name),
            hint: Some("plug it in again".to_owned()),
        }
    }

    fn lost(device: &Attached, error: Option<io::Error>) -> Self {
        let name = &device.name;
        // The kernel says "input/output error" when the plug is pulled.
        let why = match error {
            Some(error) if error.raw_os_error() != Some(rustix::io::Errno::IO.raw_os_error()) => {
                format!("the scale {name} stopped answering: {error}")
            }
            Some(_) | None => format!("the scale {name} was unplugged or switched off"),
        };
        Self {
            kind: TroubleWord::Unplugged,
            why,
            hint: Some(
                "plug it in again; it is found by itself, also under another path".to_owned(),
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use std::io::Write as _;
    use std::thread;

    use tarehand_mixing::Tick;

    use super::super::attached::tests::{SCALE, machine, plug};
    use super::*;

    const WORDS: &str = "HID_ID=0003:00001209:00000001\nHID_NAME=Trial Scale\nHID_UNIQ=0042\n";

    /// A link on a machine of files; the nodes are pipes, which come and go as a plug does.
    struct Bench {
        folder: tempfile::TempDir,
        machine: Machine,
        heard: mpsc::Receiver<LinkEvent>,
        stop: CancellationToken,
        thread: Option<thread::JoinHandle<()>>,
    }

    impl Bench {
        fn of(wanted: Wanted) -> Self {
            let folder = tempfile::tempdir().unwrap();
            let machine = machine(folder.path());
            let (events, heard) = mpsc::channel(64);
            let stop = CancellationToken::new();
            let link = Box::new(HidLink::new(wanted).on(machine.clone()));
            let (clock, token) = (Clock::starting_at(Tick::ZERO, 1.0), stop.clone());
            let thread = thread::spawn(move || link.run(clock, events, token));
            Self {
                folder,
                machine,
                heard,
                stop,
                thread: Some(thread),
            }
        }

        fn plug(&self, node: &str) -> PathBuf {
            let path = self.machine.nodes.join(node);
            std::fs::create_dir_all(&self.machine.nodes).unwrap();
            let made = std::process::Command::new("mkfifo").arg(&path).status();
            assert!(made.unwrap().success());
            plug(&self.machine, node, WORDS, SCALE);
            path
        }

        fn next(&mut self) -> LinkEvent {
            self.heard.blocking_recv().expect("the link runs")
        }
    }

    impl Drop for Bench {
        fn drop(&mut self) {
            self.stop.cancel();
            // A pipe that nobody writes to would hold the link at its opening.
            for node in ["hidraw0", "hidraw3"] {
                let path = self.folder.path().join("dev").join(node);
                let opened = File::options().read(true).write(true).open(path);
                drop(opened);
            }
            self.heard.close();
            if let Some(thread) = self.thread.take() {
                thread.join().expect("the link ends by itself");
            }
        }
    }

    #[test]
    fn a_scale_is_read_report_by_report_and_found_again_under_another_name() {
        let mut bench = Bench::of(Wanted::Key("hid:1209:0001:0042".to_owned()));
        let LinkEvent::Gone { why, .. } = bench.next() else {
            panic!("it is not there yet");
        };
        assert_eq!(why, "there is no USB scale at hid:1209:0001:0042");
        let path = bench.plug("hidraw0");
        let mut node = File::options().write(true).open(&path).unwrap();
        assert!(
            matches!(bench.next(), LinkEvent::Opened { key, .. } if key == "hid:1209:0001:0042")
        );
        assert!(matches!(bench.next(), LinkEvent::Described { descriptor } if descriptor == SCALE));
        node.write_all(&[3, 4, 2, 0xff, 0x7b, 0]).unwrap();
        assert!(
            matches!(bench.next(), LinkEvent::Packet { bytes, .. } if bytes == [3, 4, 2, 0xff, 0x7b, 0])
        );
        drop(node);
        std::fs::remove_file(&path).unwrap();
        std::fs::remove_dir_all(bench.machine.class.join("hidraw0")).unwrap();
        assert!(matches!(bench.next(), LinkEvent::Gone { why, .. } if why.contains("unplugged")));
        let path = bench.plug("hidraw3");
        // What is away is told once more, or it is there already.
        let _writer = File::options().write(true).open(&path).unwrap();
        let opened = match bench.next() {
            LinkEvent::Gone { .. } => bench.next(),
            other => other,
        };
        assert!(matches!(opened, LinkEvent::Opened { device, .. } if device.contains("hidraw3")));
    }

    #[test]
    fn a_path_or_a_key_names_a_usb_scale_and_a_serial_port_does_not() {
        for said in ["/dev/hidraw0", "hid:1209:0001:0042"] {
            assert!(is_hid(said), "{said}");
        }
        for said in ["/dev/ttyUSB0", "/dev/serial/by-id/usb-board", "scale"] {
            assert!(!is_hid(said), "{said}");
        }
    }
}
