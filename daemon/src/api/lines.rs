//! How many clients may hold a line open at once, and how long one may that asks nothing.
//!
//! A service that keeps every line somebody opens runs out of files in the middle of a batch. So there is a most,
//! and a new client takes the place of the one that has been quiet the longest: one that never finishes its request,
//! or forgot its line. A stream of events is never quiet. Whoever was let in makes room for no stranger, however many come.

use std::io;
use std::pin::Pin;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::task::{Context, Poll};

use axum::extract::connect_info::Connected;
use axum::serve::{IncomingStream, Listener};
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::TcpListener;
use tokio_util::sync::{CancellationToken, WaitForCancellationFutureOwned};

use super::patience::Patience;

/// More than a page, a terminal and some commands ever need.
const MOST: usize = 128;

/// A listener with a limited number of lines.
#[derive(Debug)]
pub struct Bounded<L> {
    listener: L,
    register: Arc<Register>,
}

impl<L> Bounded<L> {
    /// Limits the lines of a listener.
    #[must_use]
    pub fn new(listener: L) -> Self {
        Self {
            listener,
            register: Arc::default(),
        }
    }
}

impl<L: Listener> Listener for Bounded<L> {
    type Io = Line<L::Io>;
    type Addr = L::Addr;

    async fn accept(&mut self) -> (Self::Io, L::Addr) {
        let (io, address) = self.listener.accept().await;
        (Line::new(io, Arc::clone(&self.register)), address)
    }

    fn local_addr(&self) -> io::Result<L::Addr> {
        self.listener.local_addr()
    }
}

/// Who holds a line.
#[derive(Debug, Default)]
struct Register {
    places: Mutex<Vec<Arc<Place>>>,
    /// Counts what is sent and received: the order of events is all that matters, not the time.
    activity: AtomicU64,
}

/// One line in the register.
#[derive(Debug, Default)]
struct Place {
    last: AtomicU64,
    /// Whether its client was let in.
    known: AtomicBool,
    shut: CancellationToken,
}

/// The line that a request came by.
#[derive(Clone, Debug)]
pub struct ByLine(Arc<Place>);

impl ByLine {
    /// Takes note that its client was let in.
    pub fn is_of_somebody_known(&self) {
        self.0.known.store(true, Ordering::Relaxed);
    }
}

impl Connected<IncomingStream<'_, Bounded<TcpListener>>> for ByLine {
    fn connect_info(stream: IncomingStream<'_, Bounded<TcpListener>>) -> Self {
        Self(Arc::clone(&stream.io().place))
    }
}

impl Register {
    /// Enters a new line, and shuts the quietest one when there are too many.
    fn enter(&self) -> Arc<Place> {
        let place = Arc::new(Place::default());
        self.touch(&place);
        let mut places = self.places.lock().unwrap_or_else(PoisonError::into_inner);
        if MOST <= places.len() {
            let quietest = (0..places.len()).min_by_key(|&index| {
                let known = places[index].known.load(Ordering::Relaxed);
                (known, places[index].last.load(Ordering::Relaxed))
            });
            if let Some(index) = quietest {
                places.swap_remove(index).shut.cancel();
            }
        }
        places.push(Arc::clone(&place));
        place
    }

    fn touch(&self, place: &Place) {
        let now = self.activity.fetch_add(1, Ordering::Relaxed);
        place.last.store(now, Ordering::Relaxed);
    }

    fn leave(&self, gone: &Arc<Place>) {
        self.places
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .retain(|place| !Arc::ptr_eq(place, gone));
    }
}

/// A client's line, which may be shut for another one, or because its client asks nothing.
#[derive(Debug)]
pub struct Line<I> {
    io: I,
    register: Arc<Register>,
    place: Arc<Place>,
    shut: Pin<Box<WaitForCancellationFutureOwned>>,
    patience: Patience,
}

impl<I> Line<I> {
    fn new(io: I, register: Arc<Register>) -> Self {
        let place = register.enter();
        Self {
            io,
            register,
            shut: Box::pin(place.shut.clone().cancelled_owned()),
            patience: Patience::new(),
            place,
        }
    }

