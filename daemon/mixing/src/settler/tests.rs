use std::str::FromStr;

use proptest::prelude::*;
use tarehand_protocol::{Basis, Decimal, MassUnit, NoWeight, Sent};

use super::*;

fn weight(text: &str, motion: Motion) -> Signal {
    let sent = Sent::Single(Decimal::from_str(text).unwrap(), MassUnit::Gram);
    let gross = sent.mass().unwrap();
    Signal::Reading(Reading::Weight(Weighed {
        gross,
        sent,
        basis: Basis::Gross,
        motion,
    }))
}

fn grams(text: &str) -> Mass {
    format!("{text} g").parse().unwrap()
}

/// Plays readings one period apart and returns the facts but for the live ones.
fn play(settler: &mut Settler, start_ms: u64, period_ms: u64, texts: &[&str]) -> Vec<Fact> {
    let moments = (0..).map(|count| Tick::from_millis(start_ms + count * period_ms));
    let facts = moments
        .zip(texts)
        .flat_map(|(at, text)| settler.step(at, weight(text, Motion::Unknown)));
    facts
        .filter(|fact| !matches!(fact, Fact::Live(_) | Fact::Back { .. }))
        .collect()
}

#[track_caller]
fn check(period_ms: u64, texts: &[&str], expect: &[Fact]) {
    assert_eq!(
        play(
            &mut Settler::new(Reports::Stream, Some(grams("0.1"))),
            0,
            period_ms,
            texts
        ),
        expect
    );
}

fn settled(text: &str, change: Change) -> Fact {
    Fact::Settled {
        gross: grams(text),
        change,
    }
}

#[test]
fn a_stream_settles_after_a_second_of_agreement() {
    check(100, &["5.0"; 10], &[]);
    check(100, &["5.0"; 11], &[settled("5.0", Change::Unclear)]);
}

#[test]
fn a_slow_scale_needs_three_readings_however_long_that_takes() {
    check(3_300, &["5.0"; 2], &[]);
    check(3_300, &["5.0"; 3], &[settled("5.0", Change::Unclear)]);
}

#[test]
fn one_division_of_flicker_is_quiet_and_five_a_second_are_not() {
    let flicker: Vec<&str> = ["5.0", "5.1"].into_iter().cycle().take(14).collect();
    check(100, &flicker, &[settled("5.0", Change::Unclear)]);
    let creeping: Vec<String> = (0..40)
        .map(|count| format!("{:.1}", 5.0 + f64::from(count) * 0.05))
        .collect();
    let creeping: Vec<&str> = creeping.iter().map(String::as_str).collect();
    check(100, &creeping, &[]);
}

#[test]
fn moving_vetoes_and_stable_alone_does_not_suffice() {
    let mut settler = Settler::new(Reports::Stream, Some(grams("0.1")));
    for count in 0..30 {
        let facts = settler.step(
            Tick::from_millis(count * 100),
            weight("5.0", Motion::Moving),
        );
        assert!(
            !facts
                .iter()
                .any(|fact| matches!(fact, Fact::Settled { .. }))
        );
    }
    let mut settler = Settler::new(Reports::Stream, Some(grams("0.1")));
    let facts = settler.step(Tick::ZERO, weight("5.0", Motion::Stable));
    assert!(
        !facts
            .iter()
            .any(|fact| matches!(fact, Fact::Settled { .. }))
    );
}

// The four numbers stand in github.com/bogde/HX711/issues/216: the negative one is a slipped bit, not a weight.
#[test]
fn a_single_spike_is_named_and_left_out() {
    let mut settler = Settler::new(Reports::Stream, Some(grams("0.1")));
    play(&mut settler, 0, 100, &["170.95"; 12]);
    let facts = play(
        &mut settler,
        1_200,
        100,
        &["171.04", "-143.37", "171.36", "171.04"],
    );
    assert_eq!(
        facts,
        [Fact::Spike {
            gross: grams("-143.37")
        }]
    );
}

/// Plays readings and returns how far the last is ahead of what is judged.
fn ahead(texts: &[&str]) -> Mass {
    let mut settler = Settler::new(Reports::Stream, Some(grams("0.1")));
    play(&mut settler, 0, 100, texts);
    settler.ahead()
}

