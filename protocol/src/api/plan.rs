//! Planning a set.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::PlanSaid;
use super::bench::MeasuresSaid;
use super::recipe::ChoiceLine;

/// Plan a set.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanRequest {
    /// The text of the set.
    pub set: String,
    /// The recipe files, text by stem.
    pub recipes: BTreeMap<String, String>,
    /// The text of the shelf, where there is one.
    #[serde(default)]
    pub shelf: Option<String>,
    /// Which kitchen measures are meant.
    #[serde(default, deserialize_with = "super::object::only")]
    pub measures: MeasuresSaid,
    /// What is chosen for all jars, option by choice, in place of what the set chooses for all.
    #[serde(default)]
    pub choices: BTreeMap<String, String>,
}

/// What a set takes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlanAnswer {
    /// The set's name.
    pub set: String,
    /// All pieces with their edges, in square centimetres.
    pub area_cm2: f64,
    /// What they take, run-off included and spare not, in millilitres.
    pub pour_ml: f64,
    /// The wet thickness that is, in millimetres.
    pub thickness_mm: f64,
    /// Where that figure comes from: `common-practice`, `written` or `measured`.
    pub thickness_from: String,
    /// What is mixed beyond the pour, as a fraction of it.
    pub spare: f64,
    /// What the shares of the jars are shares of: `volume` or `weight`.
    pub basis: String,
    /// The jars, in the order of the set.
    pub jars: Vec<PlanJar>,
    /// The premixes, each after those it is made of.
    pub premixes: Vec<PlanPremix>,
    /// What comes from the shelf.
    pub shelf: Vec<PlanNeed>,
    /// What it costs, by currency.
    pub cost: Vec<PlanCost>,
    /// Names of what the shelf says no price of.
    pub unpriced: Vec<String>,
    /// What to know before beginning.
    pub warnings: Vec<PlanWarning>,
    /// Cautions of everything that is used.
    pub cautions: Vec<String>,
    /// Walking jar by jar.
    pub by_jar: PlanWalk,
    /// Walking bottle by bottle.
    pub by_bottle: PlanWalk,
    /// The order of work, rests overlapping.
    pub work: PlanWork,
    /// Warnings and notes on the files.
    pub diagnostics: Vec<super::DiagnosticLine>,
}

/// One jar of a plan. Fractions are from 0 to 1 and left out where they are not known.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlanJar {
    /// The recipe's stem.
    pub recipe: String,
    /// Its name.
    pub name: String,
    /// The choices its recipe leaves, as they were made.
    #[serde(default)]
    pub choices: Vec<ChoiceLine>,
    /// How much, in grams.
    pub grams: f64,
    /// Its volume in millilitres.
    pub volume_ml: Option<f64>,
    /// What its jar holds, in millilitres, where it is too small.
    pub too_small_ml: Option<f64>,
    /// The wanted trail in seconds; 0 = leaves none.
    pub trail_s: Option<f64>,
    /// Plain water by weight, that inside premixes too.
    pub added_water: Option<f64>,
    /// All water by weight.
    pub water: Option<f64>,
    /// What stays when dry, by weight.
    pub solids: Option<f64>,
    /// What stays when dry, by volume.
    pub volume_solids: Option<f64>,
    /// Its pigment volume concentration.
    pub pvc: Option<f64>,
    /// The critical one.
    pub critical_pvc: Option<f64>,
    /// Keys of what the shelf says too little of for these figures.
    pub unknown: Vec<String>,
}

/// One premix of a plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlanPremix {
    /// Its key.
    pub key: String,
    /// Its name.
    pub name: String,
    /// How much to mix for all that use it, in grams.
    pub grams: f64,
    /// What stays in its vessel, in grams.
    pub heel_g: f64,
}

/// What a plan takes of one ingredient.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlanNeed {
    /// Its key.
    pub ingredient: String,
    /// Its name.
    pub name: String,
    /// How much by the ratios, heels included, in grams.
    pub grams: f64,
    /// The most that may be needed, ranges and thinning at their most, in grams.
    pub most_g: f64,
    /// What is on the shelf, in grams.
    pub stock_g: Option<f64>,
    /// What is missing there, in grams.
    pub short_g: Option<f64>,
    /// How many packs to buy.
    pub packs: Option<u64>,
    /// What one pack holds, in grams.
    pub pack_g: Option<f64>,
    /// What is needed costs so much.
    pub cost: Option<f64>,
}

/// Money in one currency.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlanCost {
    /// Three capital letters (ISO 4217), where the shelf says them.
    pub currency: Option<String>,
    /// How much.
    pub amount: f64,
}

/// Something to know before beginning.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlanWarning {
    /// A recipe's stem or an ingredient's key.
    pub about: String,
    /// What is the matter.
    pub text: String,
    /// What it rests on.
    pub basis: String,
    /// The same as data.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub said: Option<PlanSaid>,
}

/// A way to walk the jars.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlanWalk {
    /// How many times a bottle is taken up.
    pub bottles: usize,
    /// How many times a jar is set on the pan.
    pub jars: usize,
    /// Whether no walk of its kind takes up fewer bottles.
    pub fewest: bool,
    /// Every pour, in order.
    pub pours: Vec<PlanPour>,
}

/// One pour of a walk.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlanPour {
    /// Into which jar of the set, from 1.
    pub jar: usize,
    /// What.
    pub ingredient: String,
    /// Its name.
    pub name: String,
    /// How much, in grams; left out where it is judged.
    pub grams: Option<f64>,
}

/// The order of work for one pair of hands.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlanWork {
    /// From the first pour to the last rest, in seconds; an estimate.
    pub takes_s: f64,
    /// The same if nothing were done while something rests.
    pub one_after_another_s: f64,
    /// Whether no order is shorter.
    pub shortest: bool,
    /// What to do, in order.
    pub stints: Vec<PlanStint>,
}

/// A stretch of work on one jar or premix without a rest in it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlanStint {
    /// Its key or stem.
    pub key: String,
    /// Its name.
    pub name: String,
    /// Its first step, from 1.
    pub from_step: usize,
    /// Its last step, from 1.
    pub to_step: usize,
    /// When it can begin, in seconds from the beginning.
    pub begins_s: f64,
    /// How long the hands are at it, in seconds.
    pub takes_s: f64,
    /// How long it rests afterwards, in seconds.
    pub rests_s: f64,
}
