//! The proof: one more weight, read by the profile that was learnt.

use std::time::Duration;

use serde::Serialize;
use tarehand_protocol::scale::teach::Candidate;
use tarehand_protocol::{Mass, MassUnit};
use tokio::time::timeout;

use super::ear::Halt;
use super::live::{Outcome, Teaching};
use super::notes::Tally;
use super::taught;
use crate::client::ClientError;
use crate::commands::attach::bench;
use crate::commands::shelf::first_settled;
use crate::failure::Failure;
use crate::words::shown;

/// How long a weight may take to settle.
const LIMIT: Duration = Duration::from_secs(30);
/// What a person says of a weight is off by no more than this, in percent: a kitchen scale is better (our own choice).
const OFF: i64 = 3;

/// What was said to stand on the pan, and what was read.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub(super) struct Proof {
    said_g: f64,
    read_g: f64,
}

impl Teaching<'_> {
    /// Proves what was learnt on one more weight; `None` where it must be learnt anew, with that weight.
    pub(super) async fn prove(
        &mut self,
        best: &Candidate,
        unit: MassUnit,
        stood: &mut Vec<Mass>,
    ) -> Result<Option<Outcome>, Halt> {
        let name = self.name().await?;
        let text = taught::profile(best, &self.settings, &name, None)?;
        self.hearing.read_by(self.client, &text).await?;
        let greatest = stood.iter().copied().max().unwrap_or(Mass::ZERO);
        let question = format!(
            "Now the proof: put one more thing of known weight on the pan, less than {greatest}.\nType what it weighs; then Enter. Enter alone leaves the proof out."
        );
        let Some(said) = self.weight(&question, unit, stood).await? else {
            let unproved = "not proved on the scale: compare one more weight before you trust it";
            let text = taught::profile(best, &self.settings, &name, Some(unproved.to_owned()))?;
            self.write(&text, &name)?;
            return Ok(Some(Outcome::Learnt));
        };
        let read = self.settled().await?;
        let said = match read {
            Some(read) if !agree(said, read, self.division) => {
                // A slip of the finger must not throw a lesson away.
                let question = format!(
                    "The scale reads {read} by what was learnt, but {said} was said.\nType again what stands on the pan. Enter alone: it is {said}, and is learnt from."
                );
                let again = self.weight(&question, unit, stood).await?;
                again.unwrap_or(said)
            }
            Some(_) | None => said,
        };
        if let Some(read) = read.filter(|&read| agree(said, read, self.division)) {
            self.output.say(format_args!(
                "The scale reads {read} where {said} was said: it holds."
            ));
            let proved = format!("proved on the scale: {read} was read where {said} was said");
            let text = taught::profile(best, &self.settings, &name, Some(proved))?;
            self.told.proof = Some(Proof {
                said_g: said.grams(),
                read_g: read.grams(),
            });
            self.write(&text, &name)?;
            return Ok(Some(Outcome::Learnt));
        }
        if read.is_none() {
            let why = self.why_none().await?;
            self.output.say(format_args!(
                "No weight settles by what was learnt{why}.\nLeave it there: it is learnt from too."
            ));
        }
        self.stands(said).await?;
        stood.push(said);
        Ok(None)
    }

    /// Waits for a settled weight; `None` where none comes.
    async fn settled(&mut self) -> Result<Option<Mass>, Halt> {
        let path = format!("{}/readings", self.args.scale.bench_path());
        let readings = self.client.events(&path).await?;
        let mut settled = Box::pin(timeout(LIMIT, first_settled(readings)));
        let mut tally = Tally::default();
        loop {
            tokio::select! {
                biased;
                settled = &mut settled => return match settled {
                    Ok(Ok(gross)) => Ok(Some(gross)),
                    Ok(Err(failure)) => Err(failure.into()),
                    Err(_elapsed) => Ok(None),
                },
                happened = self.ear.next() => { self.take(happened?, &mut tally)?; }
            }
        }
    }

    async fn why_none(&self) -> Result<String, Halt> {
        let view = bench(self.client, &self.args.scale.bench).await;
        let view = view.map_err(|error: ClientError| Failure::from(error))?;
        let trouble = view.and_then(|view| view.scale?.trouble);
        Ok(trouble.map_or_else(String::new, |trouble| format!(": {}", shown(&trouble))))
    }
}

/// Returns whether a reading is what was said, as well as a person can say it.
fn agree(said: Mass, read: Mass, division: Mass) -> bool {
    let (said, read) = (said.micrograms(), read.micrograms());
    let allowed = (said / 100 * OFF).max(division.micrograms().saturating_mul(2));
    (said - read).abs() <= allowed
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_agrees_within_what_a_person_can_say() {
        let grams = Mass::from_grams;
        let none = Mass::ZERO;
        assert!(agree(grams(100), grams(102), none));
        assert!(!agree(grams(100), grams(104), none));
        assert!(!agree(grams(100), grams(1_000), none));
        assert!(!agree(grams(100), grams(-100), none));
        assert!(agree(grams(100), grams(110), grams(5)));
    }
}
