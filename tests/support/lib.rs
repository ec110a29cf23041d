//! Support of the whole-program tests.