    fn check(&self) -> io::Result<()> {
        if self.place.shut.is_cancelled() {
            return Err(shut());
        }
        self.register.touch(&self.place);
        Ok(())
    }

    /// Takes note of how far the sending of an answer came.
    fn sent<T>(&mut self, context: &mut Context<'_>, sending: Poll<T>) -> Poll<T> {
        match sending {
            Poll::Ready(_) => self.patience.answered(context),
            Poll::Pending => self.patience.held_up(),
        }
        sending
    }
}

impl<I> Drop for Line<I> {
    fn drop(&mut self) {
        self.register.leave(&self.place);
    }
}

fn shut() -> io::Error {
    io::Error::new(
        io::ErrorKind::ConnectionAborted,
        "the line was shut for another client",
    )
}

fn unasked() -> io::Error {
    io::Error::new(
        io::ErrorKind::TimedOut,
        "the client has not asked anything for too long",
    )
}

impl<I: AsyncRead + Unpin> AsyncRead for Line<I> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        if self.shut.as_mut().poll(context).is_ready() {
            return Poll::Ready(Err(shut()));
        }
        let before = buffer.filled().len();
        let polled = Pin::new(&mut self.io).poll_read(context, buffer);
        if polled.is_ready() {
            self.register.touch(&self.place);
            self.patience.heard(&buffer.filled()[before..]);
        } else if self.patience.poll_end(context).is_ready() {
            return Poll::Ready(Err(unasked()));
        }
        polled
    }
}

