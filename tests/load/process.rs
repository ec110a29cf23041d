//! What the system knows of a process (proc(5)).

use std::fs;
use std::time::Duration;

use rustix::process::Pid;

/// The processor time of a process so far.
pub(crate) fn processor(pid: Pid) -> Duration {
    let tasks = fs::read_dir(format!("/proc/{}/task", pid.as_raw_nonzero())).unwrap();
    let nanos = tasks.flatten().filter_map(|task| {
        let text = fs::read_to_string(task.path().join("schedstat")).ok()?;
        text.split_whitespace().next()?.parse::<u64>().ok()
    });
    Duration::from_nanos(nanos.sum())
}

/// A number of its status, in kilobytes where it is a size.
pub(crate) fn kilobytes(pid: Pid, field: &str) -> f64 {
    let status = fs::read_to_string(format!("/proc/{}/status", pid.as_raw_nonzero())).unwrap();
    let line = status.lines().find_map(|line| line.strip_prefix(field));
    line.and_then(|line| line.split_whitespace().next()?.parse().ok())
        .unwrap()
}
