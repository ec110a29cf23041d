//! The trail: how thin a mix is, as a person measures it, and how much more thinner it wants.
//!
//! A trail is the seconds until a line drawn with the stick sinks back. It has no standard, and it is
//! never turned into a viscosity nor compared with a flow cup's seconds.
//!
//! | file | idea |
//! |---|---|
//! | `measure` | a trail, and a jar at the moment it was measured |
//! | `model` | how the trail falls with thinner, from this jar's own trails and earlier batches |
//! | `splash` | how much more to add, or what is the matter |
//! | `water` | a warning about much added water |
//! | `order` | jars of one pour, thickest to thinnest |

mod measure;
mod model;
mod order;
mod splash;
mod water;

pub use measure::{Measured, NotATrail, Trail};
pub use model::{Basis, Thinning, earlier_slope};
pub use order::{OutOfOrder, out_of_order};
pub use splash::{Advice, Allowance, Reason, Unthinned, next_splash, too_thin};
pub use water::{WATER_BASIS, WaterWarning, usual_water_limit, water_warning};
