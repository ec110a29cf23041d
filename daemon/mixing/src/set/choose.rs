//! What a set chooses of what its recipes leave to choose: for all jars, and for one.

use std::collections::BTreeMap;
use std::ops::Range;

use toml::Spanned;
use toml::de::DeValue;

use crate::choice::{Choice, Choices, ChooseError};
use crate::document::{Fields, Problems};
use crate::recipe::{CheckedOne, Recipe};

/// `choose = { finish = "glossy" }` as written: each option with where it stands.
#[derive(Clone, Debug, Default)]
pub(super) struct Chosen(BTreeMap<String, (String, Range<usize>)>);

impl Chosen {
    /// Reads it.
    pub(super) fn read(fields: &mut Fields<'_, '_>, problems: &mut Problems<'_>) -> Self {
        let mut chosen = BTreeMap::new();
        let Some(value) = fields.value("choose") else {
            return Self(chosen);
        };
        let wrong = |what: String, at: Range<usize>, problems: &mut Problems<'_>| {
            problems.error(at, what).help =
                Some("write choose = { finish = \"glossy\" }".to_owned());
        };
        let DeValue::Table(table) = value.get_ref() else {
            let what = "`choose` says an option for each choice".to_owned();
            wrong(what, value.span(), problems);
            return Self(chosen);
        };
        for (name, value) in table {
            match value.get_ref() {
                DeValue::String(option) => {
                    let option = option.trim().to_owned();
                    chosen.insert(name.get_ref().to_string(), (option, value.span()));
                }
                _ => {
                    let what = format!("what `{}` is chosen to be is a text", name.get_ref());
                    wrong(what, value.span(), problems);
                }
            }
        }
        Self(chosen)
    }

    /// Lets what was said beside the file go before what it says of all jars; `head` is where messages about that point.
    pub(super) fn over(mut self, choices: &Choices, head: &Range<usize>) -> Self {
        for (name, option) in choices {
            let said = (option.clone(), head.clone());
            self.0.insert(name.clone(), said);
        }
        self
    }

    /// Returns what is chosen for a jar that says its own.
    pub(super) fn with(&self, own: &Self) -> Choices {
        let all = self.0.iter().chain(&own.0);
        all.map(|(name, (option, _))| (name.clone(), option.clone()))
            .collect()
    }
}

/// Says what was chosen in vain, where it was chosen.
///
/// What is chosen for all jars must be left by one of them; a jar's own must be left by that jar.
pub(super) fn report(all: &Chosen, jars: &[(&Chosen, &CheckedOne)], problems: &mut Problems<'_>) {
    let say = |error: &ChooseError, at: &Range<usize>, problems: &mut Problems<'_>| {
        let message = error.to_string();
        if !problems.says(at, &message) {
            problems.error(at.clone(), message).help = Some(error.hint());
        }
    };
    for (own, jar) in jars {
        for error in &jar.refused {
            let common = match error {
                ChooseError::NoChoice { .. } | ChooseError::NoJar { .. } => None,
                ChooseError::NoOption { name, .. } => all.0.get(name),
            };
            if let Some((_, at)) = own.0.get(error.name()).or(common) {
                say(error, at, problems);
            }
        }
    }
    // While a recipe cannot be made, nobody knows what it leaves.
    if jars.iter().any(|(_, jar)| jar.recipe.is_none()) {
        return;
    }
    for (name, (_, at)) in &all.0 {
        let known: Vec<&Choice> = jars
            .iter()
            .filter_map(|(_, jar)| jar.recipe.as_deref())
            .flat_map(Recipe::choices)
            .collect();
        if known.iter().any(|choice| choice.name == *name) {
            continue;
        }
        let each: BTreeMap<&str, &Choice> = known
            .into_iter()
            .map(|choice| (choice.name.as_str(), choice))
            .collect();
        let error = ChooseError::NoJar {
            name: name.clone(),
            known: each.into_values().cloned().collect(),
        };
        say(&error, at, problems);
    }
}

/// Says that two jars want one premix in two ways: a plan mixes every premix once.
pub(super) fn report_two_ways<'j>(
    jars: impl Iterator<Item = (&'j Spanned<String>, &'j Recipe)>,
    problems: &mut Problems<'_>,
) {
    let mut made: BTreeMap<&str, &[Choice]> = BTreeMap::new();
    for (name, recipe) in jars {
        let mut waiting: Vec<&Recipe> = recipe.premixes().map(|(_, premix)| premix).collect();
        while let Some(premix) = waiting.pop() {
            let first = made.entry(premix.stem()).or_insert(premix.choices());
            let differs = first
                .iter()
                .zip(premix.choices())
                .find(|(first, here)| first != here);
            if let Some((first, here)) = differs {
                problems
                    .error(
                        name.span(),
                        format!(
                            "`{}` goes into this jar as {} and into one before it as {}, but a plan mixes it once",
                            premix.stem(),
                            here.chosen,
                            first.chosen
                        ),
                    )
                    .help = Some(format!(
                    "choose one {} for every jar that uses it, or write it as two recipes",
                    first.name
                ));
                return;
            }
            waiting.extend(premix.premixes().map(|(_, inner)| inner));
        }
    }
}
