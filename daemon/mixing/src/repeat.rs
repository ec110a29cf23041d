//! A batch made again: the recipes it was made from, or one of what really went in.

use std::collections::BTreeMap;
use std::time::Duration;

use tarehand_protocol::Mass;

use crate::later::Later;
use crate::procedure::{Procedure, StepKind};
use crate::ratio::Ratio;
use crate::session::Book;

/// Returns the recipes of the premixes that a batch poured, text by key, in the shares they had then.
///
/// Shares are rounded to a microgram in a kilogram.
#[must_use]
pub fn premix_texts(procedure: &Procedure) -> BTreeMap<String, String> {
    let kilogram = Ratio::from_mass(Mass::from_grams(1_000));
    let texts = procedure.premixes.iter().map(|premix| {
        let poured = procedure.steps.iter();
        let poured = poured.filter_map(|step| step.kind.ingredient());
        let inside = procedure.premixes.iter().flat_map(|premix| &premix.parts);
        let mut known = poured.chain(inside.map(|(part, _)| part));
        let name = known
            .find(|ingredient| ingredient.key == premix.key)
            .map_or(&premix.key, |ingredient| &ingredient.name);
        let mut text = head(name);
        for (part, share) in &premix.parts {
            let parts = (share * &kilogram).to_mass().micrograms();
            text.push_str(&step(&[
                ("add", &part.key),
                ("amount", &format!("{parts} parts")),
            ]));
        }
        (premix.key.clone(), text)
    });
    texts.collect()
}

/// Returns a recipe of what really went into the jar, in the order it went in; `None` where nothing did.
///
/// What was added to its jar later comes last. What a rescue added goes in with what it is more of. What was judged, counted or thinned is said in grams; what was
/// let out of the jar is left out.
#[must_use]
pub fn as_poured(book: &Book, mark: &str, later: &Later) -> Option<String> {
    let name = format!("{}, as {mark} was poured", book.procedure().recipe);
    let mut text = head(&name);
    let mut said = Vec::new();
    let mut poured_any = false;
    for task in book.tasks() {
        if said.contains(&task.step) {
            continue;
        }
        said.push(task.step);
        let note = book.procedure().steps[task.step].note.as_deref();
        let kind = match book.step(task) {
            StepKind::Add(_) | StepKind::Thin { .. } => {
                let of_step = book.all_tasks().filter(|other| other.step == task.step);
                let poured: Mass = of_step.map(|task| task.poured).sum();
                let Some(ingredient) = book.pours(task).filter(|_| Mass::ZERO < poured) else {
                    continue;
                };
                poured_any = true;
                vec![
                    ("add", ingredient.key.clone()),
                    ("amount", poured.to_string()),
                ]
            }
            StepKind::Stir { time } => vec![("stir", seconds(*time))],
            StepKind::Rest { time } => vec![("rest", seconds(*time))],
            StepKind::Strain { through } => vec![("strain", through.clone())],
            StepKind::Look { expect } => vec![("look", expect.clone())],
            StepKind::Note { text } => vec![("note", text.clone())],
            StepKind::Trail { .. } | StepKind::TakeOut { .. } | StepKind::Decant { .. } => continue,
        };
        let mut fields: Vec<(&str, &str)> = kind
            .iter()
            .map(|(key, value)| (*key, value.as_str()))
            .collect();
        if !kind.iter().any(|(key, _)| *key == "note") {
            fields.extend(note.map(|note| ("note", note)));
        }
        text.push_str(&step(&fields));
    }
    for (change, ingredient) in later.added() {
        let note = format!("added later, {}", change.day);
        text.push_str(&step(&[
            ("add", &ingredient.key),
            ("amount", &change.mass.to_string()),
            ("note", &note),
        ]));
    }
    poured_any.then_some(text)
}

fn seconds(time: Duration) -> String {
    format!("{} s", time.as_secs_f64())
}

fn head(name: &str) -> String {
    format!("[recipe]\nname = {}\n", quoted(name))
}

fn step(fields: &[(&str, &str)]) -> String {
    let lines = fields
        .iter()
        .map(|(key, value)| format!("{key} = {}\n", quoted(value)));
    format!("\n[[step]]\n{}", lines.collect::<String>())
}

