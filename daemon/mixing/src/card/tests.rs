//! Cards of the studio's recipes, in every form.

use std::fs;
use std::path::Path;

use serde_json::Value;
use tarehand_protocol::Mass;

use super::{Card, Country, json_ld, markdown, of_batch, of_recipe, text};
use crate::document::{Source, Sources};
use crate::procedure::{Addition, Amount, Ingredient, Procedure, Step, StepKind, Within};
use crate::provenance::{Provenance, Run};
use crate::ratio::Ratio;
use crate::recipe::{Settings, check};
use crate::rescue::{RescueKind, RescueOption};
use crate::session::{Book, By, Entry, Extra, Limits, Record, Seen, TaskId, Verdict};
use crate::set::is_set;
use crate::sizing::{Goal, size};
use crate::tick::Tick;
use crate::weighing::Scale;

pub(super) fn sources() -> Sources {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/studio");
    let mut sources = Sources::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|ending| ending != "toml") {
            continue;
        }
        let stem = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let source = Source::new(format!("{stem}.toml"), fs::read_to_string(&path).unwrap());
        sources = match stem.as_str() {
            "shelf" => sources.with_shelf(source),
            _ => sources.with_recipe(stem, source),
        };
    }
    sources
}

fn card_in(sources: &Sources, stem: &str) -> Card {
    let recipe = check(sources, stem, &Settings::default()).recipe.unwrap();
    let make = recipe.makes().unwrap_or(Mass::from_grams(100));
    let sizing = size(&recipe, &Goal::Make(make)).unwrap();
    of_recipe(&recipe, &sizing.procedure)
}

fn card(stem: &str) -> Card {
    card_in(&sources(), stem)
}

