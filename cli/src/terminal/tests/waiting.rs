//! The screen in its sizes, while nothing is poured: a rest, a scale that is away, a batch that is over, an empty bench.

use std::time::Duration;

use super::shot::Shot;
use super::views::{batch, empty, pouring, weight};
use tarehand_protocol::api::{BatchStateWord, Doing, StepStatus, VerdictWord};

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
