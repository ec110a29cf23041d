//! Whether the system's bus answers at all, asked before the library connects to it.
//!
//! The library connects in one blocking call with a limit of its own of 25 s, and nothing can end it sooner. A bus that
//! is stuck accepts a connection and then says nothing, so the first words of the authentication are exchanged here,
//! within a limit of ours (D-Bus Specification, "Authentication Protocol").

use std::ffi::OsString;
use std::io;
use std::os::unix::ffi::OsStringExt as _;
use std::path::{Path, PathBuf};
use std::time::Duration;

use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::UnixStream;

/// What names the system's bus.
const VARIABLE: &str = "DBUS_SYSTEM_BUS_ADDRESS";
/// Where it is when nothing names it: D-Bus Specification, "System message bus".
const USUAL: &str = "unix:path=/var/run/dbus/system_bus_socket";

/// What came of knocking.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Answer {
    /// It answers, or it cannot be told here: the library may try.
    Open,
    /// Nobody is there.
    Nobody,
    /// Somebody is there who says nothing.
    Silent,
}

/// Knocks at the system's bus.
pub(super) async fn knock(limit: Duration) -> Answer {
    let address = std::env::var(VARIABLE).unwrap_or_else(|_| USUAL.to_owned());
    knock_at(&address, limit).await
}

/// Knocks at each place of an address, until one answers.
async fn knock_at(address: &str, limit: Duration) -> Answer {
    let mut worst = Answer::Nobody;
    for place in address.split(';') {
        let Some(socket) = socket(place) else {
            return Answer::Open;
        };
        match tokio::time::timeout(limit, hello(&socket)).await {
            Ok(Ok(())) => return Answer::Open,
            // As many wait for it as may.
            Ok(Err(error)) if error.kind() == io::ErrorKind::WouldBlock => worst = Answer::Silent,
            Ok(Err(_)) => {}
            Err(_) => worst = Answer::Silent,
        }
    }
    worst
}

/// Says who we are and waits for a word, whatever it is.
async fn hello(socket: &Path) -> io::Result<()> {
    let mut stream = UnixStream::connect(socket).await?;
    let user: String = rustix::process::geteuid().as_raw().to_string();
    let digits: String = user.bytes().map(|digit| format!("{digit:02x}")).collect();
    let words = format!("\0AUTH EXTERNAL {digits}\r\n");
    stream.write_all(words.as_bytes()).await?;
    stream.read_u8().await.map(drop)
}

/// Reads `unix:path=…` or `unix:abstract=…`, whose name then begins with a zero; `None` for every other way.
fn socket(place: &str) -> Option<PathBuf> {
    let pairs = place.trim().strip_prefix("unix:")?.split(',');
    let mut pairs = pairs.filter_map(|pair| pair.split_once('='));
    let name = pairs.find_map(|(key, value)| match key {
        "path" => unescaped(value),
        "abstract" => Some([vec![0], unescaped(value)?].concat()),
        _ => None,
    })?;
    Some(OsString::from_vec(name).into())
}

/// Reads a value in which some bytes stand as `%2f`; `None` where that is not how they stand.
fn unescaped(value: &str) -> Option<Vec<u8>> {
    let mut bytes = value.bytes();
    let mut all = Vec::new();
    while let Some(byte) = bytes.next() {
        all.push(match byte {
            b'%' => {
                let mut digit = || char::from(bytes.next()?).to_digit(16);
                u8::try_from(digit()? * 16 + digit()?).ok()?
            }
            byte => byte,
        });
    }
    Some(all)
}

#[cfg(test)]
mod tests {
    use std::os::unix::net::UnixListener;

    use super::*;

    const SHORT: Duration = Duration::from_millis(200);

    fn address(folder: &tempfile::TempDir) -> (String, PathBuf) {
        let path = folder.path().join("bus");
        (format!("unix:path={},guid=00", path.display()), path)
    }

    #[test]
    fn an_address_is_read_as_the_specification_writes_it() {
        assert_eq!(socket("unix:path=/run/a%20b"), Some("/run/a b".into()));
        assert_eq!(socket("unix:guid=1,abstract=x"), Some("\0x".into()));
        assert_eq!(socket("unix:path=/a%2"), None);
        assert_eq!(socket("tcp:host=localhost,port=1"), None);
    }

    #[tokio::test]
    async fn a_bus_that_accepts_and_says_nothing_is_silent_within_the_limit() {
        let folder = tempfile::tempdir().unwrap();
        let (address, path) = address(&folder);
        assert_eq!(knock_at(&address, SHORT).await, Answer::Nobody);
        let _stuck = UnixListener::bind(path).unwrap();
        assert_eq!(knock_at(&address, SHORT).await, Answer::Silent);
    }

    #[tokio::test]
    async fn a_bus_that_says_a_word_is_open_and_what_cannot_be_asked_is_left_to_the_library() {
        let folder = tempfile::tempdir().unwrap();
        let (address, path) = address(&folder);
        let listener = tokio::net::UnixListener::bind(path).unwrap();
        let bus = tokio::spawn(async move {
            let (mut stream, _) = listener.accept().await.unwrap();
            stream.write_all(b"REJECTED EXTERNAL\r\n").await.unwrap();
        });
        assert_eq!(
            knock_at(&address, Duration::from_secs(10)).await,
            Answer::Open
        );
        bus.await.unwrap();
        assert_eq!(knock_at("tcp:host=localhost", SHORT).await, Answer::Open);
    }
}
