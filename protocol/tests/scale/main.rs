//! How bytes of scales become readings, checked against public questions and manuals.

mod any_bytes;
mod line;
mod profiles;
mod questions;
mod shapes;
mod torn;
