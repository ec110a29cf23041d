//! The service as a program: one instance, its end, its files, its words.

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::os::unix::net::UnixDatagram;
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::Stdio;
use std::time::Duration;

use rustix::process::{Pid, Signal, getsid, kill_process_group};
use serde_json::Value;
use tarehand_tests::binaries::{repository, tarehandd};
use tarehand_tests::{Client, Home, LIMIT, Running, ScaleDouble, ScaleSetting, Service};
use tarehand_tests::{run, wait_for};

use crate::bench::Bench;

/// How long a clean end may take.
const CLEAN_END: Duration = Duration::from_secs(2);

#[track_caller]
fn mode(path: &Path) -> u32 {
    fs::symlink_metadata(path).unwrap().permissions().mode() & 0o777
}

#[test]
fn a_second_service_says_who_runs_and_ends_with_75() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let second = run(&mut Service::command(&home), "", LIMIT).with_code(75);
    let pid = service.process().pid().as_raw_nonzero();
    let words = format!("the service runs already (process {pid})");
    assert!(second.stderr.contains(&words), "{}", second.stderr);
    assert!(second.stderr.contains("tarehand stop"), "{}", second.stderr);
    let _status = service.client().get("/v1/status").with_status(200);
}

#[test]
fn told_to_stop_in_mid_batch_it_closes_the_log_and_ends_well() {
    let mut bench = Bench::new();
    bench.open("quarry-green.toml");
    bench.put_jar();
    bench.wait_doing("pour");
    let log = bench.home.data().join("tarehand/log.sqlite");
    assert!(log.with_extension("sqlite-wal").exists());
    let Bench {
        home,
        service,
        scale: _scale,
        ..
    } = bench;
    let ended = service.terminate(CLEAN_END).with_code(0);
    assert!(ended.stderr.contains("stopped"), "{}", ended.stderr);
    // A log that was closed has all of it in one file.
    assert!(log.exists() && !log.with_extension("sqlite-wal").exists());
    assert!(!home.socket().exists());
}

#[test]
fn a_service_that_a_command_started_outlives_the_commands_terminal() {
    let home = Home::new();
    let scale = ScaleDouble::start(&home.path().join("scale"), &ScaleSetting::default());
    let link = scale.link().to_str().unwrap();
    let mut command = home.tarehand(&["watch", "--json", "--port", link]);
    // A group of its own, as a shell makes one for each job.
    command.process_group(0);
    let watch = Running::start(&mut command, Stdio::null());
    wait_for("a reading", LIMIT, || {
        watch.said().0.contains("gross_g").then_some(())
    });
    kill_process_group(watch.pid(), Signal::HUP).unwrap();
    let ended = watch.finish(LIMIT);
    assert_ne!(ended.code, Some(0), "a closed terminal ended it");
    let status = Client::unix(home.socket())
        .get("/v1/status")
        .with_status(200);
    let pid = status.json()["pid"]
        .as_i64()
        .and_then(|pid| i32::try_from(pid).ok());
    let pid = pid.and_then(Pid::from_raw);
    assert_eq!(getsid(pid).ok(), pid, "it leads a session of its own");
    let stopped = run(&mut home.tarehand(&["stop"]), "", LIMIT).with_code(0);
    assert!(stopped.stderr.contains("stopped"), "{}", stopped.stderr);
    let again = run(&mut home.tarehand(&["status"]), "", LIMIT);
    assert!(
        !home.socket().exists() || again.code == Some(0),
        "{}",
        again.stderr
    );
}

#[test]
fn its_folders_and_files_are_for_their_owner_alone() {
    let home = Home::new();
    let _service = Service::start(&home, &["--loopback", "127.0.0.1:0"]);
    for folder in [home.runtime(), home.data()] {
        assert_eq!(
            mode(&folder.join("tarehand")),
            0o700,
            "{}",
            folder.display()
        );
    }
    let files = [
        home.socket(),
        home.runtime().join("tarehand/service.lock"),
        home.runtime().join("tarehand/loopback.token"),
        home.data().join("tarehand/log.sqlite"),
    ];
    for file in files {
        assert_eq!(mode(&file), 0o600, "{}", file.display());
    }
}

#[test]
fn what_a_killed_service_left_stands_in_nobodys_way() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    service.kill();
    assert!(home.socket().exists(), "a killed one cannot clean up");
    let _service = Service::start(&home, &[]);
}

/// The service does not start, says why in these words, and so does a command that wanted to start it.
#[track_caller]
fn check_refusal(home: &Home, flags: &[&str], code: i32, words: &[&str]) {
    let mut service = Service::command(home);
    let alone = run(service.args(flags), "", LIMIT).with_code(code);
    let mut command = home.tarehand(&["watch", "--count", "1", "--port", "/dev/null"]);
    let asked = run(command.args(flags), "", LIMIT).with_code(code);
    for word in words {
        assert!(alone.stderr.contains(word), "`{word}` in {}", alone.stderr);
        assert!(asked.stderr.contains(word), "`{word}` in {}", asked.stderr);
    }
}

