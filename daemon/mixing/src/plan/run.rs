//! A plan as it is mixed: every premix and jar with its place in the run and the turn of each step.

use std::collections::BTreeMap;

use super::Plan;
use super::walk::Visit;
use crate::procedure::{OfSet, Procedure};

/// The way a run walks its jars.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Way {
    /// One jar after another.
    #[default]
    JarByJar,
    /// Each bottle into every jar that waits for it.
    BottleByBottle,
}

impl Plan {
    /// Returns what is mixed in a run, premixes first, each after those it is made of.
    ///
    /// Premixes have their turns in the order of work, then the jars as they are walked. A step that pours nothing
    /// has the turn of the pour before it.
    #[must_use]
    pub fn run(&self, set: &str, run: &str, way: Way) -> Vec<Procedure> {
        let begins: BTreeMap<&str, usize> = self
            .work
            .stints
            .iter()
            .enumerate()
            .rev()
            .map(|(place, stint)| (stint.key.as_str(), place))
            .collect();
        let mut premixes: Vec<_> = self.premixes.iter().collect();
        premixes.sort_by_key(|premix| begins.get(premix.key.as_str()));
        let mut next = 0;
        let mut of_premix: BTreeMap<&str, Vec<u32>> = BTreeMap::new();
        for premix in premixes {
            let turns = premix.procedure.steps.iter().map(|_| next).collect();
            of_premix.insert(&premix.key, turns);
            next += 1;
        }
        let visits = match way {
            Way::JarByJar => &self.walks.by_jar.visits,
            Way::BottleByBottle => &self.walks.by_bottle.visits,
        };
        let jars = u32::try_from(self.premixes.len() + self.jars.len()).unwrap_or(u32::MAX);
        let placed = |key: &str, procedure: &Procedure, turns: Vec<u32>| Procedure {
            of_set: Some(OfSet {
                set: set.to_owned(),
                run: run.to_owned(),
                jars,
                key: key.to_owned(),
                turns,
                made: BTreeMap::new(),
                covers: None,
            }),
            ..procedure.clone()
        };
        let premixes = self.premixes.iter().map(|premix| {
            let turns = of_premix.remove(premix.key.as_str()).unwrap_or_default();
            placed(&premix.key, &premix.procedure, turns)
        });
        let premixes: Vec<Procedure> = premixes.collect();
        let jars = self.jars.iter().enumerate().map(|(place, jar)| {
            let turns = self.turns(place, visits, next);
            let mut placed = placed(&jar.stem, &jar.procedure, turns);
            if let Some(of_set) = &mut placed.of_set {
                of_set.covers = jar.covers.clone().map(Box::new);
            }
            placed
        });
        premixes.into_iter().chain(jars).collect()
    }

    /// Returns the turn of every step of a jar, the first visit's being `first`.
    fn turns(&self, jar: usize, visits: &[Visit], first: u32) -> Vec<u32> {
        let mine = (first..).zip(visits).filter(|(_, visit)| visit.jar == jar);
        let of_pour: BTreeMap<usize, u32> = mine.map(|(turn, visit)| (visit.pour, turn)).collect();
        let pours = &self.walks.pours[jar];
        let of_step: BTreeMap<usize, u32> = pours
            .iter()
            .enumerate()
            .filter_map(|(pour, of)| Some((of.step, *of_pour.get(&pour)?)))
            .collect();
        let earliest = of_step.values().next().copied().unwrap_or(first);
        let steps = 0..self.jars[jar].procedure.steps.len();
        steps
            .scan(earliest, |turn, step| {
                *turn = of_step.get(&step).copied().unwrap_or(*turn);
                Some(*turn)
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Source, Sources};
    use crate::plan::plan;
    use crate::recipe::Settings;
    use crate::set::check;

    const SET: &str = "[set]\nname = \"Two greys\"\n\
        [[jar]]\nrecipe = \"dark\"\nmake = \"40 g\"\n[[jar]]\nrecipe = \"light\"\nmake = \"30 g\"\n";
    const DARK: &str = "[recipe]\nname = \"Dark\"\n[[step]]\nlook = \"the jar is dry\"\n\
        [[step]]\nadd = \"blend\"\namount = \"3 parts\"\n[[step]]\nstir = \"20 s\"\n\
        [[step]]\nadd = \"black\"\namount = \"1 part\"\n";
    const LIGHT: &str = "[recipe]\nname = \"Light\"\n[[step]]\nadd = \"blend\"\namount = \"2 parts\"\n\
        [[step]]\nadd = \"black\"\namount = \"1 part\"\n";
    const BLEND: &str = "[recipe]\nname = \"Blend\"\n[[step]]\nadd = \"white\"\namount = \"1 part\"\n\
        [[step]]\nrest = \"5 min\"\n";

    fn run(way: Way) -> Vec<Procedure> {
        let mut sources = Sources::new();
        for (stem, text) in [("dark", DARK), ("light", LIGHT), ("blend", BLEND)] {
            sources = sources.with_recipe(stem, Source::new(format!("{stem}.toml"), text));
        }
        let checked = check(
            &Source::new("set.toml", SET),
            &sources,
            &Settings::default(),
        );
        let set = checked.set.expect("the set is right");
        plan(&set, &checked.shelf).unwrap().run(&set.name, "r", way)
    }

    fn turns(run: &[Procedure]) -> Vec<(&str, &[u32])> {
        let places = run.iter().filter_map(|procedure| procedure.of_set.as_ref());
        places
            .map(|place| (place.key.as_str(), place.turns.as_slice()))
            .collect()
    }

    #[test]
    fn premixes_come_first_and_then_one_jar_after_another() {
        let run = run(Way::JarByJar);
        let expect: [(&str, &[u32]); 3] = [
            ("blend", &[0, 0]),
            ("dark", &[1, 1, 1, 2]),
            ("light", &[3, 4]),
        ];
        assert_eq!(turns(&run), expect);
    }

    #[test]
    fn bottle_by_bottle_each_step_has_the_turn_of_its_bottle() {
        let run = run(Way::BottleByBottle);
        let expect: [(&str, &[u32]); 3] = [
            ("blend", &[0, 0]),
            ("dark", &[1, 1, 1, 3]),
            ("light", &[2, 4]),
        ];
        let swapped: [(&str, &[u32]); 3] = [
            ("blend", &[0, 0]),
            ("dark", &[1, 1, 1, 4]),
            ("light", &[2, 3]),
        ];
        assert!(
            [expect, swapped].contains(&turns(&run).try_into().unwrap()),
            "{:?}",
            turns(&run)
        );
    }
}
