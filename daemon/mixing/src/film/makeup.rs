//! Water, solids and pigment of a mix, from what is in it.

use super::{FilmData, critical_pvc, pvc};
use crate::ratio::Ratio;
use crate::units::Density;

/// One raw ingredient of a mix.
#[derive(Clone, Copy, Debug)]
pub struct Part<'p> {
    /// Its key, to name it by.
    pub key: &'p str,
    /// How much of it, in micrograms or any one unit of mass.
    pub mass: &'p Ratio,
    /// Its density, where it is known.
    pub density: Option<Density>,
    /// What the shelf says of it as part of a film.
    pub film: &'p FilmData,
}

/// A figure of a mix, or the ingredients that keep it from being known.
pub type Known = Result<Ratio, Vec<String>>;

/// What a mix is as a film. Fractions are of the whole mix, 0 to 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Makeup {
    /// Plain water that was added, by weight: what stands on the shelf as nothing but water, in premixes too.
    pub added_water: Ratio,
    /// All water by weight, that inside the ingredients too.
    pub water: Known,
    /// What stays when it is dry, by weight.
    pub solids: Known,
    /// What stays when it is dry, by volume (the form of ISO 3233-3, *from memory*).
    pub volume_solids: Known,
    /// Its pigment volume concentration and the critical one; `None` where no pigment is in it that the shelf calls one.
    pub pigment: Option<Result<PigmentLoad, Vec<String>>>,
}

/// How much pigment the dry film holds, and could hold; both 0 to 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PigmentLoad {
    /// The pigment volume concentration.
    pub pvc: Ratio,
    /// The critical one.
    pub critical: Ratio,
}

