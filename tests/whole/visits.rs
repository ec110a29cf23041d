//! Browsers at the door of the page: who is let in, who is not, and what they may do.

use std::net::SocketAddr;

use serde_json::{Value, json};
use tarehand_tests::{Answer, Client, Home, LIMIT, Service};

use crate::bench::Bench;

/// Opens the page on this machine and returns a client of its port.
#[track_caller]
pub(crate) fn open(service: &Service) -> Client {
    let state: Value = service
        .client()
        .put("/v1/page", &json!({"place": "here", "port": 0}))
        .with_status(200)
        .json();
    Client::tcp(address(&state))
}

fn address(state: &Value) -> SocketAddr {
    let link = state["addresses"][0].as_str().unwrap();
    let address = link.trim_start_matches("http://").trim_end_matches('/');
    address.parse().unwrap()
}

#[track_caller]
pub(crate) fn code(service: &Service, role: &str) -> String {
    let path = "/v1/page/codes";
    let given = service.client().post(path, &json!({"role": role}));
    let given: Value = given.with_status(200).json();
    given["code"].as_str().unwrap().to_owned()
}

pub(crate) fn enter(door: &Client, code: &str) -> Answer {
    door.post(
        "/v1/page/enter",
        &json!({"code": code, "name": "window tablet"}),
    )
}

/// Lets a browser in and returns it with its number.
#[track_caller]
pub(crate) fn let_in(service: &Service, door: &Client, role: &str) -> (Client, u64) {
    let entered: Value = enter(door, &code(service, role)).with_status(200).json();
    let secret = entered["secret"].as_str().unwrap();
    let visitor = door
        .clone()
        .with_field("authorization", &format!("Bearer {secret}"));
    (visitor, entered["visitor"]["id"].as_u64().unwrap())
}

#[test]
fn whoever_says_the_code_is_let_in_and_sees_the_bench() {
    let bench = Bench::new();
    bench.attach();
    let door = open(&bench.service);
    let page = door.get("/").with_status(200);
    assert!(page.text().contains("<title>Tarehand</title>"));
    let policy = page.field("content-security-policy").unwrap();
    assert!(policy.starts_with("default-src 'none'"), "{policy}");
    let mark = page.field("etag").unwrap();
    let again = door.clone().with_field("if-none-match", mark).get("/");
    assert_eq!((again.status, again.body.len()), (304, 0));
    let _stranger = door.get("/v1/status").with_status(401);
    let (visitor, _) = let_in(&bench.service, &door, "operator");
    let me: Value = visitor.get("/v1/page/me").with_status(200).json();
    assert_eq!(
        (&me["role"], &me["name"]),
        (&json!("operator"), &json!("window tablet"))
    );
    let mut events = visitor.events("/v1/benches/bench/events");
    events.wait_for("a weight", "weight", LIMIT, |weight| {
        weight["gross_g"].as_f64()
    });
}

#[test]
fn a_code_lets_one_browser_in_and_guessing_ends_it() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let door = open(&service);
    let said = code(&service, "operator");
    let _entered = enter(&door, &said).with_status(200);
    let _again = enter(&door, &said).with_status(403);
    let said = code(&service, "operator");
    let wrong = if said == "000000" { "000001" } else { "000000" };
    for _ in 0..5 {
        let _guess = enter(&door, wrong).with_status(403);
    }
    let refused: Value = enter(&door, &said).with_status(403).json();
    assert_eq!(refused["detail"], "no code is waiting to be said");
}

#[test]
fn who_looks_on_changes_nothing_and_no_visitor_sees_to_the_door() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let door = open(&service);
    let next = json!({"command": "next"});
    let (viewer, _) = let_in(&service, &door, "viewer");
    let _looks = viewer.get("/v1/status").with_status(200);
    let _works = viewer
        .post("/v1/benches/bench/commands", &next)
        .with_status(403);
    let (operator, _) = let_in(&service, &door, "operator");
    // It comes through; there is only no such bench.
    let _works = operator
        .post("/v1/benches/bench/commands", &next)
        .with_status(404);
    for visitor in [&viewer, &operator] {
        let _door = visitor.get("/v1/page").with_status(403);
        let _stop = visitor.post("/v1/stop", &json!({})).with_status(403);
        let _code = visitor
            .post("/v1/page/codes", &json!({"role": "operator"}))
            .with_status(403);
        let _moved = visitor
            .put("/v1/page", &json!({"place": "room"}))
            .with_status(403);
    }
    let _runs = service.client().get("/v1/status").with_status(200);
}

#[test]
fn other_pages_and_other_names_are_not_served() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let door = open(&service);
    let (operator, _) = let_in(&service, &door, "operator");
    for origin in ["http://example.net", "null", "http://127.0.0.1:1"] {
        let other = operator.clone().with_field("origin", origin);
        let _refused = other.get("/v1/status").with_status(403);
        let _refused = enter(&other, &code(&service, "operator")).with_status(403);
    }
    let rebound = operator.clone().with_host("example.net:4870");
    let refused: Value = rebound.get("/v1/status").with_status(403).json();
    assert_eq!(refused["type"], "urn:tarehand:problem:strange-host");
    let _page = rebound.get("/").with_status(403);
}

#[test]
fn who_is_turned_away_loses_what_they_look_at() {
    let bench = Bench::new();
    bench.attach();
    let door = open(&bench.service);
    let (visitor, id) = let_in(&bench.service, &door, "viewer");
    let (other, _) = let_in(&bench.service, &door, "viewer");
    let events = visitor.events("/v1/benches/bench/events");
    let listed = bench.person(&["page", "visitors"]).good();
    assert!(listed.contains("window tablet"), "{listed}");
    let _said = bench
        .person(&["page", "turn-away", &id.to_string()])
        .with_code(0);
    events.wait_for_end(LIMIT);
    let _stranger = visitor.get("/v1/status").with_status(401);
    let _stays = other.get("/v1/status").with_status(200);
    let _nobody = bench.person(&["page", "turn-away", "99"]).with_code(1);
}

#[test]
fn the_page_stays_open_and_its_visitors_known_through_a_killed_service() {
    let mut bench = Bench::new();
    let door = open(&bench.service);
    let (visitor, _) = let_in(&bench.service, &door, "viewer");
    bench.restart();
    let _known = visitor.get("/v1/status").with_status(200);
    let _said = bench.person(&["page", "close"]).with_code(0);
    assert!(visitor.request("GET", "/v1/status", None).is_err());
    // Where it was, since nobody named another port.
    let state: Value = bench
        .service
        .client()
        .put("/v1/page", &json!({}))
        .with_status(200)
        .json();
    assert_eq!(visitor.get("/v1/status").status, 200, "{state}");
}

#[test]
fn the_command_line_says_where_to_go() {
    let home = Home::new();
    let _service = Service::start(&home, &[]);
    let mut command = home.tarehand(&["page", "--room", "--port", "0"]);
    let said = tarehand_tests::run(&mut command, "", LIMIT).good();
    assert!(
        said.contains("http://127.0.0.1:") && said.contains("code "),
        "{said}"
    );
    assert!(said.contains("can read along"), "{said}");
}
