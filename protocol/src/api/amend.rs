//! Finished jars opened again: adding to them, pouring one into another, taking out of them.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::bench::MeasuresSaid;
use super::said::ChangeWord;

/// Add something to finished jars, one after another.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AmendJars {
    /// The marks of the batches that made the jars.
    pub marks: Vec<String>,
    /// What goes into each.
    pub add: Vec<AddSaid>,
    /// The text of the shelf, where there is one.
    #[serde(default)]
    pub shelf: Option<String>,
    /// Which kitchen measures are meant.
    #[serde(default, deserialize_with = "super::object::only")]
    pub measures: MeasuresSaid,
    /// How warm and damp the room is, as `21 C, 45 %`, for the record.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
    /// Whose hand pours, up to 40 letters: stop is learnt of each hand by itself. The usual one where nobody says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand: Option<String>,
}

/// One thing that is added.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AddSaid {
    /// Its key, as on the shelf.
    pub ingredient: String,
    /// How much, as in a recipe: `0.4 g`, `6 drops`; or of what the jar holds, `1.5 %`.
    pub amount: String,
}

/// Pour one finished jar into another, on the scale.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct JoinJars {
    /// The mark of the batch whose jar is poured.
    pub from: String,
    /// The mark of the batch into whose jar it is poured.
    pub into: String,
    /// How much, a mass such as `30 g`; all of it by default.
    #[serde(default)]
    pub mass: Option<String>,
    /// How warm and damp the room is, as `21 C, 45 %`, for the record.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
    /// Whose hand pours, up to 40 letters: stop is learnt of each hand by itself. The usual one where nobody says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand: Option<String>,
}

/// Take some of the mix out of a finished jar, on the scale.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TakeOutOfJar {
    /// The mark of the batch whose jar it is.
    pub from: String,
    /// How much, a mass such as `20 g`; all of it by default.
    #[serde(default)]
    pub mass: Option<String>,
    /// Into what, in your own words; away by default.
    #[serde(default)]
    pub into: Option<String>,
    /// How warm and damp the room is, as `21 C, 45 %`, for the record.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
    /// Whose hand pours, up to 40 letters: stop is learnt of each hand by itself. The usual one where nobody says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand: Option<String>,
}

/// Say that mix left a finished jar without a scale of the bench: it is booked as told, and as seen by none.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(default, deny_unknown_fields)]
pub struct MovedSaid {
    /// How much, a mass such as `30 g`; all of it by default.
    pub mass: Option<String>,
    /// The mark of the batch into whose jar it went.
    pub jar: Option<String>,
    /// The vessel it went into, in your own words; away where nothing is said.
    pub into: Option<String>,
    /// The key under which it stands on the shelf from now on: what is poured of that key is this mix.
    pub shelf: Option<String>,
    /// Whether what the record says is still in the jar after that is gone, and booked as lost with it: both or none.
    pub rest_is_gone: bool,
    /// Whether it is only asked if this could be booked: nothing is.
    pub only_ask: bool,
}

/// What is in a jar now, premixes and other jars taken apart.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct JarNow {
    /// All of it, in grams.
    pub mass_g: f64,
    /// By raw ingredient, the largest first.
    pub contents: Vec<NowLine>,
    /// What it cost, by currency.
    #[serde(default)]
    pub cost: Vec<CostLine>,
    /// How much of it nobody knows the price of, in grams.
    #[serde(default)]
    pub unpriced_g: f64,
}

/// What is in a jar of one raw ingredient.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct NowLine {
    /// Its key.
    pub ingredient: String,
    /// Its name.
    pub name: String,
    /// How much, in grams.
    pub mass_g: f64,
    /// Its share of the jar, from 0 to 1.
    pub share: f64,
    /// The lots it came from, the oldest pack's first, where they are known.
    #[serde(default)]
    pub lots: Vec<LotLine>,
}

/// How much came from a lot.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LotLine {
    /// The maker's lot.
    pub lot: String,
    /// The key of what was drawn: the ingredient itself, or a premix it is in.
    pub drawn: String,
    /// How much, in grams.
    pub mass_g: f64,
}

/// The jars that a lot went into.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LotTraced {
    /// The maker's lot.
    pub lot: String,
    /// The jars, in the order they were opened.
    pub jars: Vec<LotJar>,
    /// How many older jars may have something of it too and were not looked into.
    #[serde(default)]
    pub older: u32,
}

/// A jar that a lot went into.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LotJar {
    /// The batch that made it, by its mark.
    pub batch: String,
    /// Its recipe's name.
    pub recipe: String,
    /// When it was opened (RFC 3339, UTC).
    pub opened: String,
    /// How much of the lot is in it now, in grams.
    pub mass_g: f64,
    /// How much of the lot came into it straight from the pack, in grams; the rest came through other jars.
    pub straight_g: f64,
    /// The keys of what was drawn from the lot: an ingredient, or a premix.
    pub drawn: Vec<String>,
}

/// What a jar cost in one currency.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CostLine {
    /// The currency, three capital letters (ISO 4217), where the shelf says it.
    pub currency: Option<String>,
    /// How much money, for what is in the jar.
    pub money: f64,
    /// How much money for each gram of what is in the jar.
    pub per_g: f64,
}

/// The finished jar that a batch amends.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct AmendsLine {
    /// The mark of the batch that made it.
    pub batch: String,
    /// Its recipe's name.
    pub recipe: String,
}

/// What a batch did with a finished jar.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct OpenedAgain {
    /// The batch that made the jar, by its mark.
    pub jar: String,
    /// That batch's recipe's name.
    pub recipe: String,
    /// What was done with it.
    pub how: AgainWord,
    /// What was added, by its name; which jar was poured in; or which vessel some of the mix was taken into, nothing where it was
    /// poured away.
    pub what: Vec<String>,
    /// The batch whose jar was poured in, by its mark, where one was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    /// How much more is in the jar by it, in grams; below nothing where it left the jar.
    pub mass_g: f64,
}

/// What is done with a finished jar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum AgainWord {
    /// Something was added to it.
    Added,
    /// Another finished jar was poured into it.
    Joined,
    /// Some of the mix was taken out of it.
    TakenOut,
}

/// What came into a finished jar, or out of it, after it was made.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct AmendmentLine {
    /// When the last of it was booked (RFC 3339, UTC).
    pub at: String,
    /// The batch in whose journal it is.
    pub batch: String,
    /// What, by its name.
    pub what: String,
    /// How much more is in the jar by it, in grams; below nothing where it left the jar.
    pub mass_g: f64,
    /// The batch whose jar it came out of or went into, where it was another's.
    pub jar: Option<String>,
    /// The key under which it stands on the shelf since, where it was put there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shelf: Option<String>,
    /// What it was, where it went nowhere that has a name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cause: Option<ChangeWord>,
    /// Whether no scale saw it.
    pub unseen: bool,
}
