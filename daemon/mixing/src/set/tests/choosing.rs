//! What a set chooses, for all its jars and for one.

use super::*;

/// A set of two jars whose recipe leaves a finish, and whose premix leaves one too.
fn choosing(head: &str, first: &str, second: &str, stem: &str) -> CheckedSet {
    let finish = "[choice.finish]\nmatt = { body = \"binder\" }\nglossy = { body = \"paste\" }\n";
    let step = |add: &str| format!("[[step]]\nadd = \"{add}\"\namount = \"1 part\"\n");
    let sources = sources()
        .with_shelf(Source::new(
            "shelf.toml",
            "[ingredient.binder]\ndensity = \"1.06 g/ml\"\n[ingredient.paste]\ndensity = \"1.3 g/ml\"\n",
        ))
        .with_recipe(
            "open",
            Source::new("open.toml", format!("[recipe]\nname = \"Open\"\n{finish}{}", step("body"))),
        )
        .with_recipe(
            "around",
            Source::new("around.toml", format!("[recipe]\nname = \"Around\"\n{}", step("open"))),
        );
    let jar =
        |choose: &str| format!("[[jar]]\nrecipe = \"{stem}\"\nshare = \"1 part\"\n{choose}\n");
    let text = format!(
        "[set]\nname = \"Two\"\n{head}\n[[surface]]\ndiameter = \"30 cm\"\n{}{}",
        jar(first),
        jar(second)
    );
    check(
        &Source::new("set.toml", text),
        &sources,
        &Settings::default(),
    )
}

#[test]
fn a_set_chooses_for_all_jars_and_a_jar_for_itself() {
    let matt = "choose = { finish = \"matt\" }";
    let glossy = "choose = { finish = \"glossy\" }";
    let chosen = |head: &str, first: &str, second: &str| -> Vec<String> {
        let checked = choosing(head, first, second, "open");
        let jars = checked.set.map(|set| set.jars);
        let jars = jars.unwrap_or_else(|| panic!("{:?}", checked.diagnostics));
        let of = |jar: &SetJar| jar.recipe.shares().next().unwrap().0.key.clone();
        jars.iter().map(of).collect()
    };
    assert_eq!(chosen("", "", ""), ["binder", "binder"]);
    assert_eq!(chosen(glossy, "", ""), ["paste", "paste"]);
    assert_eq!(chosen(glossy, matt, ""), ["binder", "paste"]);
    assert_eq!(chosen("", "", glossy), ["binder", "paste"]);
}

#[test]
fn two_jars_of_one_recipe_are_planned_each_as_it_was_chosen() {
    let glossy = "choose = { finish = \"glossy\" }";
    let checked = choosing("", "", glossy, "open");
    let plan = crate::plan::plan(&checked.set.unwrap(), &checked.shelf).unwrap();
    let raw: Vec<&str> = plan
        .raw
        .iter()
        .map(|need| need.ingredient.key.as_str())
        .collect();
    assert_eq!(raw, ["binder", "paste"]);
    let chosen: Vec<String> = plan
        .jars
        .iter()
        .map(|jar| jar.procedure.choices[0].to_string())
        .collect();
    assert_eq!(
        chosen,
        ["finish: matt (or glossy)", "finish: glossy (or matt)"]
    );
    let names: Vec<&str> = plan.jars.iter().map(|jar| jar.name.as_str()).collect();
    assert_eq!(names, ["Open (matt)", "Open (glossy)"]);
}

#[test]
fn what_a_set_cannot_choose_is_said_where_it_chooses() {
    let table = [
        (
            "choose = { finish = \"glosy\" }",
            "",
            "open",
            (
                3,
                21,
                "`finish` has no option `glosy`",
                "did you mean `glossy`?",
            ),
        ),
        (
            "",
            "choose = { finish = \"dull\" }",
            "open",
            (
                9,
                21,
                "`finish` has no option `dull`",
                "choose matt or glossy",
            ),
        ),
        (
            "choose = { tone = \"warm\" }",
            "",
            "open",
            (
                3,
                19,
                "no jar of the set leaves a choice `tone`",
                "choose finish",
            ),
        ),
        (
            "",
            "choose = { tone = \"warm\" }",
            "open",
            (9, 19, "`open` leaves no choice `tone`", "choose finish"),
        ),
        (
            "choose = \"glossy\"",
            "",
            "open",
            (
                3,
                10,
                "`choose` says an option for each choice",
                "write choose = { finish = \"glossy\" }",
            ),
        ),
        (
            "",
            "choose = { finish = \"glossy\" }",
            "around",
            (
                11,
                10,
                "`open` goes into this jar as matt and into one before it as glossy, but a plan mixes it once",
                "choose one finish for every jar that uses it, or write it as two recipes",
            ),
        ),
    ];
    for (head, first, stem, expect) in table {
        let checked = choosing(head, first, "", stem);
        assert_eq!(checked.set, None);
        let errors: Vec<_> = checked
            .diagnostics
            .iter()
            .filter(|said| said.is_error())
            .collect();
        let [only] = errors.as_slice() else {
            panic!("one message, not {errors:#?}");
        };
        let said = (
            only.line,
            only.column,
            only.message.as_str(),
            only.help.as_deref().unwrap_or_default(),
        );
        assert_eq!(said, expect);
    }
}

#[test]
fn what_is_chosen_beside_the_file_goes_before_what_it_says_of_all_jars() {
    let source = Source::new("set.toml", format!("{HEAD}{}", jar("share = \"1 part\"")));
    let settings = Settings {
        choices: [("finish".to_owned(), "matt".to_owned())].into(),
        ..Settings::default()
    };
    let checked = check(&source, &sources(), &settings);
    let said: Vec<&str> = checked
        .diagnostics
        .iter()
        .map(|said| said.message.as_str())
        .collect();
    assert_eq!(said[0], "no jar of the set leaves a choice `finish`");
}
