//! Scales, and what is done to them. Figures of hands are our own guesses, made wide on purpose.

use rand::RngExt as _;
use rand_distr::{Distribution as _, Normal};
use rand_pcg::Pcg64Mcg;

/// What is done to the pan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Deed {
    /// One push of about half a second.
    Tap,
    /// Two, half a second apart.
    TwoTaps,
    /// Something is poured.
    Pour,
    /// A drop or a splash lands.
    Drop,
    /// The table is knocked.
    Bump,
    /// A hand or a sleeve rests on the pan.
    Lean,
    /// A jar is put down or lifted.
    Jar,
}

/// A scale that streams.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Scale {
    rate_hz: f64,
    division_g: f64,
    sigma_g: f64,
    /// Over how long it averages, in seconds.
    averages_s: f64,
}

impl Scale {
    pub(crate) fn any(chance: &mut Pcg64Mcg) -> Self {
        let pick = |chance: &mut Pcg64Mcg, of: &[f64]| of[chance.random_range(0..of.len())];
        let division_g = pick(chance, &[0.01, 0.1, 0.1, 1.0]);
        let rate_hz = pick(chance, &[8.0, 10.0, 10.0, 20.0, 80.0]);
        Self {
            rate_hz,
            division_g,
            sigma_g: division_g * chance.random_range(0.05..0.6),
            // At least over the time between two readings, or a knock could look like anything (common practice).
            averages_s: 1.0 / rate_hz + chance.random_range(0.0..0.2),
        }
    }

    /// Within what the readings of its quiet pan lie: one division, or three sigma.
    pub(crate) fn band_g(self) -> f64 {
        self.division_g.max(3.0 * self.sigma_g)
    }
}

/// A force on the pan over time, in grams, and how long to watch.
struct Course {
    force: Box<dyn Fn(f64) -> f64>,
    watch_s: f64,
    /// How fast the quickest of it is.
    quickest_hz: f64,
}

/// Returns what the scale says: seconds and grams.
pub(crate) fn readings(chance: &mut Pcg64Mcg, scale: Scale, deed: Deed) -> Vec<(f64, f64)> {
    let rest_g = chance.random_range(60.0..400.0);
    let begins_s = chance.random_range(0.9..1.5);
    let course = course(chance, scale, deed);
    let noise = Normal::new(0.0, scale.sigma_g).unwrap();
    let period = 1.0 / scale.rate_hz;
    let phase = chance.random_range(0.0..period);
    let count = ((begins_s + course.watch_s) * scale.rate_hz) as usize;
    (0..count)
        .map(|number| {
            let jitter = chance.random_range(-0.1..0.1) * period;
            let at = phase + (number as f64) * period + jitter.max(-phase);
            let mean = average(&course, at - begins_s, scale.averages_s);
            let gross = rest_g + mean + noise.sample(chance);
            let shown = (gross / scale.division_g).round() * scale.division_g;
            (at, shown)
        })
        .collect()
}

/// The mean of a force over the time that the scale averages.
fn average(course: &Course, until_s: f64, over_s: f64) -> f64 {
    // Eight looks at each swing of what is quickest in it.
    let parts = (8.0 * course.quickest_hz * over_s).ceil().max(4.0);
    let looks = (0..parts as u32).map(|part| {
        let back = over_s * (f64::from(part) + 0.5) / parts;
        (course.force)(until_s - back)
    });
    looks.sum::<f64>() / parts
}

/// A push: up, held with a hand's unrest, and away.
fn push(chance: &mut Pcg64Mcg, scale: Scale, from_s: f64) -> (impl Fn(f64) -> f64 + use<>, f64) {
    let soft = 6.0_f64.max(14.0 * scale.band_g());
    let top = soft * chance.random_range(1.0..8.0_f64);
    let rise = chance.random_range(0.03..0.12);
    let hold = chance.random_range(0.3..0.6);
    let unrest = chance.random_range(0.0..0.2);
    let beat = chance.random_range(3.0..9.0);
    let ends = from_s + 2.0 * rise + hold;
    let force = move |at: f64| {
        let into = at - from_s;
        let up = (into / rise).min((ends - at) / rise).clamp(0.0, 1.0);
        top * up * (1.0 + unrest * (beat * into).sin())
    };
    (force, ends)
}

