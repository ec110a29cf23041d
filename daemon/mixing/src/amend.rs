//! Finished jars opened again: something added, another jar poured in, some of the mix taken out.
//!
//! An amendment is a batch of its own with a journal of its own; what it does it does to the finished jar. Its
//! session's tare is the full jar; what the jar weighs without its mix is [`Book::jar_alone`](crate::session::Book::jar_alone).

mod asked;

use tarehand_protocol::Mass;

use crate::ledger::POURED_AWAY;
use crate::procedure::{
    Addition, Amends, Amount, Decanted, Ingredient, OfSet, Origin, Procedure, Step, StepKind,
    Weigh, Within,
};
use crate::ratio::Ratio;

pub use asked::Asked;

/// How much of a mixture is poured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HowMuch {
    /// So much.
    Mass(Mass),
    /// Whatever comes out.
    All,
}

/// The tolerance of what is poured over, of its own target (our own choice, the same as a recipe's where it says none).
fn within() -> Within {
    Within::Fraction(Ratio::new(1, 50))
}

/// What is done with a finished jar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Again<'a> {
    /// These are added to it, by their names.
    Added(Vec<&'a str>),
    /// These finished jars are poured into it.
    Joined(Vec<&'a str>),
    /// Some of the mix is taken out of it: into these vessels, none where it is poured away.
    TakenOut(Vec<&'a str>),
}

/// Returns which finished jar a procedure opens again and what it does with it; `None` where it makes a jar of its own.
#[must_use]
pub fn again(procedure: &Procedure) -> Option<(&Amends, Again<'_>)> {
    let amends = procedure.amends.as_deref()?;
    let steps = procedure.steps.iter().map(|step| &step.kind);
    let poured = steps.clone().filter_map(StepKind::ingredient);
    let mut names: Vec<&str> = Vec::new();
    for ingredient in poured {
        if !names.contains(&ingredient.name.as_str()) {
            names.push(&ingredient.name);
        }
    }
    if !names.is_empty() {
        return Some(match amends.out_of.is_empty() {
            true => (amends, Again::Added(names)),
            false => (amends, Again::Joined(names)),
        });
    }
    let vessels = steps.filter_map(|kind| match kind {
        StepKind::Decant { into, .. } if into != POURED_AWAY => Some(into.as_str()),
        _ => None,
    });
    Some((amends, Again::TakenOut(vessels.collect())))
}

/// Returns the name of an amendment, which is the jar's: its recipe and its mark.
#[must_use]
pub fn name(amends: &Amends) -> String {
    format!("{}, {}", amends.recipe, amends.mark)
}

/// Makes a procedure one that goes into a finished jar.
#[must_use]
pub fn amending(procedure: Procedure, amends: Amends) -> Procedure {
    Procedure {
        recipe: name(&amends),
        jar_ul: None,
        trail_s: None,
        pot_life: None,
        of_set: None,
        amends: Some(Box::new(amends)),
        ..procedure
    }
}

/// Returns what is done to pour one finished jar into another.
#[must_use]
pub fn joined(into: Amends, from: &Amends, how_much: HowMuch) -> Procedure {
    let key = from.mark.to_lowercase();
    let ingredient = Ingredient {
        name: name(from),
        origin: Origin::Premix,
        stock: Some(from.holds),
        ..Ingredient::by_name(&key)
    };
    let (planned, amount) = match how_much {
        HowMuch::Mass(target) => {
            let (share, within) = (Ratio::one(), within());
            let weighed = Amount::Weighed {
                share,
                target,
                within,
            };
            (target, weighed)
        }
        HowMuch::All => {
            let vessel = name(from);
            (from.holds, Amount::Whole { vessel })
        }
    };
    let mut into = into;
    into.out_of.insert(key, from.mark.clone());
    let add = StepKind::Add(Addition {
        ingredient,
        amount,
        weigh: Weigh::Jar,
    });
    amending(of_steps(planned, vec![add]), into)
}

/// Returns what is done to take some of a finished mix out of its jar, into a vessel or away.
#[must_use]
pub fn taken_out(jar: Amends, how_much: HowMuch, into: Option<&str>) -> Procedure {
    let amount = match how_much {
        HowMuch::Mass(target) => Decanted::Weighed {
            target,
            within: within(),
        },
        HowMuch::All => Decanted::All,
    };
    let into = into.unwrap_or(POURED_AWAY).to_owned();
    let step = StepKind::Decant { amount, into };
    amending(of_steps(Mass::ZERO, vec![step]), jar)
}

/// Puts amendments in a row: one jar after another, each known by what its record says it weighs.
#[must_use]
pub fn in_a_row(procedures: Vec<Procedure>, run: &str) -> Vec<Procedure> {
    let jars = u32::try_from(procedures.len()).unwrap_or(u32::MAX);
    if jars < 2 {
        return procedures;
    }
    let mut turn = 0;
    let placed = procedures.into_iter().map(|procedure| {
        let turns = procedure.steps.iter().map(|_| {
            turn += 1;
            turn
        });
        let of_set = OfSet {
            set: procedure.recipe.clone(),
            run: run.to_owned(),
            jars,
            key: procedure
                .amends
                .as_ref()
                .map(|amends| amends.mark.to_lowercase())
                .unwrap_or_default(),
            turns: turns.collect(),
            made: std::collections::BTreeMap::new(),
            covers: None,
        };
        Procedure {
            of_set: Some(of_set),
            ..procedure
        }
    });
    placed.collect()
}

fn of_steps(planned: Mass, steps: Vec<StepKind>) -> Procedure {
    let steps = steps.into_iter().map(|kind| Step { kind, note: None });
    Procedure::of_steps("", planned, steps.collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn jar(mark: &str) -> Amends {
        Amends {
            mark: mark.to_owned(),
            recipe: "Harbour \"grey\"".to_owned(),
            tare: Mass::from_grams(60),
            holds: Mass::from_grams(40),
            within: Mass::ZERO,
            out_of: std::collections::BTreeMap::new(),
        }
    }

    #[test]
    fn what_is_done_with_a_finished_jar_is_told_from_its_procedure() {
        let into = taken_out(jar("K7F2A"), HowMuch::All, Some("cup"));
        let away = taken_out(jar("K7F2A"), HowMuch::All, None);
        let poured = joined(jar("K7F2A"), &jar("M3T8C"), HowMuch::All);
        let said = |procedure: &Procedure| {
            let (amends, again) = again(procedure).unwrap();
            format!("{} {again:?}", amends.mark)
        };
        assert_eq!(said(&into), "K7F2A TakenOut([\"cup\"])");
        assert_eq!(said(&away), "K7F2A TakenOut([])");
        assert_eq!(
            said(&poured),
            r#"K7F2A Joined(["Harbour \"grey\", M3T8C"])"#
        );
        let own = Procedure {
            amends: None,
            ..poured
        };
        assert_eq!(again(&own), None);
    }

    #[test]
    fn jars_in_a_row_have_their_turns_one_after_another() {
        let one = |mark| taken_out(jar(mark), HowMuch::All, None);
        let row = in_a_row(vec![one("K7F2A"), one("M3T8C")], "today");
        let places: Vec<(String, Vec<u32>)> = row
            .into_iter()
            .filter_map(|procedure| procedure.of_set)
            .map(|place| (place.key, place.turns))
            .collect();
        assert_eq!(
            places,
            [("k7f2a".to_owned(), vec![1]), ("m3t8c".to_owned(), vec![2])]
        );
        assert_eq!(in_a_row(vec![one("K7F2A")], "today")[0].of_set, None);
    }
}
