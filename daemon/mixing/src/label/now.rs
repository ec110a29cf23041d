//! What a label says of a jar that was opened again: what is in it now, and what that asks for.

use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use tarehand_protocol::Mass;

use super::content::{Content, Part, Within};
use super::keeps::{self, Days, pack_ends};
use crate::card::{Caution, amount_of, tidy};
use crate::composition::Holding;
use crate::procedure::{Ingredient, Premix, Procedure, StepKind};
use crate::ratio::Ratio;
use crate::shelf::{Date, Shelf};

/// What is in a jar now, and the batches by which it came there.
#[derive(Clone, Debug)]
pub struct InJar<'a> {
    /// What is in it as it was poured: premixes are whole.
    pub poured: &'a Holding,
    /// What became of it since its batch was made.
    pub since: Since,
    /// The batches by which anything in it came: its own first, then in the order in which they poured.
    pub came_by: Vec<CameBy<'a>>,
}

/// A batch by which something came into a jar.
#[derive(Clone, Copy, Debug)]
pub struct CameBy<'a> {
    /// The day it was opened, UTC.
    pub day: Option<Date>,
    /// What was to be done.
    pub procedure: &'a Procedure,
    /// The shelf as it was then.
    pub shelf: &'a Shelf,
}

/// What became of a jar since its batch was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Since {
    /// Nothing.
    Untouched,
    /// Some of the mix left it.
    TakenFrom,
    /// Something came into it.
    AddedTo,
}

impl Content {
    /// Returns what the label says of what is in the jar now.
    ///
    /// It is said as it was poured: the ratio's parts in the order of the recipe, then those of a jar that was poured in. What
    /// was added to the finished jar and is in no ratio stands beside it; more of what the label said already makes that more.
    /// Premixes are named as the recipes name them, with what they hold.
    #[must_use]
    pub fn now(self, jar: &InJar<'_>, days: Option<Days>) -> Self {
        let mut left = jar.poured.ingredients();
        left.retain(|_, mass| Mass::ZERO < *mass);
        let premixes = premixes(jar, &self.premixes, &left);
        let mut parts = Vec::new();
        let mut beside = Vec::new();
        for part in &self.parts {
            parts.extend(taken(&mut left, part, alike(&self.beside, part)));
        }
        for (place, part) in self.beside.iter().enumerate() {
            beside.extend(taken(
                &mut left,
                part,
                alike(&self.beside[place + 1..], part),
            ));
        }
        let inside = jar.in_ratios();
        for (key, mass) in left {
            let part = Part {
                key: key.to_owned(),
                name: jar.name(key),
                mass,
                share: None,
            };
            match inside.contains(key) {
                true => parts.push(part),
                false => beside.push(part),
            }
        }
        let total: Mass = parts.iter().map(|part| part.mass).sum();
        for part in &mut parts {
            part.share = Ratio::from_mass(part.mass).checked_div(&Ratio::from_mass(total));
        }
        let mut content = Self {
            in_jar: jar.poured.total(),
            parts,
            beside,
            premixes,
            // What was measured or wanted was so before more came in.
            trail: self.trail.filter(|_| jar.since != Since::AddedTo),
            pot_life: jar.hardens().into_iter().chain(self.pot_life).min(),
            ..self
        };
        content.cautions = jar.cautions(&content);
        let packs = jar.came_by.iter().flat_map(|batch| {
            let known: BTreeSet<&str> = batch.ingredients().map(|one| one.key.as_str()).collect();
            let of_it = content.everything();
            let of_it = of_it.filter(move |part| known.contains(part.key.as_str()));
            pack_ends(of_it, batch.shelf)
        });
        let oldest = jar.came_by.iter().filter_map(|batch| batch.day).min();
        let made = oldest.into_iter().chain(content.day).min();
        let keeps = keeps::until(content.pot_life, packs, made, days);
        Self { keeps, ..content }
    }
}

/// Returns how much of the same thing these lines hold.
fn alike(lines: &[Part], part: &Part) -> Mass {
    let alike = lines.iter().filter(|other| other.key == part.key);
    alike.map(|other| other.mass).sum()
}