fn quoted(text: &str) -> String {
    toml::Value::from(text).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Source, Sources};
    use crate::later::{Change, What};
    use crate::procedure::{Amount, Ingredient};
    use crate::recipe::{Settings, check};
    use crate::session::{Entry, Limits, Record, Seen, TaskId};
    use crate::sizing::{Goal, size};
    use crate::tick::Tick;
    use crate::weighing::Scale;

    const GREY: &str = "[recipe]\nname = \"Grey\"\nmakes = \"60 g\"\n\
        [[step]]\nadd = \"paste\"\namount = \"20 g\"\n\
        [[step]]\nstir = \"40 s\"\nnote = \"slowly\"\n\
        [[step]]\nadd = \"chalk\"\namount = \"40 g\"\n";
    const PASTE: &str = "[recipe]\nname = \"The paste\"\n\
        [[step]]\nadd = \"soot\"\namount = \"1 part\"\n\
        [[step]]\nadd = \"oil\"\namount = \"2 parts\"\n";

    fn sized(texts: &BTreeMap<String, String>, stem: &str, grams: i64) -> Procedure {
        let mut sources = Sources::new();
        for (stem, text) in texts {
            sources = sources.with_recipe(stem.clone(), Source::new(stem.clone(), text.clone()));
        }
        let checked = check(&sources, stem, &Settings::default());
        let recipe = checked
            .recipe
            .unwrap_or_else(|| panic!("{:?}", checked.diagnostics));
        size(&recipe, &Goal::Make(Mass::from_grams(grams)))
            .unwrap()
            .procedure
    }

    fn shares(procedure: &Procedure) -> Vec<(String, Mass)> {
        let adds = procedure.steps.iter().filter_map(|step| match &step.kind {
            StepKind::Add(addition) => match &addition.amount {
                Amount::Weighed { target, .. } => Some((addition.ingredient.key.clone(), *target)),
                _ => None,
            },
            _ => None,
        });
        adds.collect()
    }

    #[test]
    fn the_recipes_that_a_batch_was_made_from_give_the_same_procedure_again() {
        let texts = BTreeMap::from(
            [("grey", GREY), ("paste", PASTE)].map(|(key, text)| (key.to_owned(), text.to_owned())),
        );
        let first = sized(&texts, "grey", 60);
        let mut again = premix_texts(&first);
        assert_eq!(again.keys().collect::<Vec<_>>(), ["paste"]);
        again.insert("grey".to_owned(), GREY.to_owned());
        let second = sized(&again, "grey", 60);
        assert_eq!(shares(&first), shares(&second));
        let off = |one: &Ratio, other: &Ratio| (one.to_f64() - other.to_f64()).abs();
        for ((_, one), (_, other)) in first.premixes[0]
            .parts
            .iter()
            .zip(&second.premixes[0].parts)
        {
            assert!(off(one, other) < 2e-9, "{one} {other}");
        }
    }

    #[test]
    fn as_poured_is_a_recipe_of_what_went_in() {
        let texts = BTreeMap::from(
            [("grey", GREY), ("paste", PASTE)].map(|(key, text)| (key.to_owned(), text.to_owned())),
        );
        let procedure = sized(&texts, "grey", 60);
        let mut book = Book::open(procedure, Limits::default(), Scale::default());
        for (task, milligrams) in [(0, 21_300), (2, 39_900)] {
            let entry = Entry::Poured {
                task: TaskId(task),
                before: Mass::ZERO,
                after: Mass::from_milligrams(milligrams),
                seen: Seen::Watched,
                stop: None,
            };
            book.fold(&Record {
                at: Tick::ZERO,
                entry,
            });
        }
        let text = as_poured(&book, "K7F2A", &Later::default()).unwrap();
        insta::assert_snapshot!(text, @r#"
        [recipe]
        name = "Grey, as K7F2A was poured"

        [[step]]
        add = "paste"
        amount = "21.3 g"

        [[step]]
        stir = "40 s"
        note = "slowly"

        [[step]]
        add = "chalk"
        amount = "39.9 g"
        "#);
        let again = sized(&BTreeMap::from([("again".to_owned(), text)]), "again", 612);
        assert_eq!(shares(&again)[0].1, Mass::from_grams(213));

        // What came into its jar later comes last, in the same proportion; what came from another jar does not.
        let change = |grams, what| Change {
            day: "2026-11-03".to_owned(),
            mass: Mass::from_grams(grams),
            what,
        };
        let later = Later {
            changes: vec![
                change(20, What::Joined("Slip, M3T8C".to_owned())),
                change(4, What::Added(Ingredient::by_name("drops"))),
                change(9, What::TakenOut(None)),
            ],
            may_hold: Vec::new(),
        };
        let text = as_poured(&book, "K7F2A", &later).unwrap();
        assert!(
            text.ends_with(
                "add = \"drops\"\namount = \"4 g\"\nnote = \"added later, 2026-11-03\"\n"
            ),
            "{text}"
        );
        let again = sized(&BTreeMap::from([("again".to_owned(), text)]), "again", 652);
        let targets: Vec<Mass> = shares(&again).into_iter().map(|(_, mass)| mass).collect();
        assert_eq!(targets, [213, 399, 40].map(Mass::from_grams));
        insta::assert_snapshot!(later.not_repeated().join("\n"), @r"
        2026-11-03: 20 g of the jar of Slip, M3T8C, were poured in; that is not repeated, the other jar is a batch of its own: `tarehand join` pours one over
        2026-11-03: 9 g of the mix were taken out; that is not repeated, all of it stays in the jar
        ");
        insta::assert_snapshot!(later.beyond_the_plan().unwrap(), @"the jar was opened again later, last on 2026-11-03, 4 g drops were added: `tarehand repeat --as-poured` has it too; this is what was planned");
        assert_eq!(Later::default().beyond_the_plan(), None);
    }
}
