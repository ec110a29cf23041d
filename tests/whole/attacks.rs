//! Whoever comes to the page with bad intent: strangers, and visitors who want more than they were let in for.

use std::collections::VecDeque;
use std::fs;
use std::io::{ErrorKind, Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::thread;

use serde_json::{Value, json};
use tarehand_tests::{Answer, Client, Events, Home, LIMIT, Service};

use crate::bench::Bench;
use crate::visits::{code, enter, let_in, open};

/// What the service may have open in the worst case, well below the 1,024 a process gets: the scale and the log find a file.
const MOST_FILES: usize = 500;
/// What it may take of memory in the worst case; the debug build at rest takes a third.
const MOST_KIB: u64 = 120 * 1024;
/// As many streams as one visitor may have, and all together.
const MOST_OF_ONE: usize = 8;
const MOST_OF_ALL: usize = 64;

fn files(service: &Service) -> usize {
    let folder = format!("/proc/{}/fd", service.process().pid().as_raw_nonzero());
    fs::read_dir(folder).unwrap().count()
}

fn memory_kib(service: &Service) -> u64 {
    let file = format!("/proc/{}/status", service.process().pid().as_raw_nonzero());
    let status = fs::read_to_string(file).unwrap();
    let line = status.lines().find(|line| line.starts_with("VmRSS:"));
    let number = line.unwrap().split_whitespace().nth(1);
    number.unwrap().parse().unwrap()
}

/// Every method of every path of the service's own document, with something put in for what is in braces.
fn operations(service: &Service) -> Vec<(String, String)> {
    let document: Value = service
        .client()
        .get("/v1/openapi.json")
        .with_status(200)
        .json();
    let mut all = Vec::new();
    for (path, methods) in document["paths"].as_object().unwrap() {
        let path = filled_in(path);
        let methods = methods.as_object().unwrap().keys();
        all.extend(methods.map(|method| (method.to_uppercase(), path.clone())));
    }
    assert!(20 < all.len(), "{all:?}");
    all
}

/// Puts something in for what is in braces: the bench that there is, and of anything else something there may be.
fn filled_in(path: &str) -> String {
    let part = |part| match part {
        "{bench}" => "bench",
        other if other.starts_with('{') => "1",
        other => other,
    };
    path.split('/').map(part).collect::<Vec<_>>().join("/")
}

/// What is only worked out of what stands in the request: nothing is changed by it.
const COMPUTED: [&str; 9] = [
    "/v1/recipes/check",
    "/v1/recipes/size",
    "/v1/recipes/rescue",
    "/v1/recipes/share",
    "/v1/sets/plan",
    "/v1/sets/share",
    "/v1/shelf/drawn",
    "/v1/shelf/stock",
    "/v1/labels",
];

/// What of the page is every visitor's: who they are, and the voice that speaks for their browser.
const OF_VISITORS: [&str; 2] = ["/v1/page/me", "/v1/page/voice"];

/// Asks without a wish: a body that no path takes.
fn ask(client: &Client, method: &str, path: &str) -> Answer {
    let body: Option<&[u8]> = (method != "GET").then_some(b"{}");
    client.request(method, path, body).unwrap()
}

fn is_stream(path: &str) -> bool {
    ["/events", "/readings", "/bytes"]
        .iter()
        .any(|end| path.ends_with(end))
}

/// Weights go on to come to somebody who is there already, and none is old.
#[track_caller]
fn check_undelayed(events: &mut Events) {
    let mut last = 0;
    for _ in 0..20 {
        last = events.wait_for("a fresh weight", "weight", LIMIT, |weight| {
            let number = weight["sequence"].as_u64()?;
            let fresh = weight["age_ms"].as_u64()? < 1_500;
            (last < number && fresh).then_some(number)
        });
    }
}

#[test]
fn guesses_from_many_lines_at_once_are_five_and_then_the_code_is_none() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let door = open(&service);
    let said = code(&service, "operator");
    let guesses: Vec<_> = (0..60)
        .map(|guess| {
            let (door, said) = (door.clone(), said.clone());
            thread::spawn(move || {
                let guess = format!("{guess:06}");
                (guess != said).then(|| enter(&door, &guess).with_status(403).json())
            })
        })
        .collect();
    let answers: Vec<Value> = guesses
        .into_iter()
        .filter_map(|guess| guess.join().unwrap())
        .collect();
    let tried = answers
        .iter()
        .filter(|answer| answer["detail"] == "that is not the code");
    assert_eq!(tried.count(), 5, "{answers:?}");
    let _too_late = enter(&door, &said).with_status(403);
}

