//! What a person asks to have added, as the text of a recipe, and what is wrong with it, shown where they typed it.

use std::ops::Range;

use tarehand_protocol::Decimal;

use super::name;
use crate::diagnostic::Diagnostic;
use crate::document::{Source, Sources};
use crate::procedure::Amends;
use crate::ratio::Ratio;

/// How messages call what was typed.
const TYPED: &str = "what was asked for";

/// The recipe of what is added to a finished jar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Asked {
    text: String,
    /// Where in the text each thing that was typed stands.
    places: Vec<(Range<usize>, Range<usize>)>,
    /// What was typed, a line for each addition.
    typed: String,
}

impl Asked {
    /// Writes the recipe: ingredients by key, with amounts as in a recipe's file.
    ///
    /// An amount of so many percent is of what the jar holds.
    #[must_use]
    pub fn new(amends: &Amends, add: &[(String, String)]) -> Self {
        let mut asked = Self {
            text: format!("[recipe]\nname = {}\n", quoted(&name(amends))),
            places: Vec::new(),
            typed: String::new(),
        };
        for (ingredient, amount) in add {
            let begin = asked.typed.len();
            let [of_key, of_amount] = asked.push_typed(ingredient, amount);
            let whole = begin..asked.typed.len();
            asked.typed.push('\n');
            let poured = of_jar(amends, amount).unwrap_or_else(|| amount.clone());
            let step = asked.text.len();
            for (field, value, place) in [
                ("\n[[step]]\nadd = ", ingredient, of_key),
                ("amount = ", &poured, of_amount),
            ] {
                asked.text.push_str(field);
                let from = asked.text.len();
                asked.text.push_str(&quoted(value));
                asked.places.push((from..asked.text.len(), place));
                asked.text.push('\n');
            }
            asked.places.push((step..asked.text.len(), whole));
        }
        asked
    }

    /// Returns the text of the recipe.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Returns diagnostics of that text, checked as `file`, as diagnostics of what was typed, and the sources that show them.
    #[must_use]
    pub fn as_typed(
        &self,
        diagnostics: Vec<Diagnostic>,
        file: &str,
        sources: Sources,
    ) -> (Vec<Diagnostic>, Sources) {
        let sources = sources.with_recipe(TYPED, Source::new(TYPED, self.typed.as_str()));
        let typed = diagnostics.into_iter().map(|diagnostic| {
            if diagnostic.file != file {
                return diagnostic;
            }
            let of_it = |(place, _): &&(Range<usize>, Range<usize>)| {
                place.start <= diagnostic.range.start && diagnostic.range.start < place.end
            };
            // The whole step stands behind what is in it.
            let place = self.places.iter().find(of_it);
            let range = place.map_or(0..0, |(_, typed)| typed.clone());
            let before = &self.typed[..range.start];
            let line = before.rsplit('\n').next().unwrap_or(before);
            Diagnostic {
                file: TYPED.to_owned(),
                line: before.matches('\n').count() + 1,
                column: line.chars().count() + 1,
                range,
                ..diagnostic
            }
        });
        (typed.collect(), sources)
    }

    /// Adds an argument as it is typed to a shell, in quotes where it needs them; returns where the key and the amount stand.
    fn push_typed(&mut self, ingredient: &str, amount: &str) -> [Range<usize>; 2] {
        let plain = |c: char| c.is_alphanumeric() || "-_.,+".contains(c);
        let quote = match [ingredient, amount]
            .iter()
            .all(|word| word.chars().all(plain))
        {
            true => "",
            false => "'",
        };
        self.typed.push_str("--add ");
        self.typed.push_str(quote);
        let mut push = |word: &str| {
            let from = self.typed.len();
            // One line for each, whatever is typed.
            let word = word.replace(char::is_control, " ");
            self.typed.push_str(&word.replace('\'', r"'\''"));
            from..self.typed.len()
        };
        let of_key = push(ingredient);
        let _equals = push("=");
        let of_amount = push(amount);
        self.typed.push_str(quote);
        [of_key, of_amount]
    }
}

