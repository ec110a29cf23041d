//! The way from a radio link to its bench.

use tarehand_mixing::Tick;
use tokio::sync::mpsc;

use super::trouble::Trouble;
use crate::links::LinkEvent;

/// The way from a radio link to its bench.
///
/// A bench that does not keep up costs packets, and is told so; what the radio hands over is taken all
/// the same, else it would pile up without bound and be old when it is read.
pub(super) struct Outlet {
    events: mpsc::Sender<LinkEvent>,
    behind: Behind,
}

/// Whether the bench has missed something that it was not told of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Behind {
    No,
    Yes,
}

impl Outlet {
    pub(super) const fn new(events: mpsc::Sender<LinkEvent>) -> Self {
        Self {
            events,
            behind: Behind::No,
        }
    }

    /// Tells the bench; waits while its queue is full. That nobody listens is noticed elsewhere.
    pub(super) async fn tell(&mut self, event: LinkEvent) {
        let _told = self.events.send(event).await;
    }

    /// Tells why the scale is not heard.
    pub(super) async fn gone(&mut self, trouble: &Trouble) {
        self.tell(LinkEvent::Gone {
            kind: trouble.kind(),
            why: trouble.to_string(),
            hint: Some(trouble.hint()),
        })
        .await;
    }

    /// Hands on what the scale said, or drops it where the queue is full.
    pub(super) fn packet(&mut self, at: Tick, bytes: Vec<u8>) {
        if self.behind == Behind::Yes {
            if self.events.try_send(LinkEvent::Skipped { at }).is_err() {
                return;
            }
            self.behind = Behind::No;
        }
        if self
            .events
            .try_send(LinkEvent::Packet { at, bytes })
            .is_err()
        {
            self.behind = Behind::Yes;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bench_that_does_not_keep_up_is_told_that_something_is_missing() {
        let (sender, mut events) = mpsc::channel(2);
        let mut outlet = Outlet::new(sender);
        for at in 0..4_u8 {
            outlet.packet(Tick::from_millis(at.into()), vec![at]);
        }
        let packet = |at: u8| LinkEvent::Packet {
            at: Tick::from_millis(at.into()),
            bytes: vec![at],
        };
        assert_eq!(events.try_recv(), Ok(packet(0)));
        assert_eq!(events.try_recv(), Ok(packet(1)));
        outlet.packet(Tick::from_millis(4), vec![4]);
        let skipped = LinkEvent::Skipped {
            at: Tick::from_millis(4),
        };
        assert_eq!(events.try_recv(), Ok(skipped));
        assert_eq!(events.try_recv(), Ok(packet(4)));
    }
}
