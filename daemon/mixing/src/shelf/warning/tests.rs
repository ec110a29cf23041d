use super::*;
use crate::document::Source;
use crate::units::Measures;

#[track_caller]
fn said(text: &str, drawn_grams: i64) -> Vec<String> {
    let (shelf, problems) = Shelf::parse(&Source::new("shelf.toml", text), &Measures::default());
    assert_eq!(problems, []);
    let draw = Draw {
        at: "2026-11-20T08:00:00Z".parse().unwrap(),
        batch: "8KER7".to_owned(),
        mass: Mass::from_grams(drawn_grams),
    };
    let drawn = BTreeMap::from([("binder".to_owned(), vec![draw])]);
    let found = warnings(&shelf, &drawn, "2026-11-25".parse().unwrap());
    found.iter().map(ToString::to_string).collect()
}

const PACKS: &str = "\
[ingredient.binder]
[[ingredient.binder.pack]]
holds = \"1 kg\"
left = \"300 g\"
weighed = \"2026-11-02T10:15:00Z\"
lot = \"B7\"
opened = \"2025-10-02\"
best_before = \"2026-11-24\"
[[ingredient.binder.pack]]
holds = \"1 kg\"
lot = \"C2\"
";

#[test]
fn an_old_pack_is_named_while_something_is_left_of_it() {
    assert_eq!(
        said(PACKS, 20),
        [
            "`binder`, lot B7 is past its best before, 2026-11-24: test it before it is used",
            "`binder`, lot B7 was opened long ago, 2025-10-02: look at it, smell it, test it",
        ]
    );
    assert_eq!(said(PACKS, 300), [""; 0]);
}

#[test]
fn little_is_below_a_tenth_of_the_largest_pack_unless_the_shelf_says() {
    assert_eq!(
        said(PACKS, 1_250),
        ["`binder` is low: 50 g left, less than 100 g"]
    );
    assert_eq!(said(PACKS, 1_200), [""; 0]);
    let told = PACKS.replace("[ingredient.binder]", "[ingredient.binder]\nlow = \"20 %\"");
    assert_eq!(
        said(&told, 1_200),
        ["`binder` is low: 100 g left, less than 200 g"]
    );
    let mass = "[ingredient.binder]\nstock = \"90 g\"\nlow = \"0.1 kg\"\n";
    assert_eq!(
        said(mass, 0),
        ["`binder` is low: 90 g left, less than 100 g"]
    );
    assert_eq!(said("[ingredient.binder]\nstock = \"90 g\"\n", 0), [""; 0]);
}

#[test]
fn nothing_left_and_more_than_there_was_are_said() {
    assert_eq!(said(PACKS, 1_300), ["nothing is left of `binder`"]);
    assert_eq!(
        said(PACKS, 1_310),
        [
            "10 g more of `binder` were poured than its packs held: weigh the pack in use, or add the one that is missing",
            "nothing is left of `binder`"
        ]
    );
}

#[test]
fn a_bad_dry_test_is_said_of_the_lot_in_use_until_a_later_one_is_good() {
    let test = |date: &str, lot: &str, result: &str| {
        format!(
            "[[ingredient.binder.dry_test]]\ndate = \"{date}\"\nlot = \"{lot}\"\nresult = \"{result}\"\n"
        )
    };
    let bad = format!("{PACKS}{}", test("2026-11-10", "C2", "cloudy"));
    // Lot C2 is not in use while B7 has something.
    assert_eq!(said(&bad, 20).len(), 2);
    assert_eq!(
        said(&bad, 300),
        [
            "`binder`, lot C2 dried cloudy in the test of 2026-11-10: take another lot, or test it again"
        ]
    );
    let good = format!("{bad}{}", test("2026-11-12", "C2", "clear"));
    assert_eq!(said(&good, 300), [""; 0]);
}