/// Returns what so many percent of a jar are, in grams; what is no part of it is left for the recipe's checker to say.
fn of_jar(amends: &Amends, amount: &str) -> Option<String> {
    let percent: Decimal = amount.trim().strip_suffix('%')?.trim().parse().ok()?;
    let part = &Ratio::from_decimal(percent) * &Ratio::new(1, 100);
    let mass = (&part * &Ratio::from_mass(amends.holds)).to_mass();
    (tarehand_protocol::Mass::ZERO < mass).then(|| mass.to_string())
}

fn quoted(text: &str) -> String {
    toml::Value::from(text).to_string()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use tarehand_protocol::Mass;

    use super::*;
    use crate::diagnostic::{Paint, render};
    use crate::recipe::{Settings, check};

    fn jar() -> Amends {
        Amends {
            mark: "K7F2A".to_owned(),
            recipe: "Harbour \"grey\"".to_owned(),
            tare: Mass::from_grams(60),
            holds: Mass::from_grams(40),
            within: Mass::ZERO,
            out_of: BTreeMap::new(),
        }
    }

    fn asked(add: &[(&str, &str)]) -> Asked {
        let add = add.iter();
        let add: Vec<(String, String)> = add
            .map(|(key, amount)| ((*key).to_owned(), (*amount).to_owned()))
            .collect();
        Asked::new(&jar(), &add)
    }

    /// What is said of additions.
    fn said(add: &[(&str, &str)]) -> String {
        let asked = asked(add);
        let source = Source::new("amendment.toml", asked.text());
        let sources = Sources::new().with_recipe("amendment", source);
        let checked = check(&sources, "amendment", &Settings::default());
        let errors = checked.diagnostics.into_iter().filter(Diagnostic::is_error);
        let (errors, sources) = asked.as_typed(errors.collect(), "amendment.toml", sources);
        render(&errors, &sources, Paint::Plain)
    }

    #[test]
    fn percent_are_of_what_the_jar_holds_and_names_are_quoted() {
        let asked = asked(&[("flow-drops", "1.5 %"), ("dye", "6 drops")]);
        insta::assert_snapshot!(asked.text(), @r#"
        [recipe]
        name = 'Harbour "grey", K7F2A'

        [[step]]
        add = "flow-drops"
        amount = "0.6 g"

        [[step]]
        add = "dye"
        amount = "6 drops"
        "#);
    }

    #[test]
    fn whatever_is_wrong_is_shown_in_the_word_that_was_typed() {
        let wrong = said(&[("flow-drops", "1g"), ("dye", "a little"), ("Dye Red", "2g")]);
        insta::assert_snapshot!(wrong, @r"
        error: `a little` is not an amount
         --> what was asked for:2:12
          |
        2 | --add 'dye=a little'
          |            ^^^^^^^^
          |
          = help: what is judged by eye is written as some
        ");
    }

    #[test]
    fn nothing_that_is_typed_is_shown_in_a_text_of_the_programs_own() {
        for amount in [
            "",
            "0 g",
            "-5 %",
            "0 %",
            "1..",
            "2 ml",
            "6 drops",
            "3 parts",
            "it's",
            "all of it",
            "\n[x]",
            "🙂",
            "9999999 kg",
            "20-10 g",
        ] {
            for key in ["dye", "", "Dye", "d'ye", "k7f2a", "\u{7}"] {
                let text = said(&[("flow-drops", "1 g"), (key, amount)]);
                assert!(
                    !text.contains("amendment") && !text.contains("[[step]]"),
                    "{key}={amount}: {text}"
                );
                assert!(
                    !text.contains("-->") || text.contains("--add"),
                    "{key}={amount}: {text}"
                );
            }
        }
    }
}