fn course(chance: &mut Pcg64Mcg, scale: Scale, deed: Deed) -> Course {
    match deed {
        Deed::Tap => {
            let (force, ends) = push(chance, scale, 0.0);
            Course {
                force: Box::new(force),
                watch_s: ends + 2.2,
                quickest_hz: 5.0,
            }
        }
        Deed::TwoTaps => {
            let (first, ended) = push(chance, scale, 0.0);
            // The scale has to come back between them; nobody knows that, but two quick pushes are half a second apart.
            let pause = chance.random_range(0.35..0.55);
            let (second, ends) = push(chance, scale, ended + pause);
            Course {
                force: Box::new(move |at| first(at) + second(at)),
                watch_s: ends + 2.2,
                quickest_hz: 5.0,
            }
        }
        Deed::Pour => {
            let flow = chance.random_range(0.3..60.0);
            let lasts = chance.random_range(0.4..6.0);
            let jet = chance.random_range(0.0..0.15) * flow;
            let pulses = chance.random_range(0.0..1.0);
            Course {
                force: Box::new(move |at| {
                    let into = at.clamp(0.0, lasts);
                    let running = if (0.0..lasts).contains(&at) { jet } else { 0.0 };
                    // Thick paint comes in gulps.
                    flow * (into + pulses * 0.1 * (6.0 * into).sin()).max(0.0) + running
                }),
                watch_s: lasts + 3.0,
                quickest_hz: 5.0,
            }
        }
        Deed::Drop => {
            // It lands, and stays. What cannot be seen on this scale is no drop for it.
            let mass = scale.band_g() * chance.random_range(2.0..20.0) + 0.02;
            let hits = mass * chance.random_range(1.0..6.0);
            let lasts = chance.random_range(0.01..0.08);
            Course {
                force: Box::new(move |at| match at {
                    at if at < 0.0 => 0.0,
                    at if at < lasts => mass + hits,
                    _ => mass,
                }),
                watch_s: 3.0,
                quickest_hz: 5.0,
            }
        }
        Deed::Bump => {
            let top = chance.random_range(2.0..200.0);
            let hertz = chance.random_range(4.0..20.0);
            let dies = chance.random_range(0.04..0.25);
            let beat = std::f64::consts::TAU * hertz;
            // The table comes back to where it was, so that no impulse is left: the phase in which the integral is nothing.
            let phase = -(beat * dies).atan();
            Course {
                force: Box::new(move |at| match at {
                    at if at < 0.0 => 0.0,
                    at => top * (-at / dies).exp() * (beat * at + phase).sin(),
                }),
                watch_s: 3.0,
                quickest_hz: hertz,
            }
        }
        Deed::Lean => {
            let top = chance.random_range(4.0..300.0);
            let rise = chance.random_range(0.05..1.5);
            let lasts = chance.random_range(1.6..8.0);
            let unrest = chance.random_range(0.0..0.4);
            Course {
                force: Box::new(move |at| {
                    let up = (at / rise).min((lasts + rise - at) / rise).clamp(0.0, 1.0);
                    top * up * (1.0 + unrest * (5.0 * at).sin())
                }),
                watch_s: lasts + rise + 2.2,
                quickest_hz: 5.0,
            }
        }
        Deed::Jar => {
            let mass: f64 = chance.random_range(20.0..300.0);
            let sign = if chance.random_bool(0.5) { 1.0 } else { -0.2 };
            let knock = mass * chance.random_range(0.0..0.8);
            Course {
                force: Box::new(move |at| match at {
                    at if at < 0.0 => 0.0,
                    at if at < 0.12 => sign * mass + knock,
                    _ => sign * mass,
                }),
                watch_s: 3.0,
                quickest_hz: 5.0,
            }
        }
    }
}
