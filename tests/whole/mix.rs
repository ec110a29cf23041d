//! A batch from the recipe to the record.

mod jar;
mod scales;

use serde_json::{Value, json};
use tarehand_tests::{LIMIT, ScaleSetting, wait_for};

use crate::bench::{Bench, Poured, fixture, kinds, micrograms};

/// The ratio that was wanted is the ratio in the jar, by our own arithmetic.
#[track_caller]
fn check_ratio(record: &Value) {
    let total = record["in_jar_g"].as_f64().unwrap();
    let shares = [
        ("base", 0.5),
        ("green-paste", 0.25),
        ("white", 0.15),
        ("binder", 0.075),
        ("thickener", 0.025),
    ];
    for (key, share) in shares {
        let mut contents = record["contents"].as_array().unwrap().iter();
        let line = contents.find(|line| line["ingredient"] == key).unwrap();
        let away = (line["poured_g"].as_f64().unwrap() - share * total).abs();
        assert!(away < 1.0, "{key} is {away} g away in {record}");
    }
}

#[test]
fn a_large_overshoot_is_held_and_the_chosen_way_out_is_carried_through() {
    let mut bench = Bench::new();
    let mix = bench.mix("quarry-green.toml", &[]);
    bench.put_jar();
    let mut poured = vec![bench.pour_step(0), bench.pour_step(15_000_000)];
    let question = bench.wait_asked("overshoot");
    assert_eq!(bench.view()["state"], "held");
    // 65 g are a quarter of 260 g, by hand.
    let first = &question["options"][0];
    assert_eq!(
        (&first["kind"], micrograms(&first["total_g"])),
        (&json!("top-up-exact"), 260_000_000)
    );
    bench.tell(&["answer", "1"]);
    poured.extend(bench.pour_rest(0));
    let told = mix.finish(LIMIT).good();
    assert!(told.contains("question: "), "{told}");
    let amounts: Vec<i64> = poured.iter().map(|poured| poured.ug / 1_000).collect();
    assert_eq!(amounts, [100_000, 65_000, 30_000, 39_000, 19_500, 6_500]);
    check_ratio(&bench.check_grams(&poured));
}

#[test]
fn a_batch_that_is_given_up_ends_with_one_and_stays_in_the_log() {
    let mut bench = Bench::new();
    let mix = bench.mix("quarry-green.toml", &[]);
    bench.put_jar();
    let poured = [bench.pour_step(0)];
    // Nobody can be asked here, so it must be said.
    let _refused = bench.person(&["abort"]).with_code(2);
    bench.tell(&["abort", "--yes"]);
    let _ended = mix.finish(LIMIT).with_code(1);
    let record = bench.check_grams(&poured);
    assert_eq!(record["state"], "aborted");
}

#[test]
fn a_step_may_be_left_out() {
    let mut bench = Bench::new();
    bench.open("quarry-green.toml");
    bench.put_jar();
    bench.wait_doing("pour");
    bench.tell(&["skip"]);
    let poured = bench.pour_rest(0);
    assert_eq!(poured.len(), 4);
    let record = bench.check_grams(&poured);
    assert_eq!(record["steps"][0]["verdict"], "skipped");
    assert_eq!(record["state"], "complete");
}

#[test]
fn going_back_reopens_a_step_and_the_person_finishes_it() {
    let mut bench = Bench::new();
    bench.open("quarry-green.toml");
    bench.put_jar();
    let mut poured = vec![bench.pour_step(0)];
    bench.tell(&["back"]);
    let view = bench.wait_doing("pour");
    assert_eq!(view["doing"]["ingredient"], "base");
    bench.pour(400_000);
    poured[0].ug += 400_000;
    bench.wait_settled(100.4);
    bench.tell(&["next"]);
    bench.wait("the second step", |view| {
        (view["doing"]["ingredient"] == "green-paste").then_some(())
    });
    poured.extend(bench.pour_rest(0));
    bench.check_grams(&poured);
}

#[test]
fn a_rescue_taken_by_the_limit_can_be_taken_back() {
    let mut bench = Bench::new();
    bench.open("quarry-green.toml");
    bench.put_jar();
    let mut poured = vec![bench.pour_step(0), bench.pour_step(3_000_000)];
    let more = bench.wait_doing("pour");
    assert_eq!(more["doing"]["extra"], true);
    bench.tell(&["undo"]);
    let question = bench.wait_asked("overshoot");
    let options = question["options"].as_array().unwrap();
    let mut options = options.iter();
    let accept = options.find(|option| option["kind"] == "accept").unwrap();
    bench.tell(&["answer", &accept["option"].to_string()]);
    poured.extend(bench.pour_rest(0));
    let amounts: Vec<i64> = poured.iter().map(|poured| poured.ug / 1_000).collect();
    assert_eq!(amounts, [100_000, 53_000, 30_000, 15_000, 5_000]);
    bench.check_grams(&poured);
}

