//! What must hold of every way out, of any jar.

use proptest::prelude::*;

use super::super::linear::{self, Aim, Shares, Totals};
use super::*;

/// A recipe of 2 to 8 ingredients with tolerances from 0 to 20 %, some of them in the jar, some with little stock.
fn any_case() -> impl Strategy<Value = Situation> {
    let row = (
        1_i64..60,
        0_i64..=20,
        0_i64..80_000,
        prop::option::weighted(0.2, 0_i64..60_000),
    );
    let room = prop::option::weighted(0.3, 60_000_i64..200_000);
    (prop::collection::vec(row, 2..8), room).prop_map(|(rows, room)| {
        let keys: Vec<String> = (0..rows.len()).map(|at| format!("i{at}")).collect();
        let named: Vec<(&str, i64, i64)> = keys
            .iter()
            .zip(&rows)
            .map(|(key, (parts, within, ..))| (key.as_str(), *parts, *within))
            .collect();
        let mut situation = Situation::of(&recipe(&named), Scales::default());
        for (key, (_, _, poured, stock)) in keys.iter().zip(&rows) {
            // A third of them is not in the jar yet.
            let poured = if poured % 3 == 0 { 0 } else { *poured };
            situation
                .put(key, &Ratio::from_mass(Mass::from_milligrams(poured)))
                .unwrap();
            let source = situation
                .sources
                .iter_mut()
                .find(|source| source.key == *key)
                .unwrap();
            source.stock = stock.map(Mass::from_milligrams);
        }
        situation.room = room.map(|room| Room::Mass(Mass::from_milligrams(room)));
        situation
    })
}

/// Whether a way keeps to what it says, checked from the numbers alone.
fn holds(situation: &Situation, way: &Way) -> Result<(), TestCaseError> {
    let mut content = way.left_in_jar(situation);
    for (at, mass) in &way.pours {
        prop_assert!(Ratio::zero() < *mass, "nothing is taken out by a pour");
        let source = &situation.sources[*at];
        if let Some(stock) = source.stock {
            prop_assert!(
                *mass <= Ratio::from_mass(stock),
                "more {} than there is",
                source.key
            );
        }
        for (component, fraction) in &source.made_of {
            content[*component] = &content[*component] + &(mass * fraction);
        }
    }
    prop_assert_eq!(&content, &way.content);
    let total: Ratio = content.iter().cloned().sum();
    prop_assert_eq!(&total, &way.total);
    if let Some(Room::Mass(room)) = situation.room {
        prop_assert!(total <= Ratio::from_mass(room), "the jar runs over");
    }
    for (component, mass) in situation.components.iter().zip(&content) {
        match way.kind {
            RescueKind::TopUpExact | RescueKind::TakeOut | RescueKind::MakeLess => {
                prop_assert_eq!(
                    mass,
                    &(&component.share * &total),
                    "{} is exact",
                    way.kind.word()
                );
            }
            RescueKind::TopUpLeast => {
                prop_assert!(&component.low * &total <= *mass && *mass <= &component.high * &total);
            }
            RescueKind::Accept | RescueKind::Unthinned | RescueKind::ReadyMade => {}
        }
    }
    Ok(())
}

proptest! {
    #[test]
    fn every_way_keeps_to_jar_shelf_and_ratio_exactly(situation in any_case()) {
        for way in ways(&situation).ways.iter().filter(|way| way.is_feasible()) {
            holds(&situation, way)?;
        }
    }

    #[test]
    fn breakpoints_and_the_linear_program_agree(situation in any_case()) {
        let planned = Totals::AtLeast(Ratio::from_mass(situation.planned));
        let least = way(&situation, RescueKind::TopUpLeast);
        let program = linear::solve(&situation, Shares::WithinTolerance, &planned, Aim::LeastTotal);
        if let (Some(program), true) = (&program, least.is_feasible()) {
            prop_assert!((program.total - least.total.to_f64()).abs() < 1.0, "{} {}", program.total, least.total.to_f64());
        }
        let exact = way(&situation, RescueKind::TopUpExact);
        let program = linear::solve(&situation, Shares::Exact, &planned, Aim::LeastTotal);
        prop_assert_eq!(program.is_some(), exact.is_feasible());
        if let Some(program) = program {
            prop_assert!((program.total - exact.total.to_f64()).abs() < 1.0);
        }
    }

    #[test]
    fn what_can_be_done_comes_before_what_cannot(situation in any_case()) {
        let found = ways(&situation);
        prop_assert_eq!(found.ways.len(), 5);
        let feasible: Vec<bool> = found.ways.iter().map(Way::is_feasible).collect();
        prop_assert!(feasible.is_sorted_by(|one, other| one >= other));
        prop_assert_eq!(found.reason.is_some(), feasible[0]);
    }
}
