//! Learning from what was heard: what explains it, and what is asked where two things do, or none.

use tarehand_protocol::scale::profile::Reports;
use tarehand_protocol::scale::teach::{Candidate, Doubt, Lesson, Taught, teach};
use tarehand_protocol::{Mass, MassUnit};

use super::ear::Halt;
use super::live::Teaching;
use super::notes::Tally;
use super::slip;
use super::taught::{self, Told};
use super::words::SELDOM;
use crate::failure::Failure;

/// So many weights more are asked for to tell two explanations apart.
const MORE: usize = 3;

impl Teaching<'_> {
    /// Looks for what explains all that was heard, and asks for more while two explanations remain.
    pub(super) async fn learn(
        &mut self,
        unit: MassUnit,
        stood: &mut Vec<Mass>,
    ) -> Result<Option<Candidate>, Halt> {
        for more in 0..=MORE {
            self.output.say("Looking for what explains all of that …");
            let taught = self.look(unit).await?;
            self.told = Told::of(&taught);
            self.output.say(taught::page(&taught));
            if self.settings.reports == Reports::Stream {
                self.settings.reports = self.notes.reports();
            }
            let doubt = match taught {
                Taught::Found { best, .. } => return Ok(Some(*best)),
                Taught::Doubtful { doubt, .. } => doubt,
                Taught::Nothing(_) if more != MORE && self.puts_right(unit, stood).await? => {
                    continue;
                }
                Taught::Nothing(because) => {
                    if self.settings.reports == Reports::OnChange {
                        self.output.say(SELDOM);
                    }
                    self.output.say(format_args!("try: {}", because.hint()));
                    return Ok(None);
                }
            };
            if more == MORE {
                break;
            }
            let question = match doubt {
                Doubt::Weigh { weigh } => format!(
                    "Put about {weigh} on the pan, if it carries as much.\nType what it weighs; then Enter. Enter alone gives up."
                ),
                Doubt::Twin => "Put something on the pan and press the scale's own tare key.\nType what stands on the pan; then Enter. Enter alone gives up.".to_owned(),
            };
            let Some(mass) = self.weight(&question, unit, stood).await? else {
                self.output.say(format_args!("try: {}", doubt.hint()));
                return Ok(None);
            };
            self.stands(mass).await?;
            stood.push(mass);
        }
        Ok(None)
    }

    async fn look(&mut self, unit: MassUnit) -> Result<Taught, Halt> {
        let capture = self.notes.capture();
        let taught = self
            .meanwhile(move || teach(&Lesson::new(unit).hear(&capture, &[])))
            .await?;
        Ok(taught.map_err(|error| Failure::Refused {
            what: format!("there is nothing to learn from: {error}"),
            hint: Some(error.hint().to_owned()),
        })?)
    }

    /// Asks about the one weight that does not go with the others; returns whether it was put right.
    async fn puts_right(&mut self, unit: MassUnit, stood: &mut Vec<Mass>) -> Result<bool, Halt> {
        let capture = self.notes.capture();
        let Some(slip) = self.meanwhile(move || slip::find(&[capture], unit)).await? else {
            return Ok(false);
        };
        let others: Vec<Mass> = stood.iter().copied().filter(|&mass| mass != slip).collect();
        let question = format!(
            "Without the {slip} all is explained: was that a slip of the finger?\nType what really stood there; then Enter. Enter alone gives up."
        );
        let Some(right) = self.weight(&question, unit, &others).await? else {
            return Ok(false);
        };
        self.notes.correct(slip, right)?;
        *stood = others;
        stood.push(right);
        Ok(right != slip)
    }

    /// Thinks on another thread, and listens on meanwhile.
    async fn meanwhile<T: Send + 'static>(
        &mut self,
        think: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, Halt> {
        let mut thinking = tokio::task::spawn_blocking(think);
        let mut tally = Tally::default();
        let thought = loop {
            tokio::select! {
                biased;
                happened = self.ear.next() => { self.take(happened?, &mut tally)?; }
                thought = &mut thinking => break thought,
            }
        };
        Ok(thought.map_err(|error| Failure::Refused {
            what: format!("what was heard could not be looked through: {error}"),
            hint: None,
        })?)
    }
}
