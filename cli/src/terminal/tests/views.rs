//! Views as the service sends them, in grams of an invented batch.

use tarehand_protocol::api::{
    BatchStateWord, CueLine, Doing, OptionView, PourLine, QuestionView, ScaleState, ScaleWord,
    ShareView, StepStatus, StepView, VerdictWord, View, WeightNow, WeightState,
};

/// A bench with a scale and no batch.
pub(super) fn empty() -> View {
    View {
        revision: 1,
        bench: "bench".to_owned(),
        scale: Some(ScaleState {
            device: "serial port /dev/ttyUSB0".to_owned(),
            read_as: "plain lines".to_owned(),
            open: true,
            trouble: None,
            trouble_kind: None,
            hint: None,
            division_g: Some(0.1),
            division_estimated: false,
            capacity_g: Some(5_000.0),
            rate_hz: Some(10.0),
            battery_percent: None,
            remark: None,
            taps: true,
        }),
        fine_scale: None,
        weighed_on: ScaleWord::Main,
        batch: None,
        rehearsal: false,
        set: None,
        jars: Vec::new(),
        recipe: None,
        state: BatchStateWord::Idle,
        planned_g: None,
        total_g: None,
        doing: Doing::Nothing,
        steps: Vec::new(),
        question: None,
        cue: None,
        concerns: Vec::new(),
        can_undo: false,
        timing_trail: false,
        bottle: None,
        taps: None,
        hardens_in_ms: None,
        trouble: None,
        trouble_kind: None,
        hint: None,
        clock_rate: 1.0,
    }
}

fn step(number: u32, title: &str, target_g: Option<f64>) -> StepView {
    StepView {
        step: number,
        title: title.to_owned(),
        action: None,
        extra: false,
        target_g,
        within_g: target_g.map(|target| target * 0.02),
        widened: false,
        poured_g: None,
        status: StepStatus::Open,
        verdict: None,
        note: None,
        cautions: Vec::new(),
    }
}

/// A batch whose third step is running: `doing` says what that is.
pub(super) fn batch(doing: Doing) -> View {
    let mut steps = vec![
        step(1, "Lagoon blue paste", Some(21.0)),
        step(2, "stir 20 s", None),
        step(3, "Slow medium", Some(57.0)),
        step(4, "Pearl medium", Some(21.6)),
        step(5, "look: one even blue, no streaks on the wall", None),
        step(6, "Glide additive", Some(0.135)),
        step(7, "rest 25 s", None),
    ];
    for done in &mut steps[..2] {
        done.status = StepStatus::Done;
    }
    steps[0].poured_g = Some(21.2);
    steps[0].verdict = Some(VerdictWord::Within);
    steps[1].verdict = Some(VerdictWord::Recorded);
    steps[2].status = StepStatus::Now;
    steps[2].cautions = vec!["ventilate".to_owned()];
    View {
        batch: Some("K7F2A".to_owned()),
        recipe: Some("Lagoon round, pearl blue".to_owned()),
        state: BatchStateWord::Running,
        planned_g: Some(150.0),
        total_g: Some(150.0),
        cue: Some(CueLine {
            number: 4,
            cue: "begin".to_owned(),
            text: "now Slow medium".to_owned(),
            ..CueLine::default()
        }),
        can_undo: true,
        hardens_in_ms: None,
        doing,
        steps,
        ..empty()
    }
}

/// Pouring 57 g of medium, one gram either way.
pub(super) fn pouring() -> View {
    batch(Doing::Pour {
        step: 3,
        ingredient: "Slow medium".to_owned(),
        target_g: 57.0,
        within_g: 1.1,
        extra: false,
    })
}

/// Too much went in, with two ways out.
pub(super) fn overshoot() -> View {
    let mut view = batch(Doing::Answer);
    view.state = BatchStateWord::Held;
    view.cue = Some(CueLine {
        number: 5,
        cue: "asks".to_owned(),
        text: "6.4 g too much: choose a way out".to_owned(),
        ..CueLine::default()
    });
    let option = |option, kind: &str, text: &str, total_g, pours: &[(&str, f64)]| OptionView {
        option,
        kind: kind.to_owned(),
        text: text.to_owned(),
        feasible: true,
        total_g,
        pours: pours
            .iter()
            .map(|&(ingredient, grams)| PourLine {
                ingredient: ingredient.to_owned(),
                grams,
            })
            .collect(),
        shares: vec![ShareView {
            uncertainty: None,
            ingredient: "Slow medium".to_owned(),
            planned: 0.38,
            result: 0.38,
        }],
        ..OptionView::default()
    };
    let mut impossible = option(3, "pour-out", "take some out", 150.0, &[]);
    impossible.feasible = false;
    impossible.why_not = Some("it is mixed already".to_owned());
    view.question = Some(QuestionView {
        about: "overshoot".to_owned(),
        text: "Slow medium: 63.4 g instead of 57.0 g. What now?".to_owned(),
        difference_g: Some(6.4),
        options: vec![
            option(
                1,
                "top-up-exact",
                "add of the others until the ratio is exact again",
                166.8,
                &[("Lagoon blue paste", 2.36), ("Pearl medium", 24.03)],
            ),
            option(2, "accept", "leave it as it is", 156.4, &[]),
            impossible,
        ],
        ..QuestionView::default()
    });
    view
}

/// A weight of the third step.
pub(super) fn weight(net_g: f64) -> WeightNow {
    WeightNow {
        sequence: 400,
        gross_g: Some(112.4 + 21.2 + net_g),
        net_g: Some(net_g),
        flow_g_s: 0.0,
        state: WeightState::Stable,
        settled: true,
        step: Some(3),
        age_ms: 60,
        scale: ScaleWord::Main,
    }
}
