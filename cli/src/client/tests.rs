//! The client against a small server on a real socket, whose bytes each test writes by hand.

use std::path::PathBuf;
use std::time::Duration;

use tarehand_protocol::api::{Status, View};
use tempfile::TempDir;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::UnixListener;
use tokio::sync::oneshot;

use super::{Client, ClientError, Happening};

/// A server that answers every request with the same pieces, then does what `then` says.
struct Server {
    _folder: TempDir,
    socket: PathBuf,
    request: oneshot::Receiver<String>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Then {
    Close,
    Hang,
}

impl Server {
    fn start(pieces: Vec<Vec<u8>>, then: Then) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let socket = folder.path().join("service.socket");
        // Bound before anybody connects.
        let listener = UnixListener::bind(&socket).unwrap();
        let (sender, request) = oneshot::channel();
        drop(tokio::spawn(async move {
            let (mut stream, _) = listener.accept().await.unwrap();
            let mut seen = Vec::new();
            let mut buffer = [0_u8; 4096];
            while !seen.windows(4).any(|four| four == b"\r\n\r\n") {
                let read = stream.read(&mut buffer).await.unwrap();
                seen.extend_from_slice(&buffer[..read]);
            }
            drop(sender.send(String::from_utf8_lossy(&seen).into_owned()));
            for piece in pieces {
                stream.write_all(&piece).await.unwrap();
                stream.flush().await.unwrap();
                tokio::task::yield_now().await;
            }
            if then == Then::Hang {
                std::future::pending::<()>().await;
            }
        }));
        Self {
            _folder: folder,
            socket,
            request,
        }
    }

    fn client(&self) -> Client {
        Client::new(&self.socket)
    }
}

fn answer(status: &str, kind: &str, body: &str) -> Vec<u8> {
    let length = body.len();
    format!("HTTP/1.1 {status}\r\ncontent-type: {kind}\r\ncontent-length: {length}\r\n\r\n{body}")
        .into_bytes()
}

fn json(body: &str) -> Vec<u8> {
    answer("200 OK", "application/json", body)
}

const STATUS: &str =
    r#"{"api":1,"version":"0.1.0","pid":7,"log":"/d/log.sqlite","benches":[],"later":true}"#;

#[tokio::test]
async fn an_answer_is_read_and_fields_of_later_versions_are_passed_over() {
    let server = Server::start(vec![json(STATUS)], Then::Close);
    let status: Status = server.client().status().await.unwrap();
    assert_eq!(status.pid, 7);
    let request = server.request.await.unwrap();
    assert!(
        request.starts_with("GET /v1/status HTTP/1.1\r\n"),
        "{request}"
    );
}

// The members of RFC 9457, section 3.1, and our extension `hint`.
#[tokio::test]
async fn a_problem_document_becomes_what_the_person_reads() {
    let body = r#"{"type":"urn:tarehand:problem:no-jar","title":"The jar is not on the pan","status":409,"detail":"step 3 needs it","hint":"set it back"}"#;
    let problem = answer("409 Conflict", "application/problem+json", body);
    let server = Server::start(vec![problem], Then::Close);
    let error = server
        .client()
        .get::<View>("/v1/benches/bench")
        .await
        .unwrap_err();
    assert_eq!(
        error.to_string(),
        "The jar is not on the pan: step 3 needs it"
    );
    assert_eq!(error.hint().as_deref(), Some("set it back"));
}

#[tokio::test]
async fn what_title_and_detail_both_say_is_said_once() {
    for (detail, said) in [
        ("there is no such jar", "there is no such jar"),
        (
            "there is no such jar in the set",
            "there is no such jar in the set",
        ),
        ("that is no mark", "There is no such jar: that is no mark"),
    ] {
        let body = format!(
            r#"{{"type":"urn:tarehand:problem:no-jar","title":"There is no such jar","status":404,"detail":"{detail}"}}"#
        );
        let problem = answer("404 Not Found", "application/problem+json", &body);
        let server = Server::start(vec![problem], Then::Close);
        let asked = server.client().get::<View>("/v1/benches/bench").await;
        assert_eq!(asked.unwrap_err().to_string(), said);
    }
}

#[tokio::test]
async fn a_refusal_without_a_document_is_told_by_its_status() {
    let server = Server::start(
        vec![answer("502 Bad Gateway", "text/html", "<p>")],
        Then::Close,
    );
    let error = server
        .client()
        .get::<View>("/v1/benches/bench")
        .await
        .unwrap_err();
    assert_eq!(
        error.to_string(),
        "the service refused with 502 Bad Gateway"
    );
}

#[track_caller]
fn check_api(error: &ClientError, side: &str) {
    let hint = error.hint().unwrap();
    assert!(hint.starts_with(side), "{error}: {hint}");
}