#[test]
fn in_a_pour_the_newest_reading_is_ahead_by_what_came_since() {
    assert_eq!(ahead(&["1.0", "1.5", "2.1"]), grams("0.6"));
    assert_eq!(ahead(&["5.0", "4.0", "3.0"]), grams("-1.0"));
}

#[test]
fn a_spike_and_a_flicker_are_never_ahead() {
    for texts in [
        &["5.0", "5.0", "60.0"][..],
        &["5.0", "5.5", "60.0"],
        &["5.0", "60.0", "5.0"],
        &["60.0", "5.0", "5.1"],
        &["5.0", "5.0", "5.1"],
        &["5.1", "5.0", "5.1"],
        &["5.0", "5.1"],
    ] {
        assert_eq!(ahead(texts), Mass::ZERO, "{texts:?}");
    }
    let mut slow = Settler::new(Reports::Stream, Some(grams("0.1")));
    play(&mut slow, 0, 500, &["1.0", "1.5", "2.1"]);
    assert_eq!(slow.ahead(), Mass::ZERO, "it is judged at once");
}

#[test]
fn silence_of_a_second_and_a_half_is_no_weight() {
    let mut settler = Settler::new(Reports::Stream, None);
    play(&mut settler, 0, 100, &["5.0"; 12]);
    assert_eq!(settler.wake_at(), Some(Tick::from_millis(2_600)));
    assert_eq!(settler.step(Tick::from_millis(2_599), Signal::Wake), []);
    assert_eq!(
        settler.step(Tick::from_millis(2_600), Signal::Wake),
        [Fact::Lost]
    );
    let facts = settler.step(Tick::from_millis(9_000), weight("7.0", Motion::Unknown));
    assert_eq!(
        facts[0],
        Fact::Back {
            zero: Zero::Trusted
        }
    );
}

#[test]
fn a_slow_scale_may_be_silent_for_three_periods() {
    let mut settler = Settler::new(Reports::Stream, None);
    play(&mut settler, 0, 3_000, &["5.0"; 8]);
    assert_eq!(settler.wake_at(), Some(Tick::from_millis(21_000 + 9_000)));
}

#[test]
fn a_slow_scale_is_known_again_after_a_burst_of_lines() {
    let mut settler = Settler::new(Reports::Stream, Some(grams("0.1")));
    play(&mut settler, 0, 3_300, &["5.0"; 6]);
    // A stalled link hands out what had piled up: nine lines within one read.
    play(&mut settler, 17_000, 0, &["5.0"; 9]);
    let mut facts = Vec::new();
    for count in 0..20_u64 {
        let at = Tick::from_millis(20_000 + count * 3_300);
        facts.extend(settler.step(at, Signal::Wake));
        facts.extend(settler.step(at, weight("6.0", Motion::Unknown)));
    }
    assert!(facts.contains(&settled("6.0", Change::Unclear)));
    assert_ne!(facts.last(), Some(&Fact::Lost));
}

#[test]
fn a_scale_that_reports_on_change_never_tells_a_pour_from_a_jar_put_down() {
    let mut settler = Settler::new(Reports::OnChange, Some(grams("0.1")));
    play(&mut settler, 0, 20, &["0.0"; 3]);
    settler.step(Tick::from_millis(800), Signal::Wake);
    let texts: Vec<String> = (1..40).map(|count| format!("{}.0", count * 2)).collect();
    let texts: Vec<&str> = texts.iter().map(String::as_str).collect();
    play(&mut settler, 5_000, 20, &texts);
    assert_eq!(
        settler.step(Tick::from_millis(9_000), Signal::Wake),
        [settled("78.0", Change::Unclear)]
    );
}

#[test]
fn an_opened_link_makes_the_zero_suspect() {
    let mut settler = Settler::new(Reports::Stream, None);
    play(&mut settler, 0, 100, &["5.0"; 12]);
    assert_eq!(
        settler.step(Tick::from_millis(1_300), Signal::Gone),
        [Fact::Lost]
    );
    assert_eq!(settler.step(Tick::from_millis(2_000), Signal::Opened), []);
    let facts = settler.step(Tick::from_millis(2_100), weight("0.0", Motion::Unknown));
    assert_eq!(
        facts[0],
        Fact::Back {
            zero: Zero::Suspect
        }
    );
}

