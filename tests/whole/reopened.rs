//! What a person reads of a jar that was opened again: in the list, in exports, on its card, and when it is made again.

use std::ffi::OsStr;
use std::fs::File;
use std::io::Read as _;
use std::os::unix::ffi::OsStrExt as _;
use std::process::Stdio;

use rustix::pty::{OpenptFlags, openpt, ptsname, unlockpt};
use rustix::termios::{Winsize, tcsetwinsize};
use serde_json::{Value, json};
use tarehand_tests::Running;

use crate::amend::make;
use crate::bench::{Bench, micrograms};

/// Asks the bench to open a finished jar again, and returns the mark of what that opened.
fn open(bench: &Bench, what: &str, body: &Value) -> String {
    let path = format!("/v1/benches/bench/{what}");
    let view = bench.service.client().post(&path, body).with_status(200);
    bench.wait_doing("change-jar");
    view.json()["batch"].as_str().unwrap().to_owned()
}

fn closed(bench: &mut Bench) {
    bench.wait_doing("complete");
    bench.scale.lift();
    bench.wait_gross(0.0);
}

/// A jar of grey, to which drops were added, into which pale was poured, and out of which a cup was taken.
struct Reopened {
    bench: Bench,
    grey: String,
    pale: String,
    added: String,
    joined: String,
    taken: String,
}

impl Reopened {
    fn new() -> Self {
        let mut bench = Bench::new();
        bench.attach();
        let grey = make(&mut bench, "Slip, grey", "grey-slip", 40, 60_000_000);
        let pale = make(&mut bench, "Slip, pale", "pale-slip", 60, 75_000_000);
        let add =
            json!({"marks": [grey.mark], "add": [{"ingredient": "flow-drops", "amount": "4 g"}]});
        let added = open(&bench, "amend", &add);
        bench.scale.load(grey.tare_ug, grey.contents_ug);
        let drops = bench.pour_step(0).ug;
        closed(&mut bench);
        let join = json!({"from": pale.mark, "into": grey.mark, "mass": "20 g"});
        let joined = open(&bench, "join", &join);
        bench.scale.load(grey.tare_ug, grey.contents_ug + drops);
        let poured = bench.pour_step(0).ug;
        closed(&mut bench);
        let cup = json!({"from": grey.mark, "mass": "16 g", "into": "sample cup"});
        let taken = open(&bench, "take-out", &cup);
        bench
            .scale
            .load(grey.tare_ug, grey.contents_ug + drops + poured);
        bench.wait_doing("decant");
        bench.scale.take(16_000_000);
        closed(&mut bench);
        Self {
            bench,
            grey: grey.mark,
            pale: pale.mark,
            added,
            joined,
            taken,
        }
    }
}

/// The line of a list that begins with a mark.
fn line<'a>(page: &'a str, mark: &str) -> &'a str {
    let mut lines = page.lines();
    let of_it = lines.find(|line| line.trim_start().starts_with(mark));
    of_it.unwrap_or_else(|| panic!("no line of {mark}: {page}"))
}

/// What a command writes on a terminal of so many columns.
fn on_terminal(bench: &Bench, words: &[&str], columns: u16) -> String {
    let master = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).unwrap();
    unlockpt(&master).unwrap();
    let path = ptsname(&master, Vec::new()).unwrap();
    let slave = File::options()
        .read(true)
        .write(true)
        .open(OsStr::from_bytes(path.as_bytes()))
        .unwrap();
    let size = Winsize {
        ws_row: 24,
        ws_col: columns,
        ws_xpixel: 0,
        ws_ypixel: 0,
    };
    tcsetwinsize(&slave, size).unwrap();
    let mut command = bench.home.tarehand(words);
    command.stdin(Stdio::null()).stdout(slave);
    let mut child = command.stderr(Stdio::null()).spawn().unwrap();
    drop(command);
    // Read along until the terminal is left by the last one who writes to it.
    let mut shown = Vec::new();
    let mut part = [0; 4096];
    let mut master = File::from(master);
    while let Ok(read @ 1..) = master.read(&mut part) {
        shown.extend_from_slice(&part[..read]);
    }
    assert!(child.wait().unwrap().success());
    String::from_utf8(shown).unwrap()
}

