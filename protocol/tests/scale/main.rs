//! How bytes of scales become readings, checked against public questions and manuals.

mod any_bytes;
mod any_frames;
mod any_reports;
mod binary;
mod binary_profiles;
#[path = "../fuzzed/properties/kit.rs"]
mod kit;
#[path = "../fuzzed/properties/kit_rules.rs"]
mod kit_rules;
mod line;
mod profiles;
mod questions;
mod shapes;
mod torn;
mod usb;
mod weight_service;
