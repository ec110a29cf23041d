//! The one number the screen is for.

use std::time::Duration;

use tarehand_protocol::api::{BatchStateWord, Doing, View, WeightState};

use super::beam::{Beam, Poise};
use super::line::Tone;
use super::scene::{Link, Scene};
use crate::words::{age, decimals, grams, step_of, time, weight_state};

/// The one number the screen is for.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Readout {
    /// The number; dashes where there is none.
    pub(crate) number: String,
    /// What the number is.
    pub(crate) caption: String,
    /// How it is meant.
    pub(crate) tone: Tone,
    /// The picture of it.
    pub(crate) beam: Option<Beam>,
}

/// Below this flow nobody is pouring, it only drips (our own choice).
const DRIP_G_S: f64 = 0.2;

const NO_NUMBER: &str = "– – –";

/// Returns the number to show, where there is one to show.
pub(crate) fn readout(scene: &Scene<'_>) -> Option<Readout> {
    match scene.view.doing {
        Doing::Stir { left_ms, .. } => Some(timer(scene, left_ms, "to stir")),
        Doing::Rest { left_ms, .. } => Some(timer(scene, left_ms, "to rest")),
        Doing::Nothing | Doing::Complete | Doing::Aborted if scene.view.scale.is_none() => None,
        _ => Some(weight(scene)),
    }
}

fn timer(scene: &Scene<'_>, left_ms: u64, what: &str) -> Readout {
    let left = Duration::from_millis(left_ms).saturating_sub(scene.since_view);
    // A second counts until it is over.
    let seconds = left.as_millis().div_ceil(1000);
    let seconds = u64::try_from(seconds).unwrap_or(u64::MAX);
    let (caption, tone) = if seconds == 0 {
        ("time is up".to_owned(), Tone::Good)
    } else {
        (format!("left {what}"), Tone::Strong)
    };
    let number = match seconds {
        0..3600 => format!("{}:{:02}", seconds / 60, seconds % 60),
        _ => time(seconds),
    };
    Readout {
        number,
        caption,
        tone,
        beam: None,
    }
}

fn weight(scene: &Scene<'_>) -> Readout {
    let notch = notch(scene.view);
    match fresh(scene) {
        Err(caption) => Readout {
            number: NO_NUMBER.to_owned(),
            caption,
            tone: Tone::Care,
            beam: notch.map(|(low_g, high_g)| Beam {
                low_g,
                high_g,
                at_g: None,
            }),
        },
        Ok(Fresh {
            gross_g,
            net_g,
            settled,
            flow_g_s,
        }) => match (notch, net_g) {
            (Some((low_g, high_g)), Some(net_g)) => {
                let beam = Beam {
                    low_g,
                    high_g,
                    at_g: Some(net_g),
                };
                to_notch(scene.view, beam, net_g, settled, flow_g_s)
            }
            (_, Some(net_g)) if step_of(&scene.view.doing).is_some() => Readout {
                number: grams(net_g, decimals(scene.view)),
                caption: "g in this step".to_owned(),
                tone: Tone::Strong,
                beam: None,
            },
            _ => Readout {
                number: grams(gross_g, decimals(scene.view)),
                caption: match settled {
                    true => "g on the pan".to_owned(),
                    false => "g on the pan, not settled".to_owned(),
                },
                tone: Tone::Plain,
                beam: None,
            },
        },
    }
}

/// Says how far it is to the notch.
fn to_notch(view: &View, beam: Beam, net_g: f64, settled: bool, flow_g_s: f64) -> Readout {
    let decimals = decimals(view);
    let middle = f64::midpoint(beam.low_g, beam.high_g);
    let width = beam.high_g - beam.low_g;
    let (number, caption, tone) = match beam.poise() {
        Poise::Past => (
            format!("+{}", grams(net_g - middle, decimals)),
            "g too much: stop".to_owned(),
            Tone::Bad,
        ),
        Poise::Inside if settled => (
            grams(middle - net_g, decimals),
            "g from the middle: inside, settled".to_owned(),
            Tone::Good,
        ),
        Poise::Inside => (
            grams(middle - net_g, decimals),
            "g from the middle: inside, hold still".to_owned(),
            Tone::Good,
        ),
        Poise::Before | Poise::Away => {
            let left = middle - net_g;
            // Two seconds of this flow, or two notches: the last bit wants a slow hand.
            let near = left < (2.0 * flow_g_s).max(2.0 * width);
            let stop = view.cue.as_ref().is_some_and(|cue| cue.cue == "stop");
            let (caption, tone) = if stop && DRIP_G_S < flow_g_s {
                ("g left: stop now, the rest is on its way", Tone::Bad)
            } else if near {
                ("g left: slowly", Tone::Care)
            } else {
                ("g left", Tone::Strong)
            };
            (grams(left, decimals), caption.to_owned(), tone)
        }
    };
    Readout {
        number,
        caption,
        tone,
        beam: Some(beam),
    }
}

/// Returns where the notch of the running pour is, in grams of this step.
fn notch(view: &View) -> Option<(f64, f64)> {
    match view.doing {
        Doing::Pour {
            target_g, within_g, ..
        } => Some((target_g - within_g, target_g + within_g)),
        Doing::PourBetween { low_g, high_g, .. } => Some((low_g, high_g)),
        Doing::Count {
            step, expected_g, ..
        } => {
            let step = view.steps.iter().find(|view| view.step == step)?;
            let within = step.within_g?;
            Some((expected_g - within, expected_g + within))
        }
        _ => None,
    }
}

/// A weight that may be shown as the weight.
struct Fresh {
    gross_g: f64,
    net_g: Option<f64>,
    settled: bool,
    flow_g_s: f64,
}

/// Returns the weight, or why there is none to show.
fn fresh(scene: &Scene<'_>) -> Result<Fresh, String> {
    let Some(scale) = scene.view.scale_in_use() else {
        return Err("no scale on this bench".to_owned());
    };
    // Between two steps the newest weight may still be the other scale's.
    let newest = scene.weight.as_ref();
    let Some(weight) = newest.filter(|weight| weight.now.scale == scene.view.weighed_on) else {
        return Err("no weight yet".to_owned());
    };
    let now = weight.now;
    if let (true, Some(gross_g)) = (
        weight.is_stale(scene.view) || scene.link != Link::Live || !scale.open,
        now.gross_g,
    ) {
        return Err(format!(
            "no weight: the last, {} g, is {} old",
            grams(gross_g, decimals(scene.view)),
            age(weight.age_ms)
        ));
    }
    match (now.state, now.gross_g) {
        (WeightState::Stable | WeightState::Moving | WeightState::Unknown, Some(gross_g)) => {
            Ok(Fresh {
                gross_g,
                net_g: now.net_g.filter(|_| now.step == step_of(&scene.view.doing)),
                settled: now.settled,
                flow_g_s: now.flow_g_s,
            })
        }
        (WeightState::Stable | WeightState::Moving | WeightState::Unknown, None) => {
            Err("no weight".to_owned())
        }
        (state, _) => Err(weight_state(state).to_owned()),
    }
}

/// Returns whether the batch is over.
pub(crate) const fn is_over(view: &View) -> bool {
    matches!(
        view.state,
        BatchStateWord::Complete | BatchStateWord::Aborted
    )
}
