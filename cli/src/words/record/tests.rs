use super::*;
use tarehand_protocol::api::{
    AmendmentLine, BatchEntry, BatchStateWord, BatchSummary, ChoiceLine, ContentLine, CostLine,
    JarNow, LotLine, NowLine, PouredInto, RecipeFile, RescueTaken, ShareView, StepStatus,
    VerdictWord, WayFigures, WayOffered,
};

fn step(number: u32, title: &str, target_g: f64, poured_g: f64) -> StepView {
    StepView {
        step: number,
        title: title.to_owned(),
        action: None,
        extra: false,
        target_g: Some(target_g),
        within_g: Some(0.4),
        widened: false,
        poured_g: Some(poured_g),
        status: StepStatus::Done,
        verdict: Some(VerdictWord::Within),
        note: None,
        cautions: Vec::new(),
    }
}

pub(in crate::words) fn example() -> BatchRecord {
    let content = |ingredient: &str, name: &str, planned_g, poured_g, unseen_g| ContentLine {
        ingredient: ingredient.to_owned(),
        name: name.to_owned(),
        planned_g,
        poured_g,
        unseen_g,
        uncertainty_g: Some(0.0816),
    };
    let share = |ingredient: &str, planned, result| ShareView {
        uncertainty: Some(0.00041),
        ingredient: ingredient.to_owned(),
        planned,
        result,
    };
    let now = |ingredient: &str, name: &str, mass_g, share, lots: &[(&str, f64)]| NowLine {
        ingredient: ingredient.to_owned(),
        name: name.to_owned(),
        mass_g,
        share,
        lots: lots
            .iter()
            .map(|(lot, mass_g)| LotLine {
                lot: (*lot).to_owned(),
                drawn: ingredient.to_owned(),
                mass_g: *mass_g,
            })
            .collect(),
    };
    let entry = |seq, at: &str, text: &str| BatchEntry {
        seq,
        at: at.to_owned(),
        kind: "judged".to_owned(),
        text: text.to_owned(),
        said: None,
    };
    let mut over = step(2, "Linen white", 40.0, 44.0);
    over.verdict = Some(VerdictWord::Overshoot);
    let mut extra = step(3, "Lagoon blue paste", 2.0, 2.05);
    extra.extra = true;
    BatchRecord {
        summary: BatchSummary {
            mark: "K7F2A".to_owned(),
            recipe: "Lagoon pale".to_owned(),
            state: BatchStateWord::Complete,
            rehearsal: true,
            opened: "2026-03-01T09:30:00Z".to_owned(),
            closed: Some("2026-03-01T09:41:12Z".to_owned()),
            planned_g: 60.0,
            in_jar_g: 66.25,
            opened_again: None,
        },
        tare_g: 112.4,
        weighed_on: WeighedOn {
            division_g: Some(0.1),
            capacity_g: Some(3000.0),
            profile: Some("window scale".to_owned()),
        },
        hand: Some("noor".to_owned()),
        choices: vec![ChoiceLine {
            name: "finish".to_owned(),
            chosen: "glossy".to_owned(),
            others: vec!["matt".to_owned()],
        }],
        room: Some("21 °C, 45 %".to_owned()),
        outcomes: vec![OutcomeLine {
            at: "2026-03-04T08:00:00Z".to_owned(),
            found: vec!["dried clear".to_owned()],
            note: None,
            pictures: vec!["panel-3.jpg".to_owned()],
            better_than: Some("M3T8C".to_owned()),
        }],
        contents: vec![
            content("lagoon-paste", "Lagoon blue paste", Some(20.0), 22.05, 0.0),
            content("linen-white", "Linen white", Some(40.0), 44.0, 1.5),
            content("soft-water", "Soft water", None, 0.2, 0.0),
        ],
        recipe_file: Some(RecipeFile {
            file: "lagoon-pale.toml".to_owned(),
            changed: true,
        }),
        now: Some(JarNow {
            mass_g: 41.15,
            contents: vec![
                now(
                    "linen-white",
                    "Linen white",
                    27.12,
                    0.659,
                    &[("B7-114", 20.0), ("B7-115", 7.12)],
                ),
                now("lagoon-paste", "Lagoon blue paste", 13.63, 0.331, &[]),
                now("flow-drops", "Flow drops", 0.4, 0.01, &[]),
            ],
            cost: vec![CostLine {
                currency: Some("EUR".to_owned()),
                money: 1.234,
                per_g: 0.03,
            }],
            unpriced_g: 0.4,
        }),
        amends: None,
        amendments: vec![
            AmendmentLine {
                at: "2026-03-02T10:00:00Z".to_owned(),
                batch: "P4XAT".to_owned(),
                what: "Flow drops".to_owned(),
                mass_g: 0.4,
                jar: None,
                shelf: None,
                cause: None,
                unseen: false,
            },
            AmendmentLine {
                at: "2026-03-02T10:05:00Z".to_owned(),
                batch: "K7F2A".to_owned(),
                what: "Harbour at dusk, M3T8C".to_owned(),
                mass_g: -25.5,
                jar: Some("M3T8C".to_owned()),
                shelf: None,
                cause: None,
                unseen: true,
            },
        ],
        poured_into: vec![PouredInto {
            batch: "M3T8C".to_owned(),
            recipe: "Harbour at dusk".to_owned(),
            poured_g: 25.5,
        }],
        shares: vec![
            share("Lagoon blue paste", 1.0 / 3.0, 0.3338),
            share("Linen white", 2.0 / 3.0, 0.6662),
        ],
        rescues: vec![RescueTaken {
            at: "2026-03-01T09:33:20Z".to_owned(),
            about: Some("overshoot".to_owned()),
            by_limit: false,
            kind: "top-up-exact".to_owned(),
            text: "2.0 g Lagoon blue paste more, 66.0 g in all".to_owned(),
            said: WayFigures::default(),
            others: vec![WayOffered {
                kind: "make-less".to_owned(),
                text: "make less".to_owned(),
                said: WayFigures::default(),
                why_not: Some("it is in already".to_owned()),
                obstacle: None,
            }],
        }],
        steps: vec![step(1, "Lagoon blue paste", 20.0, 20.0), over, extra],
        entries: vec![
            entry(
                1,
                "2026-03-01T09:31:00Z",
                "Lagoon blue paste: 20.0 g, within",
            ),
            entry(
                2,
                "2026-03-01T09:33:20Z",
                "rescue: 2.0 g Lagoon blue paste more, 66.0 g in all",
            ),
        ],
    }
}

