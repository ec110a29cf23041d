//! Reads quantities of any file.

use toml::Spanned;

use super::Problems;
use crate::units::{Quantity, help};

/// Reads a quantity, or reports what is wrong with it and what would be right.
pub(crate) fn quantity(text: &Spanned<String>, problems: &mut Problems<'_>) -> Option<Quantity> {
    match text.get_ref().parse::<Quantity>() {
        Ok(quantity) => Some(quantity),
        Err(error) => {
            let help = help(&error);
            problems.error(text.span(), error.to_string()).help = help;
            None
        }
    }
}
