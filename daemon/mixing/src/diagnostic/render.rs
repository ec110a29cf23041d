//! Diagnostics as text for a terminal: the line, carets under it, and the help.

use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};

use super::{Diagnostic, Severity};
use crate::document::Sources;

/// Whether the text carries colours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paint {
    /// Plain text.
    Plain,
    /// With ANSI colours.
    Colour,
}

/// Writes diagnostics one after the other, each with the line it points at.
#[must_use]
pub fn render(diagnostics: &[Diagnostic], sources: &Sources, paint: Paint) -> String {
    let renderer = match paint {
        Paint::Plain => Renderer::plain(),
        Paint::Colour => Renderer::styled(),
    };
    let texts: Vec<String> = diagnostics
        .iter()
        .map(|diagnostic| render_one(diagnostic, sources, &renderer))
        .collect();
    texts.join("\n\n")
}

fn render_one(diagnostic: &Diagnostic, sources: &Sources, renderer: &Renderer) -> String {
    let level = match diagnostic.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Note => Level::NOTE,
    };
    let title = level.primary_title(diagnostic.message.as_str());
    let mut group = match sources.text_of(&diagnostic.file) {
        Some(text) => title.element(
            Snippet::source(text)
                .path(diagnostic.file.as_str())
                .annotation(AnnotationKind::Primary.span(diagnostic.range.clone())),
        ),
        None => title.elements(std::iter::empty::<
            Snippet<'_, annotate_snippets::Annotation<'_>>,
        >()),
    };
    if let Some(help) = &diagnostic.help {
        group = group.element(Level::HELP.message(help.as_str()));
    }
    renderer.render(&[group])
}
