//! How many clients may hold a line open at once.
//!
//! A service that keeps every line somebody opens runs out of files in the middle of a batch. So there is a most,
//! and a new client takes the place of the one that has been quiet the longest: one that never finishes its request,
//! or forgot its line. A stream of events is never quiet.

use std::io;
use std::pin::Pin;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::task::{Context, Poll};

use axum::serve::Listener;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio_util::sync::{CancellationToken, WaitForCancellationFutureOwned};

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
    shut: CancellationToken,
}

impl Register {
    /// Enters a new line, and shuts the quietest one when there are too many.
    fn enter(&self) -> Arc<Place> {
        let place = Arc::new(Place::default());
        self.touch(&place);
        let mut places = self.places.lock().unwrap_or_else(PoisonError::into_inner);
        if MOST <= places.len() {
            let quietest =
                (0..places.len()).min_by_key(|&index| places[index].last.load(Ordering::Relaxed));
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

/// A client's line, which may be shut for another one.
#[derive(Debug)]
pub struct Line<I> {
    io: I,
    register: Arc<Register>,
    place: Arc<Place>,
    shut: Pin<Box<WaitForCancellationFutureOwned>>,
}

impl<I> Line<I> {
    fn new(io: I, register: Arc<Register>) -> Self {
        let place = register.enter();
        Self {
            io,
            register,
            shut: Box::pin(place.shut.clone().cancelled_owned()),
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

impl<I: AsyncRead + Unpin> AsyncRead for Line<I> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        if self.shut.as_mut().poll(context).is_ready() {
            return Poll::Ready(Err(shut()));
        }
        let polled = Pin::new(&mut self.io).poll_read(context, buffer);
        if polled.is_ready() {
            self.register.touch(&self.place);
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
        Pin::new(&mut self.io).poll_write(context, bytes)
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
        Pin::new(&mut self.io).poll_write_vectored(context, slices)
    }

    fn is_write_vectored(&self) -> bool {
        self.io.is_write_vectored()
    }
}

#[cfg(test)]
mod tests {
    use tokio::io::{AsyncReadExt, AsyncWriteExt, DuplexStream, duplex};

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

    #[test]
    fn a_line_that_is_left_makes_room() {
        let register = Arc::default();
        for _ in 0..3 * MOST {
            drop(open(&register));
        }
        assert!(register.places.lock().unwrap().is_empty());
    }
}