#[test]
fn lists_and_exports_say_which_jar_was_opened_again_and_what_came_in_or_went_out() {
    let Reopened {
        bench,
        grey,
        pale,
        added,
        joined,
        taken,
    } = Reopened::new();
    let list = bench.tell(&["log", "list"]);
    for (mark, said) in [
        (
            &added,
            [
                "added flow-drops to Slip, grey",
                " 4.0 g  into ",
                grey.as_str(),
            ],
        ),
        (&joined, [" into Slip, grey", " 20.0 g  ", pale.as_str()]),
        (
            &taken,
            [
                "took from Slip, grey into sample cup",
                " -16.0 g  out of ",
                grey.as_str(),
            ],
        ),
    ] {
        let line = line(&list, mark).replace('+', " ");
        for said in said {
            assert!(line.contains(said), "{said}: {list}");
        }
        assert!(!line.contains(" 0.0 g"), "{list}");
    }
    let into = format!("{pale} into {grey}");
    assert!(line(&list, &joined).contains(&into), "{list}");
    // On a terminal all of it has room, and no mark and no number is lost.
    for (columns, room) in [(80, 80), (40, 40), (0, 80)] {
        let shown = on_terminal(&bench, &["log", "list"], columns);
        assert!(
            shown.lines().all(|line| line.chars().count() <= room),
            "{columns}: {shown}"
        );
        assert!(shown.contains('…'), "{columns}: {shown}");
        for whole in [&grey, &pale, &into, &taken, "-16.0 g", "48.0 g"] {
            assert!(shown.contains(whole), "{columns}: {whole}: {shown}");
        }
    }
    // The jar itself is listed as before, with what is in it now.
    assert!(line(&list, &grey).contains("48.0 g  of 40.0"), "{list}");

    let csv = bench.tell(&["log", "export", "--format", "csv"]);
    let mut rows = csv.lines();
    let heading: Vec<&str> = rows.next().unwrap().split(',').collect();
    // What programs read already stays where it is.
    assert_eq!(heading[..2], ["mark", "recipe"]);
    assert_eq!(heading[10..], ["unseen_g", "jar"]);
    for (mark, jar, poured) in [
        (&grey, &grey, "40.0"),
        (&pale, &pale, "60.0"),
        (&added, &grey, "4.0"),
        (&joined, &grey, "20.0"),
        (&taken, &grey, "-16.0"),
    ] {
        let row = line(&csv, mark);
        assert!(row.ends_with(&format!(",{jar}")), "{csv}");
        assert!(row.contains(&format!(",{poured},")), "{poured}: {csv}");
    }
    assert!(line(&csv, &taken).contains("sample cup"), "{csv}");

    let page = bench.tell(&["log", "export", "--format", "html"]);
    let shown = bench.tell(&["log", "show", &taken]);
    for said in [&page, &shown] {
        let words = format!("took from Slip, grey into sample cup: -16.00 g out of {grey}");
        assert!(said.contains(&words), "{said}");
    }
    assert!(
        page.contains(&format!(
            "added flow-drops to Slip, grey: +4.00 g into {grey}"
        )),
        "{page}"
    );
}

#[test]
fn a_bad_amount_of_an_addition_is_shown_where_the_person_typed_it() {
    let mut bench = Bench::new();
    bench.attach();
    let grey = make(&mut bench, "Slip, grey", "grey-slip", 40, 60_000_000);
    let link = bench.link();
    let amend = |more: &[&str]| {
        let words = [&["amend", &grey.mark, "--port", &link], more].concat();
        let said = bench.person(&words).with_code(1).stderr;
        assert!(!said.contains("amendment.toml"), "{said}");
        said
    };
    let said = amend(&["--add", "flow-drops=1 g", "--add", "dye=a little"]);
    assert!(said.contains("--add 'dye=a little'"), "{said}");
    let pointed = said.lines().find(|line| line.contains('^')).unwrap();
    let typed = said.lines().find(|line| line.contains("--add")).unwrap();
    let at = |line: &str, what: &str| line.find(what).map(|at| line[..at].chars().count());
    assert_eq!(at(pointed, "^"), at(typed, "a little"), "{said}");
    assert!(!said.contains("flow-drops"), "that one is right: {said}");
    assert!(said.contains("help"), "{said}");
    // A volume of what nobody knows the density of, and a share of nothing.
    let said = amend(&["--add", "dye=2ml"]);
    assert!(said.contains("--add dye=2ml"), "{said}");
    let said = amend(&["--add", "dye=-5 %"]);
    assert!(said.contains("--add 'dye=-5 %'"), "{said}");
}

