//! The mixing job itself: recipes, shelf, sizing, settling, the guided session, rescue, ledger.
//!
//! Pure: no I/O, no clock, no runtime. Time comes in as a [`Tick`], wishes go out as values.
//!
//! | module | what it holds |
//! |---|---|
//! | [`document`], [`diagnostic`], [`units`] | files a person writes, what is wrong in them and where, quantities as written |
//! | [`recipe`], [`mod@choice`], [`shelf`] | what a person mixes, what is left to choose, and what is at hand |
//! | [`ratio`], [`sizing`], [`procedure`], [`concern`] | exact shares, in grams for one jar, and what speaks against that |
//! | [`set`], [`plan`] | the jars of one pour, and what they take |
//! | [`film`], [`flow_cup`] | what a mix is as a film, and how thick it runs |
//! | [`tick`], [`weighing`], [`settler`], [`tap`] | time as a value, what a scale can tell apart, when a weight is a weight, pushes on the pan |
//! | [`session`], [`jars`] | the guided session, and several of them on one scale |
//! | [`rescue`], [`trail`] | the ways out of a slip, and thinning |
//! | [`ledger`], [`composition`] | where mass went, and what is in every vessel of each raw ingredient |
//! | [`amend`], [`finished`], [`repeat`], [`later`], [`outcome`] | finished jars: opened again, known again, made again, looked at again |
//! | [`card`], [`label`], [`plot`], [`markup`] | what is handed on, stuck on and drawn, and text within marks |
//! | [`adopt`], [`learnt`], [`provenance`] | what a batch teaches its recipe, what many teach the bench, and which they were |

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
