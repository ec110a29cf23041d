//! When is a weight a weight? Turns readings into facts.
//!
//! Settled means another thing by what the scale reports:
//! * a *stream* is settled when every reading of at least one second, three or more of them, lies
//!   within the band round their median; the band is one division or three sigma of the quiet pan,
//!   whichever is larger; the scale's own "moving" vetoes and its "stable" alone never suffices;
//! * a scale that reports *on change* is settled by a stable report that nothing follows;
//! * a scale of *finished* weighings is settled by each report.
//!
//! | file | idea |
//! |---|---|
//! | `fact` | what it tells |
//! | `run`, `spikes` | readings that have stayed together, without single spikes |
//! | `noise`, `division` | how much a quiet pan scatters, and in which steps it speaks |
//! | `flow` | how fast the weight grows |

mod division;
mod fact;
mod flow;
mod noise;
mod run;
mod spikes;

use std::time::Duration;

use serde::{Deserialize, Serialize};
use tarehand_protocol::{Mass, Motion, Reading, Weighed};

use crate::tick::Tick;
use division::DivisionEstimate;
pub use fact::{Change, Fact, Live, Zero};
use flow::FlowEstimate;
use noise::QuietNoise;
use run::QuietRun;
use spikes::LastThree;

/// What a scale reports, and when.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reports {
    /// Every so often, whatever happens.
    #[default]
    Stream,
    /// Only when the weight changes.
    OnChange,
    /// One report for each finished weighing.
    Finished,
}

/// What comes in from the link and its decoder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Signal {
    /// The scale said something.
    Reading(Reading),
    /// The way to the scale has just been opened: its zero may be another one.
    Opened,
    /// The way to the scale is gone.
    Gone,
    /// The scale said words and no weight, as it does when it is switched on.
    Words,
    /// Time has passed.
    Wake,
}

/// How long a stream must be quiet.
const QUIET: Duration = Duration::from_secs(1);
/// How many fresh readings a settled weight needs.
const FRESH: usize = 3;
/// Silence that is "no weight" on any scale that streams.
const SILENCE: Duration = Duration::from_millis(1_500);
/// A scale that starts anew says nothing for at least this long before its banner (our own choice).
const BANNER_PAUSE: Duration = Duration::from_millis(300);
/// At this rate and above, single spikes are filtered by a median of three.
const MEDIAN_PERIOD: Duration = Duration::from_millis(200);
/// A scale that reports on change has finished when nothing follows for this long (our own choice).
const NO_CHANGE_AFTER: Duration = Duration::from_millis(700);

/// What is put down on a scale that averages over 0.5 s arrives at first as fast as if it all came in 0.55 s; a
/// pour takes 1.5 s and more. The line is drawn between the two (our own choice).
const FASTEST_POUR_S: f64 = 0.85;

