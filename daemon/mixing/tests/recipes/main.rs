//! Recipes, shelves and sizing from the files under `fixtures/`.

mod studio;
mod support;
