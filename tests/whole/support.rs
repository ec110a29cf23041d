//! The support itself: homes, programs with a deadline, HTTP and events on a socket.

use std::io::{Read, Write};
use std::os::unix::fs::PermissionsExt;
use std::os::unix::net::UnixListener;
use std::path::PathBuf;
use std::process::Stdio;
use std::thread::{self, JoinHandle};
use std::time::Duration;

use serde_json::json;
use tarehand_tests::{Client, Home, LIMIT, Running, binaries, run, wait_for};

/// Answers one request, read up to `end`, at a socket with `reply`, and returns what was asked.
fn serve_once(
    home: &Home,
    end: &'static str,
    reply: &'static [u8],
) -> (PathBuf, JoinHandle<String>) {
    let socket = home.runtime().join("server");
    let listener = UnixListener::bind(&socket).unwrap();
    let server = thread::spawn(move || {
        let (mut stream, _) = listener.accept().unwrap();
        let mut asked = Vec::new();
        let mut buffer = [0; 1024];
        while !asked.ends_with(end.as_bytes()) {
            let count = stream.read(&mut buffer).unwrap();
            asked.extend(&buffer[..count]);
        }
        stream.write_all(reply).unwrap();
        String::from_utf8(asked).unwrap()
    });
    (socket, server)
}

#[test]
fn a_home_is_private_and_hides_the_real_one() {
    let home = Home::new();
    let mode = home.runtime().metadata().unwrap().permissions().mode();
    assert_eq!(mode & 0o777, 0o700);
    let finished = run(&mut home.command("/usr/bin/env"), "", LIMIT);
    let environment = finished.good();
    assert!(!environment.contains("DBUS") && !environment.contains("CARGO"));
    assert!(environment.contains(&format!("HOME={}", home.path().display())));
}

#[test]
fn a_program_gets_its_input_and_its_exit_code_is_seen() {
    let home = Home::new();
    let mut command = home.command("/bin/sh");
    command.args(["-c", "cat; echo late >&2; exit 75"]);
    let finished = run(&mut command, "12 g", LIMIT).with_code(75);
    assert_eq!((&*finished.stdout, &*finished.stderr), ("12 g", "late\n"));
}

#[test]
#[should_panic(expected = "still ran after")]
fn a_program_that_hangs_is_ended_and_named() {
    let home = Home::new();
    let mut command = home.command("/bin/sleep");
    run(command.arg("600"), "", Duration::from_millis(50));
}

#[test]
fn leaving_a_home_ends_what_was_started_in_it() {
    let home = Home::new();
    let mut command = home.command("/bin/sleep");
    let mut sleeper = Running::start(command.arg("600"), Stdio::null());
    // Until it has become the new program its environment is still this one's.
    wait_for("the sleeper to move in", LIMIT, || {
        home.inhabitants().contains(&sleeper.pid()).then_some(())
    });
    drop(home);
    let status = wait_for("its end", LIMIT, || sleeper.ended());
    assert_eq!(status.code(), None);
}

#[test]
fn both_binaries_are_found() {
    assert!(binaries::tarehand().is_file());
    assert!(binaries::tarehandd().is_file());
}

// The chunks: RFC 9112, section 7.1.
#[test]
fn an_answer_is_read_by_length_and_by_chunks() {
    let home = Home::new();
    let (socket, server) = serve_once(
        &home,
        "{\"by\":1}",
        b"HTTP/1.1 200 OK\r\ncontent-type: application/json\r\ncontent-length: 14\r\n\r\n{\"net_g\":12.3}rest",
    );
    let answer = Client::unix(socket)
        .post("/pours?now", &json!({"by": 1}))
        .with_status(200);
    assert_eq!(answer.json(), json!({"net_g": 12.3}));
    let asked = server.join().unwrap();
    assert!(asked.starts_with("POST /pours?now HTTP/1.1\r\nhost: localhost\r\n"));
    assert!(asked.ends_with("content-length: 8\r\n\r\n{\"by\":1}"));

    let home = Home::new();
    let (socket, server) = serve_once(
        &home,
        "\r\n\r\n",
        b"HTTP/1.1 404 Not Found\r\nTransfer-Encoding: chunked\r\n\r\n4\r\nno s\r\n5;x=y\r\ncale\n\r\n0\r\n\r\n",
    );
    let answer = Client::unix(socket).get("/").with_status(404);
    assert_eq!(answer.text(), "no scale\n");
    assert_eq!(answer.field("transfer-encoding"), Some("chunked"));
    server.join().unwrap();
}

// The fields of an event: WHATWG HTML, section 9.2.6.
#[test]
fn events_are_read_across_chunks_and_the_end_is_seen() {
    let home = Home::new();
    let (socket, server) = serve_once(
        &home,
        "\r\n\r\n",
        b"HTTP/1.1 200 OK\r\ncontent-type: text/event-stream\r\ntransfer-encoding: chunked\r\n\r\n\
          c\r\n: alive\n\ndat\r\n8\r\na: one\n\n\r\n24\r\nevent: weight\nid: 7\ndata: {\"g\":\n\
          data\r\n7\r\n:12.3}\n\r\n1\r\n\n\r\n0\r\n\r\n",
    );
    let mut events = Client::unix(socket).events("/events");
    let first = events.next(LIMIT);
    assert_eq!((&*first.name, &*first.data), ("message", "one"));
    let grams = events.wait_for("a weight", "weight", LIMIT, |weight| weight["g"].as_f64());
    assert_eq!(grams.to_string(), "12.3");
    events.wait_for_end(LIMIT);
    server.join().unwrap();
}

#[test]
fn nobody_at_a_socket_is_an_error_not_a_wait() {
    let home = Home::new();
    let client = Client::unix(home.runtime().join("nobody"));
    assert!(client.request("GET", "/", None).is_err());
}
