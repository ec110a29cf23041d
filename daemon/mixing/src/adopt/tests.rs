//! New versions of the studio's recipes, and of small ones for what the studio does not write.

use std::fs;
use std::path::Path;

use tarehand_protocol::Mass;

use super::{AdoptError, Adopted, adopt};
use crate::document::{Source, Sources};
use crate::procedure::{Amount, Procedure, StepKind};
use crate::provenance::{Provenance, Run};
use crate::ratio::Ratio;
use crate::recipe::{Checked, Settings, check};
use crate::session::{Book, Entry, Limits, Record, Seen, TaskId, Verdict};
use crate::sizing::{Goal, size};
use crate::tick::Tick;
use crate::weighing::Scale;

const ORIGIN: Provenance<'static> = Provenance {
    mark: "K7F2A",
    day: "2026-11-25",
    run: Run::Real,
};

fn studio() -> Sources {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/studio");
    let mut sources = Sources::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let stem = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let text = fs::read_to_string(&path).unwrap();
        let source = Source::new(format!("{stem}.toml"), text);
        sources = match (stem.as_str(), path.extension().is_some_and(|e| e == "toml")) {
            ("shelf", true) => sources.with_shelf(source),
            (_, true) => sources.with_recipe(stem, source),
            (_, false) => sources,
        };
    }
    sources
}

fn one(text: &str) -> Sources {
    Sources::new().with_recipe("a", Source::new("a.toml", text))
}

fn checked(sources: &Sources, stem: &str) -> Checked {
    check(sources, stem, &Settings::default())
}

fn sized(sources: &Sources, stem: &str, make: Mass) -> Procedure {
    let recipe = checked(sources, stem).recipe.unwrap();
    size(&recipe, &Goal::Make(make)).unwrap().procedure
}

/// A complete batch: everything inside the ratio a tenth more than planned, what is judged as told.
fn batch(procedure: &Procedure, division: &str, judged: &[(usize, &str)]) -> (Book, Vec<Record>) {
    let mass = |text: &str| -> Mass { text.parse().unwrap() };
    let scale = Scale {
        division: Some(mass(division)),
        capacity: None,
    };
    let mut entries = vec![Entry::Opened {
        procedure: procedure.clone(),
        limits: Limits::default(),
        scale,
    }];
    let mut gross = Mass::ZERO;
    for (step, planned) in procedure.steps.iter().enumerate() {
        let task = TaskId(u32::try_from(step).unwrap());
        let told = judged.iter().find(|(place, _)| *place == step);
        let more = |target: Mass| (&Ratio::from_mass(target) * &Ratio::new(11, 10)).to_mass();
        let poured = told
            .map(|(_, text)| mass(text))
            .or_else(|| planned.kind.target().map(more));
        if let Some(poured) = poured.filter(|poured| !poured.is_zero()) {
            let before = gross;
            gross += poured;
            entries.push(Entry::Poured {
                task,
                before,
                after: gross,
                seen: Seen::Watched,
                stop: None,
            });
        }
        if let StepKind::Thin { .. } = planned.kind {
            entries.push(Entry::Trail {
                task,
                seconds: 3.2,
                jar: None,
                taken: crate::session::Taken::default(),
            });
        }
        entries.push(Entry::Judged {
            task,
            verdict: Verdict::Recorded,
            poured: poured.unwrap_or_default(),
            target: None,
            within: None,
        });
    }
    entries.push(Entry::Completed);
    let records: Vec<Record> = entries
        .into_iter()
        .map(|entry| Record {
            at: Tick::ZERO,
            entry,
        })
        .collect();
    (Book::rebuild(&records).unwrap(), records)
}

