//! Whole rehearsals, from wishes to bytes.

mod bench;
mod link;
mod runs;
mod whole;
