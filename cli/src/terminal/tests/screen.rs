//! The screen in its sizes.

use std::time::Duration;

use tarehand_protocol::api::{
    BatchStateWord, CommandRequest, CommandWord, ConcernLine, Doing, StepStatus, TapsHeard,
    VerdictWord, View, WeightNow, WeightState,
};

use super::super::keys::command;
use super::super::line::Line;
use super::super::render::render;
use super::super::scene::{Asking, Link, Scene, Weight};
use super::super::style::{DRAWN, Size, Style, TYPED};
use super::views::{batch, empty, overshoot, pouring, weight};
use crate::output::Ink;

/// A scene, to be changed by the test.
struct Shot {
    view: View,
    weight: Option<WeightNow>,
    age_ms: u64,
    since_view: Duration,
    link: Link,
    asking: Asking,
    marks: &'static super::super::style::Marks,
}

impl Shot {
    fn new(view: View, weight: Option<WeightNow>) -> Self {
        Self {
            view,
            weight,
            age_ms: 60,
            since_view: Duration::ZERO,
            link: Link::Live,
            asking: Asking::Nothing,
            marks: &DRAWN,
        }
    }

    fn lines(&self, columns: usize, rows: usize) -> Vec<Line> {
        let scene = Scene {
            view: &self.view,
            since_view: self.since_view,
            weight: self.weight.as_ref().map(|now| Weight {
                now,
                age_ms: self.age_ms,
            }),
            link: self.link,
            asking: &self.asking,
            notice: None,
        };
        let style = Style {
            ink: Ink::Plain,
            marks: self.marks,
        };
        let lines = render(&scene, Size { columns, rows }, style);
        assert_eq!(lines.len(), rows, "as many lines as rows");
        for line in &lines {
            assert!(line.width() <= columns, "too long: {}", line.text());
        }
        lines
    }

    /// The text of the screen; `|` marks the left edge.
    fn text(&self, columns: usize, rows: usize) -> String {
        let lines = self.lines(columns, rows);
        let lines = lines
            .iter()
            .map(|line| format!("|{}", line.text().trim_end()));
        lines.collect::<Vec<_>>().join("\n")
    }
}