/// Turns the readings of one scale into facts.
#[derive(Clone, Debug)]
pub struct Settler {
    reports: Reports,
    division: DivisionEstimate,
    noise: QuietNoise,
    flow: FlowEstimate,
    run: QuietRun,
    recent: LastThree,
    period: Option<Duration>,
    last_at: Option<Tick>,
    presence: Presence,
    empty: Mass,
    settled: Option<Mass>,
    /// Where the change that runs began: the last settled weight, or what the pan showed when the load went away.
    from: Option<Mass>,
    load: Load,
    stable_since: Option<Tick>,
    fastest: Mass,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Presence {
    Here,
    Lost(Zero),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Load {
    On,
    Falling(u8),
    Off,
}

impl Settler {
    /// Makes a settler; a division the profile states is believed, else it is estimated.
    #[must_use]
    pub fn new(reports: Reports, division: Option<Mass>) -> Self {
        Self {
            reports,
            division: DivisionEstimate::new(division),
            noise: QuietNoise::default(),
            flow: FlowEstimate::default(),
            run: QuietRun::default(),
            recent: LastThree::default(),
            period: None,
            last_at: None,
            presence: Presence::Lost(Zero::Suspect),
            empty: Mass::ZERO,
            settled: None,
            from: None,
            load: Load::On,
            stable_since: None,
            fastest: Mass::ZERO,
        }
    }

    /// Tells what the pan shows with no jar on it, so that a lifted jar is known from a spoon taken off.
    pub fn set_empty(&mut self, gross: Mass) {
        self.empty = gross;
    }

    /// Makes a weight that is settled already be told again: somebody new listens.
    pub fn tell_settled_again(&mut self) {
        self.run.forget_announcement();
    }

    /// Returns the division: the one told, or the one estimated from the readings so far.
    #[must_use]
    pub fn division(&self) -> Option<Mass> {
        self.division.value()
    }

    /// Takes the division that the scale itself told, where none was told before.
    pub fn tell_division(&mut self, division: Mass) {
        self.division.tell(division);
    }

    /// Returns the usual time between two readings, once known.
    #[must_use]
    pub const fn period(&self) -> Option<Duration> {
        self.period
    }

    /// Returns the band within which readings count as the same weight.
    #[must_use]
    pub fn band(&self) -> Mass {
        let division = self.division.value().unwrap_or(Mass::ZERO);
        division.max(self.noise.three_sigma(division))
    }

    /// Returns how far the newest reading is ahead of the weight of the newest facts.
    ///
    /// A stream that is quick is judged one reading late, so that no spike counts. What is shown to whoever pours need not wait;
    /// it is nothing where the newest reading may be a spike itself.
    #[must_use]
    pub fn ahead(&self) -> Mass {
        if self.is_fast() && self.reports == Reports::Stream {
            self.recent.ahead(self.band())
        } else {
            Mass::ZERO
        }
    }

    /// Returns when [`Signal::Wake`] is wanted, if nothing arrives before.
    #[must_use]
    pub fn wake_at(&self) -> Option<Tick> {
        let last = self.last_at.filter(|_| self.presence == Presence::Here)?;
        match self.reports {
            Reports::Stream => Some(last + self.patience()),
            Reports::OnChange => self.stable_since.map(|since| since + NO_CHANGE_AFTER),
            Reports::Finished => None,
        }
    }

    /// Takes one signal and returns what follows from it, in order.
    pub fn step(&mut self, now: Tick, signal: Signal) -> Vec<Fact> {
        let mut facts = Vec::new();
        match signal {
            Signal::Opened | Signal::Gone => {
                if self.presence == Presence::Here {
                    facts.push(Fact::Lost);
                }
                self.forget(Zero::Suspect);
            }
            Signal::Words => self.words(now, &mut facts),
            Signal::Wake => self.wake(now, &mut facts),
            Signal::Reading(reading) => self.reading(now, reading, &mut facts),
        }
        facts
    }

    /// Words after a pause are a banner: the scale started anew, and what lies on it may count as nothing now.
    fn words(&mut self, now: Tick, facts: &mut Vec<Fact>) {
        if self.presence == Presence::Here {
            let pause = BANNER_PAUSE.max(self.period.unwrap_or_default() * 2);
            if self.last_at.is_none_or(|last| now.since(last) < pause) {
                // In the middle of readings it is a line that came broken.
                return;
            }
            facts.push(Fact::Lost);
        }
        self.forget(Zero::Suspect);
    }

    fn wake(&mut self, now: Tick, facts: &mut Vec<Fact>) {
        let Some(due) = self.wake_at() else { return };
        if now < due {
            return;
        }
        match self.reports {
            Reports::Stream => {
                facts.push(Fact::Lost);
                self.forget(Zero::Trusted);
            }
            Reports::OnChange => {
                self.stable_since = None;
                if let Some(gross) = self.run.last() {
                    self.settle(gross, facts);
                }
            }
            Reports::Finished => {}
        }
    }

    fn reading(&mut self, now: Tick, reading: Reading, facts: &mut Vec<Fact>) {
        if let Presence::Lost(zero) = self.presence {
            self.presence = Presence::Here;
            facts.push(Fact::Back { zero });
        }
        self.learn_period(now);
        self.last_at = Some(now);
        match reading {
            Reading::NoWeight(why) => {
                self.run.clear();
                self.recent.clear();
                self.flow.clear();
                self.stable_since = None;
                facts.push(Fact::NoWeight(why));
            }
            Reading::Weight(weighed) => self.weight(now, weighed, facts),
        }
    }

    fn weight(&mut self, now: Tick, weighed: Weighed, facts: &mut Vec<Fact>) {
        self.division.observe(weighed.sent);
        let gross = match self.reports {
            Reports::Finished => {
                self.note_change(weighed.gross);
                self.settle(weighed.gross, facts);
                return;
            }
            Reports::OnChange => weighed.gross,
            Reports::Stream => self.without_spikes(weighed.gross, facts),
        };
        self.noise
            .observe(gross, self.division.value().unwrap_or(Mass::ZERO));
        self.note_change(gross);
        self.flow.observe(now, gross);
        self.note_load(gross, facts);
        self.run.push(now, gross, self.band());
        let quiet = self.reports == Reports::Stream
            && self.run.is_quiet(QUIET, FRESH)
            && weighed.motion != Motion::Moving;
        if !quiet {
            // Whoever heard of a settled weight has just heard that it moves: it must be told again.
            self.run.forget_announcement();
        }
        facts.push(Fact::Live(Live {
            gross,
            flow_g_s: self.flow.grams_per_second(),
            change: self.change(gross),
            motion: weighed.motion,
            quiet,
        }));
        match self.reports {
            Reports::Stream => {
                if let Some(median) = self.run.median().filter(|_| quiet) {
                    self.settle(median, facts);
                }
            }
            Reports::OnChange => {
                self.stable_since = (weighed.motion != Motion::Moving).then_some(now);
            }
            Reports::Finished => {}
        }
    }

    /// Returns the median of the last three readings on a fast scale, the reading itself on a slow one.
    fn without_spikes(&mut self, gross: Mass, facts: &mut Vec<Fact>) -> Mass {
        self.recent.push(gross);
        let Some(median) = self.recent.median().filter(|_| self.is_fast()) else {
            return gross;
        };
        let spike = self.recent.spike(self.band());
        facts.extend(spike.map(|gross| Fact::Spike { gross }));
        median
    }

    fn is_fast(&self) -> bool {
        self.period.is_some_and(|period| period <= MEDIAN_PERIOD)
    }

    fn note_change(&mut self, gross: Mass) {
        let before = self.run.last().or(self.settled);
        if let Some(before) = before {
            self.fastest = self.fastest.max((gross - before).abs());
        }
    }

    fn change(&self, gross: Mass) -> Change {
        // Only a stream has a period: a scale that is silent in between says nothing of how fast it went.
        let (Reports::Stream, Some(from), Some(period)) = (
            self.reports,
            self.from,
            self.period.filter(|period| *period <= MEDIAN_PERIOD),
        ) else {
            return Change::Unclear;
        };
        let total = (gross - from).abs().grams();
        if total * period.as_secs_f64() / FASTEST_POUR_S < self.fastest.grams() {
            Change::Jump
        } else {
            Change::Gradual
        }
    }

    fn note_load(&mut self, gross: Mass, facts: &mut Vec<Fact>) {
        let Some(settled) = self.settled else { return };
        let half = Mass::from_micrograms((settled - self.empty).micrograms() / 2);
        let fell = self.band() < half && gross <= self.empty + half;
        self.load = match (self.load, fell) {
            (Load::On, true) => Load::Falling(1),
            (Load::Falling(_), true) => {
                facts.push(Fact::Unloaded { gross });
                // What comes now, a jar or a pour after the tare key, is judged without the fall before it.
                self.from = Some(gross);
                self.fastest = Mass::ZERO;
                Load::Off
            }
            (Load::Off, _) => Load::Off,
            (_, false) => Load::On,
        };
    }

    fn settle(&mut self, gross: Mass, facts: &mut Vec<Fact>) {
        let moved = self
            .settled
            .is_none_or(|before| self.band() < (gross - before).abs());
        if self.run.announced() && !moved {
            return;
        }
        let change = self.change(gross);
        self.run.announce();
        self.settled = Some(gross);
        self.from = Some(gross);
        self.load = Load::On;
        self.fastest = Mass::ZERO;
        facts.push(Fact::Settled { gross, change });
    }

    fn forget(&mut self, zero: Zero) {
        // A link that opened anew stays suspect until a reading has come.
        let zero = match self.presence {
            Presence::Lost(Zero::Suspect) => Zero::Suspect,
            _ => zero,
        };
        self.presence = Presence::Lost(zero);
        if zero == Zero::Suspect {
            // The time a link was away says nothing of how often its scale speaks.
            self.last_at = None;
        }
        self.run.clear();
        self.recent.clear();
        self.flow.clear();
        self.stable_since = None;
    }

    fn learn_period(&mut self, now: Tick) {
        let Some(last) = self.last_at else { return };
        let step = now.since(last);
        self.period = Some(match self.period {
            None => step,
            // Shorter steps are believed sooner: two lines of one read belong to a faster scale. A silence counts too,
            // but never as more than twice the usual: else a scale thought too fast would be lost between any two readings.
            Some(period) => {
                let most = (period * 2).max(SILENCE / 3);
                (period * 7 + step.min(most)) / 8
            }
        });
    }

    fn patience(&self) -> Duration {
        SILENCE.max(self.period.unwrap_or(SILENCE) * 3)
    }
}

#[cfg(test)]
mod tests;
