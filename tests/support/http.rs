//! A small blocking HTTP/1.1 client that sees what is really on the wire.
//!
//! One request a connection. It knows what RFC 9112 asks of a client for that: status line, fields, and a body by
//! length, by chunks, or to the end.

use std::io::{self, BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::os::unix::net::UnixStream;
use std::path::PathBuf;
use std::time::Duration;

use serde_json::Value;

use crate::LIMIT;
use crate::events::Events;
use crate::wait::Deadline;

/// Where a server listens.
#[derive(Clone, Debug)]
enum Door {
    Unix(PathBuf),
    Tcp(SocketAddr),
}

/// A client of one server.
#[derive(Clone, Debug)]
pub struct Client {
    door: Door,
    /// What it says whom it asks, where that is not where it asks.
    host: Option<String>,
    fields: Vec<(String, String)>,
    limit: Duration,
}

/// What a server answered.
#[derive(Clone, Debug)]
pub struct Answer {
    /// The status code.
    pub status: u16,
    /// The fields in their order, names in small letters.
    pub fields: Vec<(String, String)>,
    /// The body, its chunks joined.
    pub body: Vec<u8>,
}

impl Answer {
    /// Returns the first field of that name, written in small letters.
    #[must_use]
    pub fn field(&self, name: &str) -> Option<&str> {
        find_field(&self.fields, name)
    }

    /// Returns the body as text.
    #[must_use]
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    /// Returns the body as JSON.
    ///
    /// # Panics
    /// When it is not JSON, with the body.
    #[must_use]
    #[track_caller]
    pub fn json(&self) -> Value {
        match serde_json::from_slice(&self.body) {
            Ok(value) => value,
            Err(error) => panic!("{error} in the body `{}`", self.text()),
        }
    }

    /// Returns this when its status is `status`.
    ///
    /// # Panics
    /// When it is another, with the body.
    #[must_use]
    #[track_caller]
    pub fn with_status(self, status: u16) -> Self {
        assert_eq!(self.status, status, "the body was `{}`", self.text());
        self
    }
}

impl Client {
    /// Makes a client of the server at a Unix socket.
    #[must_use]
    pub fn unix(socket: impl Into<PathBuf>) -> Self {
        Self::at(Door::Unix(socket.into()))
    }

    /// Makes a client of the server at a loopback address.
    #[must_use]
    pub fn tcp(address: SocketAddr) -> Self {
        Self::at(Door::Tcp(address))
    }

    fn at(door: Door) -> Self {
        Self {
            door,
            host: None,
            fields: Vec::new(),
            limit: LIMIT,
        }
    }

    /// Sends this field with every request, such as a token.
    #[must_use]
    pub fn with_field(mut self, name: &str, value: &str) -> Self {
        self.fields.push((name.to_owned(), value.to_owned()));
        self
    }

    /// Names this host, as a browser does that was led here by a name.
    #[must_use]
    pub fn with_host(mut self, host: &str) -> Self {
        self.host = Some(host.to_owned());
        self
    }

    /// Gets a resource.
    ///
    /// # Panics
    /// When nobody answers in time or the answer is no HTTP.
    #[must_use]
    #[track_caller]
    pub fn get(&self, path: &str) -> Answer {
        self.answer("GET", path, None)
    }

    /// Posts JSON.
    ///
    /// # Panics
    /// When nobody answers in time or the answer is no HTTP.
    #[must_use]
    #[track_caller]
    pub fn post(&self, path: &str, body: &Value) -> Answer {
        self.answer("POST", path, Some(body))
    }

    /// Puts JSON.
    ///
    /// # Panics
    /// When nobody answers in time or the answer is no HTTP.
    #[must_use]
    #[track_caller]
    pub fn put(&self, path: &str, body: &Value) -> Answer {
        self.answer("PUT", path, Some(body))
    }

    #[track_caller]
    fn answer(&self, method: &str, path: &str, body: Option<&Value>) -> Answer {
        let body = body.map(|value| value.to_string().into_bytes());
        match self.request(method, path, body.as_deref()) {
            Ok(answer) => answer,
            Err(error) => panic!("{method} {path}: {error}"),
        }
    }

    /// Sends any request, its body taken as JSON, and reads the whole answer.
    ///
    /// # Errors
    /// When nobody listens, nobody answers in time, or the answer is no HTTP.
    pub fn request(&self, method: &str, path: &str, body: Option<&[u8]>) -> io::Result<Answer> {
        let deadline = Deadline::after(self.limit);
        let mut reader = BufReader::new(self.ask(method, path, body, "application/json")?);
        let (status, fields) = read_head(&mut reader, deadline)?;
        let mut answer = Answer {
            status,
            fields,
            body: Vec::new(),
        };
        if method == "HEAD" || matches!(status, 204 | 304) {
            return Ok(answer);
        }
        answer.body = read_body(&mut reader, &answer.fields, deadline)?;
        Ok(answer)
    }

    /// Opens a stream of server-sent events.
    ///
    /// # Panics
    /// When it is not answered with 200 and an event stream.
    #[must_use]
    #[track_caller]
    pub fn events(&self, path: &str) -> Events {
        match self.open_events(path) {
            Ok(events) => events,
            Err(error) => panic!("GET {path}: {error}"),
        }
    }

    /// Opens a stream of server-sent events of a server that may be gone.
    ///
    /// # Errors
    /// When nobody listens or answers in time, or the answer is no event stream.
    pub fn open_events(&self, path: &str) -> io::Result<Events> {
        let mut reader = BufReader::new(self.ask("GET", path, None, "text/event-stream")?);
        let (status, fields) = read_head(&mut reader, Deadline::after(self.limit))?;
        let kind = find_field(&fields, "content-type").unwrap_or_default();
        if status != 200 || !kind.starts_with("text/event-stream") {
            return Err(not_http(&format!("{status} with `{kind}`")));
        }
        let chunked = is_chunked(&fields);
        Ok(Events::new(reader, chunked))
    }

    fn ask(
        &self,
        method: &str,
        path: &str,
        body: Option<&[u8]>,
        accept: &str,
    ) -> io::Result<Stream> {
        let mut stream = match &self.door {
            Door::Unix(path) => Stream::Unix(UnixStream::connect(path)?),
            Door::Tcp(address) => Stream::Tcp(TcpStream::connect_timeout(address, self.limit)?),
        };
        let host = match (&self.host, &self.door) {
            (Some(host), _) => host.clone(),
            (None, Door::Unix(_)) => "localhost".to_owned(),
            (None, Door::Tcp(address)) => address.to_string(),
        };
        let mut head = format!(
            "{method} {path} HTTP/1.1\r\nhost: {host}\r\naccept: {accept}\r\nconnection: close\r\n"
        );
        for (name, value) in &self.fields {
            head.push_str(&format!("{name}: {value}\r\n"));
        }
        if let Some(body) = body {
            let length = body.len();
            head.push_str(&format!(
                "content-type: application/json\r\ncontent-length: {length}\r\n"
            ));
        }
        head.push_str("\r\n");
        // In one write: a server may answer and hang up before it has read a body.
        let mut request = head.into_bytes();
        request.extend(body.unwrap_or_default());
        stream.write_all(&request)?;
        Ok(stream)
    }
}

/// A connection through either door.
#[derive(Debug)]
pub(crate) enum Stream {
    Unix(UnixStream),
    Tcp(TcpStream),
}

impl Stream {
    /// Lets the next read wait no longer than until `deadline`.
    pub(crate) fn read_until(&self, deadline: Deadline) -> io::Result<()> {
        let left = deadline
            .left()
            .ok_or_else(|| io::Error::from(io::ErrorKind::TimedOut))?;
        match self {
            Self::Unix(stream) => stream.set_read_timeout(Some(left)),
            Self::Tcp(stream) => stream.set_read_timeout(Some(left)),
        }
    }
}

impl Read for Stream {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        match self {
            Self::Unix(stream) => stream.read(buffer),
            Self::Tcp(stream) => stream.read(buffer),
        }
    }
}

