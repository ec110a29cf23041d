//! A settled weight from a bench's scale, outside any batch.

use std::time::Duration;

use tarehand_mixing::Tick;
use tarehand_mixing::settler::{Fact, Reports, Settler, Signal};
use tarehand_protocol::api::{ReadingLine, WeightState};
use tarehand_protocol::{Basis, Decimal, Mass, MassUnit, Motion, Reading, Sent, Weighed};
use tokio::time::{Instant, timeout};

use super::Place;
use crate::client::{ClientError, Events, Happening};
use crate::commands::attach::{ScaleArgs, bench};
use crate::failure::Failure;
use crate::output::Output;
use crate::service;

/// How long a weight may take to settle.
const LIMIT: Duration = Duration::from_secs(30);
/// A scale that speaks only when something changes is settled by a stable report that nothing follows for so long.
const NOTHING_FOLLOWS: Duration = Duration::from_secs(2);

/// Waits for the scale to settle, and returns all that stands on it.
pub(super) async fn settled(
    scale: &ScaleArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Mass, Failure> {
    let client = service::ensure(&place.folders).await?;
    let view = bench(&client, &scale.bench).await?;
    if view.is_some_and(|view| view.batch.is_some()) {
        return Err(Failure::Refused {
            what: format!("a batch is on the scale of {}", scale.bench),
            hint: Some("weigh the bottle when it is done, or say --weight 698g".to_owned()),
        });
    }
    // Heard before the scale is attached, so that nothing it says is missed.
    let readings = client
        .events(&format!("{}/readings", scale.bench_path()))
        .await?;
    let _attached = scale
        .attach(&client, place.settings()?.bench.taps, output)
        .await?;
    output.say("waiting until the weight settles");
    match timeout(LIMIT, first_settled(readings)).await {
        Ok(settled) => settled,
        Err(_elapsed) => Err(Failure::Refused {
            what: format!("no weight settled within {} s", LIMIT.as_secs()),
            hint: Some(
                "`tarehand watch` shows what the scale says; or say --weight 698g".to_owned(),
            ),
        }),
    }
}

/// Waits for the first settled weight among these readings.
pub(in crate::commands) async fn first_settled(mut readings: Events) -> Result<Mass, Failure> {
    let mut settler = Settler::new(Reports::Stream, None);
    let begun = Instant::now();
    let mut stable = None;
    loop {
        let next = match timeout(NOTHING_FOLLOWS, readings.next()).await {
            Ok(next) => next?,
            Err(_elapsed) => match stable {
                Some(gross) => return Ok(gross),
                None => continue,
            },
        };
        match next {
            Some(Happening::Reading(line)) => {
                let Some(weighed) = weighed(&line) else {
                    stable = None;
                    continue;
                };
                stable = (weighed.motion == Motion::Stable).then_some(weighed.gross);
                let micros = u64::try_from(begun.elapsed().as_micros()).unwrap_or(u64::MAX);
                let signal = Signal::Reading(Reading::Weight(weighed));
                let facts = settler.step(Tick::from_micros(micros), signal);
                let settled = facts.into_iter().find_map(|fact| match fact {
                    Fact::Settled { gross, .. } => Some(gross),
                    _ => None,
                });
                if let Some(gross) = settled {
                    return Ok(gross);
                }
            }
            Some(_) => {}
            None => return Err(ClientError::NotRunning.into()),
        }
    }
}

/// Returns the weight of a line, with its digits as they were sent.
fn weighed(line: &ReadingLine) -> Option<Weighed> {
    let gross = Mass::from_estimated_grams(line.gross_g?);
    let motion = match line.state {
        WeightState::Stable => Motion::Stable,
        WeightState::Moving => Motion::Moving,
        _ => Motion::Unknown,
    };
    let digits = line
        .digits
        .as_ref()
        .and_then(|digits| digits.parse::<Decimal>().ok());
    let unit = line
        .unit
        .as_ref()
        .and_then(|unit| unit.parse::<MassUnit>().ok());
    let sent = match (digits, unit) {
        (Some(digits), Some(unit)) => Sent::Single(digits, unit),
        _ => Sent::Single(Decimal::new(gross.micrograms(), 6)?, MassUnit::Gram),
    };
    Some(Weighed {
        gross,
        basis: Basis::Gross,
        motion,
        sent,
    })
}