#[test]
fn a_file_that_is_no_log_is_left_alone_and_said() {
    let home = Home::new();
    let log = home.write("data/tarehand/log.sqlite", "my own notes, not a log\n");
    check_refusal(&home, &[], 78, &["is not a log of Tarehand"]);
    assert_eq!(
        fs::read_to_string(log).unwrap(),
        "my own notes, not a log\n"
    );
}

#[test]
fn a_damaged_log_is_said() {
    let home = Home::new();
    let _stopped = Service::start(&home, &[]).terminate(LIMIT).with_code(0);
    let log = home.data().join("tarehand/log.sqlite");
    let mut bytes = fs::read(&log).unwrap();
    // Behind the head of the file, so that it still looks like one: SQLite's header is 100 bytes.
    let end = bytes.len();
    bytes[100..end].fill(0x5a);
    fs::write(&log, bytes).unwrap();
    check_refusal(&home, &[], 69, &["is damaged"]);
}

#[test]
fn a_folder_that_cannot_be_written_is_said() {
    let home = Home::new();
    // Not even root makes folders here.
    let flags = ["--data-dir", "/proc/tarehand-data"];
    check_refusal(
        &home,
        &flags,
        69,
        &["/proc/tarehand-data", "name another one"],
    );
}

#[test]
fn wrong_calls_are_two_and_wrong_settings_are_78() {
    let home = Home::new();
    for arguments in [
        &["melt"][..],
        &["answer", "perhaps"],
        &["watch", "--count", "0"],
    ] {
        let _usage = run(&mut home.tarehand(arguments), "", LIMIT).with_code(2);
    }
    let _usage = run(home.command(tarehandd()).arg("--melt"), "", LIMIT).with_code(2);
    let mut open = home.command(tarehandd());
    open.args(["--loopback", "0.0.0.0:0"]);
    let refused = run(&mut open, "", LIMIT).with_code(78);
    assert!(
        refused.stderr.contains("is not a loopback address"),
        "{}",
        refused.stderr
    );
    home.write("config/tarehand/settings.toml", "[terminal]\nbel = true\n");
    let refused = run(&mut home.tarehand(&["mix"]), "", LIMIT).with_code(78);
    assert!(refused.stderr.contains("bel"), "{}", refused.stderr);
}

// sd_notify(3): datagrams of lines `NAME=value`.
#[test]
fn a_supervisor_hears_when_it_is_ready_and_when_it_stops() {
    let home = Home::new();
    let path = home.runtime().join("notify");
    let supervisor = UnixDatagram::bind(&path).unwrap();
    supervisor.set_read_timeout(Some(LIMIT)).unwrap();
    let mut command = Service::command(&home);
    command.env("NOTIFY_SOCKET", &path);
    let service = Service::start_command(&home, &mut command);
    let wait = |word: &str| loop {
        let mut buffer = [0; 1_024];
        let count = supervisor.recv(&mut buffer).unwrap();
        let text = String::from_utf8_lossy(&buffer[..count]).into_owned();
        if text.lines().any(|line| line == word) {
            return text;
        }
    };
    let ready = wait("READY=1");
    assert!(ready.contains("STATUS="), "{ready}");
    service.process().signal(Signal::TERM);
    wait("STOPPING=1");
    let _ended = service.terminate(LIMIT).with_code(0);
}

#[test]
fn the_unit_for_a_supervisor_is_sound() {
    let home = Home::new();
    let text = fs::read_to_string(repository().join("daemon/systemd/tarehand.service")).unwrap();
    let binary = format!("ExecStart={}", tarehandd().display());
    let here = text.replace("ExecStart=/usr/bin/tarehandd", &binary);
    assert_ne!(here, text);
    let unit = home.write("config/tarehand.service", &here);
    let mut verify = home.command("/usr/bin/systemd-analyze");
    verify.args(["--user", "--recursive-errors=yes", "--man=no", "verify"]);
    let verified = run(verify.arg(unit), "", LIMIT).with_code(0);
    assert_eq!(verified.stderr, "");
    for line in [
        "Type=notify",
        "WatchdogSec=30",
        "RestartPreventExitStatus=78",
        "UMask=0077",
    ] {
        assert!(text.lines().any(|own| own == line), "{line}");
    }
}

#[test]
fn the_services_own_words_are_in_the_status() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let told = run(&mut home.tarehand(&["status", "--json"]), "", LIMIT).good();
    let status: Value = serde_json::from_str(&told).unwrap();
    let pid = service.process().pid().as_raw_nonzero().get();
    assert_eq!(status["pid"], pid);
    let log = home.data().join("tarehand/log.sqlite");
    assert_eq!(status["log"], log.to_str().unwrap());
}
