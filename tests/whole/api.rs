//! The one door: its document is true, its requests are checked, its streams carry no backlog.

use std::collections::BTreeSet;
use std::fs;
use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};

use serde_json::{Value, json};
use tarehand_tests::binaries::repository;
use tarehand_tests::{Client, Home, LIMIT, ScaleDouble, ScaleSetting, Service, wait_for};

const METHODS: [&str; 5] = ["get", "post", "put", "patch", "delete"];

/// Returns the paths of the router, read from its source: nothing else knows all of them.
fn routed() -> BTreeSet<String> {
    let source = repository().join("daemon/src/api/mod.rs");
    let source = fs::read_to_string(source).unwrap();
    let parts = source.split('"').filter(|part| part.starts_with("/v1/"));
    parts.map(str::to_owned).collect()
}

fn kind(body: &Value) -> &str {
    body["type"].as_str().unwrap_or_default()
}

#[test]
fn the_served_document_lists_every_route_and_no_other() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let client = service.client();
    let document = client.get("/v1/openapi.json").with_status(200).json();
    assert!(document["openapi"].as_str().unwrap().starts_with("3.1"));
    let paths = document["paths"].as_object().unwrap();
    let listed: BTreeSet<String> = paths.keys().cloned().collect();
    assert_eq!(listed, routed());
    for (path, operations) in paths {
        let there = path.replace("{bench}", "nobody").replace("{mark}", "ZZZZZ");
        for method in METHODS {
            // A stop would be obeyed, and an endless stream begun.
            if there == "/v1/stop" && method == "post"
                || ["/readings", "/bytes"]
                    .iter()
                    .any(|stream| there.ends_with(stream))
            {
                continue;
            }
            let body = (method != "get").then_some(&b"[]"[..]);
            let answer = client
                .request(&method.to_uppercase(), &there, body)
                .unwrap();
            assert_eq!(
                operations.get(method).is_none(),
                answer.status == 405,
                "{method} {path} answered {}",
                answer.status
            );
            if 400 <= answer.status {
                let media = answer.field("content-type");
                assert_eq!(media, Some("application/problem+json"), "{method} {path}");
                assert_eq!(answer.json()["status"], answer.status);
            }
        }
    }
    let nowhere = client.get("/v1/nowhere").with_status(404).json();
    assert_eq!(kind(&nowhere), "urn:tarehand:problem:no-such-path");
}

#[test]
fn a_field_that_nobody_knows_is_refused_wherever_something_is_asked() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let client = service.client();
    let batch = json!({"recipe": "a", "recipes": {"a": ""}, "size": "as-written"});
    let requests = [
        (
            "PUT",
            "/v1/benches/bench/scale",
            json!({"port": "/dev/null"}),
        ),
        ("POST", "/v1/benches/bench/batch", batch.clone()),
        (
            "POST",
            "/v1/benches/bench/commands",
            json!({"command": "next"}),
        ),
        ("POST", "/v1/rehearsals", json!({"batch": batch})),
        ("POST", "/v1/recipes/check", json!({"recipes": {}})),
        ("POST", "/v1/recipes/size", batch.clone()),
        (
            "POST",
            "/v1/recipes/share",
            json!({"recipe": "a", "recipes": {"a": ""}}),
        ),
        ("POST", "/v1/sets/share", json!({"set": "", "recipes": {}})),
    ];
    for (method, path, mut body) in requests {
        body["stranger"] = json!(1);
        let body = body.to_string();
        let answer = client.request(method, path, Some(body.as_bytes())).unwrap();
        let problem = answer.with_status(422).json();
        assert_eq!(kind(&problem), "urn:tarehand:problem:bad-body", "{path}");
        let detail = problem["detail"].as_str().unwrap();
        assert!(detail.contains("`stranger`"), "{path}: {detail}");
    }
    let broken = client
        .request("POST", "/v1/recipes/check", Some(b"{"))
        .unwrap();
    assert_eq!(broken.status, 422);
    let large = vec![b' '; 2 * 1024 * 1024];
    let large = client.request("POST", "/v1/recipes/check", Some(&large));
    // The service may hang up before all of it is sent.
    assert!(large.is_err() || large.is_ok_and(|answer| answer.status == 413));
}

