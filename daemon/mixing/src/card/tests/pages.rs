//! The show piece's card, as a person reads it.

use super::card;
use crate::card::{Country, markdown, text};

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
