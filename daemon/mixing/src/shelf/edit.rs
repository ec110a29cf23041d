//! Changes a shelf file as its owner would: what is not meant stays as it was written, comments and all.

use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, TomlError, value};

use super::date::Moment;

/// A shelf file that is being changed.
#[derive(Clone, Debug)]
pub struct Edit {
    document: DocumentMut,
}

/// Why a shelf file cannot be changed as wished.
#[derive(Debug, thiserror::Error)]
pub enum EditError {
    /// It is no TOML.
    #[error("the shelf is not TOML")]
    NotToml(#[source] TomlError),
    /// There is no such ingredient.
    #[error("there is no `{0}` on the shelf")]
    NoIngredient(String),
    /// What should hold tables holds something else, or tables in a form that cannot grow.
    #[error("`{0}` is not written as a table of its own")]
    NoTable(String),
    /// The ingredient has no pack at that place.
    #[error("`{0}` has no such pack")]
    NoPack(String),
}

impl EditError {
    /// Returns what the person can do about it.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            Self::NotToml(_) => {
                "see what is wrong with it: `tarehand check` with a recipe beside it".to_owned()
            }
            Self::NoIngredient(key) => format!("add it: tarehand shelf add {key} --holds 1kg"),
            Self::NoTable(name) => {
                format!("write it as [{name}], or packs as [[{name}]], on lines of their own")
            }
            Self::NoPack(key) => format!("add it: tarehand shelf add {key} --holds 1kg --lot LOT"),
        }
    }
}

impl Edit {
    /// Begins with a file's text.
    ///
    /// # Errors
    /// When it is no TOML.
    pub fn new(text: &str) -> Result<Self, EditError> {
        let document = text.parse().map_err(EditError::NotToml)?;
        Ok(Self { document })
    }

    /// Returns the text as it is now.
    #[must_use]
    pub fn text(&self) -> String {
        self.document.to_string()
    }

    /// Puts an ingredient on the shelf, where it is not there yet.
    ///
    /// # Errors
    /// When something else stands in its place.
    pub fn ensure(&mut self, key: &str) -> Result<(), EditError> {
        let ingredients = self
            .document
            .entry("ingredient")
            .or_insert_with(|| {
                let mut table = Table::new();
                // Only its ingredients have lines of their own.
                table.set_implicit(true);
                Item::Table(table)
            })
            .as_table_mut()
            .ok_or_else(|| EditError::NoTable("ingredient".to_owned()))?;
        if !ingredients.contains_key(key) {
            let mut table = Table::new();
            let first = ingredients.is_empty();
            table.decor_mut().set_prefix(if first { "" } else { "\n" });
            ingredients.insert(key, Item::Table(table));
        }
        Ok(())
    }

    /// Sets a field of an ingredient; a comment behind it stays.
    ///
    /// # Errors
    /// When there is no such ingredient.
    pub fn set(&mut self, key: &str, field: &str, text: &str) -> Result<(), EditError> {
        put(self.ingredient(key)?, field, text);
        Ok(())
    }

    /// Sets what a mix is made of: masses, by ingredient.
    ///
    /// # Errors
    /// When there is no such ingredient.
    pub fn set_made_of(&mut self, key: &str, parts: &[(String, String)]) -> Result<(), EditError> {
        let mut table = toml_edit::InlineTable::new();
        for (part, mass) in parts {
            table.insert(part, mass.as_str().into());
        }
        self.ingredient(key)?.insert("made_of", value(table));
        Ok(())
    }

    /// Adds an entry at the end of an ingredient's packs or dry tests.
    ///
    /// # Errors
    /// When there is no such ingredient, or its list is not one of tables.
    pub fn push(
        &mut self,
        key: &str,
        list: &str,
        fields: &[(&str, String)],
    ) -> Result<(), EditError> {
        let name = format!("ingredient.{key}.{list}");
        let entries = self
            .ingredient(key)?
            .entry(list)
            .or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()))
            .as_array_of_tables_mut()
            .ok_or(EditError::NoTable(name))?;
        let mut table = Table::new();
        table.decor_mut().set_prefix("\n");
        for (field, text) in fields {
            put(&mut table, field, text);
        }
        entries.push(table);
        Ok(())
    }

    /// Writes down what was left in the pack at a place.
    ///
    /// # Errors
    /// When there is no such pack.
    pub fn weighed(
        &mut self,
        key: &str,
        pack: usize,
        left: &str,
        at: &Moment,
    ) -> Result<(), EditError> {
        let table = self
            .ingredient(key)?
            .get_mut("pack")
            .and_then(Item::as_array_of_tables_mut)
            .and_then(|packs| packs.get_mut(pack))
            .ok_or_else(|| EditError::NoPack(key.to_owned()))?;
        put(table, "left", left);
        put(table, "weighed", &at.to_string());
        Ok(())
    }

    fn ingredient(&mut self, key: &str) -> Result<&mut Table, EditError> {
        let found = self.document.get_mut("ingredient");
        let found = found
            .and_then(Item::as_table_like_mut)
            .and_then(|ingredients| ingredients.get_mut(key));
        match found {
            None => Err(EditError::NoIngredient(key.to_owned())),
            Some(item) => item
                .as_table_mut()
                .ok_or_else(|| EditError::NoTable(format!("ingredient.{key}"))),
        }
    }
}

