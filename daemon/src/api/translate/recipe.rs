//! Checked and sized recipes as the API shows them.

use tarehand_mixing::choice::Choice;
use tarehand_mixing::diagnostic::{Diagnostic, Severity};
use tarehand_mixing::procedure::Procedure;
use tarehand_mixing::sizing::{Changed, Sizing};
use tarehand_mixing::units::Measures;
use tarehand_protocol::api::{ChangedLine, ChoiceLine, DiagnosticLine, MeasuresSaid};

use super::remark::remark_said;

/// Returns which measures are meant, in the words of the settings file.
#[must_use]
pub fn measures_said(measures: Measures) -> MeasuresSaid {
    let word = |value: Result<serde_json::Value, _>| match value {
        Ok(serde_json::Value::String(word)) => Some(word),
        Ok(_) | Err(serde_json::Error { .. }) => None,
    };
    MeasuresSaid {
        spoon: measures
            .spoon
            .and_then(|spoon| word(serde_json::to_value(spoon))),
        fluid_ounce: measures
            .fluid_ounce
            .and_then(|ounce| word(serde_json::to_value(ounce))),
    }
}

/// Returns a diagnostic as a line.
#[must_use]
pub fn diagnostic_line(diagnostic: &Diagnostic) -> DiagnosticLine {
    DiagnosticLine {
        severity: match diagnostic.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
        }
        .to_owned(),
        file: diagnostic.file.clone(),
        line: u32::try_from(diagnostic.line).unwrap_or(u32::MAX),
        column: u32::try_from(diagnostic.column).unwrap_or(u32::MAX),
        message: diagnostic.message.clone(),
        help: diagnostic.help.clone(),
        remark: diagnostic.finding.as_ref().map(remark_said),
    }
}

/// Returns the choices a procedure was made with.
#[must_use]
pub fn choice_lines(procedure: &Procedure) -> Vec<ChoiceLine> {
    procedure.choices.iter().map(choice_line).collect()
}

/// Returns a choice as a line.
#[must_use]
pub fn choice_line(choice: &Choice) -> ChoiceLine {
    ChoiceLine {
        name: choice.name.clone(),
        chosen: choice.chosen.clone(),
        others: choice.others.clone(),
    }
}

/// Returns what stand-ins changed of every ingredient.
#[must_use]
pub fn changed_lines(sizing: &Sizing) -> Vec<ChangedLine> {
    let line = |changed: &Changed| ChangedLine {
        ingredient: changed.key.clone(),
        name: changed.name.clone(),
        written_share: changed.before.0.to_f64(),
        written_g: changed.before.1.grams(),
        share: changed.after.0.to_f64(),
        grams: changed.after.1.grams(),
    };
    sizing.changed.iter().map(line).collect()
}