#[test]
fn words_after_a_pause_are_a_banner_and_make_the_zero_suspect() {
    for silence in [Some(2_600), None] {
        let mut settler = Settler::new(Reports::Stream, None);
        play(&mut settler, 0, 100, &["5.0"; 12]);
        let lost = silence
            .map(|at| settler.step(Tick::from_millis(at), Signal::Wake))
            .into_iter()
            .flatten();
        let banner = settler.step(Tick::from_millis(2_700), Signal::Words);
        assert_eq!(lost.chain(banner).collect::<Vec<_>>(), [Fact::Lost]);
        let facts = settler.step(Tick::from_millis(2_800), weight("0.0", Motion::Unknown));
        assert_eq!(
            facts[0],
            Fact::Back {
                zero: Zero::Suspect
            }
        );
    }
}

#[test]
fn a_broken_line_among_readings_is_no_banner() {
    let mut settler = Settler::new(Reports::Stream, None);
    play(&mut settler, 0, 100, &["5.0"; 12]);
    assert_eq!(settler.step(Tick::from_millis(1_200), Signal::Words), []);
    assert_eq!(
        play(&mut settler, 1_300, 100, &["5.0"; 3]),
        [],
        "nothing was lost"
    );
}

#[test]
fn a_lifted_jar_is_told_at_once_and_a_spoon_taken_off_is_not() {
    let mut settler = Settler::new(Reports::Stream, Some(grams("0.1")));
    play(&mut settler, 0, 100, &["200.0"; 12]);
    assert_eq!(play(&mut settler, 1_200, 100, &["180.0"; 8]), []);
    play(&mut settler, 2_000, 100, &["180.0"; 8]);
    let facts = play(&mut settler, 2_800, 100, &["0.0"; 4]);
    assert_eq!(facts, [Fact::Unloaded { gross: Mass::ZERO }]);
}

#[test]
fn a_pour_right_after_the_load_went_away_is_gradual_and_a_jar_is_not() {
    let mut poured: Vec<String> = (0..20)
        .map(|count| format!("{:.1}", f64::from(count) * 2.5))
        .collect();
    poured.extend(vec!["50.0".to_owned(); 12]);
    let poured: Vec<&str> = poured.iter().map(String::as_str).collect();
    for (texts, change) in [
        (poured.as_slice(), Change::Gradual),
        (&["50.0"; 14], Change::Jump),
    ] {
        let mut settler = Settler::new(Reports::Stream, Some(grams("0.1")));
        play(&mut settler, 0, 100, &["60.0"; 12]);
        let facts = play(&mut settler, 1_200, 100, &["0.0"; 3]);
        assert_eq!(facts, [Fact::Unloaded { gross: Mass::ZERO }]);
        let facts = play(&mut settler, 1_500, 100, texts);
        assert_eq!(facts, [settled("50.0", change)]);
    }
}

#[test]
fn a_thing_put_down_is_a_jump_and_a_pour_is_gradual() {
    let mut settler = Settler::new(Reports::Stream, Some(grams("0.1")));
    play(&mut settler, 0, 100, &["0.0"; 12]);
    assert_eq!(
        play(&mut settler, 1_200, 100, &["150.0"; 14]),
        [settled("150.0", Change::Jump)]
    );
    let mut pour: Vec<String> = (0..30).map(|count| format!("{}.0", 150 + count)).collect();
    pour.extend(vec!["180.0".to_owned(); 14]);
    let pour: Vec<&str> = pour.iter().map(String::as_str).collect();
    assert_eq!(
        play(&mut settler, 2_600, 100, &pour),
        [settled("180.0", Change::Gradual)]
    );
}

#[test]
fn the_flow_is_the_slope_of_the_pour() {
    let mut settler = Settler::new(Reports::Stream, Some(grams("0.1")));
    let mut flow = 0.0;
    for count in 0..20_u64 {
        let text = format!("{}.{}", count / 2, count % 2 * 5);
        for fact in settler.step(
            Tick::from_millis(count * 100),
            weight(&text, Motion::Unknown),
        ) {
            if let Fact::Live(live) = fact {
                flow = live.flow_g_s;
            }
        }
    }
    assert!(
        (4.5..=5.5).contains(&flow),
        "half a gram each tenth of a second is 5 g/s, not {flow}"
    );
}