#[test]
fn on_no_path_of_the_document_may_anybody_do_more_than_they_were_let_in_for() {
    let bench = Bench::new();
    bench.open("quarry-green.toml");
    let door = open(&bench.service);
    let (viewer, _) = let_in(&bench.service, &door, "viewer");
    let (operator, _) = let_in(&bench.service, &door, "operator");
    let elsewhere = operator.clone().with_field("origin", "http://example.net");
    let rebound = operator.clone().with_host("example.net");
    let before = bench.record();
    for (method, path) in operations(&bench.service) {
        let at = format!("{method} {path}");
        let owners = path == "/v1/stop"
            || path == "/v1/page"
            || path.starts_with("/v1/log")
            || path == "/v1/batches" && method != "GET"
            || path.starts_with("/v1/page/") && !OF_VISITORS.contains(&&*path)
            || (path.ends_with("/scale") || path == "/v1/folder") && method != "GET";
        if path == "/v1/page/enter" {
            assert_eq!(ask(&elsewhere, &method, &path).status, 403, "{at}");
            continue;
        }
        assert_eq!(ask(&door, &method, &path).status, 401, "{at}");
        assert_eq!(ask(&elsewhere, &method, &path).status, 403, "{at}");
        assert_eq!(ask(&rebound, &method, &path).status, 403, "{at}");
        let harmless = COMPUTED.contains(&&*path) || OF_VISITORS.contains(&&*path);
        if owners || method != "GET" && !harmless {
            assert_eq!(ask(&viewer, &method, &path).status, 403, "{at}");
        } else if !is_stream(&path) {
            assert!(ask(&viewer, &method, &path).status < 500, "{at}");
        }
        if owners {
            assert_eq!(ask(&operator, &method, &path).status, 403, "{at}");
        }
    }
    assert_eq!(bench.record(), before, "somebody changed the batch");
    let state: Value = bench
        .service
        .client()
        .get("/v1/page")
        .with_status(200)
        .json();
    assert_eq!(state["visitors"].as_array().unwrap().len(), 2, "{state}");
}

#[test]
fn a_path_that_is_spelled_otherwise_leads_nowhere() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let door = open(&service);
    let (viewer, _) = let_in(&service, &door, "viewer");
    let disguised = viewer.with_field("x-http-method-override", "POST");
    for path in [
        "/v1/stop",
        "/v1//stop",
        "//v1/stop",
        "/V1/stop",
        "/v1/stop/",
        "/v1/%73top",
        "/v1/status/../stop",
        "/v1/stop?method=POST",
        "/page/..%2f..%2fv1%2fstop",
        "/page/../../../../etc/passwd",
        "/page/%2e%2e/%2e%2e/etc/passwd",
        "/v1/page/codes/",
        "/v1/benches/bench/scal%65",
    ] {
        for method in ["GET", "POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"] {
            let answer = ask(&disguised, method, path);
            let refused = [401, 403, 404, 405].contains(&answer.status);
            assert!(refused, "{method} {path}: {}", answer.status);
        }
    }
    let _runs = service.client().get("/v1/status").with_status(200);
}

/// Sends what it may of these bytes and returns the status, or none where the door was shut.
fn send(address: SocketAddr, bytes: &[u8]) -> Option<u16> {
    let mut line = TcpStream::connect(address).unwrap();
    line.set_read_timeout(Some(LIMIT)).unwrap();
    // It may be refused before all of it was said.
    let _said = line.write_all(bytes);
    let mut head = [0; 12];
    if let Err(error) = line.read_exact(&mut head) {
        let shut = matches!(
            error.kind(),
            ErrorKind::UnexpectedEof | ErrorKind::ConnectionReset
        );
        assert!(shut, "neither answered nor shut: {error}");
        return None;
    }
    str::from_utf8(&head[9..]).unwrap().parse().ok()
}

#[test]
fn heads_and_bodies_that_are_too_large_are_refused() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let door = open(&service);
    let (operator, _) = let_in(&service, &door, "operator");
    let address = address(&service);
    let before = memory_kib(&service);
    let get = b"GET / HTTP/1.1\r\nhost: localhost\r\n".to_vec();
    let line = [get.clone(), b"x: ".to_vec(), vec![b'a'; 1_000_000]].concat();
    let field = |number: u32| format!("x{number}: a\r\n").into_bytes();
    let fields = [
        get.clone(),
        (0..2_000).flat_map(field).collect(),
        b"\r\n".to_vec(),
    ]
    .concat();
    let path = [b"GET /".to_vec(), vec![b'a'; 1_000_000]].concat();
    for (what, bytes) in [("line", &line), ("fields", &fields), ("path", &path)] {
        let status = send(address, bytes);
        let refused = matches!(status, None | Some(400 | 414 | 431));
        assert!(refused, "a {what} too long: {status:?}");
    }
    let name = "a".repeat(10_000);
    let said = json!({"code": "000000", "name": name});
    let _large = door.post("/v1/page/enter", &said).with_status(413);
    let _large = operator
        .post(
            "/v1/recipes/check",
            &json!({"recipes": {"a": "#".repeat(2_000_000)}}),
        )
        .with_status(413);
    let grown = memory_kib(&service).saturating_sub(before);
    assert!(grown < 20 * 1024, "{grown} KiB more");
}