/// Adopts a batch of `make`, and checks that the new recipe checks clean and sizes to what was in the jar.
#[track_caller]
fn round_trip(
    sources: &Sources,
    stem: &str,
    make: &str,
    division: &str,
    judged: &[(usize, &str)],
) -> Adopted {
    let procedure = sized(sources, stem, make.parse().unwrap());
    let (book, records) = batch(&procedure, division, judged);
    let text = sources.recipe(stem).unwrap().text();
    let adopted = adopt(text, ORIGIN, &book, &records).unwrap();
    let source = Source::new(format!("{stem}.toml"), adopted.text.clone());
    let sources = sources.clone().with_recipe(stem, source);
    let checked = checked(&sources, stem);
    assert!(
        checked.is_clean(),
        "{:#?}\n{}",
        checked.diagnostics,
        adopted.text
    );
    let whole = |kind: &StepKind| match kind {
        StepKind::Add(addition) => matches!(addition.amount, Amount::Whole { .. }),
        _ => false,
    };
    let in_jar: Mass = book
        .tasks()
        .filter(|task| !whole(book.step(task)))
        .map(|task| task.left)
        .sum();
    let new = sized(&sources, stem, in_jar);
    assert_eq!(new.steps.len(), procedure.steps.len());
    for (step, task) in new.steps.iter().zip(book.tasks()) {
        let Some(target) = step.kind.target() else {
            continue;
        };
        // The file is rounded to milligrams of its own size, so a batch twice as large is off by two.
        let off = (target - task.left).abs();
        assert!(
            off <= Mass::from_milligrams(3),
            "{target} instead of {}: {}",
            task.left,
            adopted.text
        );
    }
    adopted
}

