//! The finished mix leaves its jar for other vessels, on a real line.

use crate::bench::{Bench, kinds, micrograms};

#[test]
fn what_is_decanted_is_in_its_bottle_and_what_stays_goes_on_the_shelf() {
    let mut bench = Bench::new();
    bench.open("quarry-bottle.toml");
    bench.put_jar();
    let _poured = [bench.pour_step(0), bench.pour_step(0)];
    let doing = bench.wait_doing("decant")["doing"].clone();
    assert_eq!(micrograms(&doing["decant_g"]), 30_000_000);
    assert_eq!(doing["into"], "squeeze bottle");
    bench.scale.take(30_000_000);
    bench.wait("the pump bottle", |view| {
        (view["doing"]["into"] == "pump bottle").then_some(())
    });

    bench.scale.lift();
    bench.wait_doing("jar-gone");
    bench.scale.take(66_000_000);
    bench.scale.put_back();
    bench.wait_doing("decant");
    bench.wait_settled(-66.0);
    bench.tell(&["next"]);
    bench.wait_doing("complete");

    let record = bench.record();
    assert_eq!(record["state"], "complete");
    bench.check_jar(&record);
    assert!(!kinds(&record).contains(&"changed"), "{record}");
    let said: Vec<&str> = record["entries"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|entry| entry["kind"] == "decanted")
        .map(|entry| entry["text"].as_str().unwrap())
        .collect();
    assert!(
        said.iter()
            .any(|text| text.ends_with("into squeeze bottle")),
        "{said:?}"
    );
    assert!(
        said.iter().any(|text| text.ends_with("into pump bottle")),
        "{said:?}"
    );

    let mark = record["mark"].as_str().unwrap();
    let path = bench.home.path().join("shelf.toml");
    let file = path.to_str().unwrap();
    let kept = bench.tell(&[
        "shelf",
        "keep",
        mark,
        "--as",
        "quarry-heel",
        "--shelf",
        file,
    ]);
    let left: f64 = kept
        .trim_start_matches("quarry-heel: ")
        .split(' ')
        .next()
        .unwrap()
        .parse()
        .unwrap();
    assert!((left - 4.0).abs() < 0.31, "the heel only: {kept}");
}
