//! The screen in its sizes, while something is poured or asked.

use super::shot::Shot;
use super::views::{batch, overshoot, pouring, weight};
use tarehand_protocol::api::Doing;

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
