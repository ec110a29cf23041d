//! What became of a finished jar, for its card and for making it again.

use tarehand_mixing::composition::{Moved, Movement, Place};
use tarehand_mixing::later::{Change, Later, What};
use tarehand_mixing::procedure::{Ingredient, Procedure};
use tarehand_protocol::Mass;

use super::Contents;
use crate::journal;

impl Contents {
    /// Returns what came into the jar of a batch and out of it since the batch made it.
    #[must_use]
    pub fn later(&self, mark: &str) -> Later {
        let own = Place::Jar(mark.to_owned());
        let mut sums: Vec<(&str, Place, Option<String>, Mass, &str)> = Vec::new();
        for flow in &self.flows {
            let batch = flow.batch.as_str();
            if batch == mark && flow.kind != "moved" {
                continue;
            }
            let Movement {
                from,
                to,
                what,
                mass,
                ..
            } = journal::movement(flow, mark);
            let (other, change) = match (from == own, to == own) {
                (false, true) => (from, mass),
                (true, false) => (to, -mass),
                _ => continue,
            };
            let key = match (&other, what) {
                // Out of another jar comes its mix, whatever it is called.
                (Place::Jar(_), _) | (_, Moved::Mixture) => None,
                (_, Moved::Ingredient(key)) => Some(key),
                (_, Moved::Foreign) => continue,
            };
            let same = sums
                .iter_mut()
                .find(|(by, place, of, ..)| *by == batch && *place == other && *of == key);
            match same {
                Some((.., sum, at)) => {
                    *sum += change;
                    *at = &flow.at;
                }
                None => sums.push((batch, other, key, change, &flow.at)),
            }
        }
        let changes = sums.into_iter().filter_map(|(batch, other, key, sum, at)| {
            Some(Change {
                // A moment is RFC 3339, in UTC.
                day: at.split('T').next().unwrap_or(at).to_owned(),
                mass: sum.abs(),
                what: self.what(batch, other, key, sum)?,
            })
        });
        let changes: Vec<Change> = changes.collect();
        let may_hold = match changes.is_empty() {
            true => Vec::new(),
            false => self.may_hold(mark),
        };
        Later { changes, may_hold }
    }

    fn what(&self, batch: &str, other: Place, key: Option<String>, sum: Mass) -> Option<What> {
        let came_in = Mass::ZERO < sum;
        if sum.is_zero() {
            return None;
        }
        Some(match (other, key) {
            (_, Some(key)) if came_in => What::Added(self.ingredient(batch, &key)),
            (Place::Jar(mark), _) if came_in => What::Joined(self.jar(&mark)),
            (Place::Jar(mark), _) => What::PouredInto(self.jar(&mark)),
            (Place::Cup(name), _) if came_in => What::Joined(name),
            (Place::Cup(name), _) => What::TakenOut(Some(name)),
            (Place::Shelf(key), _) if !came_in => {
                What::TakenOut(Some(format!("the shelf, as {key}")))
            }
            _ if !came_in => What::TakenOut(None),
            // Mix that came from nowhere is none that anybody can make.
            _ => return None,
        })
    }

    /// The name of another jar: its recipe and its mark.
    fn jar(&self, mark: &str) -> String {
        // What led to this jar is known here, and of another that it went into what was opened to pour it over.
        let opened = self.batches.values();
        let mut opened = opened.filter_map(|batch| batch.procedure.amends.as_ref());
        let recipe = match self.batches.get(mark) {
            Some(batch) => Some(&batch.recipe),
            None => opened.find(|jar| jar.mark == mark).map(|jar| &jar.recipe),
        };
        recipe.map_or_else(|| mark.to_owned(), |recipe| format!("{recipe}, {mark}"))
    }

    /// An ingredient as the batch knew it that poured it.
    fn ingredient(&self, batch: &str, key: &str) -> Ingredient {
        let opened = self.batches.get(batch);
        let known = opened.and_then(|batch| {
            let mut known = ingredients(&batch.procedure);
            known.find(|ingredient| ingredient.key == key).cloned()
        });
        known.unwrap_or_else(|| Ingredient::by_name(key))
    }

    fn may_hold(&self, mark: &str) -> Vec<Ingredient> {
        let others = self.came_by(mark).into_iter().filter(|by| *by != mark);
        let others = others.filter_map(|by| self.batches.get(by));
        let all = others.flat_map(|batch| ingredients(&batch.procedure));
        all.cloned().collect()
    }
}

fn ingredients(procedure: &Procedure) -> impl Iterator<Item = &Ingredient> {
    let poured = procedure.steps.iter();
    let poured = poured.filter_map(|step| step.kind.ingredient());
    let premixes = procedure.premixes.iter();
    poured.chain(premixes.flat_map(|premix| premix.parts.iter().map(|(part, _)| part)))
}
