//! What a bench shows: views, cues, weights and notices, in the order the disk allows.

use std::sync::Arc;

use tarehand_mixing::session::{Cue, PanNow, Session};
use tarehand_protocol::Mass;
use tarehand_protocol::api::{
    BatchStateWord, Doing, ReadingLine, ScaleWord, TroubleWord, View, WeightNow, WeightState,
};
use tokio::sync::{broadcast, watch};

use super::Reply;
use super::actor::Actor;
use super::feed::Feed;
use super::making::{Making, Written};
use super::outbox::{Announcement, Outcome};
use crate::api::translate;

/// Where readings go: every one of the scale that the jar stands on, and the newest of each scale.
pub(super) struct ReadingsOut {
    pub every: broadcast::Sender<Arc<ReadingLine>>,
    pub newest: watch::Sender<Option<Arc<ReadingLine>>>,
    pub newest_fine: watch::Sender<Option<Arc<ReadingLine>>>,
}

impl ReadingsOut {
    pub(super) fn send(&self, which: ScaleWord, line: ReadingLine) {
        let line = Arc::new(line);
        match which {
            ScaleWord::Main => {
                self.newest.send_replace(Some(Arc::clone(&line)));
                // Nobody may be listening.
                drop(self.every.send(line));
            }
            // The finer one's are for the weighing alone, but for the newest.
            ScaleWord::Fine => drop(self.newest_fine.send_replace(Some(line))),
        }
    }
}

impl Actor {
    /// A cue that follows from no entry, such as "stop", waits for no disk.
    pub(super) fn tell_now(&mut self, jar: usize, cue: Cue) {
        let now = self.clock.now();
        if let (Cue::Stop, Some(hand)) = (
            cue,
            self.making.as_mut().and_then(|making| making.hand.as_mut()),
        ) {
            hand.hear_stop(now);
        }
        self.set_cue(jar, cue);
        if self.outbox.is_empty() {
            let snapshot = self.snapshot();
            self.view.send_replace(snapshot);
        } else {
            // The view that waits for the disk carries other news; this one is only the cue.
            let cue = self.cue.clone();
            self.view.send_modify(|view| {
                let mut next = View::clone(view);
                next.cue = cue;
                next.revision += 1;
                *view = Arc::new(next);
            });
        }
    }

    fn set_cue(&mut self, jar: usize, cue: Cue) {
        let Some(making) = &self.making else { return };
        self.cues += 1;
        let book = making.jars.sessions()[jar].book();
        self.cue = Some(translate::cue_line(self.cues, cue, book));
    }

    /// Writes records, and shows what follows from them once they are on disk.
    pub(super) fn announce(
        &mut self,
        records: Vec<Written>,
        cues: Vec<(usize, Cue)>,
        reply: Option<Reply<Arc<View>>>,
    ) {
        for (jar, cue) in &cues {
            self.set_cue(*jar, *cue);
        }
        let announcement = Announcement {
            view: self.snapshot(),
            cues,
            reply,
        };
        if records.is_empty() && self.outbox.is_empty() {
            self.show(announcement);
        } else {
            self.outbox.add(records, announcement);
            self.send();
        }
    }

    fn send(&mut self) {
        let Some(making) = &self.making else { return };
        let log = &self.surroundings.log;
        self.outbox
            .send(|records| Box::pin(making.write(log, records)));
    }

    pub(super) fn landed(&mut self, outcome: Outcome) {
        match outcome {
            Outcome::Written(announcements) => {
                let was_in_trouble = self.trouble.take().is_some();
                for announcement in announcements {
                    self.show(announcement);
                }
                if was_in_trouble {
                    tracing::info!("the log can be written again");
                    self.announce(Vec::new(), Vec::new(), None);
                }
            }
            Outcome::Failed(error, replies) => {
                tracing::error!(%error, "the log cannot be written");
                for reply in replies {
                    drop(reply.send(Err(error.clone().into())));
                }
                // Nothing that waits is shown as certain; only the trouble is.
                self.revision += 1;
                let (trouble, hint) = (error.to_string(), error.hint().map(str::to_owned));
                let revision = self.revision;
                self.view.send_modify(|view| {
                    *view = Arc::new(View {
                        revision,
                        trouble: Some(trouble),
                        trouble_kind: Some(TroubleWord::Log),
                        hint,
                        ..View::clone(view)
                    });
                });
                self.trouble = Some(error);
            }
        }
        self.send();
    }

    fn show(&mut self, announcement: Announcement) {
        let Announcement { view, cues, reply } = announcement;
        self.view.send_replace(Arc::clone(&view));
        if let Some(reply) = reply {
            drop(reply.send(Ok(view)));
        }
        for (jar, cue) in cues {
            self.notice(jar, cue);
        }
    }

    fn notice(&self, jar: usize, cue: Cue) {
        let Some(making) = self.making.as_ref().filter(|making| making.hand.is_none()) else {
            return;
        };
        let book = making.jars.sessions()[jar].book();
        let recipe = &book.procedure().recipe;
        let body = match cue {
            Cue::Asks => book
                .question()
                .map(|question| translate::question_view(book, question).text),
            Cue::AsksForJar => {
                translate::question_about_jars(&making.jars).map(|question| question.text)
            }
            Cue::ScaleLost => Some("no weight: the scale is away".to_owned()),
            Cue::FineLost => Some("no weight: the finer scale is away".to_owned()),
            Cue::TimeIsUp => Some("time is up".to_owned()),
            _ => None,
        };
        if let Some(body) = body {
            self.surroundings.notices.show(recipe.clone(), body);
        }
    }

