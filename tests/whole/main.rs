//! Whole-program tests, one binary, a module per topic.
