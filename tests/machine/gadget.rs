//! A USB device that the kernel plays: a scale of the weighing page and a scale on a serial line, in one.
//!
//! Both its ends are this machine's: what is written to `/dev/hidg0` and `/dev/ttyGS0` the kernel sends over a USB
//! bus of its own, and it comes out of a real `/dev/hidraw0` and `/dev/ttyACM0`.

use std::fs::{self, File, OpenOptions};
use std::io::Write as _;
use std::os::unix::fs::{OpenOptionsExt as _, symlink};
use std::path::{Path, PathBuf};

use rustix::fs::OFlags;
use rustix::termios::{OptionalActions, tcgetattr, tcsetattr};
use tarehand_tests::{LIMIT, wait_for};

use crate::pan::Weighed;

const ROOT: &str = "/sys/kernel/config/usb_gadget/scale";

/// What the scale of the weighing page calls itself.
pub(crate) const NAME: &str = "Trial Scale";

/// Its report descriptor (HID Point of Sale usage tables, page 0x8D): id 3, status, unit, scaling, weight.
const DESCRIPTOR: &[u8] = &[
    0x05, 0x8d, 0x09, 0x20, 0xa1, 0x01, 0x85, 0x03, 0x09, 0x32, 0xa1, 0x02, 0x15, 0x00, 0x25, 0x08,
    0x75, 0x08, 0x95, 0x01, 0x09, 0x70, 0x81, 0x02, 0x25, 0x0c, 0x09, 0x50, 0x81, 0x02, 0x15, 0x80,
    0x25, 0x7f, 0x09, 0x41, 0x81, 0x02, 0x15, 0x00, 0x27, 0xff, 0xff, 0x00, 0x00, 0x75, 0x10, 0x09,
    0x40, 0x81, 0x02, 0xc0, 0xc0,
];

/// The device, plugged in or not.
#[derive(Debug)]
pub(crate) struct Gadget;

impl Gadget {
    /// Makes the device; it is not plugged in yet.
    pub(crate) fn make() -> Self {
        let put = |name: &str, value: &str| write(&Path::new(ROOT).join(name), value.as_bytes());
        for folder in [
            "strings/0x409",
            "functions/hid.usb0",
            "functions/acm.usb0",
            "configs/c.1/strings/0x409",
        ] {
            fs::create_dir_all(Path::new(ROOT).join(folder)).unwrap();
        }
        // The numbers for private testing of pid.codes.
        put("idVendor", "0x1209");
        put("idProduct", "0x0001");
        put("strings/0x409/serialnumber", "0042");
        put("strings/0x409/manufacturer", "Bench Works");
        put("strings/0x409/product", NAME);
        put("configs/c.1/strings/0x409/configuration", "scale");
        put("functions/hid.usb0/report_length", "6");
        write(
            &Path::new(ROOT).join("functions/hid.usb0/report_desc"),
            DESCRIPTOR,
        );
        for function in ["hid.usb0", "acm.usb0"] {
            let function_path = Path::new(ROOT).join("functions").join(function);
            symlink(
                function_path,
                Path::new(ROOT).join("configs/c.1").join(function),
            )
            .unwrap();
        }
        Self
    }

    /// Plugs it in; returns where its two scales are, once they are.
    pub(crate) fn plug(&self) -> (PathBuf, PathBuf) {
        let port = fs::read_dir("/sys/class/udc").unwrap().next();
        let port = port.expect("dummy_hcd is loaded").unwrap().file_name();
        write(
            &Path::new(ROOT).join("UDC"),
            port.to_str().unwrap().as_bytes(),
        );
        let found = |class: &str| wait_for(class, LIMIT, || newest(class));
        (found("hidraw"), found("ttyACM"))
    }

    /// Unplugs it, as a hand does.
    pub(crate) fn unplug(&self) {
        let controller = Path::new(ROOT).join("UDC");
        if fs::read_to_string(&controller).is_ok_and(|plugged| plugged.trim().is_empty()) {
            return;
        }
        write(&controller, b"\n");
        wait_for("the nodes to go", LIMIT, || {
            (newest("hidraw").is_none() && newest("ttyACM").is_none()).then_some(())
        });
    }
}

