//! Scales and what they say.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::said::TroubleWord;

/// Which scale of a bench.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ScaleWord {
    /// The one the jar stands on.
    #[default]
    Main,
    /// A second, finer one beside it, for small additions.
    Fine,
}

impl ScaleWord {
    /// Returns whether it is the one the jar stands on: so it is where nothing is said.
    #[must_use]
    pub const fn is_main(&self) -> bool {
        matches!(self, Self::Main)
    }
}

/// What a reading says about the weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum WeightState {
    /// The scale says that it is stable.
    Stable,
    /// The scale says that it is moving.
    Moving,
    /// The scale does not say.
    Unknown,
    /// More than its capacity: no weight.
    Over,
    /// Less than its zero allows: no weight.
    Under,
    /// The scale reports an error, or nothing: no weight.
    Fault,
    /// The bytes could not be read: no weight.
    Rejected,
}

/// What a person must tell once so that a scale can be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Need {
    /// The unit of its numbers.
    Unit,
    /// Which of several numbers is the weight.
    Field,
}

/// One reading, as `tarehand watch --json` prints it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ReadingLine {
    /// All that stands on the pan, in grams; `null` when there is no weight.
    pub gross_g: Option<f64>,
    /// What the reading says about the weight.
    pub state: WeightState,
    /// The unit the scale sent or was told to send.
    pub unit: Option<String>,
    /// The digits as they came, where there is a weight.
    pub digits: Option<String>,
    /// How old the reading was when it was sent on, in milliseconds.
    pub age_ms: u64,
    /// The bytes in hexadecimal, where they were rejected.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub raw: Option<String>,
    /// Why there is no weight, where there is none.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub why: Option<String>,
    /// What the person can do about it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub hint: Option<String>,
    /// What the person must tell once so that it can be read.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub needs: Option<Need>,
}

/// How bytes arrived.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ChunkWord {
    /// In a stream, cut wherever it happened to be.
    Stream,
    /// As a packet, whole as the link knows it.
    Packet,
}

/// Bytes of a scale as they arrived, whatever they mean.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Chunk {
    /// When they arrived, in microseconds of the bench's clock; only differences mean anything.
    pub at_us: u64,
    /// How they arrived.
    pub came: ChunkWord,
    /// The bytes in hexadecimal, two digits each.
    pub hex: String,
}

/// What follows continues nothing that came before.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ChunksBegin {
    /// Which device was opened, ready to read; `null` where bytes were thrown away that had waited too long to be news.
    pub device: Option<String>,
}

/// How a bench's scale is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ScaleState {
    /// Which device, ready to read.
    pub device: String,
    /// How its bytes are read: a profile's name, or `plain lines`.
    pub read_as: String,
    /// Whether the way to it is open.
    pub open: bool,
    /// Why not, or what is wrong with what it sends.
    pub trouble: Option<String>,
    /// Which trouble that is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trouble_kind: Option<TroubleWord>,
    /// What the person can do about it.
    pub hint: Option<String>,
    /// Its division in grams, told or estimated.
    pub division_g: Option<f64>,
    /// Whether the division was estimated from the readings.
    pub division_estimated: bool,
    /// The most it can weigh, in grams.
    pub capacity_g: Option<f64>,
    /// Readings a second.
    pub rate_hz: Option<f64>,
    /// How full the battery of a radio scale is, where it tells.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub battery_percent: Option<u8>,
    /// What a person should know of how it reports, as that its steps are coarse.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub remark: Option<String>,
    /// Whether the person wants taps on its pan to count; not every scale can be tapped on.
    #[serde(skip_serializing_if = "is_wanted", default = "wanted")]
    pub taps: bool,
}

/// Taps are wanted where nothing is said.
pub(super) const fn wanted() -> bool {
    true
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde hands a field over by reference"
)]
pub(super) const fn is_wanted(taps: &bool) -> bool {
    *taps
}

/// One way a scale may be attached.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct PortLine {
    /// The path to name it by.
    pub path: String,
    /// What it calls itself.
    pub product: Option<String>,
    /// The identity it is known by when it comes back under another path.
    pub identity: String,
    /// Whether it can be opened now, in words.
    pub state: String,
    /// What the person can do about it.
    pub hint: Option<String>,
    /// The bench that reads it.
    pub bench: Option<String>,
}

/// A device on Bluetooth that is a scale, or may be one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct RadioLine {
    /// The address to name it by.
    pub address: String,
    /// The radio of this machine that hears it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub adapter: Option<String>,
    /// What it calls itself.
    pub name: Option<String>,
    /// How loud it is; `null` where it is not in reach, or connected.
    pub signal_dbm: Option<i16>,
    /// Whether it is in reach now; what is only remembered is not, or sleeps.
    pub in_reach: bool,
    /// How it would be read: a profile's name, or the open service; `null` where nothing is known of it.
    pub known_as: Option<String>,
    /// How full its battery is, where it told a bench.
    pub battery_percent: Option<u8>,
    /// The bench that reads it.
    pub bench: Option<String>,
}

/// What Bluetooth hears.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct RadioList {
    /// Scales, known ones first, then other devices with a name that are in reach.
    pub devices: Vec<RadioLine>,
    /// Why nothing can be heard.
    pub trouble: Option<String>,
    /// What the person can do about it.
    pub hint: Option<String>,
}

/// Everything attached.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ScaleList {
    /// Ports that may have a scale.
    pub ports: Vec<PortLine>,
    /// Scales that a bench reads.
    pub scales: Vec<BenchScale>,
    /// What Bluetooth hears; only where it was asked, as listening takes a while.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub radio: Option<RadioList>,
    /// What on this machine may spoil how scales are read.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub cautions: Vec<Caution>,
}

/// Something on this machine that may spoil how scales are read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Caution {
    /// What, in words.
    pub what: String,
    /// What the person can do about it.
    pub hint: String,
}

/// The scale of one bench.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BenchScale {
    /// The bench.
    pub bench: String,
    /// Which of its scales.
    #[serde(default, skip_serializing_if = "ScaleWord::is_main")]
    pub which: ScaleWord,
    /// The scale.
    pub scale: ScaleState,
    /// The newest reading.
    pub reading: Option<ReadingLine>,
}
