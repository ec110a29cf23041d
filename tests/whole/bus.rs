//! A message bus that nobody else knows, for a double of a service of the system or of the desktop.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

/// A message bus at one address, which may die and come back; ended when dropped.
pub(crate) struct Bus {
    folder: PathBuf,
    daemon: Child,
}

impl Bus {
    pub(crate) fn start(folder: &Path) -> Self {
        let settings = format!(
            r#"<!DOCTYPE busconfig PUBLIC "-//freedesktop//DTD D-Bus Bus Configuration 1.0//EN"
 "http://www.freedesktop.org/standards/dbus/1.0/busconfig.dtd">
<busconfig>
  <type>custom</type>
  <listen>unix:path={}</listen>
  <auth>EXTERNAL</auth>
  <policy context="default">
    <allow send_destination="*" eavesdrop="true"/>
    <allow eavesdrop="true"/>
    <allow own="*"/>
  </policy>
</busconfig>
"#,
            socket(folder).display()
        );
        fs::write(folder.join("bus.conf"), settings).unwrap();
        Self {
            folder: folder.to_owned(),
            daemon: daemon(folder),
        }
    }

    pub(crate) fn address(&self) -> String {
        format!("unix:path={}", socket(&self.folder).display())
    }

    /// Ends it, as a crash does: nobody is told.
    pub(crate) fn die(&mut self) {
        self.daemon.kill().unwrap();
        let _status = self.daemon.wait().unwrap();
        let _stale = fs::remove_file(socket(&self.folder));
    }

    /// Starts it again at the same address.
    pub(crate) fn come_back(&mut self) {
        self.daemon = daemon(&self.folder);
    }
}

impl Drop for Bus {
    fn drop(&mut self) {
        let _ended = self.daemon.kill();
        let _status = self.daemon.wait();
    }
}

fn socket(folder: &Path) -> PathBuf {
    folder.join("bus.sock")
}

/// Starts the program and waits until it listens.
fn daemon(folder: &Path) -> Child {
    let mut config = std::ffi::OsString::from("--config-file=");
    config.push(folder.join("bus.conf"));
    let mut daemon = Command::new("dbus-daemon")
        .arg(config)
        .args(["--nofork", "--nopidfile", "--nosyslog", "--print-address=1"])
        .stdout(Stdio::piped())
        // It complains where it may not raise the limit of open files.
        .stderr(Stdio::null())
        .spawn()
        .expect("dbus-daemon is there; tests/run installs it");
    let mut address = String::new();
    BufReader::new(daemon.stdout.take().unwrap())
        .read_line(&mut address)
        .unwrap();
    assert!(!address.is_empty(), "dbus-daemon does not listen");
    daemon
}
