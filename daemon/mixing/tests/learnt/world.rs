//! Hands, bottles and scales, and what a pour of theirs looks like. It knows nothing of what learns from it: grams and
//! seconds, a hand that hears a word and tilts a bottle back. Figures of hands are our own guesses, made wide on purpose.

use rand::RngExt as _;
use rand_distr::{Distribution as _, Normal};
use rand_pcg::Pcg64Mcg;

/// One step of the simulation, in seconds.
const STEP_S: f64 = 0.01;
/// From so long after it was told to stop nobody pours any more, whatever the hand.
const LONGEST_S: f64 = 8.0;

/// A person with one bottle at one scale.
#[derive(Clone, Debug)]
pub(crate) struct Hand {
    pub(crate) scale: Scale,
    /// The usual flow, in grams a second, and by what factor a pour differs from it (one standard deviation, logarithm).
    flow_g_s: f64,
    flow_varies: f64,
    /// How it flickers within a pour, as a part of it.
    unsteady: f64,
    /// From the word to the first movement, in seconds, and how much that varies.
    reaction_s: f64,
    reaction_varies_s: f64,
    /// How long tilting back takes.
    tilt_s: f64,
    /// How long what left the bottle is in the air.
    fall_s: f64,
    /// What runs out after the bottle is back: so much for a gram a second, over so long, and what drips off the lip anyhow.
    tail_s: f64,
    tail_time_s: f64,
    drips_g: f64,
    /// One in so many words is not heard at once.
    distracted: f64,
}

/// A scale that streams.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Scale {
    pub(crate) period_s: f64,
    pub(crate) division_g: f64,
    sigma_g: f64,
    /// The time constant of its averaging, and how late a reading comes besides.
    lag_s: f64,
    late_s: f64,
}

/// What is different in each pour, drawn before it begins: the same whatever the hand is told.
#[derive(Clone, Debug)]
pub(crate) struct Chances {
    pub(crate) target_g: f64,
    flow_g_s: f64,
    reaction_s: f64,
    tail_g: f64,
    chance: Pcg64Mcg,
}

fn normal(chance: &mut Pcg64Mcg, mean: f64, sigma: f64) -> f64 {
    Normal::new(mean, sigma).unwrap().sample(chance)
}

impl Hand {
    pub(crate) fn any(chance: &mut Pcg64Mcg) -> Self {
        let flow_g_s = chance.random_range(1.5_f64.ln()..15_f64.ln()).exp();
        // The thicker, the longer it runs after.
        let thick: f64 = chance.random_range(0.0..1.0);
        Self {
            scale: Scale::any(chance, flow_g_s),
            flow_g_s,
            flow_varies: chance.random_range(0.05..0.35),
            unsteady: chance.random_range(0.02..0.12),
            reaction_s: normal(chance, 0.32, 0.10).max(0.15),
            reaction_varies_s: chance.random_range(0.03..0.12),
            tilt_s: chance.random_range(0.10..0.50),
            fall_s: chance.random_range(0.10..0.25),
            tail_s: 0.4 * thick * thick,
            tail_time_s: 0.1 + 0.5 * thick,
            drips_g: chance.random_range(0.0..0.15),
            distracted: chance.random_range(0.0..0.05),
        }
    }

    pub(crate) fn pour(&self, chance: &mut Pcg64Mcg) -> Chances {
        let flow_g_s = self.flow_g_s * normal(chance, 0.0, self.flow_varies).exp();
        let late = chance.random_range(0.0..1.0) < self.distracted;
        let reaction_s = normal(chance, self.reaction_s, self.reaction_varies_s).max(0.12);
        Chances {
            target_g: self.flow_g_s * chance.random_range(4.0..10.0),
            flow_g_s,
            reaction_s: reaction_s + if late { 0.8 } else { 0.0 },
            tail_g: flow_g_s * self.tail_s * normal(chance, 1.0, 0.25).max(0.0)
                + self.drips_g * chance.random_range(0.0..2.0),
            chance: chance.clone(),
        }
    }
}

