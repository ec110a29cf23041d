//! How well the shares of a finished jar are known.

use std::collections::{BTreeMap, BTreeSet};

use tarehand_protocol::Mass;

use super::situation::Situation;
use super::way::Way;
use crate::session::Weighings;

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
    let mut at = 0;
    let mut next = || {
        at += 1;
        (at - 1, at)
    };
    for (source, mass) in poured {
        let made_of = situation.sources[*source].made_of_estimate();
        jar.pour(&made_of, mass.grams(), next());
    }
    if removal == 1 {
        jar.take_out(way.take_out.to_mass().grams(), next());
    }
    for (source, mass) in &way.pours {
        let made_of = situation.sources[*source].made_of_estimate();
        jar.pour(&made_of, mass.to_mass().grams(), next());
    }
    let standard = vec![standard(division); readings];
    expanded(&jar.share_sensitivities(), &standard)
}

/// The standard uncertainty of one reading, in grams.
fn standard(division: Mass) -> f64 {
    division.grams() / 12.0_f64.sqrt()
}

/// Returns the expanded uncertainty (k = 2) of numbers with these sensitivities to readings of these uncertainties.
fn expanded(sensitivities: &[Vec<f64>], standard: &[f64]) -> Vec<f64> {
    let of = |sensitivities: &Vec<f64>| {
        let each = sensitivities.iter().zip(standard);
        let squares: f64 = each.map(|(one, standard)| (one * standard).powi(2)).sum();
        2.0 * squares.sqrt()
    };
    sensitivities.iter().map(of).collect()
}

/// How well what a record says of a jar is known: expanded uncertainties (k = 2), from the division of the scales.
#[derive(Clone, Debug, PartialEq)]
pub struct Known {
    /// Of what was poured of each ingredient, by its key, in grams.
    pub poured_g: BTreeMap<String, f64>,
    /// Of each share of the ratio, in the order of the situation's components, as a fraction of the whole.
    pub shares: Vec<f64>,
}

