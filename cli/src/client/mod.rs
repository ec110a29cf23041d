//! The service's HTTP API over its Unix socket; every wait has a limit.

mod error;
mod events;
mod path;
mod sse;
#[cfg(test)]
mod tests;

use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::time::Duration;

use http_body_util::{BodyExt, Full, Limited};
use hyper::body::{Bytes, Incoming};
use hyper::header::{ACCEPT, CONTENT_TYPE, HOST, HeaderMap};
use hyper::{Method, Request, Response, StatusCode};
use hyper_util::rt::TokioIo;
use serde::Serialize;
use serde::de::DeserializeOwned;
use tarehand_protocol::api::{API_NUMBER, Problem, Status};
use tokio::net::UnixStream;
use tokio::time::timeout;

pub(crate) use error::ClientError;
pub(crate) use events::{Events, Happening};
pub(crate) use path::segment;

/// How long an ordinary answer may take.
const ANSWER_LIMIT: Duration = Duration::from_secs(10);
/// The largest answer that is read.
const LARGEST_ANSWER: usize = 256 << 20;

/// Where the service says what is not in a file as it should be: a JSON list of texts.
const REMARKS: &str = "tarehand-remarks";

/// A file, with what is not in it as it should be.
#[derive(Debug)]
pub(crate) struct File {
    pub(crate) bytes: Bytes,
    pub(crate) remarks: Vec<String>,
}

/// The way to the service.
#[derive(Clone, Debug)]
pub(crate) struct Client {
    socket: PathBuf,
    limit: Duration,
}

impl Client {
    /// Makes a client of the service at a socket; nothing is opened yet.
    pub(crate) fn new(socket: &Path) -> Self {
        Self {
            socket: socket.to_owned(),
            limit: ANSWER_LIMIT,
        }
    }

    /// Sets how long an ordinary answer may take.
    pub(crate) fn with_limit(self, limit: Duration) -> Self {
        Self { limit, ..self }
    }

    /// Returns the service's state; fails when it speaks another version of the API.
    pub(crate) async fn status(&self) -> Result<Status, ClientError> {
        let what = "GET /v1/status";
        let body = self.ask(Method::GET, "/v1/status", None).await?;
        // The number first: a status of another version may have another form.
        let greeting: Greeting = understood(what, &body)?;
        if greeting.api != API_NUMBER {
            return Err(ClientError::ApiDiffers {
                ours: API_NUMBER,
                theirs: greeting.api,
                version: greeting.version,
            });
        }
        understood(what, &body)
    }

    /// Returns the process of the service, whatever API it speaks; `None` when it does not say.
    pub(crate) async fn process(&self) -> Result<Option<u32>, ClientError> {
        let greeting: Greeting = self.get("/v1/status").await?;
        Ok(greeting.pid)
    }

    /// Asks for a message.
    pub(crate) async fn get<T: DeserializeOwned>(&self, path: &str) -> Result<T, ClientError> {
        let body = self.ask(Method::GET, path, None).await?;
        understood(&format!("GET {path}"), &body)
    }

    /// Asks for a text that is no message, such as a picture.
    pub(crate) async fn text(&self, path: &str) -> Result<String, ClientError> {
        let body = self.ask(Method::GET, path, None).await?;
        Ok(String::from_utf8_lossy(&body).into_owned())
    }

    /// Sends a message under a name.
    pub(crate) async fn put<T: DeserializeOwned>(
        &self,
        path: &str,
        message: &(impl Serialize + Sync),
    ) -> Result<T, ClientError> {
        let body = self.ask(Method::PUT, path, Some(written(message))).await?;
        understood(&format!("PUT {path}"), &body)
    }

    /// Sends a message.
    pub(crate) async fn post<T: DeserializeOwned>(
        &self,
        path: &str,
        message: &(impl Serialize + Sync),
    ) -> Result<T, ClientError> {
        let body = self.ask(Method::POST, path, Some(written(message))).await?;
        understood(&format!("POST {path}"), &body)
    }

    /// Sends a message that is answered with a file.
    pub(crate) async fn file(
        &self,
        path: &str,
        message: &(impl Serialize + Sync),
    ) -> Result<File, ClientError> {
        let (head, bytes) = self
            .ask_whole(Method::POST, path, Some(written(message)))
            .await?;
        let remarks = head.get(REMARKS).map_or(&b"[]"[..], |text| text.as_bytes());
        Ok(File {
            remarks: understood(&format!("the remarks of POST {path}"), remarks)?,
            bytes,
        })
    }

    /// Sends a request without a message and ignores the body of the answer.
    pub(crate) async fn tell(&self, method: Method, path: &str) -> Result<(), ClientError> {
        self.ask(method, path, None).await.map(|_body| ())
    }

