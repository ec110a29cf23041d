//! Bottle by bottle: the shortest common order of all jars' pours.
//!
//! Finding the fewest bottles is the shortest common supersequence of the jars' routes. While the ways are few enough
//! all of them are tried; beyond, the bottle that most waiting pours ask for goes next.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use super::{Proof, Route, Visit};

/// How many states there may be before settling for the best found; a few milliseconds.
const MOST_STATES: usize = 100_000;

pub(super) fn visits(routes: &[Route]) -> (Vec<Visit>, Proof) {
    let states = routes
        .iter()
        .try_fold(routes.len().max(1), |states, route| {
            states
                .checked_mul(route.len() + 1)
                .filter(|states| *states <= MOST_STATES)
        });
    match states {
        Some(_) => (shortest(routes), Proof::Fewest),
        None => (greedy(routes), Proof::BestFound),
    }
}

/// How far each jar is.
type Progress = Vec<usize>;

/// Pours a bottle into every jar that waits for it; returns those jars.
fn pour(bottle: usize, progress: &mut Progress, routes: &[Route]) -> Vec<usize> {
    let mut served = Vec::new();
    for (jar, route) in routes.iter().enumerate() {
        let before = progress[jar];
        while route.get(progress[jar]) == Some(&bottle) {
            progress[jar] += 1;
        }
        if before < progress[jar] {
            served.push(jar);
        }
    }
    served
}

/// Returns the bottles that jars wait for, each once, sorted.
fn waiting(progress: &Progress, routes: &[Route]) -> Vec<usize> {
    let next = routes
        .iter()
        .zip(progress)
        .filter_map(|(route, &at)| route.get(at).copied());
    let mut bottles: Vec<usize> = next.collect();
    bottles.sort_unstable();
    bottles.dedup();
    bottles
}

/// Which jar stays on the pan after a bottle.
type OnPan = Option<usize>;

/// What there is to go on from: how far each jar is, and what is on the pan.
type State = (Progress, OnPan);

/// From where a state was reached, and by which bottle.
type Came = BTreeMap<State, (State, usize)>;

/// One bottle of a walk: the jars it is poured into, in order.
struct Round {
    bottle: usize,
    jars: Vec<usize>,
}

/// Tries every order: fewest bottles first, then fewest jars set down (Dijkstra).
fn shortest(routes: &[Route]) -> Vec<Visit> {
    type Cost = (usize, usize);
    let start: State = (vec![0; routes.len()], None);
    let mut best: BTreeMap<State, Cost> = BTreeMap::from([(start.clone(), (0, 0))]);
    let mut came = Came::new();
    let mut heap = BinaryHeap::from([Reverse(((0, 0), start))]);
    while let Some(Reverse((cost, state))) = heap.pop() {
        if best.get(&state).is_some_and(|known| *known < cost) {
            continue;
        }
        let (progress, on_pan) = &state;
        let bottles = waiting(progress, routes);
        if bottles.is_empty() {
            return replay(&rounds(&state, &came), routes);
        }
        for bottle in bottles {
            let mut after = progress.clone();
            let served = pour(bottle, &mut after, routes);
            let stays = on_pan.filter(|jar| served.contains(jar));
            let set_down = served.len() - usize::from(stays.is_some());
            for &exit in &served {
                // A single jar is entry and exit at once; of several, the first cannot be the last.
                if 1 < served.len() && stays == Some(exit) {
                    continue;
                }
                let next = ((cost.0 + 1), cost.1 + set_down);
                let to: State = (after.clone(), Some(exit));
                if best.get(&to).is_none_or(|known| next < *known) {
                    best.insert(to.clone(), next);
                    came.insert(to.clone(), (state.clone(), bottle));
                    heap.push(Reverse((next, to)));
                }
            }
        }
    }
    Vec::new()
}

/// Follows the states back and orders the jars of every bottle.
fn rounds(end: &State, came: &Came) -> Vec<Round> {
    let mut rounds = Vec::new();
    let mut state = end;
    while let Some((before, bottle)) = came.get(state) {
        let moved = (0..state.0.len()).filter(|&jar| before.0[jar] < state.0[jar]);
        rounds.push(Round {
            bottle: *bottle,
            jars: between(moved.collect(), before.1, state.1),
        });
        state = before;
    }
    rounds.reverse();
    rounds
}

/// Puts the jar that is on the pan first, and the one that stays there last.
fn between(mut jars: Vec<usize>, on_pan: OnPan, stays: OnPan) -> Vec<usize> {
    jars.sort_by_key(|&jar| match jar {
        jar if Some(jar) == on_pan => (0, jar),
        jar if Some(jar) == stays => (2, jar),
        jar => (1, jar),
    });
    jars
}

fn replay(rounds: &[Round], routes: &[Route]) -> Vec<Visit> {
    let mut progress = vec![0; routes.len()];
    let mut visits = Vec::new();
    for round in rounds {
        for &jar in &round.jars {
            while routes[jar].get(progress[jar]) == Some(&round.bottle) {
                visits.push(Visit {
                    jar,
                    pour: progress[jar],
                });
                progress[jar] += 1;
            }
        }
    }
    visits
}

/// Takes the bottle whose waiting jars have the most pours before them: those routes are the ones to shorten.
fn greedy(routes: &[Route]) -> Vec<Visit> {
    let mut progress = vec![0; routes.len()];
    let mut rounds: Vec<Round> = Vec::new();
    loop {
        let mut weight: BTreeMap<usize, usize> = BTreeMap::new();
        for (route, &at) in routes.iter().zip(&progress) {
            if let Some(&bottle) = route.get(at) {
                *weight.entry(bottle).or_default() += route.len() - at;
            }
        }
        let heaviest = weight
            .into_iter()
            .max_by_key(|&(bottle, weight)| (weight, Reverse(bottle)));
        let Some((bottle, _)) = heaviest else { break };
        let jars = pour(bottle, &mut progress, routes);
        rounds.push(Round { bottle, jars });
    }
    hand_over(&mut rounds);
    replay(&rounds, routes)
}

/// Orders the jars of each bottle so that one stays on the pan wherever the next bottle goes into it too.
fn hand_over(rounds: &mut [Round]) {
    let mut on_pan: OnPan = None;
    for at in 0..rounds.len() {
        let next: Vec<usize> = rounds
            .get(at + 1)
            .map_or_else(Vec::new, |round| round.jars.clone());
        let jars = std::mem::take(&mut rounds[at].jars);
        let entry = on_pan.filter(|jar| jars.contains(jar));
        let may_stay =
            |jar: &&usize| next.contains(jar) && (jars.len() == 1 || Some(**jar) != entry);
        let stays = jars.iter().find(may_stay).copied();
        let ordered = between(jars, entry, stays);
        on_pan = ordered.last().copied();
        rounds[at].jars = ordered;
    }
}