impl<I: AsyncWrite + Unpin> AsyncWrite for Line<I> {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        self.check()?;
        let sending = Pin::new(&mut self.io).poll_write(context, bytes);
        self.sent(context, sending)
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.io).poll_flush(context)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.io).poll_shutdown(context)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        slices: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        self.check()?;
        let sending = Pin::new(&mut self.io).poll_write_vectored(context, slices);
        self.sent(context, sending)
    }

    fn is_write_vectored(&self) -> bool {
        self.io.is_write_vectored()
    }
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use axum::response::Sse;
    use axum::response::sse::{Event, KeepAlive};
    use axum::routing::get;
    use tokio::io::{AsyncReadExt, AsyncWriteExt, DuplexStream, duplex};
    use tokio::net::{UnixListener, UnixStream};
    use tokio::time::{Instant, timeout};

    use super::super::patience::LIMIT;
    use super::*;

    fn open(register: &Arc<Register>) -> (Line<DuplexStream>, DuplexStream) {
        let (near, far) = duplex(64);
        (Line::new(near, Arc::clone(register)), far)
    }

    #[tokio::test]
    async fn the_quietest_line_is_shut_for_a_new_one_and_a_busy_one_stays() {
        let register = Arc::default();
        let (mut busy, mut client) = open(&register);
        let (mut quiet, _far) = open(&register);
        let _others: Vec<_> = (2..MOST).map(|_| open(&register)).collect();
        client.write_all(b"on").await.unwrap();
        busy.read_u16().await.unwrap();
        let _new = open(&register);
        let error = quiet.read_u8().await.unwrap_err();
        assert_eq!(error.kind(), io::ErrorKind::ConnectionAborted);
        assert!(quiet.write_u8(1).await.is_err());
        busy.write_u8(1).await.unwrap();
    }

    #[tokio::test]
    async fn the_line_of_somebody_known_stays_however_many_strangers_come() {
        let register = Arc::default();
        let (mut known, _client) = open(&register);
        ByLine(Arc::clone(&known.place)).is_of_somebody_known();
        let _strangers: Vec<_> = (0..3 * MOST).map(|_| open(&register)).collect();
        known.write_u8(1).await.unwrap();
    }

    #[tokio::test(start_paused = true)]
    async fn a_client_that_asks_nothing_whole_is_shut_out_after_its_time() {
        for begun in ["", "\r\n", "GET /v1/status HTTP/1.1\r\nhost: tare"] {
            let register = Arc::default();
            let (mut line, mut client) = open(&register);
            let opened = Instant::now();
            client.write_all(begun.as_bytes()).await.unwrap();
            let mut heard = Vec::new();
            let error = line.read_to_end(&mut heard).await.unwrap_err();
            assert_eq!(error.kind(), io::ErrorKind::TimedOut);
            assert_eq!(heard, begun.as_bytes());
            assert!(LIMIT <= opened.elapsed() && opened.elapsed() < LIMIT * 2);
        }
    }

    #[tokio::test(start_paused = true)]
    async fn a_client_that_waits_for_its_answer_is_not_shut_out_but_one_that_has_it_is() {
        let register = Arc::default();
        let (mut line, mut client) = open(&register);
        client.write_all(b"GET / HTTP/1.1\r\n\r\n").await.unwrap();
        let mut head = [0; 18];
        line.read_exact(&mut head).await.unwrap();
        assert!(timeout(LIMIT * 100, line.read_u8()).await.is_err());
        line.write_all(b"answer").await.unwrap();
        let answered = Instant::now();
        let error = line.read_u8().await.unwrap_err();
        assert_eq!(error.kind(), io::ErrorKind::TimedOut);
        assert!(LIMIT <= answered.elapsed());
    }

    #[tokio::test(start_paused = true)]
    async fn who_takes_no_more_of_a_stream_for_a_while_keeps_it() {
        let register = Arc::default();
        let (mut line, mut client) = open(&register);
        client.write_all(b"GET / HTTP/1.1\r\n\r\n").await.unwrap();
        line.read_exact(&mut [0; 18]).await.unwrap();
        // More than fits: the client sleeps.
        assert!(timeout(LIMIT, line.write_all(&[b'.'; 100])).await.is_err());
        assert!(timeout(LIMIT * 100, line.read_u8()).await.is_err());
    }

    /// Serves a word, and a stream that only says that it lives; returns a client's end.
    async fn served() -> UnixStream {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("socket");
        let socket = UnixListener::bind(&path).unwrap();
        let quiet = || async {
            let nothing =
                futures_util::stream::pending::<Result<Event, std::convert::Infallible>>();
            Sse::new(nothing).keep_alive(KeepAlive::new().interval(Duration::from_secs(2)))
        };
        let router = axum::Router::new()
            .route("/word", get(async || "well"))
            .route("/events", get(quiet));
        drop(tokio::spawn(
            axum::serve(Bounded::new(socket), router).into_future(),
        ));
        UnixStream::connect(&path).await.unwrap()
    }

    #[tokio::test(start_paused = true)]
    async fn the_server_closes_a_connection_that_asks_nothing_or_nothing_more() {
        for asked in [
            "GET /word HT",
            "GET /word HTTP/1.1\r\nhost: tarehand\r\n\r\n",
        ] {
            let mut client = served().await;
            client.write_all(asked.as_bytes()).await.unwrap();
            let mut answer = Vec::new();
            let closed = timeout(LIMIT * 2, client.read_to_end(&mut answer)).await;
            assert!(closed.is_ok(), "after `{asked}` it stays open");
            let answered = answer.starts_with(b"HTTP/1.1 200");
            assert_eq!(answered, asked.ends_with("\r\n\r\n"));
        }
    }

    #[tokio::test(start_paused = true)]
    async fn a_stream_of_events_is_never_closed_for_its_quiet_reader() {
        let mut client = served().await;
        client
            .write_all(b"GET /events HTTP/1.1\r\nhost: tarehand\r\n\r\n")
            .await
            .unwrap();
        let begun = Instant::now();
        let mut bytes = [0; 256];
        while begun.elapsed() < LIMIT * 10 {
            assert_ne!(client.read(&mut bytes).await.unwrap(), 0, "it was closed");
        }
    }

    #[tokio::test]
    async fn a_line_that_is_left_makes_room() {
        let register = Arc::default();
        for _ in 0..3 * MOST {
            drop(open(&register));
        }
        assert!(register.places.lock().unwrap().is_empty());
    }
}
