//! Cards as the API hands them on.

use tarehand_mixing::adopt::Adopted;
use tarehand_mixing::card::{Card, Country, Form, SetCard};
use tarehand_protocol::api::{AdoptedRecipe, CardForm, CountryWord, SharedCard};

/// Returns a card, written.
#[must_use]
pub fn shared_card(card: &Card, form: CardForm, country: Option<CountryWord>) -> SharedCard {
    let form = form_of(form);
    SharedCard {
        media_type: form.media_type().to_owned(),
        text: form.write(card, country.map(country_of)),
    }
}

/// Returns the card of a set, written.
#[must_use]
pub fn shared_set(card: &SetCard, form: CardForm, country: Option<CountryWord>) -> SharedCard {
    let form = form_of(form);
    SharedCard {
        media_type: form.media_type().to_owned(),
        text: form.write_set(card, country.map(country_of)),
    }
}

const fn form_of(form: CardForm) -> Form {
    match form {
        CardForm::Text => Form::Text,
        CardForm::Markdown => Form::Markdown,
        CardForm::JsonLd => Form::JsonLd,
    }
}

const fn country_of(word: CountryWord) -> Country {
    match word {
        CountryWord::Us => Country::Us,
        CountryWord::Uk => Country::Uk,
        CountryWord::Au => Country::Au,
        CountryWord::Metric => Country::Metric,
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
