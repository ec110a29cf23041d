//! A plan as a message.

use tarehand_mixing::film::Makeup;
use tarehand_mixing::plan::walk::{Proof, Walk, Walks};
use tarehand_mixing::plan::work::{Stint, Work};
use tarehand_mixing::plan::{Fit, Matter, Plan, PlannedJar, RawNeed};
use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::set::{CoverBasis, Set};
use tarehand_protocol::api::{
    DiagnosticLine, PlanAnswer, PlanCost, PlanJar, PlanNeed, PlanPour, PlanPremix, PlanSaid,
    PlanStint, PlanWalk, PlanWarning, PlanWork,
};

use super::choice_lines;
use super::words::volume_ml as millilitres;

/// Returns what a set takes.
#[must_use]
pub fn plan_answer(set: &Set, plan: &Plan, diagnostics: Vec<DiagnosticLine>) -> PlanAnswer {
    PlanAnswer {
        set: set.name.clone(),
        area_cm2: plan.square_mm.to_f64() / 100.0,
        pour_ml: millilitres(&plan.pour),
        thickness_mm: set.cover.thickness.mm().to_f64(),
        thickness_from: match set.cover.basis {
            CoverBasis::CommonPractice => "common-practice",
            CoverBasis::Written => "written",
            CoverBasis::Measured => "measured",
        }
        .to_owned(),
        spare: set.spare.to_f64(),
        basis: set.basis.word().to_owned(),
        jars: plan.jars.iter().map(jar).collect(),
        premixes: plan
            .premixes
            .iter()
            .map(|premix| PlanPremix {
                key: premix.key.clone(),
                name: premix.name.clone(),
                grams: grams(&premix.exact),
                heel_g: premix.heel.grams(),
            })
            .collect(),
        shelf: plan.raw.iter().map(need).collect(),
        cost: plan
            .cost
            .money
            .iter()
            .map(|(currency, amount)| PlanCost {
                currency: currency.clone(),
                amount: amount.to_f64(),
            })
            .collect(),
        unpriced: plan.cost.unpriced.clone(),
        warnings: plan
            .warnings
            .iter()
            .map(|warning| PlanWarning {
                about: warning.about.clone(),
                text: warning.matter.to_string(),
                basis: warning.basis().to_owned(),
                said: Some(said(&warning.matter)),
            })
            .collect(),
        cautions: plan.cautions.clone(),
        by_jar: walk(&plan.walks, &plan.walks.by_jar),
        by_bottle: walk(&plan.walks, &plan.walks.by_bottle),
        work: work(&plan.work),
        diagnostics,
    }
}

pub(super) fn said(matter: &Matter) -> PlanSaid {
    match matter.clone() {
        Matter::JarTooSmall { jar, most, holds } => PlanSaid::JarTooSmall {
            jar,
            most_ml: millilitres(&most),
            holds_ml: millilitres(&holds),
        },
        Matter::Watery { jar, water } => PlanSaid::Watery {
            jar,
            share: water.fraction.to_f64(),
            limit: water.limit.to_f64(),
        },
        Matter::Overloaded { jar, pvc, critical } => PlanSaid::Overloaded {
            jar,
            pvc: pvc.to_f64(),
            critical: critical.to_f64(),
        },
        Matter::LatePowder { ingredient, jar } => PlanSaid::LatePowder { ingredient, jar },
        Matter::OutOfOrder {
            jar,
            trail_s,
            behind,
            thinner_s,
        } => PlanSaid::OutOfOrder {
            jar,
            trail_s,
            behind,
            thinner_s,
        },
        Matter::Short {
            ingredient,
            by,
            packs,
        } => PlanSaid::Short {
            ingredient,
            short_g: by.grams(),
            packs: packs.map(|(packs, _)| packs),
            pack_g: packs.map(|(_, pack)| pack.grams()),
        },
    }
}

/// Exact micrograms as grams.
fn grams(micrograms: &Ratio) -> f64 {
    (micrograms * &Ratio::new(1, 1_000_000)).to_f64()
}

