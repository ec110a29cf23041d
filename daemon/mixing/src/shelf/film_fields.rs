//! Reads what the shelf says of an ingredient as part of a film.

use toml::Spanned;

use crate::document::{Fields, Problems};
use crate::film::FilmData;
use crate::ratio::Ratio;
use crate::units::parse_percent;

use super::Form;
use super::parse::parse_density;

/// The texts of one ingredient, taken out of its table.
pub(super) struct FilmFields {
    water: Option<Spanned<String>>,
    solids: Option<Spanned<String>>,
    dry_density: Option<Spanned<String>>,
    oil_absorption: Option<Spanned<String>>,
    form: Option<Spanned<String>>,
}

impl FilmFields {
    pub(super) fn take(fields: &mut Fields<'_, '_>, problems: &mut Problems<'_>) -> Self {
        Self {
            water: fields.text("water", "54.5 %", problems),
            solids: fields.text("solids", "45.5 %", problems),
            dry_density: fields.text("dry_density", "1.13 g/ml", problems),
            oil_absorption: fields.text("oil_absorption", "20 g per 100 g", problems),
            form: fields.text("form", "powder", problems),
        }
    }

    pub(super) fn film(&self, problems: &mut Problems<'_>) -> FilmData {
        let film = FilmData {
            water: self
                .water
                .as_ref()
                .and_then(|text| fraction(text, problems)),
            solids: self
                .solids
                .as_ref()
                .and_then(|text| fraction(text, problems)),
            dry_density: self
                .dry_density
                .as_ref()
                .and_then(|text| parse_density(text, problems)),
            oil_absorption: self.oil_absorption.as_ref().and_then(|text| {
                let read = text.get_ref().parse();
                read.map_err(|error| {
                    problems.error(text.span(), format!("{error}"));
                })
                .ok()
            }),
        };
        if let (Some(water), Some(solids), Some(text)) = (&film.water, &film.solids, &self.water)
            && Ratio::one() < water + solids
        {
            problems
                .error(text.span(), "water and solids come to more than 100 %")
                .help = Some("both are fractions of its weight as it comes".to_owned());
        }
        film
    }

    pub(super) fn form(&self, problems: &mut Problems<'_>) -> Option<Form> {
        let text = self.form.as_ref()?;
        let form = Form::from_word(text.get_ref().trim());
        if form.is_none() {
            problems
                .error(text.span(), format!("`{}` is no form", text.get_ref()))
                .help = Some("known are powder, paste and fluid".to_owned());
        }
        form
    }
}

/// Reads a percentage from nothing to all.
fn fraction(text: &Spanned<String>, problems: &mut Problems<'_>) -> Option<Ratio> {
    let whole = Ratio::zero()..=Ratio::one();
    let fraction = parse_percent(text.get_ref()).filter(|fraction| whole.contains(fraction));
    if fraction.is_none() {
        problems
            .error(
                text.span(),
                format!("`{}` is no percentage from 0 to 100", text.get_ref()),
            )
            .help = Some("write a part of its weight, as in \"45.5 %\"".to_owned());
    }
    fraction
}

#[cfg(test)]
mod tests {
    use crate::document::Source;
    use crate::ratio::Ratio;
    use crate::shelf::{Form, Shelf};
    use crate::units::Measures;

    fn parse(text: &str) -> (Shelf, Vec<String>) {
        let text = format!("[ingredient.x]\n{text}");
        let (shelf, problems) =
            Shelf::parse(&Source::new("shelf.toml", text), &Measures::default());
        (
            shelf,
            problems
                .into_iter()
                .map(|problem| problem.message)
                .collect(),
        )
    }

    #[test]
    fn a_data_sheet_is_read() {
        let (shelf, problems) = parse(
            "water = \"54.5 %\"\nsolids = \"45.5%\"\ndry_density = \"1.13 g/ml\"\nform = \"fluid\"",
        );
        assert_eq!(problems, Vec::<String>::new());
        let item = shelf.get("x").unwrap();
        assert_eq!(item.film.water, Some(Ratio::new(545, 1_000)));
        assert_eq!(item.film.solids, Some(Ratio::new(455, 1_000)));
        assert_eq!(item.form, Some(Form::Fluid));
    }

    #[test]
    fn what_makes_no_sense_is_said() {
        let (_, problems) = parse("water = \"60 %\"\nsolids = \"45 %\"");
        assert_eq!(problems, ["water and solids come to more than 100 %"]);
        let (_, problems) =
            parse("water = \"101 %\"\nsolids = \"half\"\nform = \"gas\"\noil_absorption = \"20\"");
        assert_eq!(
            problems,
            [
                "`101 %` is no percentage from 0 to 100",
                "`half` is no percentage from 0 to 100",
                "`gas` is no form",
                "an oil absorption is grams of oil for a hundred grams, as in `20 g per 100 g`",
            ]
        );
        let (shelf, _) = parse("solids = \"0 %\"");
        assert_eq!(shelf.get("x").unwrap().film.solids, Some(Ratio::zero()));
    }
}