#[test]
fn nothing_is_judged_in_a_pause_and_what_was_poured_in_it_is_found() {
    let mut bench = Bench::new();
    bench.open("quarry-green.toml");
    bench.put_jar();
    bench.wait_doing("pour");
    bench.tell(&["pause"]);
    assert_eq!(bench.wait_doing("paused")["state"], "paused");
    let base = Poured {
        ingredient: "base".to_owned(),
        ug: 100_000_000,
    };
    bench.pour(base.ug);
    bench.wait_weight("the settled pour", |weight| {
        let there = micrograms(&weight["gross_g"]) == 160_000_000;
        (there && weight["settled"] == true).then_some(())
    });
    assert_eq!(bench.view()["steps"][0]["status"], "now");
    bench.tell(&["resume"]);
    bench.wait("the second step", |view| {
        (view["doing"]["ingredient"] == "green-paste").then_some(())
    });
    let mut poured = vec![base];
    poured.extend(bench.pour_rest(0));
    bench.check_grams(&poured);
}

#[test]
fn a_shortfall_is_what_the_person_accepts_with_next() {
    let mut bench = Bench::new();
    bench.open("quarry-green.toml");
    bench.put_jar();
    let (_, base) = bench.pour_running(-4_000_000);
    bench.wait_settled(96.0);
    assert_eq!(
        bench.view()["doing"]["ingredient"],
        "base",
        "it goes on waiting"
    );
    bench.tell(&["next"]);
    let mut poured = vec![base];
    poured.extend(bench.pour_rest(0));
    let record = bench.check_grams(&poured);
    assert_eq!(record["steps"][0]["verdict"], "shortfall");
}

#[test]
fn drops_are_counted_by_the_person_and_weighed_by_the_scale() {
    let setting = ScaleSetting {
        division: "0.01",
        ..ScaleSetting::default()
    };
    let mut bench = Bench::with(&setting);
    let shelf = fixture("shelf.toml");
    let flags = ["--shelf", shelf.to_str().unwrap(), "--make", "40.6g"];
    let mix = bench.mix("tinted-glaze.toml", &flags);
    bench.put_jar();
    let mut poured = vec![bench.pour_step(0)];
    let view = bench.wait_doing("count");
    assert!(
        view["doing"]["count"].as_str().unwrap().contains("12"),
        "{view}"
    );
    for _ in 0..12 {
        bench.scale.pour_at_once(50_000);
    }
    poured.push(Poured {
        ingredient: "Blue in drops".to_owned(),
        ug: 600_000,
    });
    bench.wait_settled(0.6);
    bench.tell(&["next"]);
    let _told = mix.finish(LIMIT).good();
    bench.check_grams(&poured);
}

#[test]
fn going_away_from_the_screen_ends_nothing() {
    let mut bench = Bench::new();
    let mix = bench.mix("quarry-green.toml", &[]);
    bench.put_jar();
    let mut poured = vec![bench.pour_step(0)];
    drop(mix);
    poured.push(bench.pour_step(0));
    let again = {
        let mut command = bench.home.tarehand(&["mix"]);
        tarehand_tests::Running::start(&mut command, std::process::Stdio::null())
    };
    wait_for("the batch to be told", LIMIT, || {
        again.said().0.contains("Quarry green").then_some(())
    });
    poured.extend(bench.pour_rest(0));
    let _told = again.finish(LIMIT).good();
    bench.check_grams(&poured);
}

#[test]
fn thinning_ends_when_the_measured_trail_is_short_enough() {
    let mut bench = Bench::new();
    bench.open("thin-slip.toml");
    bench.put_jar();
    let mut poured = vec![bench.pour_step(0)];
    bench.wait_doing("thin");
    bench.tell(&["trail", "9"]);
    for splash in [2_000_000, 1_500_000] {
        bench.pour(splash);
        poured.push(Poured {
            ingredient: "water".to_owned(),
            ug: splash,
        });
    }
    bench.wait_settled(3.5);
    assert_eq!(bench.view()["doing"]["what"], "thin");
    // Half a second too short is right; more is too thin, and ends nothing.
    bench.tell(&["trail", "3"]);
    bench.wait_asked("too-thin");
    bench.tell(&["cup", "60", "s", "iso-4"]);
    // Measured again it was right after all: the question is answered.
    bench.tell(&["trail", "3.6"]);
    bench.wait_doing("complete");
    let record = bench.check_grams(&poured);
    assert!(kinds(&record).contains(&"trail"), "{record}");
    assert!(kinds(&record).contains(&"flow-timed"), "{record}");
}

#[test]
fn a_mix_that_is_too_thin_is_put_right_with_more_of_it_without_thinner() {
    let mut bench = Bench::new();
    bench.open("thin-slip.toml");
    bench.put_jar();
    let mut poured = vec![bench.pour_step(0)];
    bench.wait_doing("thin");
    bench.tell(&["trail", "9"]);
    bench.pour(7_000_000);
    poured.push(Poured {
        ingredient: "water".to_owned(),
        ug: 7_000_000,
    });
    bench.wait_settled(7.0);
    bench.tell(&["trail", "2"]);
    let question = bench.wait_asked("too-thin");
    let options = question["options"].as_array().unwrap();
    let unthinned = options
        .iter()
        .find(|option| option["kind"] == "unthinned")
        .unwrap();
    bench.tell(&["answer", &unthinned["option"].to_string()]);
    poured.push(bench.pour_step(0));
    bench.wait_doing("thin");
    bench.tell(&["trail", "4"]);
    bench.wait_doing("complete");
    let record = bench.check_grams(&poured);
    assert!(kinds(&record).contains(&"rescued"), "{record}");
}
