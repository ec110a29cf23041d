//! Cards as the API hands them on.

use tarehand_mixing::adopt::Adopted;
use tarehand_mixing::card::{Card, Country, Form};
use tarehand_protocol::api::{AdoptedRecipe, CardForm, CountryWord, SharedCard};

/// Returns a card, written.
#[must_use]
pub fn shared_card(card: &Card, form: CardForm, country: Option<CountryWord>) -> SharedCard {
    let form = match form {
        CardForm::Text => Form::Text,
        CardForm::Markdown => Form::Markdown,
        CardForm::JsonLd => Form::JsonLd,
    };
    let country = country.map(|word| match word {
        CountryWord::Us => Country::Us,
        CountryWord::Uk => Country::Uk,
        CountryWord::Au => Country::Au,
        CountryWord::Metric => Country::Metric,
    });
    SharedCard {
        media_type: form.media_type().to_owned(),
        text: form.write(card, country),
    }
}

/// Returns a new version of a recipe.
#[must_use]
pub fn adopted_recipe(adopted: Adopted) -> AdoptedRecipe {
    AdoptedRecipe {
        text: adopted.text,
        notes: adopted.notes,
    }
}
