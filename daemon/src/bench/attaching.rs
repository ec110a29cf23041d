//! Attaching scales, and letting them go.

use tarehand_mixing::session::Input;
use tarehand_mixing::settler::Fact;
use tarehand_protocol::api::ScaleWord;

use super::BenchError;
use super::actor::Actor;
use super::attach::{Approach, AttachError, Attachment};
use super::showing::no_weight;

impl Actor {
    pub(super) async fn attach(
        &mut self,
        which: ScaleWord,
        attachment: Attachment,
    ) -> Result<(), BenchError> {
        let log = self.surroundings.log.clone();
        let known = match attachment.place().key() {
            Some(key) => log.device(key).await?,
            // A radio scale is known by its address, which a name does not tell.
            None => None,
        };
        let attachment = match known {
            Some(device) => attachment.remembering(
                device.told_unit.and_then(|unit| unit.parse().ok()),
                tarehand_protocol::scale::Profile::parse(&device.profile)
                    .ok()
                    .filter(|_| !device.profile.is_empty()),
            ),
            None => attachment,
        };
        if self.scales.shares_place(which, attachment.place()) {
            return Err(BenchError::SamePort {
                port: attachment.place().to_string(),
            });
        }
        let reader = self.scales.of(which);
        let there = reader.attachment.as_ref().filter(|_| reader.feed.is_some());
        if there == Some(&attachment) {
            return Ok(());
        }
        if there.is_some_and(|there| there.differs_in_taps_alone(&attachment)) {
            return self.want_taps(which, attachment.taps()).await;
        }
        let other_port = reader.place() != Some(attachment.place()) || !attachment.is_to_weigh();
        // Another reading of the same port may be tried in the middle of a batch; another port may not. The finer
        // scale may come and go: what is weighed out on it is weighed in the jar then.
        match (which, other_port) {
            (ScaleWord::Main, true) => self.busy()?,
            (ScaleWord::Fine, true) => self.input(Input::FineScale(None), None),
            (ScaleWord::Main | ScaleWord::Fine, false) => {}
        }
        let before = self
            .scales
            .of_mut(which)
            .attachment
            .replace(attachment.clone());
        // What is only heard is not what a restarted bench goes on with.
        if attachment.is_to_weigh()
            && let Err(error) = self.keep_scales().await
        {
            self.scales.of_mut(which).attachment = before;
            return Err(error);
        }
        let clock = self.clock;
        let reader = self.scales.of_mut(which);
        let lost = reader.let_go();
        reader.read(&attachment, Approach::Usual, clock);
        if let Some(making) = &self.making {
            let book = making.book();
            match which {
                ScaleWord::Main => self.scales.main.set_empty(book.empty()),
                ScaleWord::Fine => self.scales.fine.set_empty(book.fine().empty),
            }
        }
        if lost {
            self.facts(which, vec![Fact::Lost]);
        }
        self.tell_of_fine();
        Ok(())
    }

    /// Lets taps on the pan of a scale count, or not; it is read on without a gap.
    pub(super) async fn want_taps(
        &mut self,
        which: ScaleWord,
        wanted: bool,
    ) -> Result<(), BenchError> {
        let reader = self.scales.of_mut(which);
        let attachment = reader.attachment.as_mut().ok_or(AttachError::NoPlace)?;
        let before = attachment.taps();
        attachment.want_taps(wanted);
        let is_kept = attachment.is_to_weigh();
        if is_kept && let Err(error) = self.keep_scales().await {
            if let Some(attachment) = &mut self.scales.of_mut(which).attachment {
                attachment.want_taps(before);
            }
            return Err(error);
        }
        if let Some(feed) = &mut self.scales.of_mut(which).feed {
            feed.want_taps(wanted);
        }
        Ok(())
    }

    /// Tells the batch that runs what is known of the finer scale.
    fn tell_of_fine(&mut self) {
        if let Some(feed) = &self.scales.fine.feed {
            let scale = Some(feed.scale());
            self.input(Input::FineScale(scale), None);
        }
    }

    pub(super) async fn detach(&mut self, which: ScaleWord) -> Result<(), BenchError> {
        if which == ScaleWord::Main {
            self.busy()?;
        }
        let before = self.scales.of_mut(which).attachment.take();
        if let Err(error) = self.keep_scales().await {
            self.scales.of_mut(which).attachment = before;
            return Err(error);
        }
        self.scales.of_mut(which).let_go();
        match which {
            ScaleWord::Main => drop(self.weight.send_replace(no_weight())),
            ScaleWord::Fine => self.input(Input::FineScale(None), None),
        }
        Ok(())
    }

    async fn keep_scales(&mut self) -> Result<(), BenchError> {
        let kept = self.scales.kept();
        let log = &self.surroundings.log;
        Ok(log.set_attachment(&*self.name, kept).await?)
    }
}