/// Sets a field, keeping the blanks and the comment around the old value.
fn put(table: &mut Table, field: &str, text: &str) {
    match table.get_mut(field).and_then(Item::as_value_mut) {
        Some(old) => {
            let decor = old.decor().clone();
            *old = text.into();
            *old.decor_mut() = decor;
        }
        None => {
            table.insert(field, value(text));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHELF: &str = "\
# The studio's shelf.

[ingredient.clear-binder]
name    = \"Clear binder\"
density = \"1.06 g/ml\"      # of the bottle

# The big one.
[[ingredient.clear-binder.pack]]
holds   = \"1 kg\"
left    = \"640 g\"          # by eye
weighed = \"2026-11-02T10:15:00Z\"

[ingredient.soft-water] # from the tap
";

    #[test]
    fn everything_that_is_not_meant_stays_as_it_was() {
        assert_eq!(Edit::new(SHELF).unwrap().text(), SHELF);
        let mut edit = Edit::new(SHELF).unwrap();
        edit.weighed(
            "clear-binder",
            0,
            "512 g",
            &"2026-11-25T08:00:00Z".parse().unwrap(),
        )
        .unwrap();
        edit.set("clear-binder", "density", "1.062 g/ml").unwrap();
        edit.set("soft-water", "drop", "50 mg").unwrap();
        edit.push(
            "clear-binder",
            "pack",
            &[("holds", "1 kg".to_owned()), ("lot", "C2".to_owned())],
        )
        .unwrap();
        edit.push(
            "soft-water",
            "dry_test",
            &[("date", "2026-11-25".to_owned())],
        )
        .unwrap();
        edit.ensure("old grey").unwrap();
        edit.set_made_of(
            "old grey",
            &[("clear-binder".to_owned(), "52.7 g".to_owned())],
        )
        .unwrap();
        insta::assert_snapshot!(edit.text(), @r#"
        # The studio's shelf.

        [ingredient.clear-binder]
        name    = "Clear binder"
        density = "1.062 g/ml"      # of the bottle

        # The big one.
        [[ingredient.clear-binder.pack]]
        holds   = "1 kg"
        left    = "512 g"          # by eye
        weighed = "2026-11-25T08:00:00Z"

        [[ingredient.clear-binder.pack]]
        holds = "1 kg"
        lot = "C2"

        [ingredient.soft-water] # from the tap
        drop = "50 mg"

        [[ingredient.soft-water.dry_test]]
        date = "2026-11-25"

        [ingredient."old grey"]
        made_of = { clear-binder = "52.7 g" }
        "#);
    }

    #[test]
    fn an_empty_file_becomes_a_shelf() {
        let mut edit = Edit::new("").unwrap();
        edit.ensure("chalk").unwrap();
        edit.push("chalk", "pack", &[("holds", "1 kg".to_owned())])
            .unwrap();
        assert_eq!(
            edit.text(),
            "[ingredient.chalk]\n\n[[ingredient.chalk.pack]]\nholds = \"1 kg\"\n"
        );
    }

    #[test]
    fn what_cannot_be_changed_is_named() {
        let mut edit = Edit::new(SHELF).unwrap();
        let said = edit.set("sand", "drop", "1 g").unwrap_err();
        assert_eq!(said.to_string(), "there is no `sand` on the shelf");
        assert_eq!(said.hint(), "add it: tarehand shelf add sand --holds 1kg");
        let now = "2026-11-25T08:00:00Z".parse().unwrap();
        let said = edit.weighed("clear-binder", 1, "1 g", &now).unwrap_err();
        assert_eq!(said.to_string(), "`clear-binder` has no such pack");
        assert!(matches!(Edit::new("[ingr"), Err(EditError::NotToml(_))));
        let mut edit = Edit::new("ingredient = { a = {} }").unwrap();
        assert!(matches!(
            edit.set("a", "drop", "1 g"),
            Err(EditError::NoTable(_))
        ));
    }
}
