//! Collects everything there is to say about one file.

use std::collections::BTreeSet;
use std::ops::Range;

use toml::de::DeTable;

use super::Source;
use crate::diagnostic::{Diagnostic, Finding, Severity};

/// The remarks on one file, in the making.
pub(crate) struct Problems<'s> {
    source: &'s Source,
    /// Where each line begins.
    lines: Vec<usize>,
    /// Lines that are not TOML: whatever else is wrong there follows from that.
    broken: BTreeSet<usize>,
    list: Vec<Diagnostic>,
}

impl<'s> Problems<'s> {
    /// Parses the file as TOML; what is no TOML is noted, and the rest is returned.
    pub(crate) fn parse(source: &'s Source) -> (Self, DeTable<'s>) {
        let starts = source.text().match_indices('\n').map(|(at, _)| at + 1);
        let mut problems = Self {
            source,
            lines: std::iter::once(0).chain(starts).collect(),
            broken: BTreeSet::new(),
            list: Vec::new(),
        };
        if let Some(at) = source.broken_at() {
            problems.error(at..at, "the file is not UTF-8 text from here on");
            return (problems, DeTable::new());
        }
        let (document, errors) = DeTable::parse_recoverable(source.text());
        for error in errors {
            let range = error.span().unwrap_or(0..0);
            let line = problems.line(range.start);
            // One slip often upsets several rules of the grammar: the first says enough.
            if !problems.broken.insert(line) {
                continue;
            }
            let quoted = problems.unquoted(line);
            let problem = problems.error(range, error.message().trim());
            if let Some(quoted) = quoted {
                problem.help = Some(format!("values stand in quotes: {quoted}"));
            }
        }
        (problems, document.into_inner())
    }

    /// Returns whether the file is TOML; where it is not, what seems missing may only be unreadable.
    pub(crate) fn is_readable(&self) -> bool {
        self.broken.is_empty() && self.source.broken_at().is_none()
    }

    /// Returns whether an error already points into the lines that begin within this range.
    pub(crate) fn mentions(&self, range: &Range<usize>) -> bool {
        let inside = |problem: &Diagnostic| {
            range.start <= problem.range.start && problem.range.start < self.table_end(range.start)
        };
        self.list
            .iter()
            .filter(|problem| problem.is_error())
            .any(inside)
    }

    /// Returns whether something was already said about exactly this range.
    pub(crate) fn points_at(&self, range: &Range<usize>) -> bool {
        self.list.iter().any(|problem| problem.range == *range)
    }

    /// Returns whether exactly this was already said of exactly this range.
    pub(crate) fn says(&self, range: &Range<usize>, message: &str) -> bool {
        let mut list = self.list.iter();
        list.any(|problem| problem.range == *range && problem.message == message)
    }

    /// Returns where the table that begins at a byte ends: at the next line that opens one.
    fn table_end(&self, start: usize) -> usize {
        let text = self.source.text();
        let next = text.get(start..).and_then(|rest| rest.find("\n["));
        next.map_or(text.len() + 1, |offset| start + offset)
    }

    pub(crate) fn error(
        &mut self,
        range: Range<usize>,
        message: impl Into<String>,
    ) -> &mut Diagnostic {
        self.push(Severity::Error, range, message.into())
    }

    /// Says what was found, though it can be made all the same.
    pub(crate) fn found(&mut self, severity: Severity, range: Range<usize>, finding: Finding) {
        let problem = self.push(severity, range, finding.to_string());
        problem.help = finding.help();
        problem.finding = Some(finding);
    }

    /// Returns whether an error was noted so far.
    pub(crate) fn has_errors(&self) -> bool {
        self.list.iter().any(Diagnostic::is_error)
    }

    /// Returns the remarks in the order of the file.
    pub(crate) fn into_list(self) -> Vec<Diagnostic> {
        let (broken, first_of) = (self.broken, self.list);
        let mut seen_broken = BTreeSet::new();
        let mut list: Vec<Diagnostic> = first_of
            .into_iter()
            .filter(|problem| !broken.contains(&problem.line) || seen_broken.insert(problem.line))
            .collect();
        list.sort_by_key(|problem| (problem.range.start, problem.severity));
        list
    }

    fn push(
        &mut self,
        severity: Severity,
        range: Range<usize>,
        message: String,
    ) -> &mut Diagnostic {
        let text = self.source.text();
        let start = text.floor_char_boundary(range.start);
        let end = text.ceil_char_boundary(range.end.max(start));
        let line = self.line(start);
        let column = text[self.lines[line - 1]..start].chars().count() + 1;
        self.list.push(Diagnostic {
            severity,
            file: self.source.file().to_owned(),
            line,
            column,
            range: start..end,
            message,
            help: None,
            finding: None,
        });
        self.list.last_mut().expect("one was pushed just now")
    }

    /// Returns the line of a byte, from 1.
    fn line(&self, at: usize) -> usize {
        self.lines.partition_point(|&start| start <= at).max(1)
    }

    /// Returns `key = "value"` for a line that only lacks the quotes, the commonest slip of all.
    fn unquoted(&self, line: usize) -> Option<String> {
        let end = self.lines.get(line).copied().unwrap_or(usize::MAX);
        let text = self.source.text();
        let text = text.get(self.lines[line - 1]..end.min(text.len()))?;
        let (key, value) = text.split_once('=')?;
        let (key, value) = (key.trim(), value.split('#').next()?.trim());
        let plain = |c: char| c.is_alphanumeric() || " .%_-".contains(c);
        let is_key = !key.is_empty()
            && key
                .chars()
                .all(|c| c.is_ascii_alphanumeric() || "_-".contains(c));
        (is_key && !value.is_empty() && value.len() < 80 && value.chars().all(plain))
            .then(|| format!("{key} = \"{value}\""))
    }
}