/// Takes a line's part out of what is left: all of it, but for what later lines of the same thing hold in proportion.
fn taken(left: &mut BTreeMap<&str, Mass>, line: &Part, later: Mass) -> Option<Part> {
    let all = *left.get(line.key.as_str())?;
    let share = Ratio::from_mass(line.mass).checked_div(&Ratio::from_mass(line.mass + later))?;
    let mass = (&share * &Ratio::from_mass(all)).to_mass();
    match all - mass {
        rest if Mass::ZERO < rest => *left.get_mut(line.key.as_str())? = rest,
        _ => drop(left.remove(line.key.as_str())),
    }
    (Mass::ZERO < mass).then(|| Part {
        mass,
        ..line.clone()
    })
}

/// Returns what the premixes in the jar hold: those the label named before in their order, then those that came in.
fn premixes(jar: &InJar<'_>, before: &[Within], left: &BTreeMap<&str, Mass>) -> Vec<Within> {
    let mut known: Vec<Premix> = Vec::new();
    for premix in jar.came_by.iter().flat_map(|by| &by.procedure.premixes) {
        if !known.iter().any(|other| other.key == premix.key) {
            known.push(premix.clone());
        }
    }
    let direct = |key: &str| left.get(key).copied().unwrap_or_default();
    let mut held: Vec<Within> = known
        .iter()
        .filter_map(|premix| {
            let total = amount_of(&premix.key, &known, &direct, known.len());
            let parts = premix.parts.iter().map(|(part, share)| Part {
                key: part.key.clone(),
                name: tidy(&part.name),
                mass: (share * &Ratio::from_mass(total)).to_mass(),
                share: Some(share.clone()),
            });
            (Mass::ZERO < total).then(|| Within {
                name: jar.name(&premix.key),
                parts: parts.filter(|part| Mass::ZERO < part.mass).collect(),
            })
        })
        .collect();
    let place = |within: &Within| before.iter().position(|other| other.name == within.name);
    held.sort_by_key(|within| place(within).unwrap_or(before.len()));
    held
}

impl InJar<'_> {
    /// Returns the keys that the recipe of a batch by which something came has inside its ratio; an addition to a finished
    /// jar is in none.
    fn in_ratios(&self) -> BTreeSet<&str> {
        let recipes = self
            .came_by
            .iter()
            .filter(|batch| batch.procedure.amends.is_none());
        let steps = recipes.flat_map(|batch| &batch.procedure.steps);
        let inside = steps.filter_map(|step| match &step.kind {
            StepKind::Add(addition) => addition.amount.share().map(|_| addition),
            _ => None,
        });
        inside
            .map(|addition| addition.ingredient.key.as_str())
            .collect()
    }

    fn name(&self, key: &str) -> String {
        let mut known = self.came_by.iter().flat_map(CameBy::ingredients);
        let known = known.find(|ingredient| ingredient.key == key);
        tidy(known.map_or(key, |ingredient| &ingredient.name))
    }

    /// Returns how long it can be worked with, where anything in it hardens.
    fn hardens(&self) -> Option<Duration> {
        let lives = self.came_by.iter();
        lives.filter_map(|batch| batch.procedure.pot_life).min()
    }

    /// Returns the cautions of all that is in it, each once.
    fn cautions(&self, content: &Content) -> Vec<String> {
        let inside: BTreeSet<&str> = content.everything().map(|part| part.key.as_str()).collect();
        let mut cautions = Vec::new();
        for ingredient in self.came_by.iter().flat_map(CameBy::ingredients) {
            if inside.contains(ingredient.key.as_str()) {
                Caution::add(ingredient, &mut cautions);
            }
        }
        cautions.into_iter().map(|caution| caution.text).collect()
    }
}

impl<'a> CameBy<'a> {
    /// Returns what the batch knew of what it pours, and of what its premixes hold.
    fn ingredients(&self) -> impl Iterator<Item = &'a Ingredient> + use<'a> {
        let steps = self.procedure.steps.iter();
        let premixes = self.procedure.premixes.iter();
        let inside = premixes.flat_map(|premix| premix.parts.iter().map(|(part, _)| part));
        steps
            .filter_map(|step| step.kind.ingredient())
            .chain(inside)
    }
}