    /// Opens a stream of events.
    pub(crate) async fn events(&self, path: &str) -> Result<Events, ClientError> {
        let what = format!("GET {path}");
        let request = self.request(Method::GET, path, None, "text/event-stream");
        let response = self.within(&what, self.send(&what, request)).await?;
        if response.status() != StatusCode::OK {
            let status = response.status();
            let body = self.within(&what, collect(&what, response)).await?;
            return Err(refusal(status, &body));
        }
        Ok(Events::new(what, response.into_body()))
    }

    async fn ask(
        &self,
        method: Method,
        path: &str,
        body: Option<Vec<u8>>,
    ) -> Result<Bytes, ClientError> {
        Ok(self.ask_whole(method, path, body).await?.1)
    }

    async fn ask_whole(
        &self,
        method: Method,
        path: &str,
        body: Option<Vec<u8>>,
    ) -> Result<(HeaderMap, Bytes), ClientError> {
        let what = format!("{method} {path}");
        let request = self.request(method, path, body, "application/json");
        let answer = async {
            let response = self.send(&what, request).await?;
            let status = response.status();
            let head = response.headers().clone();
            let body = collect(&what, response).await?;
            if status.is_success() {
                Ok((head, body))
            } else {
                Err(refusal(status, &body))
            }
        };
        self.within(&what, answer).await
    }

    async fn within<T>(
        &self,
        what: &str,
        answer: impl Future<Output = Result<T, ClientError>>,
    ) -> Result<T, ClientError> {
        match timeout(self.limit, answer).await {
            Ok(answer) => answer,
            Err(_elapsed) => Err(ClientError::TimedOut {
                what: what.to_owned(),
                limit: self.limit,
            }),
        }
    }

    #[expect(
        clippy::unused_self,
        reason = "a request belongs to a client, whatever it needs of it"
    )]
    fn request(
        &self,
        method: Method,
        path: &str,
        body: Option<Vec<u8>>,
        accept: &str,
    ) -> Request<Full<Bytes>> {
        let mut request = Request::builder()
            .method(method)
            .uri(path)
            .header(HOST, "tarehand")
            .header(ACCEPT, accept);
        if body.is_some() {
            request = request.header(CONTENT_TYPE, "application/json");
        }
        request
            .body(Full::from(body.unwrap_or_default()))
            .expect("paths are made of escaped segments")
    }

    /// Opens a connection of its own for one request; over a Unix socket that costs nothing.
    async fn send(
        &self,
        what: &str,
        request: Request<Full<Bytes>>,
    ) -> Result<Response<Incoming>, ClientError> {
        let stream =
            UnixStream::connect(&self.socket)
                .await
                .map_err(|source| match source.kind() {
                    ErrorKind::NotFound | ErrorKind::ConnectionRefused => ClientError::NotRunning,
                    _ => ClientError::Connect {
                        socket: self.socket.clone(),
                        source,
                    },
                })?;
        let broken = |source: hyper::Error| ClientError::Broken {
            what: what.to_owned(),
            source: source.into(),
        };
        let (mut sender, connection) = hyper::client::conn::http1::handshake(TokioIo::new(stream))
            .await
            .map_err(broken)?;
        // It ends with the body of the answer; what breaks it is reported there.
        drop(tokio::spawn(connection));
        sender.send_request(request).await.map_err(broken)
    }
}

/// The part of the status that every version has.
#[derive(serde::Deserialize)]
struct Greeting {
    api: u32,
    #[serde(default)]
    version: String,
    #[serde(default)]
    pid: Option<u32>,
}

async fn collect(what: &str, response: Response<Incoming>) -> Result<Bytes, ClientError> {
    let body = Limited::new(response.into_body(), LARGEST_ANSWER);
    let collected = body.collect().await;
    collected
        .map(http_body_util::Collected::to_bytes)
        .map_err(|source| ClientError::Broken {
            what: what.to_owned(),
            source,
        })
}

fn written(message: &impl Serialize) -> Vec<u8> {
    serde_json::to_vec(message).expect("messages of the API have text keys")
}

fn understood<T: DeserializeOwned>(what: &str, body: &[u8]) -> Result<T, ClientError> {
    serde_json::from_slice(body).map_err(|source| ClientError::NotUnderstood {
        what: what.to_owned(),
        source,
    })
}

/// Reads a problem document, or makes one of an answer that is none.
fn refusal(status: StatusCode, body: &[u8]) -> ClientError {
    let problem = serde_json::from_slice(body).unwrap_or_else(|_| Problem {
        kind: "about:blank".to_owned(),
        title: format!("the service refused with {status}"),
        status: status.as_u16(),
        detail: None,
        reason: None,
        hint: None,
    });
    ClientError::Problem(Box::new(problem))
}
