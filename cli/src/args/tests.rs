mod help;

use super::*;
use clap::CommandFactory;

#[test]
fn the_arguments_hang_together() {
    Cli::command().debug_assert();
}

#[test]
fn every_command_has_examples_first() {
    let mut command = Cli::command();
    for sub in command.get_subcommands_mut() {
        if sub.is_hide_set() {
            continue;
        }
        let help = sub.render_long_help().to_string();
        assert!(help.starts_with("Examples:\n  tarehand "), "{help}");
    }
}

/// Returns the words of a text that look like marks: capitals and digits, both of them.
fn like_marks(text: &str) -> Vec<String> {
    // A moment or a lot, in one word with its hyphens, is none.
    let words = text.split(|sign: char| !sign.is_ascii_alphanumeric() && sign != '-');
    let like = |word: &&str| {
        (4..=12).contains(&word.len())
            && word
                .chars()
                .all(|sign| sign.is_ascii_uppercase() || sign.is_ascii_digit())
            && word.contains(|sign: char| sign.is_ascii_digit())
            && word.contains(|sign: char| sign.is_ascii_uppercase())
    };
    words.filter(like).map(str::to_owned).collect()
}

/// Returns the help of a command and of all commands below it.
fn helps(command: &mut clap::Command) -> Vec<String> {
    let mut helps = vec![command.render_long_help().to_string()];
    for sub in command.get_subcommands_mut() {
        helps.extend(self::helps(sub));
    }
    helps
}

#[test]
fn every_mark_in_an_example_could_be_one() {
    let mut texts = helps(&mut Cli::command());
    // Elsewhere the README names standards, too.
    let readme = include_str!("../../../README.md").lines();
    texts.extend(
        readme
            .filter(|line| line.contains("tarehand "))
            .map(str::to_owned),
    );
    let marks: Vec<String> = texts.iter().flat_map(|text| like_marks(text)).collect();
    assert!(marks.iter().any(|mark| mark == "8KER7"), "{marks:?}");
    for mark in marks {
        let read: Result<tarehandd::log::Mark, _> = mark.parse();
        assert!(read.is_ok(), "{}", read.unwrap_err());
    }
}

#[track_caller]
fn check(line: &str) {
    let error = Cli::try_parse_from(line.split(' ')).unwrap_err();
    assert!(error.use_stderr(), "{line}");
    assert_eq!(error.exit_code(), 2, "{line}");
}

#[test]
fn a_wrong_call_is_a_usage_error() {
    check("tarehand melt");
    check("tarehand mix a.toml --make 250g --jar 200ml");
    check("tarehand mix --make 250g");
    check("tarehand mix a.toml --from water");
    check("tarehand mix a.toml --make 250");
    check("tarehand size a.toml --jar 30g");
    check("tarehand size a.toml");
    check("tarehand answer perhaps");
    check("tarehand answer 0");
    check("tarehand trail -3");
    check("tarehand trail soon");
    check("tarehand trail 601");
    check("tarehand cup");
    check("tarehand watch --count 0");
    check("tarehand rehearse --speed 61");
    check("tarehand rehearse --walk jar");
    check("tarehand check");
    check("tarehand amend --add dye=1g");
    check("tarehand amend K7F2A");
    check("tarehand amend K7F2A --add dye");
    check("tarehand join K7F2A M3T8C");
    check("tarehand take-out K7F2A --mass 0g");
    check("tarehand take-out K7F2A --json");
    check("tarehand repeat");
    check("tarehand mix --hand noor");
    check("tarehand mix --room 21C");
    check("tarehand repeat K7F2A --room mild");
    check("tarehand join K7F2A into M3T8C --told --hand noor");
    check("tarehand take-out K7F2A --told --room 21C");
    check("tarehand log compare K7F2A");
    check("tarehand share");
    check("tarehand share a.toml --for fr");
    check("tarehand adopt K7F2A --yes");
    check("tarehand log export --format pdf");
}

#[test]
fn sizes_are_read_with_or_without_a_blank() {
    for size in ["250g", "250 g", "0.25kg", "8.8oz"] {
        Cli::try_parse_from(["tarehand", "mix", "a.toml", "--make", size]).unwrap();
    }
    Cli::try_parse_from(["tarehand", "size", "a", "--from", "water=30 g"]).unwrap();
    Cli::try_parse_from(["tarehand", "size", "a", "--jar", "0.2l"]).unwrap();
}

#[test]
fn whatever_is_poured_on_the_scale_may_have_a_hand_and_a_room() {
    for call in [
        "mix a.toml",
        "amend K7F2A --add dye=1g",
        "join K7F2A into M3T8C",
        "take-out K7F2A",
        "repeat K7F2A",
    ] {
        let words = ["tarehand"].into_iter().chain(call.split(' '));
        let said = ["--hand", "noor", "--room", "21 C, 45 %"];
        Cli::try_parse_from(words.chain(said)).unwrap();
    }
}

#[test]
fn an_empty_mark_or_lot_is_asked_for_where_it_was_typed() {
    for words in [
        ["tarehand", "log", "show", ""],
        ["tarehand", "log", "lot", ""],
    ] {
        let error = Cli::try_parse_from(words).unwrap_err().to_string();
        assert!(error.contains("a value is required"), "{error}");
    }
}