impl Write for Stream {
    fn write(&mut self, buffer: &[u8]) -> io::Result<usize> {
        match self {
            Self::Unix(stream) => stream.write(buffer),
            Self::Tcp(stream) => stream.write(buffer),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

type Fields = Vec<(String, String)>;

fn read_head(reader: &mut BufReader<Stream>, deadline: Deadline) -> io::Result<(u16, Fields)> {
    let status = read_line(reader, deadline)?;
    let status = status
        .strip_prefix("HTTP/1.1 ")
        .and_then(|rest| rest.get(..3))
        .and_then(|code| code.parse().ok())
        .ok_or_else(|| not_http(&status))?;
    let mut fields = Vec::new();
    loop {
        let line = read_line(reader, deadline)?;
        if line.is_empty() {
            return Ok((status, fields));
        }
        let (name, value) = line.split_once(':').ok_or_else(|| not_http(&line))?;
        fields.push((name.to_ascii_lowercase(), value.trim().to_owned()));
    }
}

fn read_body(
    reader: &mut BufReader<Stream>,
    fields: &[(String, String)],
    deadline: Deadline,
) -> io::Result<Vec<u8>> {
    let mut body = Vec::new();
    if is_chunked(fields) {
        while let Some(chunk) = read_chunk(reader, deadline)? {
            body.extend(chunk);
        }
        return Ok(body);
    }
    reader.get_ref().read_until(deadline)?;
    let Some(length) = find_field(fields, "content-length") else {
        reader.read_to_end(&mut body)?;
        return Ok(body);
    };
    body = vec![0; length.parse().map_err(|_| not_http(length))?];
    reader.read_exact(&mut body)?;
    Ok(body)
}

/// Reads one chunk; `None` at the last, empty one.
pub(crate) fn read_chunk(
    reader: &mut BufReader<Stream>,
    deadline: Deadline,
) -> io::Result<Option<Vec<u8>>> {
    let line = read_line(reader, deadline)?;
    let size = line.split(';').next().unwrap_or_default().trim();
    let size = usize::from_str_radix(size, 16).map_err(|_| not_http(&line))?;
    let mut chunk = vec![0; size];
    reader.get_ref().read_until(deadline)?;
    reader.read_exact(&mut chunk)?;
    let end = read_line(reader, deadline)?;
    if !end.is_empty() {
        return Err(not_http(&end));
    }
    Ok((size != 0).then_some(chunk))
}

pub(crate) fn read_line(reader: &mut BufReader<Stream>, deadline: Deadline) -> io::Result<String> {
    reader.get_ref().read_until(deadline)?;
    let mut line = String::new();
    if reader.read_line(&mut line)? == 0 {
        return Err(io::ErrorKind::UnexpectedEof.into());
    }
    let end = line.trim_end_matches(['\r', '\n']).len();
    line.truncate(end);
    Ok(line)
}

fn is_chunked(fields: &[(String, String)]) -> bool {
    find_field(fields, "transfer-encoding").is_some_and(|coding| coding.ends_with("chunked"))
}

fn find_field<'a>(fields: &'a [(String, String)], name: &str) -> Option<&'a str> {
    fields
        .iter()
        .find(|(field, _)| field == name)
        .map(|(_, value)| value.as_str())
}

fn not_http(line: &str) -> io::Error {
    io::Error::new(
        io::ErrorKind::InvalidData,
        format!("not HTTP/1.1: `{line}`"),
    )
}