/// Returns how well the pours and shares of a batch are known, from all that was weighed for it; `None` while a
/// division is not known.
///
/// The errors are carried as in [`share_uncertainties`]; a jar that was weighed anew, or a bottle, begins with a
/// reading of its own.
#[must_use]
pub fn known(situation: &Situation, weighings: &Weighings) -> Option<Known> {
    let standard: Vec<f64> = weighings
        .divisions
        .iter()
        .map(|division| division.map(standard))
        .collect::<Option<_>>()?;
    let readings = standard.len();
    let poured = weighings.list.iter().filter_map(|one| one.key.as_deref());
    let keys: Vec<&str> = poured.collect::<BTreeSet<_>>().into_iter().collect();
    let mut apart = Jar::empty(keys.len(), readings);
    let mut jar = Jar::empty(situation.components.len(), readings);
    for one in &weighings.list {
        let (grams, between) = (one.mass.grams(), (one.from, one.to));
        let Some(key) = &one.key else {
            jar.take_out(-grams, between);
            continue;
        };
        let place = keys.iter().position(|known| known == key);
        apart.pour(
            &place.map(|place| vec![(place, 1.0)]).unwrap_or_default(),
            grams,
            between,
        );
        // What is outside the ratio has no part in its shares.
        if let Some(source) = situation.sources.iter().find(|source| source.key == *key) {
            jar.pour(&source.made_of_estimate(), grams, between);
        }
    }
    let poured: Vec<Vec<f64>> = apart
        .components
        .into_iter()
        .map(|one| one.by_reading)
        .collect();
    let poured_g = keys
        .into_iter()
        .map(str::to_owned)
        .zip(expanded(&poured, &standard));
    Some(Known {
        poured_g: poured_g.collect(),
        shares: expanded(&jar.share_sensitivities(), &standard),
    })
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
        if other.value == 0.0 {
            return;
        }
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
    /// All of it together.
    net: Estimate,
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
        }
    }

    /// Takes in that the scale was read twice, and returns the difference of the two readings.
    fn read(&mut self, grams: f64, (from, to): (usize, usize)) -> Estimate {
        let mut difference = Estimate {
            value: grams,
            by_reading: vec![0.0; self.net.by_reading.len()],
        };
        difference.by_reading[from] -= 1.0;
        difference.by_reading[to] += 1.0;
        self.net.add(1.0, &difference);
        difference
    }

    fn pour(&mut self, made_of: &[(usize, f64)], grams: f64, between: (usize, usize)) {
        let poured = self.read(grams, between);
        for (component, fraction) in made_of {
            self.components[*component].add(*fraction, &poured);
        }
    }

    fn take_out(&mut self, grams: f64, between: (usize, usize)) {
        let before = self.net.clone();
        let _out = self.read(-grams, between);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::procedure::{
        Addition, Amount, Ingredient, Procedure, Step, StepKind, Weigh, Within,
    };
    use crate::ratio::Ratio;
    use crate::session::{Book, Entry, Limits, Record, Seen, TaskId};
    use crate::tick::Tick;
    use crate::weighing::Scale;

    fn add(key: &str) -> Step {
        let kind = StepKind::Add(Addition {
            ingredient: Ingredient::by_name(key),
            amount: Amount::Weighed {
                share: Ratio::new(1, 2),
                target: Mass::from_grams(50),
                within: Within::Mass(Mass::from_grams(1)),
            },
            weigh: Weigh::Jar,
        });
        Step { kind, note: None }
    }

    fn book() -> Book {
        let procedure =
            Procedure::of_steps("two", Mass::from_grams(100), vec![add("ash"), add("bone")]);
        let scale = Scale {
            division: Some(Mass::from_milligrams(100)),
            capacity: None,
        };
        Book::open(procedure, Limits::default(), scale)
    }

    /// Pours in several bookings; the readings between them are of no consequence.
    fn poured(book: &mut Book) -> Vec<Record> {
        let grosses = [(0, 60, 80), (0, 80, 90), (1, 90, 150)];
        let entries = grosses.map(|(task, before, after)| Entry::Poured {
            task: TaskId(task),
            before: Mass::from_grams(before),
            after: Mass::from_grams(after),
            seen: Seen::Watched,
            stop: None,
        });
        let at = Tick::ZERO;
        let records: Vec<Record> = entries.map(|entry| Record { at, entry }).into();
        for record in &records {
            book.fold(record);
        }
        records
    }

    #[test]
    fn contents_and_shares_of_a_record_are_known_as_their_readings_are() {
        let mut book = book();
        let records = poured(&mut book);
        let found = known(&book.situation(), &Weighings::of(&book, &records)).unwrap();
        // Two readings each: U = 2·d·√(2/12) (JCGM 100, 4.3.7 and 5.1.2).
        let two = 2.0 * 0.1 * (2.0_f64 / 12.0).sqrt();
        for key in ["ash", "bone"] {
            assert!((found.poured_g[key] - two).abs() < 1e-12, "{found:?}");
        }
        // s = (r1 − r0)/(r2 − r0) with 30 of 90 g: ∂s/∂r1 = 1/90, ∂s/∂r0 = (30 − 90)/90², ∂s/∂r2 = −30/90².
        let squares: f64 = [1.0 / 90.0, -60.0 / 8100.0, -30.0 / 8100.0]
            .iter()
            .map(|one: &f64| one * one)
            .sum();
        let share = 2.0 * 0.1 / 12.0_f64.sqrt() * squares.sqrt();
        for known in found.shares {
            assert!((known - share).abs() < 1e-12, "{known} {share}");
        }
    }

    #[test]
    fn while_a_division_is_not_known_nothing_is_said() {
        let mut book = book();
        let records = poured(&mut book);
        let scale = Scale::default();
        let at = Tick::ZERO;
        let entry = Entry::ScaleKnown { scale };
        book.fold(&Record { at, entry });
        assert_eq!(
            known(&book.situation(), &Weighings::of(&book, &records)),
            None
        );
    }
}