#[tokio::test]
async fn the_side_that_is_too_old_is_told_to_update() {
    let server = Server::start(
        vec![json(r#"{"api":2,"version":"9.0.0","new":[]}"#)],
        Then::Close,
    );
    check_api(
        &server.client().status().await.unwrap_err(),
        "update this command",
    );
    let server = Server::start(vec![json(r#"{"api":0}"#)], Then::Close);
    check_api(
        &server.client().status().await.unwrap_err(),
        "update the service",
    );
}

#[tokio::test]
async fn a_service_that_hangs_meets_the_limit() {
    for pieces in [
        vec![],
        vec![b"HTTP/1.1 200 OK\r\ncontent-length: 99\r\n\r\n{".to_vec()],
    ] {
        let server = Server::start(pieces, Then::Hang);
        let client = server.client().with_limit(Duration::from_millis(30));
        let error = client.status().await.unwrap_err();
        assert!(matches!(error, ClientError::TimedOut { .. }), "{error}");
        assert!(error.is_passing());
    }
}

#[tokio::test]
async fn a_conversation_that_breaks_off_says_what_was_asked() {
    let cut = b"HTTP/1.1 200 OK\r\ncontent-length: 99\r\n\r\n{".to_vec();
    let server = Server::start(vec![cut], Then::Close);
    let error = server.client().status().await.unwrap_err();
    assert_eq!(
        error.to_string(),
        "the conversation with the service broke off (GET /v1/status)"
    );
}

#[tokio::test]
async fn nobody_on_the_socket_means_not_running() {
    let folder = tempfile::tempdir().unwrap();
    let socket = folder.path().join("service.socket");
    let missing = Client::new(&socket).status().await.unwrap_err();
    assert!(matches!(missing, ClientError::NotRunning), "{missing}");
    drop(UnixListener::bind(&socket).unwrap());
    let stale = Client::new(&socket).status().await.unwrap_err();
    assert!(matches!(stale, ClientError::NotRunning), "{stale}");
}

const READING: &str = r#"{"gross_g":12.3,"state":"stable","unit":"g","digits":"12.30","age_ms":4}"#;

/// A chunk of a chunked body (RFC 9112, section 7.1).
fn chunk(bytes: &[u8]) -> Vec<u8> {
    let mut chunk = format!("{:x}\r\n", bytes.len()).into_bytes();
    chunk.extend_from_slice(bytes);
    chunk.extend_from_slice(b"\r\n");
    chunk
}

const EVENTS_HEAD: &[u8] =
    b"HTTP/1.1 200 OK\r\ncontent-type: text/event-stream\r\ntransfer-encoding: chunked\r\n\r\n";

#[tokio::test]
async fn events_come_whole_however_the_bytes_are_split() {
    let stream = format!(
        ": hello\n\nevent: reading\ndata: {READING}\n\nevent: unheard-of\ndata: 1\n\nevent: reading\ndata: {READING}\n\n"
    );
    for size in [1, 7, 64, 4096] {
        let mut pieces = vec![EVENTS_HEAD.to_vec()];
        pieces.extend(stream.as_bytes().chunks(size).map(chunk));
        pieces.push(chunk(b""));
        let server = Server::start(pieces, Then::Close);
        let mut events = server
            .client()
            .events("/v1/benches/bench/readings")
            .await
            .unwrap();
        for _ in 0..2 {
            let Some(Happening::Reading(reading)) = events.next().await.unwrap() else {
                panic!("no reading in pieces of {size}");
            };
            assert_eq!(reading.digits.as_deref(), Some("12.30"));
        }
        assert_eq!(events.next().await.unwrap(), None);
    }
}

#[tokio::test]
async fn a_stream_that_is_refused_tells_the_problem() {
    let body = r#"{"type":"urn:tarehand:problem:no-such-bench","title":"There is no such bench","status":404}"#;
    let problem = answer("404 Not Found", "application/problem+json", body);
    let server = Server::start(vec![problem], Then::Close);
    let error = server
        .client()
        .events("/v1/benches/x/events")
        .await
        .unwrap_err();
    assert_eq!(error.to_string(), "There is no such bench");
}

#[tokio::test]
async fn an_event_that_is_not_understood_is_an_error_and_not_a_weight() {
    let pieces = vec![EVENTS_HEAD.to_vec(), chunk(b"event: weight\ndata: {}\n\n")];
    let server = Server::start(pieces, Then::Hang);
    let mut events = server
        .client()
        .events("/v1/benches/bench/events")
        .await
        .unwrap();
    let error = events.next().await.unwrap_err();
    assert!(
        matches!(error, ClientError::NotUnderstood { .. }),
        "{error}"
    );
}
