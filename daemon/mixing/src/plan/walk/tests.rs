use proptest::prelude::*;

use super::*;

/// Holds a walk to its promises: every pour once, each jar in its own order.
#[track_caller]
fn is_whole(walk: &Walk, routes: &[Route]) {
    let mut progress = vec![0; routes.len()];
    for visit in &walk.visits {
        assert_eq!(visit.pour, progress[visit.jar], "{walk:?}");
        progress[visit.jar] += 1;
    }
    let lengths: Vec<usize> = routes.iter().map(Vec::len).collect();
    assert_eq!(progress, lengths);
}

#[test]
fn a_bottle_that_all_jars_begin_with_is_opened_once() {
    let routes = [vec![0, 1, 2], vec![0, 3, 2], vec![0, 2]];
    let walk = bottle_by_bottle(&routes);
    is_whole(&walk, &routes);
    assert_eq!((walk.bottles, walk.proof), (4, Proof::Fewest));
    let walk = jar_by_jar(&routes);
    is_whole(&walk, &routes);
    assert_eq!((walk.bottles, walk.jars), (8, 3));
}

#[test]
fn jars_that_hand_a_bottle_on_stand_one_after_the_other() {
    // 1→2, 2→3, 3→1 and a loop at 2 are one round.
    let routes = [vec![3, 9, 1], vec![1, 8, 2], vec![2, 7, 2], vec![2, 6, 3]];
    let walk = jar_by_jar(&routes);
    is_whole(&walk, &routes);
    assert_eq!((walk.bottles, walk.jars), (9, 4));
}

#[test]
fn no_jars_and_empty_jars_are_no_work() {
    for routes in [vec![], vec![vec![], vec![]]] {
        assert_eq!(jar_by_jar(&routes).changes(), 0);
        assert_eq!(bottle_by_bottle(&routes).changes(), 0);
    }
}

/// Tries every way to interleave the pours and returns the fewest bottles.
fn fewest_bottles(routes: &[Route], progress: &mut Vec<usize>, last: Option<usize>) -> usize {
    let mut fewest = None;
    for jar in 0..routes.len() {
        let Some(&bottle) = routes[jar].get(progress[jar]) else {
            continue;
        };
        progress[jar] += 1;
        let rest =
            fewest_bottles(routes, progress, Some(bottle)) + usize::from(last != Some(bottle));
        progress[jar] -= 1;
        fewest = Some(fewest.map_or(rest, |fewest: usize| fewest.min(rest)));
    }
    fewest.unwrap_or(0)
}

/// Tries every order of whole jars and returns the fewest bottles.
fn fewest_by_jar(routes: &[Route], left: &mut Vec<usize>, last: Option<usize>) -> usize {
    let mut fewest = None;
    for at in 0..left.len() {
        let jar = left.remove(at);
        let mut own = 0;
        let mut held = last;
        for &bottle in &routes[jar] {
            own += usize::from(held != Some(bottle));
            held = Some(bottle);
        }
        let rest = own + fewest_by_jar(routes, left, held);
        left.insert(at, jar);
        fewest = Some(fewest.map_or(rest, |fewest: usize| fewest.min(rest)));
    }
    fewest.unwrap_or(0)
}

/// Tries every order of bottles that serves whoever waits, and every order of jars at each.
fn fewest_serving(routes: &[Route], progress: &[usize], on_pan: Option<usize>) -> (usize, usize) {
    let mut waiting: Vec<usize> = Vec::new();
    for (route, &at) in routes.iter().zip(progress) {
        waiting.extend(route.get(at));
    }
    let mut fewest = None;
    for &bottle in &waiting {
        let mut after = progress.to_vec();
        let mut served = Vec::new();
        for jar in 0..routes.len() {
            while routes[jar].get(after[jar]) == Some(&bottle) {
                after[jar] += 1;
            }
            if progress[jar] < after[jar] {
                served.push(jar);
            }
        }
        for &entry in &served {
            for &exit in &served {
                if (entry == exit) != (served.len() == 1) {
                    continue;
                }
                let (bottles, jars) = fewest_serving(routes, &after, Some(exit));
                let set_down = served.len() - usize::from(on_pan == Some(entry));
                let all = (bottles + 1, jars + set_down);
                fewest = Some(fewest.map_or(all, |fewest: (usize, usize)| fewest.min(all)));
            }
        }
    }
    fewest.unwrap_or((0, 0))
}

fn routes(
    jars: std::ops::Range<usize>,
    pours: std::ops::Range<usize>,
    bottles: usize,
) -> impl Strategy<Value = Vec<Route>> {
    prop::collection::vec(prop::collection::vec(0..bottles, pours), jars)
}

proptest! {
    #[test]
    fn bottle_by_bottle_is_the_best_of_all_ways(routes in routes(0..4, 0..4, 4)) {
        let walk = bottle_by_bottle(&routes);
        is_whole(&walk, &routes);
        prop_assert_eq!(walk.proof, Proof::Fewest);
        prop_assert_eq!(walk.bottles, fewest_bottles(&routes, &mut vec![0; routes.len()], None));
        let serving = fewest_serving(&routes, &vec![0; routes.len()], None);
        prop_assert_eq!((walk.bottles, walk.jars), serving);
    }

    #[test]
    fn jar_by_jar_is_the_best_of_all_orders(routes in routes(0..7, 1..4, 4)) {
        let walk = jar_by_jar(&routes);
        is_whole(&walk, &routes);
        prop_assert_eq!(walk.jars, routes.len());
        prop_assert_eq!(walk.bottles, fewest_by_jar(&routes, &mut (0..routes.len()).collect(), None));
    }

    #[test]
    fn large_sets_are_walked_whole_and_say_that_they_are_not_proven(routes in routes(20..40, 3..9, 12)) {
        let walk = bottle_by_bottle(&routes);
        is_whole(&walk, &routes);
        prop_assert_eq!(walk.proof, Proof::BestFound);
        is_whole(&jar_by_jar(&routes), &routes);
    }
}
