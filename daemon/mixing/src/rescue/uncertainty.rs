//! How well the shares of a finished jar are known.

use tarehand_protocol::Mass;

use super::situation::Situation;
use super::way::Way;

/// Returns the expanded uncertainty (k = 2) of every component's final share, as a fraction of the whole.
///
/// The scale is read before the first pour, after each of `poured` (sources by place, in the order they went in),
/// after a removal, and after each pour of the way, in its order. Every reading is rounded to a division, which is
/// a rectangular error of its width with the standard deviation d/√12 (JCGM 100, 4.3.7). A share is made of
/// differences of readings that share one with their neighbours, so the errors are carried through reading by
/// reading (JCGM 100, 5.1.2 with the sensitivities of all readings) and not pour by pour.
#[must_use]
pub fn share_uncertainties(
    situation: &Situation,
    poured: &[(usize, Mass)],
    way: &Way,
    division: Mass,
) -> Vec<f64> {
    let removal = usize::from(!way.take_out.is_zero());
    let readings = 1 + poured.len() + removal + way.pours.len();
    let mut jar = Jar::empty(situation.components.len(), readings);
    for (source, mass) in poured {
        jar.pour(&situation.sources[*source].made_of_estimate(), mass.grams());
    }
    if removal == 1 {
        jar.take_out(way.take_out.to_mass().grams());
    }
    for (source, mass) in &way.pours {
        jar.pour(
            &situation.sources[*source].made_of_estimate(),
            mass.to_mass().grams(),
        );
    }
    let standard = division.grams() / 12.0_f64.sqrt();
    jar.share_sensitivities()
        .iter()
        .map(|sensitivities| {
            let squares: f64 = sensitivities.iter().map(|one| one * one).sum();
            2.0 * standard * squares.sqrt()
        })
        .collect()
}

impl super::Source {
    fn made_of_estimate(&self) -> Vec<(usize, f64)> {
        self.made_of
            .iter()
            .map(|(component, fraction)| (*component, fraction.to_f64()))
            .collect()
    }
}

/// A number with its sensitivity to every reading.
#[derive(Clone, Debug)]
struct Estimate {
    value: f64,
    by_reading: Vec<f64>,
}

impl Estimate {
    fn add(&mut self, factor: f64, other: &Self) {
        self.value += factor * other.value;
        for (own, others) in self.by_reading.iter_mut().zip(&other.by_reading) {
            *own += factor * others;
        }
    }

    /// Multiplies by `one / other`.
    fn scale(&mut self, one: &Self, other: &Self) {
        let factor = one.value / other.value;
        let sensitivities = one.by_reading.iter().zip(&other.by_reading);
        for (own, (by_one, by_other)) in self.by_reading.iter_mut().zip(sensitivities) {
            let of_factor = (by_one - factor * by_other) / other.value;
            *own = factor * *own + self.value * of_factor;
        }
        self.value *= factor;
    }
}

/// The jar as the readings tell it, in grams.
struct Jar {
    components: Vec<Estimate>,
    /// The net of everything, as read last.
    net: Estimate,
    at: usize,
}

impl Jar {
    fn empty(components: usize, readings: usize) -> Self {
        let nothing = Estimate {
            value: 0.0,
            by_reading: vec![0.0; readings],
        };
        Self {
            components: vec![nothing.clone(); components],
            net: nothing,
            at: 0,
        }
    }

    /// Reads the scale once more: the net since the first reading.
    fn read(&mut self, grams: f64) -> Estimate {
        let before = self.net.clone();
        self.at += 1;
        self.net.value = grams;
        self.net.by_reading.fill(0.0);
        self.net.by_reading[self.at] = 1.0;
        self.net.by_reading[0] = -1.0;
        before
    }

    fn pour(&mut self, made_of: &[(usize, f64)], grams: f64) {
        let before = self.read(self.net.value + grams);
        let mut poured = self.net.clone();
        poured.add(-1.0, &before);
        for (component, fraction) in made_of {
            self.components[*component].add(*fraction, &poured);
        }
    }

    fn take_out(&mut self, grams: f64) {
        let before = self.read(self.net.value - grams);
        for component in &mut self.components {
            component.scale(&self.net, &before);
        }
    }

    /// Returns the sensitivity of every share to every reading.
    fn share_sensitivities(self) -> Vec<Vec<f64>> {
        let one = Estimate {
            value: 1.0,
            by_reading: vec![0.0; self.net.by_reading.len()],
        };
        let shares = self.components.into_iter().map(|mut component| {
            component.scale(&one, &self.net);
            component.by_reading
        });
        shares.collect()
    }
}
