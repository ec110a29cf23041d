//! The screen in its sizes.

use std::time::Duration;

use super::shot::Shot;
use super::views::{batch, empty, overshoot, pouring, weight};
use tarehand_protocol::api::{BatchStateWord, Doing, StepStatus, VerdictWord};

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
fn a_note_is_said_once_and_so_is_what_a_way_out_comes_to() {
    let mut stirring = batch(Doing::Stir {
        step: 2,
        seconds: 20.0,
        left_ms: 20_000,
    });
    stirring.steps[1].note = Some("slowly: fast stirring beats air in".to_owned());
    let screen = Shot::new(stirring, Some(weight(0.0))).text(80, 24);
    assert_eq!(screen.matches("slowly").count(), 1, "{screen}");
    let mut asked = overshoot();
    let options = &mut asked.question.as_mut().unwrap().options;
    options[1].text = "leave it as it is: the jar becomes 156.4 g".to_owned();
    let screen = Shot::new(asked, Some(weight(63.4))).text(80, 24);
    assert_eq!(screen.matches("156.4").count(), 1, "{screen}");
    assert_eq!(screen.matches("166.8").count(), 1, "{screen}");
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
