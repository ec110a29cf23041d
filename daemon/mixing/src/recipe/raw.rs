//! A recipe file as it lies there: known fields taken out, nothing judged yet.

use std::ops::Range;

use toml::Spanned;
use toml::de::DeTable;

use super::choice::{self, WrittenChoice};
use crate::document::{Fields, Problems, tables};

type Text = Option<Spanned<String>>;

/// The texts of a recipe file.
#[derive(Default)]
pub(super) struct RawRecipe {
    /// Where `[recipe]` stands, if it does.
    pub head: Option<Range<usize>>,
    pub name: Text,
    pub makes: Text,
    pub trail: Text,
    pub jar: Text,
    pub pot_life: Text,
    pub within: Text,
    pub weigh: Text,
    pub choices: Vec<WrittenChoice>,
    pub steps: Vec<RawStep>,
    /// Whether there is something called `recipe`, and something called `step`, be it as it may.
    pub has_head: bool,
    pub has_steps: bool,
}

/// The texts of one step.
pub(super) struct RawStep {
    pub range: Range<usize>,
    pub add: Text,
    pub amount: Text,
    pub within: Text,
    pub weigh: Text,
    pub stir: Text,
    pub rest: Text,
    pub strain: Text,
    pub look: Text,
    pub trail: Text,
    pub thin: Text,
    pub decant: Text,
    pub into: Text,
    pub by: Text,
    pub at_most: Text,
    pub note: Text,
}

/// The most steps a recipe may have.
const MOST_STEPS: usize = 500;

pub(super) fn read(document: &DeTable<'_>, problems: &mut Problems<'_>) -> RawRecipe {
    let mut recipe = RawRecipe {
        has_head: document.contains_key("recipe"),
        has_steps: document.contains_key("step"),
        ..RawRecipe::default()
    };
    let mut fields = Fields::new(document);
    if let Some((table, range)) = fields.table("recipe", problems) {
        recipe.head = Some(range);
        read_head(table, &mut recipe, problems);
    }
    if let Some(value) = fields.value("choice") {
        recipe.choices = choice::read(value, problems);
    }
    if let Some(value) = fields.value("step") {
        let found = tables("step", value, problems);
        if MOST_STEPS < found.len() {
            let range = found[MOST_STEPS].1.clone();
            problems.error(range, format!("a recipe has at most {MOST_STEPS} steps"));
        }
        recipe.steps = found
            .into_iter()
            .take(MOST_STEPS)
            .map(|(table, range)| read_step(table, range, problems))
            .collect();
    }
    fields.finish("a recipe file", problems);
    recipe
}

fn read_head(table: &DeTable<'_>, recipe: &mut RawRecipe, problems: &mut Problems<'_>) {
    let mut fields = Fields::new(table);
    recipe.name = fields.text("name", "Dusk blue, satin", problems);
    recipe.makes = fields.text("makes", "180 g", problems);
    recipe.trail = fields.text("trail", "3 s", problems);
    recipe.jar = fields.text("jar", "250 ml", problems);
    recipe.pot_life = fields.text("pot_life", "25 min", problems);
    recipe.within = fields.text("within", "2 %", problems);
    recipe.weigh = fields.text("weigh", "bottle", problems);
    fields.finish("[recipe]", problems);
}

fn read_step(table: &DeTable<'_>, range: Range<usize>, problems: &mut Problems<'_>) -> RawStep {
    let mut fields = Fields::new(table);
    let step = RawStep {
        range,
        add: fields.text("add", "black-paste", problems),
        amount: fields.text("amount", "9 g", problems),
        within: fields.text("within", "0.2 g", problems),
        weigh: fields.text("weigh", "bottle", problems),
        stir: fields.text("stir", "40 s", problems),
        rest: fields.text("rest", "2 min", problems),
        strain: fields.text("strain", "through a fine mesh", problems),
        look: fields.text("look", "smooth, no lumps", problems),
        trail: fields.text("trail", "3 s", problems),
        thin: fields.text("thin", "water", problems),
        decant: fields.text("decant", "40 g", problems),
        into: fields.text("into", "squeeze bottle", problems),
        by: fields.text("by", "1.5 g", problems),
        at_most: fields.text("at_most", "9 g", problems),
        note: fields.text("note", "slowly", problems),
    };
    fields.finish("a step", problems);
    step
}
