//! Whole-program tests, one binary, a module per topic.
#![expect(
    clippy::unwrap_used,
    reason = "helpers of tests, where a failed step ends the test"
)]

mod amend;
mod api;
mod attacks;
mod bad_recipes;
mod bench;
mod bluetooth;
mod bottle;
mod bus;
mod capture;
mod choices;
mod decant;
mod descent;
mod double;
mod faults;
mod fine;
mod folder;
mod history;
mod keeping;
mod killed;
mod known_jar;
mod label;
mod learnt;
mod links;
mod mix;
mod notices;
mod oracles;
mod plan;
mod rehearse;
mod reopened;
mod rescue;
mod service;
mod several;
mod sharing;
mod shelf;
mod slips;
mod support;
mod taps;
mod teach;
mod visits;
mod voice;
mod watch;
