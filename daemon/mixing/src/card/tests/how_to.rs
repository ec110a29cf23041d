//! Cards as schema.org's `HowTo`.

use serde_json::Value;

use super::{card, card_in, sources};
use crate::card::{Country, json_ld};
use crate::set::is_set;

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