#[test]
fn a_record_says_what_was_planned_what_was_poured_and_what_was_rescued() {
    insta::assert_snapshot!(record(&example(), Width::Full), @r"
    K7F2A  ·  Lagoon pale  ·  rehearsal, complete
      opened 2026-03-01 09:30, closed 2026-03-01 09:41
      planned 60.00 g, in the jar 66.25 g, the empty jar 112.40 g
      scale of 0.1 g, up to 3000.0 g, read as window scale
      room 21 °C, 45 %
      poured by noor
      its recipe, lagoon-pale.toml, has changed since
      finish: glossy (or matt)

    As mixed, in grams
                         planned  poured           difference
      Lagoon blue paste    20.00   22.05  ± 0.082       +2.05
      Linen white          40.00   44.00  ± 0.082       +4.00  1.50 poured unseen
      Soft water               –    0.20  ± 0.082

    In the jar now, 41.15 g
      Linen white        27.12  65.9 %  20.00 g of lot B7-114, 7.12 g of lot B7-115
      Lagoon blue paste  13.63  33.1 %
      Flow drops          0.40   1.0 %
      cost 1.23 EUR, 0.0300 a gram
      without the price of 0.40 g, which nobody knows

    Since it was made
      2026-03-02 10:00   +0.40 g  Flow drops                   P4XAT
      2026-03-02 10:05  -25.50 g  into Harbour at dusk, M3T8C  K7F2A  unseen

    Shares
                         planned  poured            difference
      Lagoon blue paste   33.3 %  33.4 %  ± 0.04  +0.05 points
      Linen white         66.7 %  66.6 %  ± 0.04  -0.05 points

    Put right
      09:33:20  2.0 g Lagoon blue paste more, 66.0 g in all
                or make less: not possible, it is in already

    Steps
      2  Lagoon blue paste           20.0 ± 0.4  20.0 g  within
      3  Linen white                 40.0 ± 0.4  44.0 g  too much
      4  Lagoon blue paste (rescue)   2.0 ± 0.4  2.05 g  within

    What became of it
      2026-03-04 08:00  dried clear; better than M3T8C; picture panel-3.jpg

    Poured into other jars
      25.50 g  Harbour at dusk  M3T8C

    What happened
      09:31:00  Lagoon blue paste: 20.0 g, within
      09:33:20  rescue: 2.0 g Lagoon blue paste more, 66.0 g in all
    ");
}

#[test]
fn the_uncertainty_of_nothing_has_no_sign() {
    assert_eq!(give_or_take(Some("-0.00".to_owned())), "± 0.00");
    assert_eq!(give_or_take(None), "");
}

#[test]
fn the_record_has_room_on_usual_and_narrow_terminals() {
    // On 80 columns nothing of it is shortened.
    assert_eq!(
        record(&example(), Width::Columns(80)),
        record(&example(), Width::Full)
    );
    insta::assert_snapshot!(record(&example(), Width::Columns(40)), @r"
    K7F2A  ·  Lagoon pale  ·  rehearsal, complete
      opened 2026-03-01 09:30, closed 2026-03-01 09:41
      planned 60.00 g, in the jar 66.25 g, the empty jar 112.40 g
      scale of 0.1 g, up to 3000.0 g, read as window scale
      room 21 °C, 45 %
      poured by noor
      its recipe, lagoon-pale.toml, has changed since
      finish: glossy (or matt)

    As mixed, in grams
                    planned  poured
          difference
      Lagoon blue…    20.00   22.05  ± 0.082
               +2.05
      Linen white     40.00   44.00  ± 0.082
               +4.00  1.50 poured unseen
      Soft water          –    0.20  ± 0.082

    In the jar now, 41.15 g
      Linen white        27.12  65.9 %
          20.00 g of lot B7-114, 7.12 g of
          lot B7-115
      Lagoon blue paste  13.63  33.1 %
      Flow drops          0.40   1.0 %
      cost 1.23 EUR, 0.0300 a gram
      without the price of 0.40 g, which nobody knows

    Since it was made
      2026-03-02 10:00   +0.40 g
          Flow drops                   P4XAT
      2026-03-02 10:05  -25.50 g
          into Harbour at dusk, M3T8C  K7F2A
          unseen

    Shares
                     planned  poured
            difference
      Lagoon blue…    33.3 %  33.4 %  ± 0.04
          +0.05 points
      Linen white     66.7 %  66.6 %  ± 0.04
          -0.05 points

    Put right
      09:33:20  2.0 g Lagoon blue paste more, 66.0 g in all
                or make less: not possible, it is in already

    Steps
      2  Lagoon blue paste        20.0 ± 0.4
          20.0 g  within
      3  Linen white              40.0 ± 0.4
          44.0 g  too much
      4  Lagoon blue paste         2.0 ± 0.4
         (rescue)
          2.05 g  within

    What became of it
      2026-03-04 08:00  dried clear; better
                        than M3T8C; picture
                        panel-3.jpg

    Poured into other jars
      25.50 g  Harbour at dusk  M3T8C

    What happened
      09:31:00  Lagoon blue paste: 20.0 g,
                within
      09:33:20  rescue: 2.0 g Lagoon blue
                paste more, 66.0 g in all
    ");
}