fn jar(jar: &PlannedJar) -> PlanJar {
    let makeup = jar.makeup.as_ref();
    let load = makeup.and_then(|makeup| makeup.pigment.as_ref()?.as_ref().ok());
    let known = |of: fn(&Makeup) -> &Result<Ratio, Vec<String>>| {
        makeup.and_then(|makeup| Some(of(makeup).as_ref().ok()?.to_f64()))
    };
    PlanJar {
        recipe: jar.stem.clone(),
        name: jar.name.clone(),
        choices: choice_lines(&jar.procedure),
        grams: grams(&jar.exact),
        volume_ml: jar.volume.as_ref().map(millilitres),
        too_small_ml: match &jar.fit {
            Fit::TooSmall { holds, .. } => Some(millilitres(holds)),
            Fit::Fits | Fit::Unknown => None,
        },
        trail_s: jar.trail_s,
        added_water: makeup.map(|makeup| makeup.added_water.to_f64()),
        water: known(|makeup| &makeup.water),
        solids: known(|makeup| &makeup.solids),
        volume_solids: known(|makeup| &makeup.volume_solids),
        pvc: load.map(|load| load.pvc.to_f64()),
        critical_pvc: load.map(|load| load.critical.to_f64()),
        unknown: makeup.map_or_else(Vec::new, unknown),
    }
}

/// Names what the shelf says too little of, each once.
fn unknown(makeup: &Makeup) -> Vec<String> {
    let figures = [&makeup.water, &makeup.solids, &makeup.volume_solids];
    let mut keys: Vec<String> = figures
        .into_iter()
        .filter_map(|figure| figure.as_ref().err())
        .chain(makeup.pigment.as_ref().and_then(|load| load.as_ref().err()))
        .flatten()
        .cloned()
        .collect();
    keys.sort();
    keys.dedup();
    keys
}

fn need(need: &RawNeed) -> PlanNeed {
    let shortage = need.shortage.as_ref();
    let packs = shortage.and_then(|shortage| shortage.packs);
    PlanNeed {
        ingredient: need.ingredient.key.clone(),
        name: need.ingredient.name.clone(),
        grams: grams(&need.exact),
        most_g: need.most.grams(),
        stock_g: need.ingredient.stock.map(|stock| stock.grams()),
        short_g: shortage.map(|shortage| shortage.by.grams()),
        packs: packs.map(|(packs, _)| packs),
        pack_g: packs.map(|(_, pack)| pack.grams()),
        cost: need.price.as_ref().map(Ratio::to_f64),
    }
}

fn walk(walks: &Walks, walk: &Walk) -> PlanWalk {
    let pour = |visit: &tarehand_mixing::plan::walk::Visit| {
        let pour = &walks.pours[visit.jar][visit.pour];
        PlanPour {
            jar: visit.jar + 1,
            ingredient: pour.ingredient.key.clone(),
            name: pour.ingredient.name.clone(),
            grams: pour.target.map(|target| target.grams()),
        }
    };
    PlanWalk {
        bottles: walk.bottles,
        jars: walk.jars,
        fewest: walk.proof == Proof::Fewest,
        pours: walk.visits.iter().map(pour).collect(),
    }
}

fn work(work: &Work) -> PlanWork {
    let stint = |stint: &Stint| PlanStint {
        key: stint.key.clone(),
        name: stint.name.clone(),
        from_step: stint.steps.0 + 1,
        to_step: stint.steps.1 + 1,
        begins_s: stint.begins.as_secs_f64(),
        takes_s: stint.takes.as_secs_f64(),
        rests_s: stint.rests.as_secs_f64(),
    };
    PlanWork {
        takes_s: work.takes.as_secs_f64(),
        one_after_another_s: work.one_after_another.as_secs_f64(),
        shortest: work.shortest,
        stints: work.stints.iter().map(stint).collect(),
    }
}
