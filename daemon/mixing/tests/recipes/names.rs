//! What a person reads names ingredients as the shelf does; keys are for typing.

use tarehand_mixing::concern::{Outfit, concerns, stock};
use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::recipe::{Settings, check};
use tarehand_mixing::sizing::{Goal, needs, size};
use tarehand_protocol::Mass;

const SHELF: &str = r#"
[ingredient.k1]
name = "Chalk white"
family = "acrylic"
stock = "40 g"
density = "1.2 g/ml"

[ingredient.k2]
name = "Amber gel"
family = "oil"
drop = "40 mg"

[ingredient.k3]
name = "Fluid medium"
stock = "1 g"
"#;

const RECIPE: &str = r#"
[recipe]
name = "Try"
makes = "100 g"
jar = "50 ml"

[[step]]
add = "k1"
amount = "1 part"
[[step]]
add = "k2"
amount = "2 g"
within = "0.1 g"
[[step]]
add = "k2"
amount = "12 drops"
[[step]]
add = "k3"
amount = "20 g"
within = "0.2 g"
[[step]]
add = "k2"
amount = "0.2..0.4 g"
"#;

#[test]
fn concerns_and_remarks_say_the_name_of_the_shelf_and_never_the_key() {
    let sources = Sources::new()
        .with_shelf(Source::new("shelf.toml", SHELF))
        .with_recipe("try", Source::new("try.toml", RECIPE));
    let checked = check(&sources, "try", &Settings::default());
    let mut said: Vec<String> = (checked.diagnostics.iter())
        .map(|diagnostic| format!("{} {:?}", diagnostic.message, diagnostic.help))
        .collect();
    let Some(recipe) = checked.recipe else {
        panic!("{said:?}");
    };
    for grams in [10, 100] {
        let planned = Mass::from_grams(grams);
        let sizing = size(&recipe, &Goal::Make(planned)).unwrap();
        said.extend(sizing.notes().iter().map(ToString::to_string));
        let outfit = Outfit {
            division: Some(Mass::from_grams(1)),
            capacity: Some(Mass::from_grams(50)),
            ..Outfit::default()
        };
        let found = concerns(&sizing.procedure, &outfit);
        said.extend(found.iter().map(ToString::to_string));
        let short = stock(&needs(&recipe, planned), planned);
        said.extend(short.iter().map(ToString::to_string));
    }
    for text in &said {
        let keys: Vec<&str> = ["k1", "k2", "k3"]
            .into_iter()
            .filter(|key| text.contains(key))
            .collect();
        assert!(keys.is_empty(), "{keys:?} in: {text}");
    }
    let all = said.join("\n");
    for kind in [
        "finer than this scale",
        "cannot be weighed here",
        "may not show",
        "the recipe's share",
        "(taken as 1 g/ml: Amber gel, Fluid medium)",
        "Chalk white are needed and 40 g",
        "Amber gel is oil and Chalk white is acrylic",
    ] {
        assert!(all.contains(kind), "{kind} is missing in:\n{all}");
    }
}
