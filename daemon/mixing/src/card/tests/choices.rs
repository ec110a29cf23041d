//! What a recipe leaves to choose, and what may stand in, on a card.

use super::super::{json_ld, markdown, text};
use super::card_in;
use crate::document::{Source, Sources};

fn sources() -> Sources {
    let shelf = "[ingredient.still-gel]\nname = \"Still gel\"\n\
        [[ingredient.still-gel.stand_in]]\nuse = \"slow-syrup\"\nratio = \"0.5\"\nalso = { dew-water = \"+0.25\", binder = \"-0.1\" }\nnote = \"it dries slower\"\n\
        [[ingredient.still-gel.stand_in]]\nuse = \"binder\"\n\
        [ingredient.slow-syrup]\nname = \"Slow syrup\"\n[ingredient.dew-water]\nname = \"Dew water\"\n\
        [ingredient.binder]\nname = \"Binder\"\n[ingredient.chalk]\nname = \"Chalk\"\n";
    let recipe = "[recipe]\nname = \"Shore mix\"\nmakes = \"100 g\"\n\
        [choice.finish]\nmatt = { veil = \"chalk\" }\nglossy = { veil = \"none\" }\n\
        [[step]]\nadd = \"still-gel\"\namount = \"40 parts\"\n[[step]]\nadd = \"binder\"\namount = \"50 parts\"\n\
        [[step]]\nadd = \"veil\"\namount = \"10 parts\"\n";
    Sources::new()
        .with_shelf(Source::new("shelf.toml", shelf))
        .with_recipe("shore", Source::new("shore.toml", recipe))
}

#[test]
fn a_card_says_what_was_chosen_and_what_may_stand_in() {
    insta::assert_snapshot!(text(&card_in(&sources(), "shore"), None), @r"
    Shore mix
    =========

    makes 100 g  ·  finish: matt (or glossy)

                 grams  parts    %
      Still gel     40      4   40
      Binder        50      5   50
      Chalk         10      1   10
      total        100         100
      parts are by weight; % is percent by weight of what is inside the ratio

    What may stand in, where something is not to be had
      - Still gel: Slow syrup, 0.5 g for each gram, and 0.1 g less Binder, and 0.25 g more Dew water (it dries slower); or Binder, gram for gram

    Needed: scale, jar

    In order
       1. add 40 g Still gel (± 0.8 g)
       2. add 50 g Binder (± 1 g)
       3. add 10 g Chalk (± 0.2 g)

    Take care
      - The maker's safety sheet of everything used, and local rules, come first.
    ");
}

#[test]
fn the_same_as_markdown() {
    insta::assert_snapshot!(markdown(&card_in(&sources(), "shore"), None), @r"
    # Shore mix

    makes 100 g · finish: matt (or glossy)

    | ingredient | grams | parts | % | measures |
    | --- | ---: | ---: | ---: | --- |
    | Still gel | 40 | 4 | 40 |  |
    | Binder | 50 | 5 | 50 |  |
    | Chalk | 10 | 1 | 10 |  |
    | **total** | **100** |  | 100 |  |

    parts are by weight; % is percent by weight of what is inside the ratio

    **What may stand in, where something is not to be had**

    - Still gel: Slow syrup, 0.5 g for each gram, and 0.1 g less Binder, and 0.25 g more Dew water (it dries slower); or Binder, gram for gram

    Needed: scale, jar

    **In order**

    1. add 40 g Still gel (± 0.8 g)
    2. add 50 g Binder (± 1 g)
    3. add 10 g Chalk (± 0.2 g)

    **Take care**

    - The maker's safety sheet of everything used, and local rules, come first.
    ");
}

#[test]
fn for_programs_it_is_said_where_the_vocabulary_has_room() {
    let how = json_ld(&card_in(&sources(), "shore"), None);
    let said = how["description"].as_str().unwrap();
    assert!(said.contains("finish: matt (or glossy)"), "{said}");
    assert_eq!(
        how["supply"][0]["description"],
        "40 percent by weight of what is inside the ratio; 4 parts; where it is not to be had: Slow syrup, 0.5 g for each gram, \
         and 0.1 g less Binder, and 0.25 g more Dew water (it dries slower), or Binder, gram for gram"
    );
}
