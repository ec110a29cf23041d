//! Plain lines.

use tarehand_protocol::api::{BatchStateWord, BottleWord, CueLine, Doing};

use super::super::plain::Plain;
use super::views::{batch, overshoot, pouring};

#[test]
fn each_change_is_one_line_and_nothing_is_said_twice() {
    let mut plain = Plain::default();
    let mut said = Vec::new();
    let mut tell = |view| said.extend(plain.lines(&view));
    let stir = |left_ms| {
        batch(Doing::Stir {
            step: 3,
            seconds: 20.0,
            left_ms,
        })
    };
    tell(batch(Doing::PutJar));
    tell(stir(20_000));
    tell(stir(11_000));
    tell(pouring());
    let mut stop = pouring();
    stop.cue = Some(CueLine {
        number: 5,
        cue: "stop".to_owned(),
        text: "stop pouring".to_owned(),
        ..CueLine::default()
    });
    tell(stop.clone());
    tell(stop);
    let mut asked = overshoot();
    asked.cue = Some(CueLine {
        number: 6,
        cue: "asks".to_owned(),
        text: "6.4 g too much".to_owned(),
        ..CueLine::default()
    });
    tell(asked.clone());
    tell(asked);
    let mut lost = pouring();
    lost.cue = None;
    if let Some(scale) = &mut lost.scale {
        scale.open = false;
        scale.trouble = Some("unplugged".to_owned());
        scale.hint = Some("plug it in again".to_owned());
    }
    tell(lost);
    tell(pouring());
    let mut complete = batch(Doing::Complete);
    complete.state = BatchStateWord::Complete;
    complete.cue = None;
    tell(complete);
    insta::assert_snapshot!(said.join("\n"), @r"
    batch K7F2A: Lagoon round, pearl blue, 150.0 g
    Put the empty jar on the pan
    step 4: Stir 20 s
    step 4: Pour Slow medium (to 57.0 g, give or take 1.1 g)
    stop pouring
    question: Slow medium: 63.4 g instead of 57.0 g. What now?
      1  add of the others until the ratio is exact again: pour 2.36 g Lagoon blue paste, 24.03 g Pearl medium
      2  leave it as it is
      3  take some out (cannot be done: it is mixed already)
    answer with: tarehand answer NUMBER
    trouble: scale: unplugged: plug it in again
    step 4: Pour Slow medium (to 57.0 g, give or take 1.1 g)
    all well again
    Complete (the jar may go)
    ");
}

#[test]
fn weighing_out_of_a_bottle_is_told_move_by_move() {
    let mut plain = Plain::default();
    let mut said = Vec::new();
    for bottle in [
        BottleWord::SetJarAside,
        BottleWord::Put,
        BottleWord::Pour,
        BottleWord::InHand,
        BottleWord::TakeAway,
    ] {
        let mut view = pouring();
        view.cue = None;
        view.bottle = Some(bottle);
        view.steps[2].poured_g = Some(44.6);
        said.extend(plain.lines(&view));
    }
    insta::assert_snapshot!(said.join("\n"), @r"
    batch K7F2A: Lagoon round, pearl blue, 150.0 g
    step 4: Set the jar beside the scale (Slow medium is weighed out of its bottle; or weigh it in: tarehand jar)
    step 4: Put the bottle of Slow medium on the pan (with its lid off)
    step 4: Bottle on the scale: pour 12.4 g out of it, set it back (44.6 g are in, of 57.0 g, give or take 1.1 g)
    step 4: Pour 12.4 g into the jar, set the bottle back (did you press the scale's own tare? say so: tarehand tared, or key t)
    step 4: Take the bottle off the pan
    ");
}
