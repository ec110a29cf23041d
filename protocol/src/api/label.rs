//! Labels for jars.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Ask for labels of batches.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LabelRequest {
    /// The marks of the batches, in the order of their labels.
    #[serde(default)]
    #[schema(max_items = 1000)]
    pub marks: Vec<String>,
    /// All jars that were mixed in one run with this batch, after those of `marks`.
    #[serde(default)]
    pub set_of: Option<String>,
    /// The text of the file that describes the sheet of labels; 24 labels of 70 mm by 37 mm on a page of A4 by default.
    #[serde(default)]
    pub sheet: Option<String>,
    /// The first label of the sheet that is free, counted from 1 along its rows.
    #[serde(default = "one")]
    #[schema(minimum = 1)]
    pub first: u32,
    /// In which form.
    #[serde(default)]
    pub form: LabelForm,
    /// What is said of each ingredient.
    #[serde(default)]
    pub says: LabelSays,
    /// For how many days a mix is good; what hardens, and what a pack in it says earlier, go before. Only packs by default.
    #[serde(default)]
    #[schema(minimum = 1, maximum = 36500)]
    pub best_before_days: Option<u32>,
}

const fn one() -> u32 {
    1
}

impl Default for LabelRequest {
    fn default() -> Self {
        Self {
            marks: Vec::new(),
            set_of: None,
            sheet: None,
            first: one(),
            form: LabelForm::default(),
            says: LabelSays::default(),
            best_before_days: None,
        }
    }
}

/// In which form labels are written, at real size.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LabelForm {
    /// PDF, as many pages as are needed.
    #[default]
    Pdf,
    /// SVG, one page.
    Svg,
}

/// What a label says of each ingredient.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LabelSays {
    /// Grams, as poured.
    #[default]
    Grams,
    /// Percent by weight of what is inside the ratio.
    Shares,
}