impl Makeup {
    /// Works a mix out; `None` where nothing is in it.
    #[must_use]
    pub fn of(parts: &[Part<'_>]) -> Option<Self> {
        let total: Ratio = parts.iter().map(|part| part.mass.clone()).sum();
        let added: Ratio = parts
            .iter()
            .filter(|part| part.film.is_plain_water())
            .map(|part| part.mass.clone())
            .sum();
        Some(Self {
            added_water: added.checked_div(&total)?,
            water: fraction(parts, &total, |film| film.water.clone()),
            solids: fraction(parts, &total, FilmData::staying),
            volume_solids: volume_solids(parts),
            pigment: parts
                .iter()
                .any(|part| part.film.oil_absorption.is_some())
                .then(|| load(parts)),
        })
    }
}

/// Sums a fraction of every part.
fn fraction(parts: &[Part<'_>], total: &Ratio, of: impl Fn(&FilmData) -> Option<Ratio>) -> Known {
    let sum = all(parts, |part| Some(part.mass * &of(part.film)?))?;
    Ok(sum.checked_div(total).unwrap_or_else(Ratio::zero))
}

/// Sums something over all parts, or names those it is not known of.
fn all(parts: &[Part<'_>], of: impl Fn(&Part<'_>) -> Option<Ratio>) -> Known {
    let mut sum = Ratio::zero();
    let mut unknown = Vec::new();
    for part in parts {
        match of(part) {
            Some(one) => sum = &sum + &one,
            None => unknown.push(part.key.to_owned()),
        }
    }
    if unknown.is_empty() {
        Ok(sum)
    } else {
        Err(unknown)
    }
}

/// Returns the volume of what stays of a part; what stays whole keeps its own density.
fn dry_volume(part: &Part<'_>) -> Option<Ratio> {
    let staying = part.film.staying()?;
    if staying.is_zero() {
        return Some(staying);
    }
    let whole = staying == Ratio::one();
    let density = part
        .film
        .dry_density
        .or_else(|| part.density.filter(|_| whole))?;
    Some(volume(&(part.mass * &staying), density))
}

fn volume(mass: &Ratio, density: Density) -> Ratio {
    density.volume_of(mass).microlitres().clone()
}

fn volume_solids(parts: &[Part<'_>]) -> Known {
    let dry = all(parts, dry_volume);
    let wet = all(parts, |part| Some(volume(part.mass, part.density?)));
    match (dry, wet) {
        (Ok(dry), Ok(wet)) => Ok(dry.checked_div(&wet).unwrap_or_else(Ratio::zero)),
        (dry, wet) => {
            let mut unknown = dry.err().unwrap_or_default();
            unknown.extend(wet.err().unwrap_or_default());
            unknown.sort();
            unknown.dedup();
            Err(unknown)
        }
    }
}

fn load(parts: &[Part<'_>]) -> Result<PigmentLoad, Vec<String>> {
    let is_pigment = |part: &&Part<'_>| part.film.oil_absorption.is_some();
    let pigments: Vec<Part<'_>> = parts.iter().filter(is_pigment).copied().collect();
    let others: Vec<Part<'_>> = parts
        .iter()
        .filter(|part| !is_pigment(part))
        .copied()
        .collect();
    let (pigment, binder) = match (all(&pigments, dry_volume), all(&others, dry_volume)) {
        (Ok(pigment), Ok(binder)) => (pigment, binder),
        (pigment, binder) => {
            let mut unknown = pigment.err().unwrap_or_default();
            unknown.extend(binder.err().unwrap_or_default());
            return Err(unknown);
        }
    };
    let each: Vec<(Ratio, Density, &Ratio)> = pigments
        .iter()
        .filter_map(|part| {
            let density = part.film.dry_density.or(part.density)?;
            let oil = part.film.oil_absorption.as_ref()?.per_gram();
            Some((dry_volume(part)?, density, oil))
        })
        .collect();
    let critical = critical_pvc(
        each.iter()
            .map(|(volume, density, oil)| (volume, *density, *oil)),
    );
    match (pvc(&pigment, &binder), critical) {
        (Some(pvc), Some(critical)) => Ok(PigmentLoad { pvc, critical }),
        _ => Err(pigments.iter().map(|part| part.key.to_owned()).collect()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn density(text: &str) -> Option<Density> {
        Some(text.parse().unwrap())
    }

    /// Acrylic emulsion binder, makers' data sheets: 1.06 wet, 1.13 dry, 45.5 % solids.
    fn binder() -> FilmData {
        FilmData {
            water: Some(Ratio::new(545, 1_000)),
            solids: Some(Ratio::new(455, 1_000)),
            dry_density: density("1.13 g/ml"),
            oil_absorption: None,
        }
    }

    fn water() -> FilmData {
        FilmData {
            water: Some(Ratio::one()),
            ..FilmData::default()
        }
    }

    fn titanium() -> FilmData {
        FilmData {
            water: Some(Ratio::zero()),
            oil_absorption: Some("20 g per 100 g".parse().unwrap()),
            ..FilmData::default()
        }
    }

    fn part<'p>(key: &'p str, mass: &'p Ratio, wet: &str, film: &'p FilmData) -> Part<'p> {
        Part {
            key,
            mass,
            density: density(wet),
            film,
        }
    }

    // ISO 3233-3 form, *from memory*: 0.455 · 1.06 / 1.13 = 0.4268.
    #[test]
    fn a_binder_alone_has_the_volume_solids_of_its_data_sheet() {
        let (one, film) = (Ratio::one(), binder());
        let makeup = Makeup::of(&[part("binder", &one, "1.06 g/ml", &film)]).unwrap();
        let solids = makeup.volume_solids.unwrap();
        assert_eq!(
            solids,
            &(&Ratio::new(455, 1_000) * &Ratio::new(106, 113)) * &Ratio::one()
        );
        assert_eq!(format!("{:.4}", solids.to_f64()), "0.4268");
    }

    #[test]
    fn water_inside_an_ingredient_counts_as_water_but_not_as_added() {
        let (four, one) = (Ratio::new(4, 1), Ratio::one());
        let (binder, water) = (binder(), water());
        let parts = [
            part("binder", &four, "1.06 g/ml", &binder),
            part("water", &one, "0.9982 g/ml", &water),
        ];
        let makeup = Makeup::of(&parts).unwrap();
        assert_eq!(makeup.added_water, Ratio::new(1, 5));
        assert_eq!(makeup.water, Ok(Ratio::new(4 * 545 + 1_000, 5_000)));
        assert_eq!(makeup.solids, Ok(Ratio::new(4 * 455, 5_000)));
        assert_eq!(makeup.pigment, None);
    }

    // By hand: 10 ml of titanium dioxide beside 10 ml of dry binder is 50 %; its critical one is 52.68 % (textbook).
    #[test]
    fn pigment_is_held_against_what_the_binder_can_fill() {
        let dry_binder = Ratio::new(113, 10);
        let wet = dry_binder.checked_div(&Ratio::new(455, 1_000)).unwrap();
        let pigment = Ratio::new(42, 1);
        let (binder, titanium) = (binder(), titanium());
        let parts = [
            part("binder", &wet, "1.06 g/ml", &binder),
            part("titanium", &pigment, "4.2 g/ml", &titanium),
        ];
        let load = Makeup::of(&parts).unwrap().pigment.unwrap().unwrap();
        assert_eq!(load.pvc, Ratio::new(1, 2));
        assert_eq!(format!("{:.4}", load.critical.to_f64()), "0.5268");
    }

    #[test]
    fn what_is_not_known_is_named_and_nothing_is_guessed() {
        let one = Ratio::one();
        let (binder, nothing) = (binder(), FilmData::default());
        let parts = [
            part("binder", &one, "1.06 g/ml", &binder),
            part("paste", &one, "1.3 g/ml", &nothing),
        ];
        let makeup = Makeup::of(&parts).unwrap();
        let paste = || Err(vec!["paste".to_owned()]);
        assert_eq!(makeup.water, paste());
        assert_eq!(makeup.solids, paste());
        assert_eq!(makeup.volume_solids, paste());
    }

    #[test]
    fn an_empty_mix_is_nothing() {
        assert_eq!(Makeup::of(&[]), None);
    }
}
