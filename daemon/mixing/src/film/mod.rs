//! What a mix is as a film: water, solids, pigment, and what a thickness covers.
//!
//! Everything is worked out from what the shelf says of each ingredient; where it says nothing the ingredient is named
//! as unknown and nothing is guessed. Ideal mixing throughout: volumes are added, which some liquids do not quite do.
//!
//! | file | idea |
//! |---|---|
//! | `data` | what the shelf may say of an ingredient as part of a film |
//! | `makeup`, `pigment` | water, solids and pigment of a mix, and how much a film can hold |
//! | `layer` | thickness, and what it covers |

mod data;
mod layer;
mod makeup;
mod pigment;

pub use data::{FilmData, OilAbsorption, ParseOilAbsorptionError};
pub use layer::{dry_thickness, spread_m2_per_l};
pub use makeup::{Known, Makeup, Part, PigmentLoad};
pub use pigment::{critical_pvc, pvc};