#[test]
fn a_display_that_counts_by_fives_is_found_out() {
    let mut settler = Settler::new(Reports::Stream, None);
    let texts: Vec<String> = (0..30)
        .map(|count| format!("{:.2}", f64::from(count) * 0.05))
        .collect();
    let texts: Vec<&str> = texts.iter().map(String::as_str).collect();
    play(&mut settler, 0, 100, &texts);
    assert_eq!(settler.division(), Some(grams("0.05")));
}

#[test]
fn a_jar_of_a_round_weight_says_nothing_of_the_division() {
    let mut settler = Settler::new(Reports::Stream, None);
    for round in 0..30 {
        play(&mut settler, round * 6_000, 100, &["0"; 30]);
        play(&mut settler, round * 6_000 + 3_000, 100, &["50"; 30]);
    }
    assert_eq!(settler.division(), Some(grams("1")));
}

#[test]
fn a_scale_that_reports_on_change_settles_when_nothing_follows() {
    let mut settler = Settler::new(Reports::OnChange, Some(grams("0.1")));
    settler.step(Tick::ZERO, weight("5.0", Motion::Stable));
    settler.step(Tick::from_millis(300), weight("6.0", Motion::Stable));
    assert_eq!(settler.step(Tick::from_millis(999), Signal::Wake), []);
    assert_eq!(
        settler.step(Tick::from_millis(1_000), Signal::Wake),
        [settled("6.0", Change::Unclear)]
    );
    assert_eq!(settler.wake_at(), None, "silence is usual for such a scale");
}

#[test]
fn a_finished_weighing_is_settled_by_itself() {
    let mut settler = Settler::new(Reports::Finished, Some(grams("5")));
    let facts = settler.step(Tick::ZERO, weight("45", Motion::Unknown));
    assert!(facts.contains(&settled("45", Change::Unclear)));
}

#[test]
fn no_weight_is_passed_on_and_never_settles() {
    let mut settler = Settler::new(Reports::Stream, Some(grams("0.1")));
    play(&mut settler, 0, 100, &["5.0"; 9]);
    let facts = settler.step(
        Tick::from_millis(900),
        Signal::Reading(Reading::NoWeight(NoWeight::Over)),
    );
    assert_eq!(facts, [Fact::NoWeight(NoWeight::Over)]);
    assert_eq!(play(&mut settler, 1_000, 100, &["5.0"; 10]), []);
}

proptest! {
    /// Whatever a scale sends, a settled weight lies within one band of every reading of the second before it.
    #[test]
    fn a_settled_weight_is_near_every_reading_of_its_second(
        readings in prop::collection::vec((0_u32..3, 0_i64..2_000), 1..200),
        period_ms in prop::sample::select(vec![12_u64, 100, 250, 1_000]),
    ) {
        let mut settler = Settler::new(Reports::Stream, Some(Mass::from_milligrams(100)));
        let mut seen: Vec<(Tick, Mass)> = Vec::new();
        let mut now = Tick::ZERO;
        let mut level = 0;
        for (kind, value) in readings {
            // Mostly quiet, with jumps: random values alone would never settle.
            if kind == 0 { level = value; }
            for _ in 0..12 {
                let text = format!("{}.{}", level / 10, level % 10);
                let live: Vec<Fact> = settler.step(now, weight(&text, Motion::Unknown));
                for fact in &live {
                    if let Fact::Live(live) = fact { seen.push((now, live.gross)); }
                    if let Fact::Settled { gross, .. } = fact {
                        let band = settler.band();
                        for &(at, mass) in seen.iter().rev().take_while(|(at, _)| now.since(*at) < QUIET) {
                            prop_assert!((mass - *gross).abs() <= band, "{mass} at {at:?} against {gross}");
                        }
                    }
                }
                now = now + Duration::from_millis(period_ms);
            }
        }
    }
}

#[test]
fn a_jar_that_stands_still_says_nothing_about_the_division() {
    let mut settler = Settler::new(Reports::Stream, None);
    play(&mut settler, 0, 100, &["0.0"; 10]);
    play(&mut settler, 1_000, 100, &["80.0"; 60]);
    assert_eq!(settler.division(), Some(grams("0.1")));
}
