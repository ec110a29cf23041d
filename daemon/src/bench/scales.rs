//! The scales of a bench: the one the jar stands on, and a second, finer one beside it.

use serde::{Deserialize, Serialize};
use tarehand_mixing::settler::Fact;
use tarehand_mixing::tick::Tick;
use tarehand_protocol::Mass;
use tarehand_protocol::api::ScaleWord;

use super::attach::{Approach, Attachment, Place};
use super::feed::{Ending, Feed, has_let_go};
use crate::clock::Clock;
use crate::links::LinkEvent;

/// One scale of a bench: what was said about it, and its readings.
#[derive(Debug, Default)]
pub(super) struct Reader {
    pub(super) attachment: Option<Attachment>,
    pub(super) feed: Option<Feed>,
    /// What rests on its pan.
    settled: Option<Mass>,
    ending: Ending,
}

impl Reader {
    /// Reads a scale in place of the one before, whose link lets go of its port first.
    pub(super) fn read(&mut self, attachment: &Attachment, approach: Approach, clock: Clock) {
        self.let_go();
        let before = self.ending.take();
        self.feed = Some(Feed::attach(attachment, approach, clock, before));
    }

    /// Stops reading the scale; returns whether there was one.
    pub(super) fn let_go(&mut self) -> bool {
        self.settled = None;
        match self.feed.take() {
            Some(feed) => {
                self.ending = feed.end();
                true
            }
            None => false,
        }
    }

    /// Takes in whether what lies on its pan rests there.
    pub(super) const fn note(&mut self, fact: &Fact) {
        self.settled = match fact {
            Fact::Settled { gross, .. } => Some(*gross),
            Fact::Live(live) if live.quiet => return,
            Fact::Spike { .. } | Fact::Back { .. } => return,
            Fact::Live(_) | Fact::Unloaded { .. } | Fact::NoWeight(_) | Fact::Lost => None,
        };
    }

    /// Returns what rests on its pan; `None` while it moves, or there is no weight.
    pub(super) fn settled(&self) -> Option<Mass> {
        self.settled.filter(|_| self.feed.is_some())
    }

    /// Returns where it is found.
    pub(super) fn place(&self) -> Option<&Place> {
        self.attachment.as_ref().map(Attachment::place)
    }

    /// Returns whether its bytes are to be heard, and nothing is to be weighed on it.
    pub(super) fn is_only_heard(&self) -> bool {
        let attachment = self.attachment.as_ref();
        attachment.is_some_and(|attachment| !attachment.is_to_weigh())
    }

    /// Stops reading the scale and waits, for a limited time, until its link has let go of it.
    pub(super) async fn has_let_go(&mut self) {
        self.let_go();
        has_let_go(self.ending.take()).await;
    }

    /// Returns when its settler wants to be woken.
    pub(super) fn wake_at(&self) -> Option<Tick> {
        self.feed.as_ref().and_then(Feed::wake_at)
    }

    /// Tells its settler what it shows with nothing on it.
    pub(super) fn set_empty(&mut self, gross: Mass) {
        if let Some(feed) = &mut self.feed {
            feed.set_empty(gross);
        }
    }

    /// A new batch listens: the pan is taken for empty, and a weight that is settled already is told again.
    pub(super) fn listen_anew(&mut self) {
        if let Some(feed) = &mut self.feed {
            feed.set_empty(Mass::ZERO);
            feed.tell_settled_again();
        }
    }

    /// Waits for its link; for ever where there is none.
    pub(super) async fn event(&mut self) -> Option<LinkEvent> {
        match &mut self.feed {
            Some(feed) => feed.event().await,
            None => std::future::pending().await,
        }
    }
}

/// The scales of a bench.
#[derive(Debug, Default)]
pub(super) struct Scales {
    pub(super) main: Reader,
    pub(super) fine: Reader,
}

impl Scales {
    pub(super) const fn of(&self, which: ScaleWord) -> &Reader {
        match which {
            ScaleWord::Main => &self.main,
            ScaleWord::Fine => &self.fine,
        }
    }

    pub(super) const fn of_mut(&mut self, which: ScaleWord) -> &mut Reader {
        match which {
            ScaleWord::Main => &mut self.main,
            ScaleWord::Fine => &mut self.fine,
        }
    }

