use super::*;
use crate::card;
use crate::provenance::{Provenance, Run};
use crate::session::{Book, Limits};
use crate::sizing::{Goal, size};
use crate::weighing::Scale;
use crate::{document, recipe};

const GREY: &str = "[recipe]\nname = \"Grey\"\nmakes = \"60 g\"\n\
    [[step]]\nadd = \"chalk\"\namount = \"60 g\"\n";

fn card_of_grey() -> card::Card {
    let source = document::Source::new("grey", GREY);
    let sources = document::Sources::new().with_recipe("grey", source);
    let checked = recipe::check(&sources, "grey", &recipe::Settings::default());
    let goal = Goal::Make(Mass::from_grams(60));
    let procedure = size(&checked.recipe.unwrap(), &goal).unwrap().procedure;
    let book = Book::open(procedure, Limits::default(), Scale::default());
    let from = Provenance {
        mark: "K7F2A",
        day: "2026-11-02",
        run: Run::Real,
    };
    card::of_batch(from, &book, &[])
}

#[test]
fn what_came_in_later_stands_on_every_form_of_the_card_with_its_day_and_its_cautions() {
    let drops = Ingredient {
        name: "Flow drops".to_owned(),
        cautions: vec!["wear gloves".to_owned()],
        ..Ingredient::by_name("flow-drops")
    };
    let later = Later {
        changes: vec![
            Change {
                day: "2026-11-03".to_owned(),
                mass: Mass::from_grams(4),
                what: What::Added(drops.clone()),
            },
            Change {
                day: "2026-11-04".to_owned(),
                mass: Mass::from_grams(9),
                what: What::TakenOut(Some("sample\u{1b}[2J cup".to_owned())),
            },
        ],
        may_hold: vec![drops],
    };
    let before = card_of_grey();
    let after = before.clone().with_later(&later);
    assert_eq!(after.total, before.total, "it is in no ratio");
    for form in [
        card::text(&after, None),
        card::markdown(&after, None),
        card::json_ld(&after, None).to_string(),
    ] {
        for said in [
            "Flow drops",
            "added later, 2026-11-03",
            "wear gloves",
            "2026-11-04: 9 g of the mix were taken out into sample",
        ] {
            assert!(form.contains(said), "{said}: {form}");
        }
        assert!(!form.contains('\u{1b}'), "{form}");
    }
    assert_eq!(before.clone().with_later(&Later::default()), before);
}