#[test]
fn the_card_of_a_jar_that_was_opened_later_says_what_came_in_and_went_out_and_when() {
    let Reopened {
        bench, grey, pale, ..
    } = Reopened::new();
    let day = {
        let record = bench.service.client().get(&format!("/v1/batches/{grey}"));
        let record = record.with_status(200).json();
        let at = record["amendments"][0]["at"].as_str().unwrap();
        at.split('T').next().unwrap().to_owned()
    };
    let card = bench.tell(&["share", &grey]);
    let (_, besides) = card.split_once("Outside the ratio").unwrap();
    let besides = besides.split("\n\n").next().unwrap();
    assert!(
        besides.contains(&format!("flow-drops: 4 g, added later, {day}")),
        "{card}"
    );
    for said in [
        format!("{day}: 20 g of the jar of Slip, pale, {pale}, were poured in"),
        format!("{day}: 16 g of the mix were taken out into sample cup"),
    ] {
        assert!(card.contains(&said), "{said}: {card}");
    }
    // What was planned and what is inside the ratio stays what was mixed.
    assert!(card.contains("total"), "{card}");
    let pale_card = bench.tell(&["share", &pale]);
    assert!(
        pale_card.contains(&format!(
            "{day}: 20 g of the mix were poured into the jar of Slip, grey, {grey}"
        )),
        "{pale_card}"
    );
}

#[test]
fn a_batch_made_again_as_poured_gets_what_its_jar_got_later_and_says_what_is_not_repeated() {
    let Reopened {
        bench, grey, pale, ..
    } = Reopened::new();
    let link = bench.link();
    let repeat = |words: &[&str]| -> (Value, String) {
        let words = [&["repeat", &grey, "--port", &link], words].concat();
        let mut command = bench.home.tarehand(&words);
        let guide = Running::start(&mut command, Stdio::null());
        let view = bench.wait_doing("put-jar");
        let record = bench.record();
        bench.tell(&["abort", "--yes"]);
        let said = guide.finish(tarehand_tests::LIMIT);
        assert_eq!(record["mark"], view["batch"]);
        (view, format!("{}{}", said.stdout, said.stderr))
    };
    let near = |found: &Value, wanted: i64| {
        let off = (micrograms(found) - wanted).abs();
        assert!(off <= 400_000, "{found}: {wanted} wanted");
    };
    // Half of the 44 g that went in: 40 of grey, 4 of drops.
    let (view, said) = repeat(&["--as-poured", "--make", "22g"]);
    let steps = view["steps"].as_array().unwrap();
    let last = steps.last().unwrap();
    near(&steps[0]["target_g"], 20_000_000);
    near(&last["target_g"], 2_000_000);
    assert!(
        last["title"].as_str().unwrap().contains("flow-drops"),
        "{view}"
    );
    for words in [
        format!("20 g of the jar of Slip, pale, {pale}, were poured in"),
        "16 g of the mix were taken out".to_owned(),
    ] {
        let told = view["concerns"].to_string();
        assert!(told.contains(&words), "{words}: {told}");
        assert!(said.contains(&words), "{words}: {said}");
    }
    // As planned it is what it was, and says that the jar was opened later.
    let (view, said) = repeat(&[]);
    assert_eq!(view["steps"].as_array().unwrap().len(), 1, "{view}");
    assert_eq!(view["planned_g"], 40.0);
    let told = view["concerns"].to_string();
    for said in [&told, &said] {
        assert!(said.contains("opened again later"), "{said}");
    }
}
