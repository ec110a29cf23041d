//! What the texts of a view say, as data: a face that speaks another language builds its own sentence from it.
//!
//! Each stands beside the text it says the same as. A text of a recipe's author, a shelf or a device is in its own
//! language and stays as it is.

mod concern;
mod happened;
mod label;
mod matter;
mod remark;
mod step;
mod thinning;
mod trouble;
mod way;

pub use concern::{ConcernSaid, WayRound};
pub use happened::{ChangeWord, EntrySaid, PlaceWord, SeenWord, WeighWord, ZeroWord};
pub use label::{AboutWord, LabelSaid};
pub use matter::{DryWord, PlanSaid, ShelfSaid};
pub use remark::RemarkSaid;
pub use step::{CountSaid, CountUnitWord, StepAction};
pub use thinning::{Advised, Watered};
pub use trouble::TroubleWord;
pub use way::{ObstacleSaid, SlipWord};
