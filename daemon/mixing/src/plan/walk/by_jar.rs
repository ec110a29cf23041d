//! Jar by jar, in the order that takes up the fewest bottles.
//!
//! A bottle is saved where one jar ends with what the next begins with. Seen as arrows from a jar's first bottle to its
//! last, walking the jars is drawing all arrows with as few strokes as possible: Euler's bridges, solved exactly.

use std::collections::{BTreeMap, BTreeSet};

use super::{Route, Visit};

pub(super) fn visits(routes: &[Route]) -> Vec<Visit> {
    let whole = |jar: usize| (0..routes[jar].len()).map(move |pour| Visit { jar, pour });
    order(routes).into_iter().flat_map(whole).collect()
}

/// Returns the order of the jars; those without a pour are left out.
fn order(routes: &[Route]) -> Vec<usize> {
    let ends = |route: &Route| Some((*route.first()?, *route.last()?));
    // Arrows leaving each bottle, first jar last so that popping keeps the order of the set.
    let mut leaving: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    let mut surplus: BTreeMap<usize, isize> = BTreeMap::new();
    for (jar, route) in routes.iter().enumerate().rev() {
        if let Some((first, last)) = ends(route) {
            leaving.entry(first).or_default().push(jar);
            *surplus.entry(first).or_default() += 1;
            *surplus.entry(last).or_default() -= 1;
        }
    }
    let mut strokes: Vec<Vec<usize>> = Vec::new();
    // A stroke begins where more arrows leave than arrive.
    let starts: Vec<usize> = surplus
        .iter()
        .flat_map(|(&bottle, &more)| std::iter::repeat_n(bottle, more.max(0).unsigned_abs()))
        .collect();
    for start in starts {
        strokes.push(stroke(start, &mut leaving, routes));
    }
    // What is left are closed rounds: each joins a stroke that passes by, or is one of its own.
    while let Some((&bottle, _)) = leaving.iter().find(|(_, jars)| !jars.is_empty()) {
        let round = stroke(bottle, &mut leaving, routes);
        join(round, &mut strokes, routes);
    }
    strokes.concat()
}

/// Follows arrows from a bottle until none leaves.
fn stroke(start: usize, leaving: &mut BTreeMap<usize, Vec<usize>>, routes: &[Route]) -> Vec<usize> {
    let mut at = start;
    let mut jars = Vec::new();
    while let Some(jar) = leaving.get_mut(&at).and_then(Vec::pop) {
        jars.push(jar);
        at = routes[jar].last().copied().unwrap_or(at);
    }
    jars
}

/// Puts a closed round into a stroke that passes through one of its bottles.
fn join(mut round: Vec<usize>, strokes: &mut Vec<Vec<usize>>, routes: &[Route]) {
    let first = |jar: usize| routes[jar].first().copied();
    let last = |jar: usize| routes[jar].last().copied();
    let on_round: BTreeSet<usize> = round.iter().filter_map(|&jar| first(jar)).collect();
    let passes = |bottle: Option<usize>| bottle.is_some_and(|bottle| on_round.contains(&bottle));
    for stroke in strokes.iter_mut() {
        let before = stroke.iter().position(|&jar| passes(first(jar)));
        let (place, bottle) = match before {
            Some(place) => (place, first(stroke[place])),
            None => match stroke.last() {
                Some(&jar) if passes(last(jar)) => (stroke.len(), last(jar)),
                _ => continue,
            },
        };
        let turn = round.iter().position(|&jar| first(jar) == bottle);
        round.rotate_left(turn.unwrap_or(0));
        stroke.splice(place..place, round);
        return;
    }
    strokes.push(round);
}
