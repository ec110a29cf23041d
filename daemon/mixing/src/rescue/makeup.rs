//! From a procedure to a situation: premixes taken apart, tolerances added up.

use std::collections::BTreeMap;

use tarehand_protocol::Mass;

use crate::procedure::{Addition, Amount, Ingredient, Procedure, StepKind, Within};
use crate::ratio::Ratio;
use crate::shelf::{Price, Rate};
use crate::weighing::Scales;

use super::situation::{Component, Level, Room, Situation, Source};

impl Situation {
    /// Returns the situation of a jar with nothing in it.
    ///
    /// The tolerance of a raw ingredient is that of the additions which bring it, each for its part; the uncertainty of
    /// the scale that each is weighed on widens them where its division is known. A count that nobody judges may come out as anything
    /// between nothing and twice of it.
    #[must_use]
    pub fn of(procedure: &Procedure, scales: Scales) -> Self {
        let mut situation = Self {
            planned: procedure.planned,
            components: Vec::new(),
            sources: Vec::new(),
            room: procedure.jar_ul.map(Room::Volume),
            outside: Mass::ZERO,
            scales,
        };
        let mut makeup = Makeup {
            procedure,
            components: Vec::new(),
            places: BTreeMap::new(),
            taken_apart: BTreeMap::new(),
        };
        let additions = additions(procedure, scales);
        let mut bounds: Vec<[Ratio; 3]> = Vec::new();
        let mut untold: Vec<Mass> = Vec::new();
        for addition in &additions {
            let made_of = makeup.made_of(addition.ingredient);
            bounds.resize(makeup.components.len(), [const { Ratio::zero() }; 3]);
            let low = (&addition.share - &addition.tolerance).max(Ratio::zero());
            let high = &addition.share + &addition.tolerance;
            untold.resize(makeup.components.len(), Mass::ZERO);
            for (component, fraction) in &made_of {
                untold[*component] = untold[*component].max(addition.untold);
                for (bound, share) in
                    bounds[*component]
                        .iter_mut()
                        .zip([&low, &addition.share, &high])
                {
                    *bound = &*bound + &(fraction * share);
                }
            }
            let open = &addition.share * &Ratio::from_mass(procedure.planned);
            situation.sources.push(makeup.source(
                addition.ingredient,
                Level::Addition,
                made_of,
                addition.within.cloned(),
                open,
            ));
        }
        for premix in &procedure.premixes {
            let inside = |ingredient: &&Ingredient| ingredient.key == premix.key;
            let known = situation
                .sources
                .iter()
                .any(|source| source.key == premix.key);
            let mut all = procedure.premixes.iter().flat_map(|premix| &premix.parts);
            let ingredient = all.find_map(|(ingredient, _)| Some(ingredient).filter(inside));
            if let Some(ingredient) = ingredient.filter(|_| !known) {
                let made_of = makeup.made_of(ingredient);
                bounds.resize(makeup.components.len(), [const { Ratio::zero() }; 3]);
                situation.sources.push(makeup.source(
                    ingredient,
                    Level::Premix,
                    made_of,
                    Some(Within::beside_the_recipe()),
                    Ratio::zero(),
                ));
            }
        }
        for (at, ingredient) in makeup.components.iter().enumerate() {
            if !situation
                .sources
                .iter()
                .any(|source| source.key == ingredient.key)
            {
                let made_of = vec![(at, Ratio::one())];
                situation.sources.push(makeup.source(
                    ingredient,
                    Level::Raw,
                    made_of,
                    Some(Within::beside_the_recipe()),
                    Ratio::zero(),
                ));
            }
        }
        let bounds: Vec<Ratio> = bounds.into_iter().flatten().collect();
        let mut bounds = Ratio::on_one_denominator(&bounds).into_iter();
        let mut untold = untold.into_iter();
        situation.components = makeup
            .components
            .into_iter()
            .map(|ingredient| Component {
                key: ingredient.key.clone(),
                name: ingredient.name.clone(),
                low: bounds.next().unwrap_or_else(Ratio::zero),
                share: bounds.next().unwrap_or_else(Ratio::zero),
                high: bounds.next().unwrap_or_else(Ratio::zero),
                in_jar: Ratio::zero(),
                untold: untold.next().unwrap_or_else(|| scales.jar.uncertainty()),
                density_ug_per_ml: ingredient.density_ug_per_ml,
            })
            .collect();
        situation
    }

    /// Puts so much of a source into the jar; it is no longer to be poured. `None` when it is no source.
    pub fn put(&mut self, key: &str, mass: &Ratio) -> Option<()> {
        let source = self.sources.iter_mut().find(|source| source.key == key)?;
        source.open = (&source.open - mass).max(Ratio::zero());
        for (component, fraction) in &source.made_of {
            let component = &mut self.components[*component];
            component.in_jar = &component.in_jar + &(mass * fraction);
        }
        Some(())
    }

