//! Opening a port of this machine.

use std::fs;
use std::os::unix::fs::FileTypeExt;
use std::path::Path;
use std::time::Duration;

use rustix::fs::{Mode, OFlags};

use super::access::{self, Holder};
use super::attached::{self, Attached};
use super::error::OpenError;
use super::port::{Port, SystemPort};
use super::settings::Settings;

/// The machine a link runs on: what is attached, and how to open it.
///
/// The real one is [`System`]; tests script another.
pub(super) trait Host: Send {
    /// Returns the ports that are attached now.
    fn attached(&self) -> Vec<Attached>;

    /// Opens the port at `path` for us alone.
    ///
    /// # Errors
    ///
    /// [`OpenError`] says why not.
    fn open(&self, path: &str, settings: Settings) -> Result<Box<dyn Port>, OpenError>;
}

/// This machine.
#[derive(Clone, Copy, Debug)]
pub(super) struct System;

impl Host for System {
    fn attached(&self) -> Vec<Attached> {
        attached::attached()
    }

    fn open(&self, path: &str, settings: Settings) -> Result<Box<dyn Port>, OpenError> {
        const WRITE_WAIT: Duration = Duration::from_millis(100);
        if let Some(by) = reader_beside_us(path) {
            return Err(OpenError::InUse {
                path: path.to_owned(),
                by: Some(by),
            });
        }
        let port = serialport::new(path, settings.speed)
            .data_bits(settings.data_bits)
            .parity(settings.parity)
            .stop_bits(settings.stop_bits)
            .timeout(WRITE_WAIT)
            .open()
            .map_err(|source| why(path, source))?;
        Ok(Box::new(SystemPort::new(port)))
    }
}

/// Returns another program that has the port open without having locked it.
///
/// The system would open it for us too, and then deal out the bytes between the two. A pseudo-terminal
/// is another matter, and not among these: the program that plays the device keeps it open.
fn reader_beside_us(path: &str) -> Option<Holder> {
    let node = fs::canonicalize(path).ok()?;
    let is_real_port = Path::new("/sys/class/tty").join(node.file_name()?).exists();
    if !is_real_port {
        return None;
    }
    access::holder(path).filter(|holder| !holder.is_us())
}

fn why(path: &str, source: serialport::Error) -> OpenError {
    use serialport::ErrorKind;
    use std::io;
    let path = path.to_owned();
    match source.kind {
        // Both the exclusive mode of a terminal and its lock report this kind.
        ErrorKind::NoDevice => OpenError::InUse {
            by: access::holder(&path),
            path,
        },
        ErrorKind::Io(io::ErrorKind::NotFound) => OpenError::Missing { place: path },
        ErrorKind::Io(io::ErrorKind::PermissionDenied) => OpenError::NotPermitted {
            owner: access::owner(&path),
            path,
        },
        ErrorKind::Io(_) | ErrorKind::InvalidInput | ErrorKind::Unknown => {
            if is_terminal(&path) {
                OpenError::System { path, source }
            } else {
                OpenError::NotSerial { path }
            }
        }
    }
}

/// Tells whether a node is a terminal; called only when opening failed, as this opens it too.
fn is_terminal(path: &str) -> bool {
    let is_device = fs::metadata(path).is_ok_and(|node| node.file_type().is_char_device());
    if !is_device {
        return false;
    }
    let flags = OFlags::RDWR | OFlags::NOCTTY | OFlags::NONBLOCK | OFlags::CLOEXEC;
    match rustix::fs::open(path, flags, Mode::empty()) {
        Ok(node) => rustix::termios::isatty(node),
        // What cannot even be opened is left to the system's own words.
        Err(_) => true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(path: &str, expected: &str) {
        match System.open(path, Settings::default()) {
            Ok(_) => panic!("`{path}` opened"),
            Err(error) => {
                assert_eq!(error.to_string(), expected);
                assert!(error.hint().is_some());
            }
        }
    }

    #[test]
    fn what_cannot_be_opened_is_said_in_plain_words() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("notes");
        let link = folder.path().join("scale");
        fs::write(&file, "").unwrap();
        std::os::unix::fs::symlink(folder.path().join("nothing"), &link).unwrap();
        let text = |path: &Path| path.to_str().unwrap().to_owned();

        check(&text(&link), &format!("no scale at `{}`", link.display()));
        check(
            &text(&file),
            &format!("`{}` is not a serial device", file.display()),
        );
        check(
            &text(folder.path()),
            &format!("`{}` is not a serial device", folder.path().display()),
        );
        check("/dev/null", "`/dev/null` is not a serial device");
    }
}