fn address(service: &Service) -> SocketAddr {
    let state: Value = service.client().get("/v1/page").with_status(200).json();
    let link = state["addresses"][0].as_str().unwrap();
    let address = link.trim_start_matches("http://").trim_end_matches('/');
    address.parse().unwrap()
}

/// Opens lines that never end what they begin to say, some in the head and some in the body, and keeps the newest.
fn open_slow(address: SocketAddr, count: usize) -> VecDeque<TcpStream> {
    let begun =
        b"POST /v1/page/enter HTTP/1.1\r\nhost: localhost\r\ncontent-type: application/json\r\n\
        content-length: 100\r\n\r\n{\"code\": ";
    let mut lines = VecDeque::new();
    for number in 0..count {
        let Ok(mut line) = TcpStream::connect(address) else {
            continue;
        };
        let _shut_already = line.write_all(&begun[..number % (begun.len() + 1)]);
        lines.push_back(line);
        if 300 < lines.len() {
            drop(lines.pop_front());
        }
    }
    lines
}

#[test]
fn thousands_of_lines_that_say_nothing_whole_keep_nobody_from_the_bench() {
    let mut bench = Bench::new();
    bench.open("quarry-green.toml");
    let door = open(&bench.service);
    let (visitor, _) = let_in(&bench.service, &door, "operator");
    let mut events = visitor.events("/v1/benches/bench/events");
    let address = address(&bench.service);
    let slow = open_slow(address, 3_000);
    check_undelayed(&mut events);
    let open_files = files(&bench.service);
    assert!(open_files < MOST_FILES, "{open_files} files are open");
    // One more byte of each, and somebody new comes in all the same, with a code.
    for mut line in &slow {
        let _shut_already = line.write_all(b" ");
    }
    let (_newcomer, _) = let_in(&bench.service, &door, "viewer");
    let _known = visitor.get("/v1/status").with_status(200);
    // The scale and the log still find a file each.
    bench.scale.replug();
    bench.put_jar();
    let _poured = bench.pour_step(0);
    let kib = memory_kib(&bench.service);
    assert!(kib < MOST_KIB, "{kib} KiB");
    check_undelayed(&mut events);
    drop(slow);
}

#[test]
fn streams_of_events_are_few_for_each_visitor_and_bounded_in_all() {
    let bench = Bench::new();
    bench.attach();
    let door = open(&bench.service);
    let path = "/v1/benches/bench/events";
    let (first, _) = let_in(&bench.service, &door, "operator");
    let mut events = first.events(path);
    let mut held = Vec::new();
    while held.len() + 1 < MOST_OF_ALL {
        let (visitor, _) = let_in(&bench.service, &door, "viewer");
        for _ in 0..MOST_OF_ONE.min(MOST_OF_ALL - 1 - held.len()) {
            held.push(visitor.events(path));
        }
        if held.len() + 1 < MOST_OF_ALL {
            let refused: Value = visitor.get(path).with_status(429).json();
            assert_eq!(refused["type"], "urn:tarehand:problem:too-many-streams");
        }
    }
    let (late, id) = let_in(&bench.service, &door, "viewer");
    for _ in 0..500 {
        let _refused = late.get(path).with_status(503);
    }
    check_undelayed(&mut events);
    let (open_files, kib) = (files(&bench.service), memory_kib(&bench.service));
    assert!(
        open_files < MOST_FILES && kib < MOST_KIB,
        "{open_files} files, {kib} KiB"
    );
    // Anything else is answered meanwhile, and a place that is left is free.
    let _known = late.get("/v1/status").with_status(200);
    drop(held);
    tarehand_tests::wait_for("a place", LIMIT, || late.open_events(path).ok());
    assert!(0 < id);
}

#[test]
fn no_crowd_of_strangers_takes_the_line_of_somebody_who_was_let_in() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let door = open(&service);
    // A scale that says nothing makes the quietest stream there is.
    let quiet = home.write("scale", "");
    let request = json!({"port": quiet.to_str().unwrap()});
    let _bench = service.client().put("/v1/benches/bench/scale", &request);
    let (visitor, _) = let_in(&service, &door, "viewer");
    let mut events = visitor.events("/v1/benches/bench/events");
    let crowd = open_slow(address(&service), 1_000);
    let view = events.next(LIMIT);
    assert_eq!(view.name, "view");
    let closed = json!({"command": "next"});
    let _refused = visitor
        .post("/v1/benches/bench/commands", &closed)
        .with_status(403);
    // What changes at the bench is still told on the same line.
    let _detached = service
        .client()
        .request("DELETE", "/v1/benches/bench/scale", None);
    events.wait_for("the scale to be gone", "view", LIMIT, |view| {
        view["scale"].is_null().then_some(())
    });
    drop(crowd);
}
