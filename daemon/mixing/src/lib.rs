//! The mixing job itself: recipes, shelf, sizing, settling, the guided session, rescue, ledger.
//!
//! Pure: no I/O, no clock, no runtime. Time comes in as a [`Tick`], wishes go out as values.

pub mod adopt;
pub mod amend;
pub mod card;
pub mod choice;
pub mod composition;
pub mod concern;
pub mod diagnostic;
pub mod document;
pub mod film;
pub mod finished;
pub mod flow_cup;
pub mod jars;
pub mod label;
pub mod later;
pub mod learnt;
pub mod ledger;
pub mod markup;
pub mod outcome;
pub mod plan;
pub mod plot;
pub mod procedure;
pub mod provenance;
pub mod ratio;
pub mod recipe;
pub mod repeat;
pub mod rescue;
pub mod session;
pub mod set;
pub mod settler;
pub mod shelf;
pub mod sizing;
pub mod tap;
pub mod tick;
pub mod trail;
pub mod units;
pub mod weighing;

pub use procedure::{
    Addition, Amount, CountUnit, Ingredient, Origin, Procedure, Step, StepKind, Weigh, Within,
};
pub use session::Session;
pub use settler::Settler;
pub use tick::Tick;