#[test]
fn a_range_and_drops_of_thinning_become_grams_and_the_comments_stay() {
    let adopted = round_trip(
        &studio(),
        "linen-ground",
        "380 g",
        "0.01 g",
        &[(5, "0.19 g"), (7, "8.4 g")],
    );
    assert_eq!(adopted.notes, Vec::<String>::new());
    insta::assert_snapshot!(adopted.text, @r#"
    # As judged in batch K7F2A of 2026-11-25: what was decided by eye there is in grams here.
    # The ground of all eight panels, the thickest of the set.
    [recipe]
    name   = "Linen ground, matt"
    makes  = "775.6185 g"
    trail  = "4 s"
    jar    = "1 l"

    [[step]]
    add    = "linen-white"
    # as much as 62 % was before
    amount = "471.2 g"

    [[step]]
    add    = "hush-powder"
    amount = "4 % of linen-white"
    note   = "sieve it in, mask on"

    [[step]]
    stir   = "3 min"

    [[step]]
    strain = "through a fine paint sieve into the pouring jar"

    [[step]]
    add    = "slow-medium"
    amount = "1 part"

    [[step]]
    add    = "soot-paste"
    # was 4..9 drops; in batch K7F2A 0.19 g were poured
    amount = "0.3455 g"
    note   = "only until the white loses its glare"

    [[step]]
    stir   = "2 min"

    [[step]]
    # thinned by 4 g at a time in batch K7F2A: 8.4 g in all, trail reached 3.2 s
    add    = "soft-water"
    amount = "15.273 g"

    [[step]]
    trail  = "wanted"
    "#);
}

#[test]
fn percentages_alone_become_grams_of_the_same_ratio() {
    let adopted = round_trip(&studio(), "ember-round", "280 g", "0.1 g", &[(4, "1.1 g")]);
    insta::assert_snapshot!(adopted.text, @r#"
    # As judged in batch K7F2A of 2026-11-25: what was decided by eye there is in grams here.
    # Percentages only: they come to a hundred, and any size can be made of them.
    [recipe]
    name   = "Ember round"
    makes  = "140.5 g"
    trail  = "2 s"
    jar    = "200 ml"

    [[step]]
    add    = "ember-paste"
    # as much as 16 % was before
    amount = "22.4 g"

    [[step]]
    add    = "pearl-medium"
    # as much as 20 % was before
    amount = "28 g"

    [[step]]
    add    = "slow-medium"
    # as much as 64 % was before
    amount = "89.6 g"

    [[step]]
    stir   = "1 min"

    [[step]]
    add    = "soot-paste"
    # was 0.3..0.9 g; in batch K7F2A 1.1 g were poured
    amount = "0.5 g"
    note   = "tubes differ: stop when the red goes warm"

    [[step]]
    trail  = "wanted"
    "#);
}

#[test]
fn every_judged_recipe_of_the_studio_sizes_to_the_batch_it_comes_from() {
    let studio = studio();
    round_trip(
        &studio,
        "moss-round",
        "226.796185 g",
        "0.1 g",
        &[(4, "0.4 g")],
    );
    round_trip(
        &studio,
        "leftover-grey",
        "120 g",
        "0.1 g",
        &[(3, "30 g"), (4, "12 g"), (6, "2.5 g"), (8, "3.6 g")],
    );
    let drops = [(8, "0.17 g")];
    let adopted = round_trip(&studio, "lagoon-round", "150 g", "0.001 g", &drops);
    assert!(
        adopted.text.contains("amount = \"0.154"),
        "{}",
        adopted.text
    );
}

#[test]
fn a_count_that_the_scale_cannot_tell_stays_a_count() {
    let procedure = sized(&studio(), "lagoon-round", Mass::from_grams(150));
    let (book, records) = batch(&procedure, "0.1 g", &[(8, "0.2 g")]);
    let studio = studio();
    let text = studio.recipe("lagoon-round").unwrap().text();
    let error = adopt(text, ORIGIN, &book, &records).unwrap_err();
    assert_eq!(
        error.to_string(),
        "nothing that was judged can be taken over: step 9 stays as it is written: the count of `glide-drops` says more than 0.2 g on this scale"
    );
}

const HEAD: &str = "[recipe]\nname = \"A\"\n";

#[track_caller]
fn check_text(head: &str, steps: &str, make: &str, judged: &[(usize, &str)], expect: &[&str]) {
    let text = format!("{HEAD}{head}\n{steps}");
    let adopted = round_trip(&one(&text), "a", make, "0.01 g", judged);
    for words in expect {
        assert!(
            adopted.text.contains(words),
            "no `{words}` in\n{}",
            adopted.text
        );
    }
}

const PARTS: &str = "[[step]]\nadd = \"x\"\namount = \"3 parts\"\n[[step]]\nadd = \"y\"\namount = \"1 part\"\n[[step]]\nadd = \"z\"\namount = \"some\"\n";

#[test]
fn parts_alone_get_the_size_of_the_batch() {
    check_text(
        "",
        PARTS,
        "200 g",
        &[(2, "11 g")],
        &[
            "makes  = \"210 g\"",
            "amount = \"3 parts\"",
            "amount = \"10 g\"",
        ],
    );
}

#[test]
fn weights_alone_need_no_total() {
    let steps = PARTS.replace("3 parts", "30 g").replace("1 part", "10 g");
    check_text(
        "",
        &steps,
        "80 g",
        &[(2, "2.2 g")],
        &["amount = \"30 g\"", "amount = \"1 g\""],
    );
    // Their sum is what counts, even where `makes` says something near it.
    check_text(
        "makes = \"40.2 g\"",
        &steps,
        "80 g",
        &[(2, "2.2 g")],
        &["makes = \"41 g\""],
    );
}

#[test]
fn a_percentage_of_something_there_is_more_of_now_stays_as_much_as_it_was() {
    let steps = PARTS
        .replace("1 part\"", "10 % of x\"")
        .replace("\"z\"", "\"x\"");
    check_text(
        "makes = \"110 g\"",
        &steps,
        "110 g",
        &[(2, "11 g")],
        &[
            "makes = \"120 g\"",
            "as much as 10 % of x was",
            "amount = \"10 g\"",
        ],
    );
}

#[test]
fn what_was_not_needed_stays_and_is_said() {
    let steps = format!("{PARTS}[[step]]\nthin = \"w\"\nby = \"1 %\"\n");
    let text = format!("{HEAD}makes = \"100 g\"\n{steps}");
    let adopted = round_trip(&one(&text), "a", "100 g", "0.1 g", &[(2, "11 g")]);
    assert_eq!(
        adopted.notes,
        ["step 4 stays as it is written: no `w` was poured"]
    );
    assert!(
        adopted.text.contains("thin = \"w\"\nby = \"1 %\""),
        "{}",
        adopted.text
    );
}

#[test]
fn a_batch_without_judgement_or_end_or_recipe_is_refused() {
    let text = format!("{HEAD}makes = \"100 g\"\n{PARTS}");
    let sources = one(&text);
    let procedure = sized(&sources, "a", Mass::from_grams(100));
    let (book, records) = batch(&procedure, "0.1 g", &[(2, "11 g")]);
    let refused = |text: &str, book: &Book| adopt(text, ORIGIN, book, &records).unwrap_err();
    assert_eq!(refused("", &book), AdoptError::OtherSteps);
    assert_eq!(refused(HEAD, &book), AdoptError::OtherSteps);
    assert!(matches!(
        refused("[recipe", &book),
        AdoptError::Unreadable(_)
    ));
    let open = Book::rebuild(&records[..records.len() - 1]).unwrap();
    assert_eq!(refused(&text, &open), AdoptError::NotComplete);
    let definite = text.replace("some", "2 parts");
    let procedure = sized(&one(&definite), "a", Mass::from_grams(100));
    let (book, records) = batch(&procedure, "0.1 g", &[]);
    assert_eq!(
        adopt(&definite, ORIGIN, &book, &records).unwrap_err(),
        AdoptError::NothingJudged
    );
}

#[test]
fn a_rehearsal_says_that_its_grams_are_no_measurement() {
    let text = format!("{HEAD}makes = \"100 g\"\n{PARTS}");
    let procedure = sized(&one(&text), "a", Mass::from_grams(100));
    let (book, records) = batch(&procedure, "0.1 g", &[(2, "11 g")]);
    let origin = Provenance {
        run: Run::Rehearsal,
        ..ORIGIN
    };
    let adopted = adopt(&text, origin, &book, &records).unwrap();
    assert!(
        adopted.text.starts_with(
            "# As judged in rehearsal K7F2A of 2026-11-25: what was decided by eye there is in grams here.\n# A rehearsal: "
        ),
        "{}",
        adopted.text
    );
}

#[test]
fn what_was_judged_with_one_choice_is_not_taken_over_into_a_recipe_that_leaves_it_open() {
    let text = format!(
        "{HEAD}makes = \"100 g\"\n[choice.finish]\nmatt = {{ base = \"chalk\" }}\nglossy = {{ base = \"gel\" }}\n\
         [[step]]\nadd = \"base\"\namount = \"1 part\"\n[[step]]\nadd = \"water\"\namount = \"4..7 g\"\n"
    );
    let procedure = sized(&one(&text), "a", Mass::from_grams(100));
    let (book, records) = batch(&procedure, "0.1 g", &[(1, "5 g")]);
    let error = adopt(&text, ORIGIN, &book, &records).unwrap_err();
    assert_eq!(
        error.to_string(),
        "the batch was made with finish=matt, and its recipe leaves that open"
    );
}

#[test]
fn steps_in_an_array_become_tables_with_their_comments() {
    let text = "# Mine.\nstep = [ # in this order\n  # the white one\n  { add = \"base\", amount = \"60 g\" }, # shake it\n  \
        { add = \"dust\", amount = \"some\" },\n  # done\n]\n\n[recipe]\nname = \"A\"\nmakes = \"60 g\"\n";
    let sources = one(text);
    let procedure = sized(&sources, "a", Mass::from_grams(60));
    let (book, records) = batch(&procedure, "0.1 g", &[(0, "60 g"), (1, "3 g")]);
    let adopted = adopt(text, ORIGIN, &book, &records).unwrap();
    insta::assert_snapshot!(adopted.text, @r##"
    # As judged in batch K7F2A of 2026-11-25: what was decided by eye there is in grams here.

    [recipe]
    name = "A"
    makes = "63 g"

    # Mine.
    # in this order
    # the white one
    # shake it
    [[step]]
    add    = "base"
    amount = "60 g"

    [[step]]
    add    = "dust"
    # was some; in batch K7F2A 3 g were poured
    amount = "3 g"
    # done
    "##);
    let again = one(&adopted.text);
    assert!(
        checked(&again, "a").recipe.is_some(),
        "it is a recipe still"
    );
}