/// Returns the node of this kind that the kernel shows now.
fn newest(kind: &str) -> Option<PathBuf> {
    let class = if kind == "hidraw" {
        "/sys/class/hidraw"
    } else {
        "/sys/class/tty"
    };
    let nodes = fs::read_dir(class).ok()?.flatten();
    let mut names = nodes.filter_map(|node| node.file_name().into_string().ok());
    let name = names.find(|name| name.starts_with(kind))?;
    let node = Path::new("/dev").join(name);
    node.exists().then_some(node)
}

/// What the device's two scales say.
#[derive(Debug, Default)]
pub(crate) struct Voices {
    reports: Voice,
    line: Voice,
    ear: Ear,
}

impl Voices {
    /// Tells a weighing where somebody listens; what nobody hears is lost, as on a wire.
    pub(crate) fn say(&mut self, weighed: Weighed) {
        let tenths = (weighed.gross_ug + 50_000).div_euclid(100_000);
        let listened_to = self.ear.listens_to();
        let heard = |kind: &str| listened_to.iter().any(|node| node.contains(kind));
        if heard("/dev/hidraw") {
            self.reports
                .say("/dev/hidg0", &report(tenths, weighed.still));
        } else {
            self.reports.hush();
        }
        if heard("/dev/ttyACM") {
            let state = if weighed.still { "ST" } else { "US" };
            let (whole, tenth) = (tenths / 10, tenths % 10);
            let line = format!("{state},GS,+{whole:>7}.{tenth} g\r\n");
            self.line.say("/dev/ttyGS0", line.as_bytes());
        } else {
            self.line.hush();
        }
    }
}

/// Status: 2 is stable at zero, 3 in motion, 4 stable; unit 2 is the gram; the scaling is a power of ten.
fn report(tenths: i64, still: bool) -> [u8; 6] {
    let [low, high] = u16::try_from(tenths).unwrap_or(u16::MAX).to_le_bytes();
    let status = match (still, tenths) {
        (false, _) => 3,
        (true, 0) => 2,
        (true, _) => 4,
    };
    [3, status, 2, 0xff, low, high]
}

/// The device's end of a function; open while the other end is.
#[derive(Debug, Default)]
struct Voice(Option<File>);

impl Voice {
    fn say(&mut self, end: &str, bytes: &[u8]) {
        if self.0.is_none() {
            self.0 = open(end);
        }
        if let Some(file) = &mut self.0 {
            // What is refused is a report after one that the host has not fetched, or after the plug was pulled.
            let _sent = file.write(bytes);
        }
    }

    /// Opened anew the next time, so that nothing is kept from before.
    fn hush(&mut self) {
        self.0 = None;
    }
}

fn open(end: &str) -> Option<File> {
    let flags = OFlags::NONBLOCK | OFlags::NOCTTY;
    let flags = i32::try_from(flags.bits()).unwrap();
    let file = OpenOptions::new()
        .write(true)
        .read(true)
        .custom_flags(flags)
        .open(end)
        .ok()?;
    // A terminal would send back what it gets.
    if let Ok(mut settings) = tcgetattr(&file) {
        settings.make_raw();
        tcsetattr(&file, OptionalActions::Now, &settings).unwrap();
    }
    Some(file)
}

/// Knows which devices the service has open.
#[derive(Debug, Default)]
struct Ear {
    /// The folder of its process, kept: looking through all of them takes long here.
    process: Option<PathBuf>,
}

impl Ear {
    fn listens_to(&mut self) -> Vec<String> {
        let files = |process: &PathBuf| {
            let files = fs::read_dir(process.join("fd")).ok()?.flatten();
            let paths = files.filter_map(|file| fs::read_link(file.path()).ok());
            Some(paths.map(|path| path.display().to_string()).collect())
        };
        if let Some(heard) = self.process.as_ref().and_then(files) {
            return heard;
        }
        self.process = fs::read_dir("/proc")
            .unwrap()
            .flatten()
            .find_map(|process| {
                let process = process.path();
                let name = fs::read_to_string(process.join("comm")).ok()?;
                (name.trim() == "tarehandd").then_some(process)
            });
        self.process.as_ref().and_then(files).unwrap_or_default()
    }
}

#[track_caller]
fn write(path: &Path, bytes: &[u8]) {
    if let Err(error) = fs::write(path, bytes) {
        panic!("{}: {error}", path.display());
    }
}