#[test]
fn a_slow_reader_gets_the_newest_and_never_the_backlog() {
    let home = Home::new();
    let setting = ScaleSetting {
        rate_hz: 80.0,
        speed: 10.0,
        ..ScaleSetting::default()
    };
    let scale = ScaleDouble::start(&home.path().join("scale"), &setting);
    let service = Service::start(&home, &["--clock-rate", "10"]);
    let client = service.client();
    let body = json!({"port": scale.link().to_str().unwrap()});
    let _view = client
        .put("/v1/benches/bench/scale", &body)
        .with_status(200);
    let mut slow = client.events("/v1/benches/bench/events");
    let mut quick = client.events("/v1/benches/bench/events");
    let sequence = |weight: &Value| weight["sequence"].as_u64();
    // What a socket keeps by itself is full long before.
    let newest = quick.wait_for("many weights", "weight", LIMIT, |weight| {
        sequence(weight).filter(|&number| 4_000 <= number)
    });
    let mut last = 0;
    let skipped = slow.wait_for("the newest", "weight", LIMIT, |weight| {
        let number = sequence(weight)?;
        let step = number - last;
        last = number;
        (newest <= number).then_some(step)
    });
    assert!(100 < skipped, "only {skipped} were left out");
    // It goes on as if nothing had been.
    slow.wait_for("more", "weight", LIMIT, |weight| {
        (last < sequence(weight)?).then_some(())
    });
}

/// A service that also answers on loopback, where it does, and its token.
fn on_loopback(home: &Home) -> (Service, SocketAddr, String) {
    let service = Service::start(home, &["--loopback", "127.0.0.1:0"]);
    let said = wait_for("the address", LIMIT, || {
        let (_, said) = service.process().said();
        let at = said.find("address=127.0.0.1:")? + "address=".len();
        Some(said[at..].split_whitespace().next()?.to_owned())
    });
    let token = fs::read_to_string(home.runtime().join("tarehand/loopback.token")).unwrap();
    (service, said.parse().unwrap(), token.trim().to_owned())
}

#[test]
fn loopback_opens_to_the_token_alone() {
    let home = Home::new();
    let (_service, address, token) = on_loopback(&home);
    let client = Client::tcp(address);
    let path = "/v1/status";
    let problem = client.get(path).with_status(401).json();
    assert_eq!(kind(&problem), "urn:tarehand:problem:no-token");
    for wrong in ["Bearer ", "Bearer 0", &format!("Bearer {token}0"), &token] {
        let given = client.clone().with_field("authorization", wrong);
        assert_eq!(given.get(path).status, 401, "{wrong}");
    }
    let field = format!("Bearer {token}");
    let given = client.with_field("authorization", &field);
    let status = given.get(path).with_status(200).json();
    assert_eq!(status["api"], 1);
}

#[test]
fn loopback_serves_no_name_that_a_page_pointed_at_it() {
    let home = Home::new();
    let (_service, address, token) = on_loopback(&home);
    for (host, status) in [
        ("tarehand.example", "403"),
        ("127.0.0.1.example", "403"),
        ("", "403"),
        ("localhost", "200"),
    ] {
        let mut stream = TcpStream::connect(address).unwrap();
        stream.set_read_timeout(Some(LIMIT)).unwrap();
        write!(
            stream,
            "GET /v1/status HTTP/1.1\r\nhost: {host}\r\nauthorization: Bearer {token}\r\nconnection: close\r\n\r\n"
        )
        .unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        let line = answer.lines().next().unwrap();
        assert!(
            line.starts_with(&format!("HTTP/1.1 {status}")),
            "{host}: {line}"
        );
    }
}