#[test]
fn pouring_shows_what_is_left_and_the_beam() {
    let mut pour = weight(20.3);
    pour.settled = false;
    pour.flow_g_s = 3.4;
    let shot = Shot::new(pouring(), Some(pour));
    insta::assert_snapshot!(shot.text(80, 24), @r"
    |Lagoon round, pearl blue · K7F2A · running · 150.0 g
    |
    |Pour Slow medium
    |to 57.0 g, give or take 1.1 g
    |caution: ventilate
    |
    |█████   ████     ██████
    |    ██ ██            ██
    |  ███  █████        ██
    |    ██ ██  ██      ██
    |█████   ████  ██   ██
    |g left   20.3 g in, 3.4 g/s
    |                      ▐█▌
    |━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━┓    ┏━━━━━━━━━━━━
    |▲                                                      57.0 g ┗━━━━┛
    |
    |✓ stir 20 s
    |▸ Slow medium                            57.00 g
    |· Pearl medium                           21.60 g
    |· look: one even blue, no streaks on th…
    |· Glide additive                         0.14 g
    |· rest 25 s
    |now Slow medium
    |n next  s skip  p pause  b back  u undo  t trail  x give up  q leave
    ");
    insta::assert_snapshot!(shot.text(40, 24), @r"
    |Lagoon round, pearl blue · K7F2A · runn…
    |
    |Pour Slow medium
    |to 57.0 g, give or take 1.1 g
    |caution: ventilate
    |
    |█████   ████     ██████
    |    ██ ██            ██
    |  ███  █████        ██
    |    ██ ██  ██      ██
    |█████   ████  ██   ██
    |g left   20.3 g in, 3.4 g/s
    |          ▐█▌
    |━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━┓   ┏━━━━━
    |▲                      57.0 g ┗━━━┛
    |
    |✓ stir 20 s
    |▸ Slow medium        57.00 g
    |· Pearl medium       21.60 g
    |· look: one even bl…
    |· Glide additive     0.14 g
    |now Slow medium
    |n next  s skip  p pause  b back  u undo
    |t trail  x give up  q leave
    ");
}

#[test]
fn near_the_notch_it_says_slowly() {
    let mut near = weight(53.8);
    near.settled = false;
    near.flow_g_s = 2.1;
    let shot = Shot::new(pouring(), Some(near));
    insta::assert_snapshot!(shot.text(80, 24), @r"
    |Lagoon round, pearl blue · K7F2A · running · 150.0 g
    |
    |Pour Slow medium
    |to 57.0 g, give or take 1.1 g
    |caution: ventilate
    |
    |█████     █████
    |    ██        ██
    |  ███      ████
    |    ██    ██
    |█████  ██ ██████
    |g left: slowly   53.8 g in, 2.1 g/s
    |                                                            ▐█▌
    |━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━┓    ┏━━━━━━━━━━━━
    |▲                                                      57.0 g ┗━━━━┛
    |
    |✓ stir 20 s
    |▸ Slow medium                            57.00 g
    |· Pearl medium                           21.60 g
    |· look: one even blue, no streaks on th…
    |· Glide additive                         0.14 g
    |· rest 25 s
    |now Slow medium
    |n next  s skip  p pause  b back  u undo  t trail  x give up  q leave
    ");
    insta::assert_snapshot!(shot.text(40, 24), @r"
    |Lagoon round, pearl blue · K7F2A · runn…
    |
    |Pour Slow medium
    |to 57.0 g, give or take 1.1 g
    |caution: ventilate
    |
    |█████     █████
    |    ██        ██
    |  ███      ████
    |    ██    ██
    |█████  ██ ██████
    |g left: slowly   53.8 g in, 2.1 g/s
    |                             ▐█▌
    |━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━┓   ┏━━━━━
    |▲                      57.0 g ┗━━━┛
    |
    |✓ stir 20 s
    |▸ Slow medium        57.00 g
    |· Pearl medium       21.60 g
    |· look: one even bl…
    |· Glide additive     0.14 g
    |now Slow medium
    |n next  s skip  p pause  b back  u undo
    |t trail  x give up  q leave
    ");
}

#[test]
fn inside_the_notch_it_says_so_in_words() {
    let shot = Shot::new(pouring(), Some(weight(56.6)));
    let text = shot.text(80, 24);
    assert!(text.contains("inside, settled"), "{text}");
}

#[test]
fn too_much_is_said_and_tips_the_arm() {
    let mut over = weight(63.4);
    over.flow_g_s = 4.0;
    let shot = Shot::new(pouring(), Some(over));
    insta::assert_snapshot!(shot.text(80, 24), @r"
    |Lagoon round, pearl blue · K7F2A · running · 150.0 g
    |
    |Pour Slow medium
    |to 57.0 g, give or take 1.1 g
    |caution: ventilate
    |
    |        ████     ██  ██
    |  ██   ██        ██  ██
    |██████ █████     ██████
    |  ██   ██  ██        ██
    |        ████  ██     ██
    |g too much: stop   63.4 g in, 4.0 g/s
    |
    |━━━━━━━━━━━━━━━━━━━━━━━━━━━
    |▲                          ━━━━━━━━━━━━━━━━━━━━━━━━━━━                 ▐█▌
    |                                                      ━━━━━━━━┓    ┏━━━━━━━━━━━━
    |                                                       57.0 g ┗━━━━┛
    |
    |✓ stir 20 s
    |▸ Slow medium                            57.00 g
    |· Pearl medium                           21.60 g
    |· look: one even blue, no streaks on th…
    |now Slow medium
    |n next  s skip  p pause  b back  u undo  t trail  x give up  q leave
    ");
    insta::assert_snapshot!(shot.text(40, 24), @r"
    |Lagoon round, pearl blue · K7F2A · runn…
    |
    |Pour Slow medium
    |to 57.0 g, give or take 1.1 g
    |caution: ventilate
    |
    |        ████     ██  ██
    |  ██   ██        ██  ██
    |██████ █████     ██████
    |  ██   ██  ██        ██
    |        ████  ██     ██
    |g too much: stop   63.4 g in, 4.0 g/s
    |
    |━━━━━━━━━━━━━━
    |▲             ━━━━━━━━━━━━━       ▐█▌
    |                           ━━━┓   ┏━━━━━
    |                       57.0 g ┗━━━┛
    |
    |✓ stir 20 s
    |▸ Slow medium        57.00 g
    |· Pearl medium       21.60 g
    |now Slow medium
    |n next  s skip  p pause  b back  u undo
    |t trail  x give up  q leave
    ");
}

#[test]
fn a_question_lists_the_ways_out_with_their_grams() {
    let shot = Shot::new(overshoot(), Some(weight(63.4)));
    insta::assert_snapshot!(shot.text(80, 24), @r"
    |Lagoon round, pearl blue · K7F2A · held · 150.0 g
    |
    |Slow medium: 63.4 g instead of 57.0 g. What now?
    |
    | 1  add of the others until the ratio is exact again
    |    pour 2.36 g Lagoon blue paste, 24.03 g Pearl medium: 166.8 g in all
    | 2  leave it as it is
    |    156.4 g in all
    | 3  take some out
    |    cannot be done: it is mixed already
    |    150.0 g in all
    |
    |No clean finger? Lift the jar and set it back: yes.
    |
    |✓ Lagoon blue paste                      21.20 of 21.00 g
    |✓ stir 20 s
    |▸ Slow medium                            57.00 g
    |· Pearl medium                           21.60 g
    |· look: one even blue, no streaks on th…
    |· Glide additive                         0.14 g
    |· rest 25 s
    |6.4 g too much: choose a way out
    |1–3 choose  y the first that can be done  b back  u undo  t trail  x give up
    |q leave
    ");
    insta::assert_snapshot!(shot.text(40, 24), @r"
    |Lagoon round, pearl blue · K7F2A · held…
    |
    |Slow medium: 63.4 g instead of 57.0 g.
    |What now?
    |
    | 1  add of the others until the ratio is
    |    exact again
    |    pour 2.36 g Lagoon blue paste,
    |    24.03 g Pearl medium: 166.8 g in all
    | 2  leave it as it is
    |    156.4 g in all
    | 3  take some out
    |    cannot be done: it is mixed already
    |    150.0 g in all
    |
    |No clean finger? Lift the jar and set it
    |back: yes.
    |
    |✓ stir 20 s
    |▸ Slow medium        57.00 g
    |6.4 g too much: choose a way out
    |1–3 choose  y the first that can be done
    |b back  u undo  t trail  x give up
    |q leave
    ");
}

#[test]
fn a_rest_counts_down_from_when_the_view_was_sent() {
    let mut shot = Shot::new(
        batch(Doing::Rest {
            step: 3,
            seconds: 150.0,
            left_ms: 125_000,
        }),
        Some(weight(0.0)),
    );
    shot.since_view = Duration::from_millis(3_500);
    insta::assert_snapshot!(shot.text(80, 24), @r"
    |Lagoon round, pearl blue · K7F2A · running · 150.0 g
    |
    |Let it rest
    |caution: ventilate
    |
    |█████      ████  █████
    |    ██ ██ ██  ██     ██
    | ████     ██  ██  ████
    |██     ██ ██  ██ ██
    |██████     ████  ██████
    |left to rest
    |
    |✓ Lagoon blue paste                      21.20 of 21.00 g
    |✓ stir 20 s
    |▸ Slow medium                            57.00 g
    |· Pearl medium                           21.60 g
    |· look: one even blue, no streaks on th…
    |· Glide additive                         0.14 g
    |· rest 25 s
    |
    |
    |
    |now Slow medium
    |n next  s skip  p pause  b back  u undo  t trail  x give up  q leave
    ");
    insta::assert_snapshot!(shot.text(40, 24), @r"
    |Lagoon round, pearl blue · K7F2A · runn…
    |
    |Let it rest
    |caution: ventilate
    |
    |█████      ████  █████
    |    ██ ██ ██  ██     ██
    | ████     ██  ██  ████
    |██     ██ ██  ██ ██
    |██████     ████  ██████
    |left to rest
    |
    |✓ Lagoon blue paste  21.20 of 21.00 g
    |✓ stir 20 s
    |▸ Slow medium        57.00 g
    |· Pearl medium       21.60 g
    |· look: one even bl…
    |· Glide additive     0.14 g
    |· rest 25 s
    |
    |
    |now Slow medium
    |n next  s skip  p pause  b back  u undo
    |t trail  x give up  q leave
    ");
}

#[test]
fn a_lost_scale_shows_no_number_as_the_weight() {
    let mut view = pouring();
    if let Some(scale) = &mut view.scale {
        scale.open = false;
        scale.trouble = Some("unplugged".to_owned());
        scale.hint = Some("plug it in again; the batch waits".to_owned());
    }
    let mut shot = Shot::new(view, Some(weight(20.3)));
    shot.age_ms = 4_200;
    insta::assert_snapshot!(shot.text(80, 24), @r"
    |Lagoon round, pearl blue · K7F2A · running · 150.0 g
    |
    |Pour Slow medium
    |to 57.0 g, give or take 1.1 g
    |caution: ventilate
    |
    |
    |
    |██████ ██████ ██████
    |
    |
    |no weight: the last, 153.9 g, is 4.2 s old
    |
    |━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━┓    ┏━━━━━━━━━━━━
    |▲                                                      57.0 g ┗━━━━┛
    |
    |✓ stir 20 s
    |▸ Slow medium                            57.00 g
    |· Pearl medium                           21.60 g
    |· look: one even blue, no streaks on th…
    |· Glide additive                         0.14 g
    |! scale: unplugged: plug it in again; the batch waits
    |now Slow medium
    |n next  s skip  p pause  b back  u undo  t trail  x give up  q leave
    ");
    insta::assert_snapshot!(shot.text(40, 24), @r"
    |Lagoon round, pearl blue · K7F2A · runn…
    |
    |Pour Slow medium
    |to 57.0 g, give or take 1.1 g
    |caution: ventilate
    |
    |
    |
    |██████ ██████ ██████
    |
    |
    |no weight: the last, 153.9 g, is 4.2 s …
    |
    |━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━┓   ┏━━━━━
    |▲                      57.0 g ┗━━━┛
    |
    |✓ stir 20 s
    |▸ Slow medium        57.00 g
    |· Pearl medium       21.60 g
    |! scale: unplugged: plug it in again;
    |the batch waits
    |now Slow medium
    |n next  s skip  p pause  b back  u undo
    |t trail  x give up  q leave
    ");
}

#[test]
fn a_complete_batch_says_so_and_keeps_its_steps() {
    let mut view = batch(Doing::Complete);
    view.state = BatchStateWord::Complete;
    view.total_g = Some(156.4);
    for step in &mut view.steps {
        step.status = StepStatus::Done;
        step.poured_g = step.target_g;
        step.verdict = Some(VerdictWord::Within);
    }
    view.steps[2].poured_g = Some(63.4);
    view.steps[2].verdict = Some(VerdictWord::Overshoot);
    let shot = Shot::new(view, Some(weight(156.4)));
    insta::assert_snapshot!(shot.text(80, 24), @r"
    |Lagoon round, pearl blue · K7F2A · complete · 156.4 g, planned 150.0
    |
    |Complete
    |the jar may go
    |
    |█████   ████   ████      ████
    |    ██ ██  ██ ██  ██    ██  ██
    | ████   █████ ██  ██    ██  ██
    |██         ██ ██  ██    ██  ██
    |██████  ████   ████  ██  ████
    |g on the pan
    |
    |✓ Lagoon blue paste                      21.00 of 21.00 g
    |✓ stir 20 s
    |✓ Slow medium                            63.40 of 57.00 g too much
    |✓ Pearl medium                           21.60 of 21.60 g
    |✓ look: one even blue, no streaks on th…
    |✓ Glide additive                         0.14 of 0.14 g
    |✓ rest 25 s
    |
    |
    |
    |now Slow medium
    |u undo  q leave
    ");
    insta::assert_snapshot!(shot.text(40, 24), @r"
    |Lagoon round, pearl blue · K7F2A · comp…
    |
    |Complete
    |the jar may go
    |
    |█████   ████   ████      ████
    |    ██ ██  ██ ██  ██    ██  ██
    | ████   █████ ██  ██    ██  ██
    |██         ██ ██  ██    ██  ██
    |██████  ████   ████  ██  ████
    |g on the pan
    |
    |✓ Lagoon blue paste  21.00 of 21.00 g
    |✓ stir 20 s
    |✓ Slow medium        63.40 of 57.00 g t…
    |✓ Pearl medium       21.60 of 21.60 g
    |✓ look: one even bl…
    |✓ Glide additive     0.14 of 0.14 g
    |✓ rest 25 s
    |
    |
    |
    |now Slow medium
    |u undo  q leave
    ");
}

#[test]
fn a_bench_without_a_batch_says_how_to_begin() {
    let mut idle = weight(0.0);
    idle.gross_g = Some(0.0);
    idle.net_g = None;
    idle.step = None;
    let shot = Shot::new(empty(), Some(idle));
    insta::assert_snapshot!(shot.text(80, 24), @r"
    |Tarehand · idle
    |
    |No batch on this bench
    |begin one: tarehand mix RECIPE
    |
    | ████      ████
    |██  ██    ██  ██
    |██  ██    ██  ██
    |██  ██    ██  ██
    | ████  ██  ████
    |g on the pan
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |q leave
    ");
    insta::assert_snapshot!(shot.text(40, 24), @r"
    |Tarehand · idle
    |
    |No batch on this bench
    |begin one: tarehand mix RECIPE
    |
    | ████      ████
    |██  ██    ██  ██
    |██  ██    ██  ██
    |██  ██    ██  ██
    | ████  ██  ████
    |g on the pan
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |q leave
    ");
}

#[test]
fn what_to_know_is_said_before_the_first_gram() {
    let mut view = batch(Doing::PutJar);
    view.concerns = vec![ConcernLine::remark(
        "Glide additive: 0.135 g cannot be weighed on a division of 0.1 g".to_owned(),
        vec!["count 5 drops".to_owned(), "make more".to_owned()],
    )];
    let text = Shot::new(view, Some(weight(0.0))).text(80, 24);
    let text = text.replace("\n|", " ");
    assert!(
        text.contains("! Glide additive: 0.135 g cannot be weighed"),
        "{text}"
    );
    assert!(text.contains("(or: count 5 drops; make more)"), "{text}");
}

#[test]
fn it_can_be_typed_where_it_cannot_be_drawn() {
    let mut shot = Shot::new(pouring(), Some(weight(63.4)));
    shot.marks = &TYPED;
    let text = shot.text(80, 24);
    assert!(text.is_ascii(), "{text}");
}

#[test]
fn a_service_that_is_away_shows_no_live_weight() {
    let mut shot = Shot::new(pouring(), Some(weight(20.3)));
    shot.link = Link::Away(Duration::from_secs(3));
    let text = shot.text(80, 24);
    assert!(text.contains("has not answered for 3 s"), "{text}");
    assert!(
        text.contains("no weight: the last, 153.9 g, is 0.0 s old"),
        "{text}"
    );
}

#[track_caller]
fn check_stale(age_ms: u64, rate_hz: Option<f64>, stale: bool) {
    let mut view = pouring();
    if let Some(scale) = &mut view.scale {
        scale.rate_hz = rate_hz;
    }
    let now = weight(1.0);
    let weight = Weight { now: &now, age_ms };
    assert_eq!(
        weight.is_stale(&view),
        stale,
        "{age_ms} ms at {rate_hz:?} Hz"
    );
}

// Law 2: 1.5 s or three periods of that scale, whichever is longer.
#[test]
fn a_weight_is_stale_after_one_and_a_half_seconds_or_three_periods() {
    check_stale(1_500, Some(10.0), false);
    check_stale(1_501, Some(10.0), true);
    check_stale(5_900, Some(0.5), false);
    check_stale(6_001, Some(0.5), true);
    check_stale(1_501, None, true);
    check_stale(1_501, Some(0.0), true);
}

#[test]
fn an_overloaded_scale_is_a_state_and_no_number() {
    let mut over = weight(0.0);
    over.state = WeightState::Over;
    over.gross_g = None;
    over.net_g = None;
    let text = Shot::new(pouring(), Some(over)).text(80, 24);
    assert!(text.contains("overload: no weight"), "{text}");
}

#[test]
fn the_screen_asks_before_a_batch_is_given_up() {
    let mut shot = Shot::new(pouring(), Some(weight(20.3)));
    shot.asking = Asking::GiveUp;
    assert!(shot.text(80, 24).contains("Give this batch up?"));
    shot.asking = Asking::Trail("2.5".to_owned());
    assert!(shot.text(80, 24).contains("trail in seconds: 2.5_"));
}

#[test]
fn what_the_author_remarks_of_a_step_stands_below_the_call() {
    let mut view = pouring();
    view.steps[2].note = Some("tubes differ: stop when it goes warm".to_owned());
    let text = Shot::new(view, Some(weight(20.3))).text(80, 24);
    assert!(
        text.contains("|tubes differ: stop when it goes warm\n"),
        "{text}"
    );
}

#[test]
fn how_to_tap_the_pan_is_said_where_something_waits() {
    let once = command(CommandWord::Next);
    let mut view = batch(Doing::Look {
        step: 5,
        expect: "one even blue".to_owned(),
    });
    let silent = Shot::new(view.clone(), None).text(80, 24);
    assert!(!silent.contains("tap"), "{silent}");
    view.taps = Some(TapsHeard {
        once: once.clone(),
        twice: Some(command(CommandWord::Undo)),
    });
    let told = Shot::new(view, None).text(80, 24);
    assert!(
        told.contains("|or tap the pan: once next, twice undo\n"),
        "{told}"
    );
    let mut asked = overshoot();
    asked.taps = Some(TapsHeard {
        once: CommandRequest {
            option: Some(1),
            ..command(CommandWord::Answer)
        },
        twice: None,
    });
    let told = Shot::new(asked, None).text(80, 24);
    assert!(told.contains("|or tap the pan once: number 1\n"), "{told}");
}

#[test]
fn every_size_is_filled_and_none_overflows() {
    for view in [empty(), pouring(), overshoot(), batch(Doing::PutJar)] {
        let shot = Shot::new(view, Some(weight(63.4)));
        for (columns, rows) in [(1, 1), (8, 3), (20, 10), (40, 12), (120, 40), (300, 100)] {
            shot.lines(columns, rows);
        }
    }
}

#[test]
fn a_high_screen_shows_digits_twice_as_high() {
    let shot = Shot::new(pouring(), Some(weight(20.3)));
    let high = |rows| {
        let lines = shot.lines(120, rows);
        lines
            .iter()
            .filter(|line| line.text().contains("███"))
            .count()
    };
    assert!(2 * high(24) <= high(50) + 1);
}

#[test]
fn a_name_from_a_file_cannot_steer_the_terminal() {
    let mut view = pouring();
    view.recipe = Some("grey\u{1b}[2J".to_owned());
    let text = Shot::new(view, None).text(80, 24);
    assert!(!text.contains('\u{1b}'));
}