impl Scale {
    fn any(chance: &mut Pcg64Mcg, flow_g_s: f64) -> Self {
        let pick = |chance: &mut Pcg64Mcg, of: &[f64]| of[chance.random_range(0..of.len())];
        // Nobody pours a gram a second on a scale of a gram.
        let division_g = match flow_g_s {
            flow if flow < 3.0 => pick(chance, &[0.01, 0.1]),
            flow if flow < 8.0 => pick(chance, &[0.01, 0.1, 0.1]),
            _ => pick(chance, &[0.1, 0.1, 1.0]),
        };
        Self {
            period_s: pick(chance, &[0.2, 0.125, 0.1, 0.1, 0.05]),
            division_g,
            sigma_g: division_g * chance.random_range(0.05..0.4),
            lag_s: chance.random_range(0.05..0.80),
            late_s: chance.random_range(0.0..0.15),
        }
    }

    pub(crate) fn reads(self, chance: &mut Pcg64Mcg, shown_g: f64) -> f64 {
        let noisy = normal(chance, shown_g, self.sigma_g);
        (noisy / self.division_g).round() * self.division_g
    }
}

/// A pan with a jar on it, and a hand that pours.
#[derive(Clone, Debug)]
pub(crate) struct World {
    hand: Hand,
    now: Chances,
    clock_s: f64,
    load_g: f64,
    shown_g: f64,
    /// What the scale showed, for the readings that come late.
    past: Vec<f64>,
    /// What has left the bottle and is in the air, by the step in which it lands.
    falling: Vec<f64>,
    pouring_since_s: Option<f64>,
    told_s: Option<f64>,
    next_s: f64,
    wobble: f64,
}

impl World {
    pub(crate) fn new(hand: &Hand, now: Chances) -> Self {
        Self {
            hand: hand.clone(),
            now,
            clock_s: 0.0,
            load_g: 0.0,
            shown_g: 0.0,
            past: Vec::new(),
            falling: Vec::new(),
            pouring_since_s: None,
            told_s: None,
            next_s: hand.scale.period_s,
            wobble: 0.0,
        }
    }

    pub(crate) fn put(&mut self, grams: f64) {
        self.load_g += grams;
    }

    pub(crate) fn begin(&mut self) {
        self.pouring_since_s = Some(self.clock_s);
    }

    pub(crate) fn tell_to_stop(&mut self) {
        self.told_s.get_or_insert(self.clock_s);
    }

    pub(crate) fn is_told(&self) -> bool {
        self.told_s.is_some()
    }

    /// Returns whether nothing comes any more.
    pub(crate) fn is_over(&self) -> bool {
        self.told_s
            .is_some_and(|told| told + LONGEST_S < self.clock_s)
    }

    /// Goes on to the next reading and returns when it came and what it says.
    pub(crate) fn reading(&mut self) -> (f64, f64) {
        while self.clock_s < self.next_s {
            self.step();
        }
        self.next_s += self.hand.scale.period_s;
        let late = steps(self.hand.scale.late_s);
        let shown = self.past[self.past.len().saturating_sub(1 + late)];
        let said = self.hand.scale.reads(&mut self.now.chance, shown);
        (self.clock_s, said)
    }

    fn step(&mut self) {
        self.clock_s += STEP_S;
        let leaves = self.flow() * STEP_S;
        let lands = steps(self.hand.fall_s);
        self.falling.push(leaves);
        if lands < self.falling.len() {
            let place = self.falling.len() - 1 - lands;
            self.load_g += self.falling[place];
        }
        let follows = 1.0 - (-STEP_S / self.hand.scale.lag_s).exp();
        self.shown_g += follows * (self.load_g - self.shown_g);
        self.past.push(self.shown_g);
    }

    /// What leaves the bottle in a second, now.
    fn flow(&mut self) -> f64 {
        let Some(since) = self.pouring_since_s else {
            return 0.0;
        };
        let begun = ((self.clock_s - since) / 0.5).min(1.0);
        // A slow wobble: half a second is its memory.
        let most = self.hand.unsteady * 0.34;
        let kick = self.now.chance.random_range(-1.0..1.0) * most;
        self.wobble = self.wobble * 0.98 + kick;
        let steady = self.now.flow_g_s * begun * (1.0 + self.wobble).max(0.2);
        let Some(told) = self.told_s else {
            return steady;
        };
        let moving = self.clock_s - told - self.now.reaction_s;
        if moving < 0.0 {
            return steady;
        }
        let tilted = (1.0 - moving / self.hand.tilt_s).max(0.0);
        let runs_after =
            self.now.tail_g / self.hand.tail_time_s * (-moving / self.hand.tail_time_s).exp();
        steady * tilted + runs_after
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "times of a study, all short"
)]
fn steps(seconds: f64) -> usize {
    (seconds / STEP_S).round() as usize
}