    pub(super) fn publish_weight(&mut self, scale: ScaleWord, line: &ReadingLine) {
        self.sequence += 1;
        let session = self.making.as_ref().map(Making::session);
        let idle = self
            .making
            .as_ref()
            .is_none_or(|making| making.jars.is_over());
        let rests = idle && self.scales.of(scale).settled().is_some();
        let now = session.map(Session::pan);
        let (flow, settled) = match now {
            Some(PanNow::Weight {
                flow_g_s, settled, ..
            }) => (flow_g_s, settled),
            _ => (0.0, false),
        };
        // What is judged waits a reading for a spike to show itself; whoever pours sees the newest.
        let ahead = self.scales.of(scale).feed.as_ref().map(Feed::ahead);
        // While entries wait for the disk the net weight would show a judgement that is not certain yet.
        let certain = session.filter(|_| self.outbox.is_empty());
        self.weight.send_replace(WeightNow {
            sequence: self.sequence,
            gross_g: line.gross_g,
            net_g: certain
                .filter(|_| line.gross_g.is_some())
                .and_then(|session| session.net_ahead(ahead.unwrap_or(Mass::ZERO)))
                .map(Mass::grams),
            flow_g_s: flow,
            state: line.state,
            settled: rests || !idle && settled && certain.is_some(),
            step: certain
                .and_then(|session| session.book().current())
                .map(|task| task.id.0),
            age_ms: line.age_ms,
            scale,
        });
    }

    pub(super) fn snapshot(&mut self) -> Arc<View> {
        self.revision += 1;
        self.look_what_waits();
        let mut view = empty_view(&self.name);
        view.revision = self.revision;
        view.scale = self.scales.main.feed.as_ref().map(Feed::state);
        view.fine_scale = self.scales.fine.feed.as_ref().map(Feed::state);
        view.weighed_on = self.weighed_on();
        view.cue.clone_from(&self.cue);
        view.clock_rate = self.clock.rate();
        if let Some(error) = &self.trouble {
            view.trouble = Some(error.to_string());
            view.trouble_kind = Some(TroubleWord::Log);
            view.hint = error.hint().map(str::to_owned);
        }
        if let Some(making) = &self.making {
            let book = making.book();
            view.batch = Some(making.mark().to_owned());
            view.rehearsal = making.hand.is_some();
            view.recipe = Some(book.procedure().recipe.clone());
            view.state = translate::batch_state(book.state());
            view.planned_g = Some(book.procedure().planned.grams());
            view.total_g = Some(book.planned().grams());
            view.doing = translate::doing_among(&making.jars, self.clock.now());
            view.steps = translate::steps(book);
            view.question = book
                .question()
                .map(|question| translate::question_view(book, question));
            if let Some(question) = translate::question_about_jars(&making.jars) {
                view.question = Some(question);
                view.state = BatchStateWord::Held;
            }
            view.set = book.procedure().of_set.as_ref().map(|of| of.set.clone());
            let marks = making.batches.iter().map(|batch| batch.mark.as_str());
            view.jars = translate::jar_lines(&making.jars, marks, self.clock.now());
            view.concerns = making.concerns();
            view.can_undo = book.undoes().is_some() && !book.is_over();
            view.timing_trail = making.session().times_trail();
            view.bottle = translate::bottle(making.session());
            let heard = |feed: &Feed| feed.hears_taps();
            view.taps = self
                .waits
                .filter(|_| self.scales.feeds().any(heard))
                .map(translate::taps_heard);
            view.hardens_in_ms = book.hardens().filter(|_| !book.is_over()).map(|at| {
                let left = at.since(self.clock.now()).as_millis();
                u64::try_from(left).unwrap_or(u64::MAX)
            });
        }
        Arc::new(view)
    }
}

pub(super) fn no_weight() -> WeightNow {
    WeightNow {
        sequence: 0,
        gross_g: None,
        net_g: None,
        flow_g_s: 0.0,
        state: WeightState::Fault,
        settled: false,
        step: None,
        age_ms: 0,
        scale: ScaleWord::Main,
    }
}

pub(super) fn empty_view(bench: &str) -> View {
    View {
        revision: 0,
        bench: bench.to_owned(),
        scale: None,
        fine_scale: None,
        weighed_on: ScaleWord::Main,
        batch: None,
        rehearsal: false,
        recipe: None,
        set: None,
        jars: Vec::new(),
        state: BatchStateWord::Idle,
        planned_g: None,
        total_g: None,
        doing: Doing::Nothing,
        steps: Vec::new(),
        question: None,
        cue: None,
        concerns: Vec::new(),
        can_undo: false,
        timing_trail: false,
        bottle: None,
        taps: None,
        hardens_in_ms: None,
        trouble: None,
        trouble_kind: None,
        hint: None,
        clock_rate: 1.0,
    }
}

#[cfg(test)]
mod tests {
    use tokio_util::sync::CancellationToken;
    use tokio_util::task::TaskTracker;

    use crate::bench::{Bench, Surroundings};
    use crate::log::Log;
    use crate::notices::Notices;

    #[tokio::test]
    async fn a_quick_bench_says_how_fast_its_clock_runs() {
        let folder = tempfile::tempdir().unwrap();
        let surroundings = Surroundings {
            log: Log::open(&folder.path().join("log.db")).unwrap(),
            notices: Notices::silent(),
            clock_rate: 20.0,
            stop: CancellationToken::new(),
        };
        let bench = Bench::start("rehearsal", surroundings, &TaskTracker::new())
            .await
            .unwrap();
        assert_eq!(
            bench.view().borrow().clock_rate.to_bits(),
            20.0_f64.to_bits()
        );
    }
}