#[test]
fn the_show_piece_as_plain_text() {
    insta::assert_snapshot!(text(&card("lagoon-round"), None), @r"
    Lagoon round, pearl blue
    ========================

    makes 150 g  ·  wanted trail 2 s

                         grams  parts      %
      Lagoon blue paste     21  25.37     14
      Soft water             9  10.87      6
      Slow medium        82.76    100  55.18
      Pearl medium       31.39  37.93  20.93
      Linen white         5.71    6.9   3.81
      Glide additive     0.135  0.163   0.09  5 drops
      total                150           100
      parts are by weight, the largest is 100; % is percent by weight of what is inside the ratio

    Needed: scale, jar of 200 ml, stick

    In order
       1. add 21 g Lagoon blue paste (± 0.4 g)
       2. add 9 g Soft water (± 0.3 g)
       3. stir 20 s
          until the paste runs off the stick
       4. add 82.76 g Slow medium (± 1.7 g)
       5. add 31.39 g Pearl medium (± 0.63 g)
       6. stir 30 s
       7. look: one even blue, no streaks on the wall
       8. add 5.71 g Linen white (± 0.3 g)
       9. add 5 drops Glide additive (0.135 g)
      10. let it rest 25 s
          the bubbles rise
      11. measure the trail, wanted: 2 s

    Take care
      - ventilate (Linen white, Clear binder, Open-time gel)
      - not for skin (Clear binder)
      - raise no dust: wear a particulate respirator and wet it first (Moon mica, fine)
      - no dry sweeping (Moon mica, fine)
      - the maker's safety sheet and local rules come first (Moon mica, fine)
      - The maker's safety sheet of everything used, and local rules, come first.

    Premix: Slow medium
    -------------------

    makes 640 g

                      grams  parts      %
      Clear binder   454.19    100  70.97
      Open-time gel    57.6  12.68      9
      Soft water     127.94  28.17  19.99
      Foam breaker    0.264  0.058  0.041  12 drops
      total             640           100
      parts are by weight, the largest is 100; % is percent by weight of what is inside the ratio

    Needed: scale, jar of 1000 ml, stick

    In order
       1. add 454.19 g Clear binder (± 4.5 g)
       2. add 57.6 g Open-time gel (± 0.58 g)
       3. stir 60 s
          along the wall of the jar, never through the middle
       4. add 127.94 g Soft water (± 1.3 g)
       5. add 12 drops Foam breaker (0.264 g)
       6. stir 2 min
       7. let it rest 8 h

    Premix: Pearl medium
    --------------------

    makes 220 g

                       grams  parts      %
      Soft water          11   5.49      5
      Moon mica, fine    8.5   4.24   3.86  5 tsp of 1.7 g each
      Slow medium      200.5    100  91.14
      total              220           100
      parts are by weight, the largest is 100; % is percent by weight of what is inside the ratio

    Needed: scale, jar of 250 ml, stick

    In order
       1. mask on before the mica is opened
       2. add 11 g Soft water (± 0.22 g)
       3. add 5 tsp Moon mica, fine (8.5 g)
          level spoons, laid on the water rather than dropped
       4. stir 45 s
       5. look: a wet paste without dry islands
       6. add 200.5 g Slow medium (± 4 g)
       7. stir 90 s
    ");
}

#[test]
fn the_show_piece_as_markdown_for_the_united_states() {
    insta::assert_snapshot!(markdown(&card("lagoon-round"), Some(Country::Us)), @r"
    # Lagoon round, pearl blue

    makes 150 g · wanted trail 2 s

    | ingredient | grams | parts | % | measures |
    | --- | ---: | ---: | ---: | --- |
    | Lagoon blue paste | 21 | 25.37 | 14 | about 0.74 oz, about 16 ml, about 1.1 tbsp |
    | Soft water | 9 | 10.87 | 6 | about 0.32 oz, about 9 ml, about 1.8 tsp |
    | Slow medium | 82.76 | 100 | 55.18 | about 2.92 oz, about 79.2 ml, about 2.7 fl oz |
    | Pearl medium | 31.39 | 37.93 | 20.93 | about 1.11 oz, about 29.4 ml, about 2 tbsp |
    | Linen white | 5.71 | 6.9 | 3.81 | about 0.2 oz, about 4.1 ml, about 0.8 tsp |
    | Glide additive | 0.135 | 0.163 | 0.09 | 5 drops, less than 0.01 oz, about 0.1 ml, less than 0.1 tsp |
    | **total** | **150** |  | 100 |  |

    parts are by weight, the largest is 100; % is percent by weight of what is inside the ratio

    Needed: scale, jar of 200 ml, stick

    **In order**

    1. add 21 g Lagoon blue paste (± 0.4 g)
    2. add 9 g Soft water (± 0.3 g)
    3. stir 20 s – *until the paste runs off the stick*
    4. add 82.76 g Slow medium (± 1.7 g)
    5. add 31.39 g Pearl medium (± 0.63 g)
    6. stir 30 s
    7. look: one even blue, no streaks on the wall
    8. add 5.71 g Linen white (± 0.3 g)
    9. add 5 drops Glide additive (0.135 g)
    10. let it rest 25 s – *the bubbles rise*
    11. measure the trail, wanted: 2 s

    US measures: teaspoon 4.93 ml, tablespoon 14.79 ml, fluid ounce 29.57 ml, ounce 28.35 g; volumes are worked out from the densities on the shelf, and loose powder takes up more room

    **Take care**

    - ventilate (Linen white, Clear binder, Open-time gel)
    - not for skin (Clear binder)
    - raise no dust: wear a particulate respirator and wet it first (Moon mica, fine)
    - no dry sweeping (Moon mica, fine)
    - the maker's safety sheet and local rules come first (Moon mica, fine)
    - The maker's safety sheet of everything used, and local rules, come first.

    ## Premix: Slow medium

    makes 640 g

    | ingredient | grams | parts | % | measures |
    | --- | ---: | ---: | ---: | --- |
    | Clear binder | 454.19 | 100 | 70.97 | about 16.02 oz, about 428.5 ml, about 14.5 fl oz |
    | Open-time gel | 57.6 | 12.68 | 9 | about 2.03 oz, about 55.4 ml, about 1.9 fl oz |
    | Soft water | 127.94 | 28.17 | 19.99 | about 4.51 oz, about 128.2 ml, about 4.3 fl oz |
    | Foam breaker | 0.264 | 0.058 | 0.041 | 12 drops, about 0.01 oz, about 0.3 ml, about 0.1 tsp |
    | **total** | **640** |  | 100 |  |

    parts are by weight, the largest is 100; % is percent by weight of what is inside the ratio

    Needed: scale, jar of 1000 ml, stick

    **In order**

    1. add 454.19 g Clear binder (± 4.5 g)
    2. add 57.6 g Open-time gel (± 0.58 g)
    3. stir 60 s – *along the wall of the jar, never through the middle*
    4. add 127.94 g Soft water (± 1.3 g)
    5. add 12 drops Foam breaker (0.264 g)
    6. stir 2 min
    7. let it rest 8 h

    ## Premix: Pearl medium

    makes 220 g

    | ingredient | grams | parts | % | measures |
    | --- | ---: | ---: | ---: | --- |
    | Soft water | 11 | 5.49 | 5 | about 0.39 oz, about 11 ml, about 2.2 tsp |
    | Moon mica, fine | 8.5 | 4.24 | 3.86 | 5 tsp of 1.7 g each, about 0.3 oz |
    | Slow medium | 200.5 | 100 | 91.14 | about 7.07 oz, about 191.8 ml, about 6.5 fl oz |
    | **total** | **220** |  | 100 |  |

    parts are by weight, the largest is 100; % is percent by weight of what is inside the ratio

    Needed: scale, jar of 250 ml, stick

    **In order**

    1. mask on before the mica is opened
    2. add 11 g Soft water (± 0.22 g)
    3. add 5 tsp Moon mica, fine (8.5 g) – *level spoons, laid on the water rather than dropped*
    4. stir 45 s
    5. look: a wet paste without dry islands
    6. add 200.5 g Slow medium (± 4 g)
    7. stir 90 s
    ");
}

#[test]
fn the_show_piece_as_json_ld() {
    let mut card = card("lagoon-round");
    card.premixes.truncate(0);
    insta::assert_snapshot!(serde_json::to_string_pretty(&json_ld(&card, None)).unwrap(), @r##"
    {
      "@context": "https://schema.org",
      "@id": "#lagoon-round",
      "@type": "HowTo",
      "description": "makes 150 g. wanted trail 2 s. parts are by weight, the largest is 100; % is percent by weight of what is inside the ratio. times count stirring and resting, not weighing. ventilate (Linen white, Clear binder, Open-time gel). not for skin (Clear binder). raise no dust: wear a particulate respirator and wet it first (Moon mica, fine). no dry sweeping (Moon mica, fine). the maker's safety sheet and local rules come first (Moon mica, fine). The maker's safety sheet of everything used, and local rules, come first.",
      "name": "Lagoon round, pearl blue",
      "step": [
        {
          "@type": "HowToStep",
          "itemListElement": [
            {
              "@type": "HowToDirection",
              "text": "add 21 g Lagoon blue paste (± 0.4 g)"
            }
          ],
          "position": 1
        },
        {
          "@type": "HowToStep",
          "itemListElement": [
            {
              "@type": "HowToDirection",
              "text": "add 9 g Soft water (± 0.3 g)"
            }
          ],
          "position": 2
        },
        {
          "@type": "HowToStep",
          "itemListElement": [
            {
              "@type": "HowToDirection",
              "performTime": "PT20S",
              "text": "stir 20 s"
            },
            {
              "@type": "HowToTip",
              "text": "until the paste runs off the stick"
            }
          ],
          "position": 3
        },
        {
          "@type": "HowToStep",
          "itemListElement": [
            {
              "@type": "HowToDirection",
              "text": "add 82.76 g Slow medium (± 1.7 g)"
            }
          ],
          "position": 4
        },
        {
          "@type": "HowToStep",
          "itemListElement": [
            {
              "@type": "HowToDirection",
              "text": "add 31.39 g Pearl medium (± 0.63 g)"
            }
          ],
          "position": 5
        },
        {
          "@type": "HowToStep",
          "itemListElement": [
            {
              "@type": "HowToDirection",
              "performTime": "PT30S",
              "text": "stir 30 s"
            }
          ],
          "position": 6
        },
        {
          "@type": "HowToStep",
          "itemListElement": [
            {
              "@type": "HowToDirection",
              "text": "look: one even blue, no streaks on the wall"
            }
          ],
          "position": 7
        },
        {
          "@type": "HowToStep",
          "itemListElement": [
            {
              "@type": "HowToDirection",
              "text": "add 5.71 g Linen white (± 0.3 g)"
            }
          ],
          "position": 8
        },
        {
          "@type": "HowToStep",
          "itemListElement": [
            {
              "@type": "HowToDirection",
              "text": "add 5 drops Glide additive (0.135 g)"
            }
          ],
          "position": 9
        },
        {
          "@type": "HowToStep",
          "itemListElement": [
            {
              "@type": "HowToDirection",
              "performTime": "PT25S",
              "text": "let it rest 25 s"
            },
            {
              "@type": "HowToTip",
              "text": "the bubbles rise"
            }
          ],
          "position": 10
        },
        {
          "@type": "HowToStep",
          "itemListElement": [
            {
              "@type": "HowToDirection",
              "text": "measure the trail, wanted: 2 s"
            }
          ],
          "position": 11
        }
      ],
      "supply": [
        {
          "@type": "HowToSupply",
          "description": "14 percent by weight of what is inside the ratio; 25.37 parts",
          "name": "Lagoon blue paste",
          "requiredQuantity": {
            "@type": "QuantitativeValue",
            "unitCode": "GRM",
            "value": 21.0
          }
        },
        {
          "@type": "HowToSupply",
          "description": "6 percent by weight of what is inside the ratio; 10.87 parts",
          "name": "Soft water",
          "requiredQuantity": {
            "@type": "QuantitativeValue",
            "unitCode": "GRM",
            "value": 9.0
          }
        },
        {
          "@type": "HowToSupply",
          "description": "55.18 percent by weight of what is inside the ratio; 100 parts",
          "name": "Slow medium",
          "requiredQuantity": {
            "@type": "QuantitativeValue",
            "unitCode": "GRM",
            "value": 82.764
          }
        },
        {
          "@type": "HowToSupply",
          "description": "20.93 percent by weight of what is inside the ratio; 37.93 parts",
          "name": "Pearl medium",
          "requiredQuantity": {
            "@type": "QuantitativeValue",
            "unitCode": "GRM",
            "value": 31.393
          }
        },
        {
          "@type": "HowToSupply",
          "description": "3.81 percent by weight of what is inside the ratio; 6.9 parts",
          "name": "Linen white",
          "requiredQuantity": {
            "@type": "QuantitativeValue",
            "unitCode": "GRM",
            "value": 5.708
          }
        },
        {
          "@type": "HowToSupply",
          "description": "0.09 percent by weight of what is inside the ratio; 0.163 parts; 5 drops",
          "name": "Glide additive",
          "requiredQuantity": {
            "@type": "QuantitativeValue",
            "unitCode": "GRM",
            "value": 0.135
          }
        }
      ],
      "tool": [
        {
          "@type": "HowToTool",
          "name": "scale"
        },
        {
          "@type": "HowToTool",
          "name": "jar of 200 ml"
        },
        {
          "@type": "HowToTool",
          "name": "stick"
        }
      ],
      "totalTime": "PT1M15S",
      "yield": {
        "@type": "QuantitativeValue",
        "unitCode": "GRM",
        "value": 150.0
      }
    }
    "##);
}

/// What schema.org's `HowTo` asks of every part of it.
fn check_how_to(how: &Value, ids: &mut Vec<String>) {
    assert_eq!(how["@type"], "HowTo");
    assert!(!how["name"].as_str().unwrap().is_empty());
    ids.push(how["@id"].as_str().unwrap().to_owned());
    assert_eq!(how["yield"]["unitCode"], "GRM");
    let mut inside = 0.0;
    for supply in how["supply"].as_array().unwrap() {
        assert_eq!(supply["@type"], "HowToSupply");
        let quantity = &supply["requiredQuantity"];
        if quantity.is_object() {
            assert_eq!(quantity["@type"], "QuantitativeValue");
            assert_eq!(quantity["unitCode"], "GRM");
        }
        if supply["description"].as_str().unwrap().contains("percent") {
            inside += quantity["value"].as_f64().unwrap();
        }
    }
    let makes = how["yield"]["value"].as_f64().unwrap();
    assert!((inside - makes).abs() < 0.01, "{inside} of {makes}");
    for (step, position) in how["step"].as_array().unwrap().iter().zip(1..) {
        assert_eq!(
            (&step["@type"], step["position"].as_i64()),
            (&"HowToStep".into(), Some(position))
        );
        let directions = step["itemListElement"].as_array().unwrap();
        assert_eq!(directions[0]["@type"], "HowToDirection");
        assert!(!directions[0]["text"].as_str().unwrap().is_empty());
    }
}

#[test]
fn every_recipe_is_a_whole_how_to_with_each_premix_once() {
    let sources = sources();
    // A set is no recipe, and has tests of its own.
    let is_recipe = |stem: &&str| !is_set(sources.recipe(stem).unwrap());
    for stem in sources.stems().filter(is_recipe) {
        let card = card_in(&sources, stem);
        let written = json_ld(&card, Some(Country::Uk)).to_string();
        let how: Value = serde_json::from_str(&written).unwrap();
        assert_eq!(how["@context"], "https://schema.org");
        let mut ids = Vec::new();
        check_how_to(&how, &mut ids);
        for part in how["hasPart"].as_array().unwrap_or(&Vec::new()) {
            check_how_to(part, &mut ids);
        }
        for supply in how["supply"].as_array().unwrap() {
            if let Some(item) = supply["item"]["@id"].as_str() {
                assert!(
                    ids.iter().any(|id| id == item),
                    "{item} is no part of {stem}"
                );
            }
        }
        let count = ids.len();
        ids.sort();
        ids.dedup();
        assert_eq!(ids.len(), count, "{stem}");
    }
}

#[test]
fn a_caution_is_said_once_with_everything_it_is_about() {
    let card = card("lagoon-round");
    let ventilate: Vec<_> = card
        .cautions
        .iter()
        .filter(|caution| caution.text == "ventilate")
        .collect();
    assert_eq!(ventilate.len(), 1);
    assert_eq!(
        ventilate[0].about,
        ["Linen white", "Clear binder", "Open-time gel"]
    );
}

#[test]
fn what_is_outside_the_ratio_is_said_beside_it() {
    let card = card("leftover-grey");
    let outside: Vec<String> = card.outside().map(super::words::beside).collect();
    insta::assert_snapshot!(outside.join("\n"), @r"
    Lagoon round, pearl blue: all of the first panel's jar
    Ember round: all of the vessel of ember-round
    Soot black paste: some, by eye
    Soft water: 1.2 g at a time, at most 7.2 g, until the trail is right
    ");
}

#[test]
fn a_name_cannot_steer_a_terminal_or_a_page() {
    let sources = Sources::new().with_recipe(
        "a",
        Source::new(
            "a.toml",
            "[recipe]\nname = \"x\\u001b[2J | <b>\"\nmakes = \"10 g\"\n[[step]]\nadd = \"y\"\namount = \"1 part\"\nnote = \"- *z*\\nq\"\n",
        ),
    );
    let card = card_in(&sources, "a");
    assert!(!text(&card, None).contains('\u{1b}'));
    let page = markdown(&card, None);
    assert!(page.starts_with("# x \\[2J \\| \\<b\\>\n"), "{page}");
    assert!(page.contains("*\\- \\*z\\* q*"), "{page}");
}

/// A batch of a hundred grams, half and half: too much of the second, rescued, and a little by eye.
fn batch() -> Card {
    let mass = Mass::from_grams;
    let add = |key: &str, amount| {
        StepKind::Add(Addition {
            ingredient: Ingredient::by_name(key),
            amount,
        })
    };
    let half = || Amount::Weighed {
        share: Ratio::new(1, 2),
        target: mass(50),
        within: Within::Mass(mass(1)),
    };
    let steps = [add("a", half()), add("b", half()), add("c", Amount::ByEye)];
    let procedure = Procedure {
        recipe: "Half and half".to_owned(),
        planned: mass(100),
        jar_ul: None,
        trail_s: None,
        pot_life: None,
        steps: steps.map(|kind| Step { kind, note: None }).into(),
        premixes: Vec::new(),
    };
    let poured = |task, before, after| Entry::Poured {
        task: TaskId(task),
        before: mass(before),
        after: mass(after),
        seen: Seen::Watched,
    };
    let judged = |task, verdict, poured, target: Option<i64>| Entry::Judged {
        task: TaskId(task),
        verdict,
        poured: mass(poured),
        target: target.map(mass),
        within: None,
    };
    let rescued = |kind| Entry::Rescued {
        option: RescueOption {
            kind,
            within: true,
            total: mass(120),
            take_out: Mass::ZERO,
            pours: Vec::new(),
            shares: Vec::new(),
            cost: None,
            obstacle: None,
        },
        targets: Vec::new(),
        extra: vec![Extra {
            task: TaskId(3),
            step: 0,
            target: mass(10),
        }],
        steps: Vec::new(),
        by: By::Person,
    };
    let entries = vec![
        Entry::Opened {
            procedure,
            limits: Limits::default(),
            scale: Scale::default(),
        },
        poured(0, 0, 50),
        judged(0, Verdict::Within, 50, Some(50)),
        poured(1, 50, 110),
        judged(1, Verdict::Overshoot, 60, Some(50)),
        rescued(RescueKind::TopUpExact),
        poured(3, 110, 120),
        judged(3, Verdict::Within, 10, Some(10)),
        poured(2, 120, 121),
        judged(2, Verdict::Recorded, 1, None),
        Entry::Completed,
    ];
    let records: Vec<Record> = entries
        .into_iter()
        .map(|entry| Record {
            at: Tick::ZERO,
            entry,
        })
        .collect();
    let from = Provenance {
        mark: "K7F2M",
        day: "2026-11-25",
        run: Run::Real,
    };
    of_batch(from, &Book::rebuild(&records).unwrap(), &records)
}

#[test]
fn a_batch_says_what_was_poured_what_was_planned_and_what_went_wrong() {
    insta::assert_snapshot!(text(&batch(), None), @r"
    Half and half
    =============

    batch K7F2M of 2026-11-25, as really poured  ·  120 g inside the ratio, planned 100 g

             grams  planned  parts    %
      a         60       50      1   50
      b         60       50      1   50
      total    120                  100
      parts are by weight; % is percent by weight of what is inside the ratio

    Outside the ratio
      - c: 1 g (planned: some, by eye)

    Needed: scale, jar

    In order
       1. added 50 g a (wanted: 50 g)
       2. added 60 g b (wanted: 50 g)
       3. added 1 g c
       4. added 10 g more a (wanted: 10 g)

    What happened
      - overshoot: 60 g b, wanted were 50 g
      - rescued: the rest was resized to 120 g, the ratio holds

    Take care
      - The maker's safety sheet of everything used, and local rules, come first.
    ");
}
