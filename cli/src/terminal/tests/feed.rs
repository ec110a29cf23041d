//! The feed over a restart of the service.

use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::UnixListener;

use super::super::feed::{Update, follow};
use super::views::pouring;
use crate::client::Client;

/// Answers as a service does whose every stream of events ends after one view: it keeps restarting.
async fn restarting(listener: UnixListener) {
    let view = serde_json::to_string(&pouring()).unwrap();
    let status = r#"{"api":1,"version":"0.1.0","pid":7,"log":"log","benches":[]}"#;
    loop {
        let (mut stream, _) = listener.accept().await.unwrap();
        let mut buffer = [0_u8; 4096];
        let read = stream.read(&mut buffer).await.unwrap();
        let request = String::from_utf8_lossy(&buffer[..read]).into_owned();
        let (kind, body) = match request.split(' ').nth(1) {
            Some("/v1/benches/bench/events") => (
                "text/event-stream",
                format!("event: view\ndata: {view}\n\n"),
            ),
            Some("/v1/benches/bench") => ("application/json", view.clone()),
            _ => ("application/json", status.to_owned()),
        };
        let head = format!("HTTP/1.1 200 OK\r\ncontent-type: {kind}\r\nconnection: close\r\n\r\n");
        stream.write_all(head.as_bytes()).await.unwrap();
        stream.write_all(body.as_bytes()).await.unwrap();
    }
}

#[tokio::test]
async fn a_service_that_comes_back_is_found_again_and_both_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let socket = folder.path().join("service.socket");
    drop(tokio::spawn(restarting(
        UnixListener::bind(&socket).unwrap(),
    )));
    let mut updates = follow(&Client::new(&socket), "bench");
    let mut seen = Vec::new();
    while seen.iter().filter(|word| **word == "view").count() < 3 {
        seen.push(match updates.recv().await.unwrap() {
            Update::View(_) => "view",
            Update::Weight(_) => "weight",
            Update::Away(_) => "away",
            Update::Back => "back",
            Update::Over(error) => panic!("{error}"),
        });
    }
    assert_eq!(seen, ["view", "view", "away", "back", "view"]);
}

#[tokio::test]
async fn a_service_that_never_answers_is_away_and_not_over() {
    let nowhere = tempfile::tempdir().unwrap();
    let client = Client::new(&nowhere.path().join("service.socket"));
    let update = follow(&client, "bench").recv().await;
    assert!(matches!(update, Some(Update::Away(_))), "{update:?}");
}
