//! What a person chooses of what a recipe leaves to choose.

use clap::Args;
use tarehand_mixing::choice::Choices;
use tarehand_mixing::recipe::{Recipe, Settings};

use super::Place;
use crate::failure::Failure;
use crate::output::Output;
use crate::settings::MeasureArgs;
use crate::words::quoted;

/// How a recipe is read: its measures, and what is chosen.
#[derive(Args, Clone, Debug)]
pub(crate) struct ReadArgs {
    /// Choose what the recipe leaves to choose, as in finish=glossy; say it once for each choice [default: the first option]
    #[arg(long, value_name = "CHOICE=OPTION", value_parser = chosen)]
    choose: Vec<Chosen>,
    #[command(flatten)]
    measures: MeasureArgs,
}

/// One choice.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Chosen {
    name: String,
    option: String,
}

fn chosen(text: &str) -> Result<Chosen, String> {
    let split = text.split_once('=').map(|(name, option)| Chosen {
        name: name.trim().to_owned(),
        option: option.trim().to_owned(),
    });
    split
        .filter(|chosen| !chosen.name.is_empty() && !chosen.option.is_empty())
        .ok_or_else(|| "a choice and an option are wanted, as in finish=glossy".to_owned())
}

impl ReadArgs {
    /// Returns the words of the command line that say the same again, each with a space before it.
    pub(crate) fn again(&self) -> String {
        let mut words = String::new();
        for Chosen { name, option } in &self.choose {
            words.push_str(" --choose ");
            words.push_str(&quoted(&format!("{name}={option}")));
        }
        words + &self.measures.again()
    }

    /// Returns how recipes are read: the person's settings, with what was said for this once.
    pub(crate) fn settings(&self, place: &Place) -> Result<Settings, Failure> {
        let mut choices = Choices::new();
        for Chosen { name, option } in &self.choose {
            let before = choices.insert(name.clone(), option.clone());
            if let Some(before) = before.filter(|before| before != option) {
                return Err(Failure::Usage {
                    what: format!("`{name}` is chosen to be {before} and {option}"),
                    hint: format!("say --choose {name}=… once"),
                });
            }
        }
        Ok(Settings {
            measures: self.measures.over(place.settings()?.measures),
            choices,
        })
    }
}

/// Says what was chosen and what could be.
pub(crate) fn say_choices(recipe: &Recipe, output: &mut Output) {
    for choice in recipe.choices() {
        output.say(choice);
    }
}

#[cfg(test)]
mod tests {
    use clap::FromArgMatches;

    use super::*;

    #[test]
    fn what_was_chosen_and_meant_is_said_again_as_it_was() {
        let said = [
            "--choose",
            "finish=very matt",
            "--spoon",
            "us",
            "--fluid-ounce",
            "imperial",
        ];
        let command = ReadArgs::augment_args(clap::Command::new("x").no_binary_name(true));
        let matches = command.get_matches_from(said);
        let args = ReadArgs::from_arg_matches(&matches).unwrap();
        assert_eq!(
            args.again(),
            " --choose 'finish=very matt' --spoon us --fluid-ounce imperial"
        );
    }

    #[test]
    fn a_choice_is_a_name_and_an_option() {
        let glossy = Chosen {
            name: "finish".to_owned(),
            option: "glossy".to_owned(),
        };
        assert_eq!(chosen("finish = glossy"), Ok(glossy));
        for wrong in ["finish", "=glossy", "finish="] {
            assert!(chosen(wrong).is_err(), "{wrong}");
        }
    }
}