    /// Returns those that are being read.
    pub(super) fn feeds(&self) -> impl Iterator<Item = &Feed> {
        [&self.main, &self.fine]
            .into_iter()
            .filter_map(|reader| reader.feed.as_ref())
    }

    /// A push that is under way on either answers nothing: it began before what is asked now.
    pub(super) fn forget_taps(&mut self) {
        for reader in [&mut self.main, &mut self.fine] {
            if let Some(feed) = &mut reader.feed {
                feed.forget_taps();
            }
        }
    }

    /// Returns whether the other scale of this bench is the one that is found there.
    pub(super) fn shares_place(&self, which: ScaleWord, place: &Place) -> bool {
        let other = match which {
            ScaleWord::Main => &self.fine,
            ScaleWord::Fine => &self.main,
        };
        other.place() == Some(place)
    }

    /// Waits for whichever speaks first.
    pub(super) async fn event(&mut self) -> (ScaleWord, Option<LinkEvent>) {
        tokio::select! {
            biased;
            event = self.main.event() => (ScaleWord::Main, event),
            event = self.fine.event() => (ScaleWord::Fine, event),
        }
    }

    /// Returns what is kept so that a restarted bench finds its scales again; `None` where it has none.
    pub(super) fn kept(&self) -> Option<String> {
        let to_weigh = |reader: &'_ Reader| {
            let attachment = reader.attachment.clone();
            attachment.filter(Attachment::is_to_weigh)
        };
        let (main, fine) = (to_weigh(&self.main), to_weigh(&self.fine));
        let text = match (main, fine) {
            (None, None) => return None,
            (Some(main), None) => serde_json::to_string(&main),
            (main, fine) => serde_json::to_string(&Both { main, fine }),
        };
        Some(text.expect("an attachment holds only what JSON can say"))
    }

    /// Takes what was kept; a bench of before there could be two kept its one scale alone.
    pub(super) fn take_up(&mut self, text: &str) {
        let kept = serde_json::from_str(text).unwrap_or(Kept::Both(Box::default()));
        let both = match kept {
            Kept::One(main) => Both {
                main: Some(*main),
                fine: None,
            },
            Kept::Both(both) => *both,
        };
        self.main.attachment = both.main;
        self.fine.attachment = both.fine;
    }
}

/// What is kept of a bench's scales.
#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum Kept {
    One(Box<Attachment>),
    Both(Box<Both>),
}

#[derive(Debug, Default, Serialize, Deserialize)]
struct Both {
    main: Option<Attachment>,
    fine: Option<Attachment>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use tarehand_protocol::api::{AttachScale, AttachWord};

    fn attachment(port: &str) -> Attachment {
        Attachment::try_from(&AttachScale {
            port: Some(port.to_owned()),
            radio: None,
            unit: Some("g".to_owned()),
            profile: None,
            scale: ScaleWord::Main,
            to: AttachWord::Weigh,
            taps: true,
        })
        .unwrap()
    }

    #[test]
    fn both_scales_are_found_again() {
        let mut scales = Scales::default();
        assert_eq!(scales.kept(), None);
        scales.fine.attachment = Some(attachment("/dev/b"));
        for main in [None, Some(attachment("/dev/a"))] {
            scales.main.attachment = main;
            let mut again = Scales::default();
            again.take_up(&scales.kept().unwrap());
            assert_eq!(again.main.attachment, scales.main.attachment);
            assert_eq!(again.fine.attachment, scales.fine.attachment);
        }
    }

    #[test]
    fn a_row_of_before_there_could_be_two_is_the_main_scale() {
        let mut scales = Scales::default();
        scales.take_up(r#"{"port":"/dev/ttyUSB0","unit":null,"profile":null}"#);
        assert_eq!(
            scales.main.place(),
            Some(&Place::Port("/dev/ttyUSB0".to_owned()))
        );
        assert!(scales.fine.attachment.is_none());
        scales.take_up("a torn row");
        assert!(scales.main.attachment.is_none());
    }

    #[test]
    fn one_port_is_one_scale() {
        let mut scales = Scales::default();
        scales.main.attachment = Some(attachment("/dev/a"));
        assert!(scales.shares_place(ScaleWord::Fine, &Place::Port("/dev/a".to_owned())));
        assert!(!scales.shares_place(ScaleWord::Main, &Place::Port("/dev/a".to_owned())));
    }
}