    /// Takes a part of the well-stirred mix out of the jar: every ingredient keeps this fraction.
    pub fn keep(&mut self, fraction: &Ratio) {
        for component in &mut self.components {
            component.in_jar = &component.in_jar * fraction;
        }
        self.outside = (fraction * &Ratio::from_mass(self.outside)).to_mass();
    }
}

/// All additions of one ingredient inside the ratio.
struct Together<'p> {
    ingredient: &'p Ingredient,
    share: Ratio,
    /// As a share of the planned total.
    tolerance: Ratio,
    /// What the recipe says of it, of the first of them.
    within: Option<&'p Within>,
    /// What the coarsest of their scales cannot tell apart.
    untold: Mass,
}

fn additions(procedure: &Procedure, scales: Scales) -> Vec<Together<'_>> {
    let planned = Ratio::from_mass(procedure.planned);
    let of_planned = |mass: Mass| {
        Ratio::from_mass(mass)
            .checked_div(&planned)
            .unwrap_or_else(Ratio::zero)
    };
    let mut together: Vec<Together<'_>> = Vec::new();
    for step in &procedure.steps {
        let StepKind::Add(Addition {
            ingredient, amount, ..
        }) = &step.kind
        else {
            continue;
        };
        let (share, within) = match amount {
            Amount::Weighed { share, within, .. } => (share, Some(within)),
            Amount::Counted { share, within, .. } => (share, within.as_ref()),
            Amount::Range { .. } | Amount::ByEye | Amount::Whole { .. } => continue,
        };
        let tolerance = match within {
            Some(Within::Fraction(fraction)) => fraction * share,
            Some(Within::Mass(mass)) => of_planned(*mass),
            None => share.clone(),
        };
        let target = (share * &planned).to_mass();
        let scale = within.map_or(scales.jar, |within| scales.of(target, within.of(target)));
        let untold = scale.uncertainty();
        let tolerance = tolerance.max(of_planned(untold));
        match together
            .iter_mut()
            .find(|other| other.ingredient.key == ingredient.key)
        {
            Some(other) => {
                other.share = &other.share + share;
                other.tolerance = &other.tolerance + &tolerance;
                other.untold = other.untold.max(untold);
            }
            None => together.push(Together {
                ingredient,
                share: share.clone(),
                tolerance,
                within,
                untold,
            }),
        }
    }
    together
}

/// The raw ingredients found so far, and what each name is made of.
struct Makeup<'p> {
    procedure: &'p Procedure,
    components: Vec<&'p Ingredient>,
    places: BTreeMap<&'p str, usize>,
    taken_apart: BTreeMap<&'p str, Vec<(usize, Ratio)>>,
}

impl<'p> Makeup<'p> {
    /// Returns the fractions of raw ingredients in something; every premix is taken apart once.
    fn made_of(&mut self, ingredient: &'p Ingredient) -> Vec<(usize, Ratio)> {
        let Some(premix) = self
            .procedure
            .premixes
            .iter()
            .find(|premix| premix.key == ingredient.key)
        else {
            return vec![(self.place(ingredient), Ratio::one())];
        };
        if let Some(made_of) = self.taken_apart.get(premix.key.as_str()) {
            return made_of.clone();
        }
        let mut sums: BTreeMap<usize, Ratio> = BTreeMap::new();
        for (part, share) in &premix.parts {
            for (component, fraction) in self.made_of(part) {
                let sum = sums.entry(component).or_insert_with(Ratio::zero);
                *sum = &*sum + &(share * &fraction);
            }
        }
        let made_of: Vec<(usize, Ratio)> = sums.into_iter().collect();
        self.taken_apart.insert(&premix.key, made_of.clone());
        made_of
    }

    fn place(&mut self, ingredient: &'p Ingredient) -> usize {
        *self.places.entry(&ingredient.key).or_insert_with(|| {
            self.components.push(ingredient);
            self.components.len() - 1
        })
    }

    fn source(
        &self,
        ingredient: &Ingredient,
        level: Level,
        made_of: Vec<(usize, Ratio)>,
        within: Option<Within>,
        open: Ratio,
    ) -> Source {
        Source {
            key: ingredient.key.clone(),
            name: ingredient.name.clone(),
            level,
            stock: ingredient.stock,
            price: ingredient
                .price
                .as_ref()
                .map(Price::rate)
                .or_else(|| self.price(&made_of)),
            made_of,
            within,
            open,
        }
    }

    /// The price of a premix, from the prices of everything in it.
    fn price(&self, made_of: &[(usize, Ratio)]) -> Option<Rate> {
        let rates: Vec<Option<Rate>> = made_of
            .iter()
            .map(|(component, _)| self.components[*component].price.as_ref().map(Price::rate))
            .collect();
        let fractions = made_of.iter().map(|(_, fraction)| fraction);
        Rate::blend(rates.iter().map(Option::as_ref).zip(fractions))
    }
}
