//! The screen, from what is known: pure.

use std::time::Duration;

use tarehand_protocol::api::{
    BatchStateWord, ConcernLine, ConcernSaid, Doing, JarLine, StepStatus, StepView, VerdictWord,
    View,
};

use super::beam;
use super::digits;
use super::keys::help;
use super::line::{Line, Tone, packed, wrapped};
use super::readout::{Readout, readout};
use super::scene::{Asking, Link, Scene};
use super::style::{Size, Style};
use crate::words::{
    decimals, grams, pours_unsaid, short_grams, shown, state, step_of, taps, told, verdict,
};

/// Draws the screen: exactly as many lines as it has rows, none longer than it has columns.
pub(crate) fn render(scene: &Scene<'_>, size: Size, style: Style) -> Vec<Line> {
    let width = size.columns.max(1);
    let page = Page {
        scene,
        style,
        width,
    };
    let bottom = page.bottom();
    let room = size.rows.saturating_sub(bottom.len());
    let mut lines = page.top(room);
    lines.truncate(room);
    let rest = room - lines.len();
    if 2 <= rest {
        lines.push(Line::default());
        lines.extend(page.steps(rest - 1));
    }
    lines.resize(room, Line::default());
    lines.extend(bottom);
    lines.truncate(size.rows);
    let cut = |line: Line| line.cut(width, style.marks.ellipsis);
    lines.into_iter().map(cut).collect()
}

struct Page<'a> {
    scene: &'a Scene<'a>,
    style: Style,
    width: usize,
}

impl Page<'_> {
    fn view(&self) -> &View {
        self.scene.view
    }

    /// What is done now, from the top of the screen down.
    fn top(&self, room: usize) -> Vec<Line> {
        let mut lines = vec![self.header()];
        lines.extend(self.jars());
        lines.push(Line::default());
        lines.extend(self.call());
        match &self.view().question {
            Some(_) => lines.extend(self.question()),
            None => {
                if let Some(readout) = readout(self.scene) {
                    lines.extend(self.number(&readout, room));
                }
                lines.extend(self.concerns());
            }
        }
        lines
    }

    fn header(&self) -> Line {
        let view = self.view();
        let dot = format!(" {} ", self.style.marks.dot);
        let name = view.recipe.as_deref().unwrap_or("Tarehand");
        let mut line = Line::new(name, Tone::Strong);
        if let Some(mark) = &view.batch {
            line = line.with(&dot, Tone::Faint).with(mark, Tone::Plain);
        }
        line = line
            .with(&dot, Tone::Faint)
            .with(state(view.state), Tone::Plain);
        if view.rehearsal {
            line = line.with(&dot, Tone::Faint).with("rehearsal", Tone::Plain);
        }
        if let (Some(planned), Some(total)) = (view.planned_g, view.total_g) {
            let grown = if grams(planned, 1) == grams(total, 1) {
                format!("{} g", grams(planned, 1))
            } else {
                format!("{} g, planned {}", grams(total, 1), grams(planned, 1))
            };
            line = line.with(&dot, Tone::Faint).with(grown, Tone::Plain);
        }
        if let Some(left) = view.hardens_in_ms {
            let left = Duration::from_millis(left).saturating_sub(self.scene.since_view);
            let told = if left.is_zero() {
                "its pot life is over".to_owned()
            } else {
                format!("hardens in {} min", left.as_secs().div_ceil(60))
            };
            line = line.with(&dot, Tone::Faint).with(told, Tone::Care);
        }
        line
    }

    /// How each jar of the set stands; on two lines at most, those around the one that is shown.
    fn jars(&self) -> Vec<Line> {
        let jars = &self.view().jars;
        if jars.is_empty() {
            return Vec::new();
        }
        let shown_at = jars.iter().position(|jar| jar.shown).unwrap_or(0);
        let texts: Vec<String> = jars.iter().map(|jar| self.jar(jar)).collect();
        let first = (0..=shown_at)
            .find(|&first| packed(&texts[first..=shown_at], self.width).len() <= 2)
            .unwrap_or(shown_at);
        let lines = packed(texts.get(first..).unwrap_or_default(), self.width);
        let lines = lines.into_iter().take(2);
        lines.map(|line| Line::new(line, Tone::Plain)).collect()
    }

    fn jar(&self, jar: &JarLine) -> String {
        let marks = self.style.marks;
        let mark = match jar.state {
            BatchStateWord::Complete | BatchStateWord::Aborted => marks.done,
            _ if jar.shown => marks.now,
            _ => marks.open,
        };
        let (poured, total) = (grams(jar.poured_g, 1), grams(jar.total_g, 1));
        let place = if jar.on_pan { ", on the pan" } else { "" };
        let rests = jar.rests_ms.map(|left| {
            let left = Duration::from_millis(left).saturating_sub(self.scene.since_view);
            format!(", rests {} s", left.as_secs())
        });
        format!(
            "{mark}\u{a0}{} {poured} of {total} g{place}{}",
            shown(&jar.name),
            rests.unwrap_or_default()
        )
    }

    fn call(&self) -> Vec<Line> {
        let told = told(self.view());
        let mut lines: Vec<Line> = wrapped(&told.call, self.width, 2)
            .into_iter()
            .map(|line| Line::new(line, Tone::Strong))
            .collect();
        let more = wrapped(told.more.as_deref().unwrap_or_default(), self.width, 2);
        lines.extend(more.into_iter().map(|line| Line::new(line, Tone::Plain)));
        let step = step_of(&self.view().doing).and_then(|number| self.step(number));
        // Where nothing else is to be said, the note is said already.
        let note = step
            .and_then(|step| step.note.as_deref())
            .filter(|note| told.more.as_deref() != Some(&*shown(note)));
        if let Some(note) = note {
            let note = wrapped(note, self.width, 2).into_iter();
            lines.extend(note.map(|line| Line::new(line, Tone::Plain)));
        }
        if let Some(step) = step.filter(|step| !step.cautions.is_empty()) {
            let caution = format!("caution: {}", step.cautions.join("; "));
            let caution = wrapped(&caution, self.width, 2).into_iter();
            lines.extend(caution.map(|line| Line::new(line, Tone::Care)));
        }
        if self.view().question.is_none() {
            lines.extend(self.taps());
        }
        lines
    }

    fn step(&self, number: u32) -> Option<&StepView> {
        self.view().steps.iter().find(|step| step.step == number)
    }

    fn number(&self, readout: &Readout, room: usize) -> Vec<Line> {
        let mut rows: Vec<String> = digits::big(&readout.number).into();
        let twice = digits::doubled(&rows);
        let widest = twice
            .iter()
            .map(|row| row.chars().count())
            .max()
            .unwrap_or(0);
        if widest + 4 <= self.width && 32 <= room {
            rows = twice;
        }
        let fits = rows.iter().all(|row| row.chars().count() <= self.width);
        let mut lines = Vec::new();
        if 14 <= room && fits {
            lines.push(Line::default());
            lines.extend(rows.iter().map(|row| {
                let row = row.replace('#', &self.style.marks.block.to_string());
                Line::new(row.trim_end(), readout.tone)
            }));
            lines.extend(self.caption(readout));
        } else {
            let text = format!("{} {}", readout.number, readout.caption);
            lines.push(Line::new(text, readout.tone));
        }
        if let Some(beam) = readout
            .beam
            .filter(|_| lines.len() + beam::ROWS + 6 <= room)
        {
            let label = format!("{} g", short_grams(f64::midpoint(beam.low_g, beam.high_g)));
            // A longer arm than this shows nothing more, only travels further from the eye.
            let mut drawn = beam.draw(self.width.min(110), &label, self.style.marks);
            // A level arm leaves its lower rows to the steps.
            while drawn.last().is_some_and(|line| line.spans.is_empty()) {
                drawn.pop();
            }
            lines.extend(drawn);
        }
        lines
    }

    /// What the number is, and beside or below it what is in and how fast it comes.
    fn caption(&self, readout: &Readout) -> Vec<Line> {
        let caption = Line::new(&readout.caption, readout.tone);
        match self.net().filter(|_| readout.beam.is_some()) {
            None => vec![caption],
            Some(net) => {
                let both = caption
                    .clone()
                    .with("   ", Tone::Plain)
                    .with(&net, Tone::Faint);
                if both.width() <= self.width {
                    vec![both]
                } else {
                    vec![caption, Line::new(net, Tone::Faint)]
                }
            }
        }
    }

    fn net(&self) -> Option<String> {
        let pours = matches!(
            self.view().doing,
            Doing::Pour { .. }
                | Doing::PourBetween { .. }
                | Doing::Thin { .. }
                | Doing::Count { .. }
        );
        let weight = self
            .scene
            .weight
            .filter(|weight| pours && !weight.is_stale(self.view()))?;
        let net = weight.now.net_g.filter(|_| self.scene.link == Link::Live)?;
        let mut text = format!("{} g in", grams(net, decimals(self.view())));
        if 0.05 <= weight.now.flow_g_s {
            text.push_str(&format!(", {} g/s", grams(weight.now.flow_g_s, 1)));
        }
        Some(text)
    }

    fn question(&self) -> Vec<Line> {
        let mut lines = vec![Line::default()];
        let Some(question) = &self.view().question else {
            return lines;
        };
        for option in &question.options {
            let head = format!(" {}  ", option.option);
            let room = self.width.saturating_sub(4).max(8);
            let tone = if option.feasible {
                Tone::Strong
            } else {
                Tone::Faint
            };
            let mut texts = wrapped(&option.text, room, 5);
            if let Some(why_not) = option.why_not.as_ref().filter(|_| !option.feasible) {
                texts.extend(wrapped(&format!("cannot be done: {why_not}"), room, 2));
            }
            for (index, text) in texts.iter().enumerate() {
                let begin = if index == 0 { head.as_str() } else { "    " };
                lines.push(Line::new(begin, Tone::Strong).with(text, tone));
            }
            if question.about == "which-jar" {
                continue;
            }
            let total = grams(option.total_g, 1);
            let said = option.text.contains(&format!("the jar becomes {total} g"));
            let sum = match (pours_unsaid(option), said) {
                (Some(pours), _) => format!("{pours}: {total}\u{a0}g in\u{a0}all"),
                (None, false) => format!("{total}\u{a0}g in\u{a0}all"),
                (None, true) => continue,
            };
            let sum = wrapped(&sum, room, 3).into_iter();
            lines.extend(sum.map(|line| Line::new(format!("    {line}"), Tone::Plain)));
        }
        if question.options.is_empty() {
            lines.push(Line::new(" y  yes", Tone::Strong));
            lines.push(Line::new(" n  no", Tone::Strong));
        }
        lines.push(Line::default());
        let hand = wrapped(
            "No clean finger? Lift the jar and set it back: yes.",
            self.width,
            2,
        );
        lines.extend(hand.into_iter().map(|line| Line::new(line, Tone::Faint)));
        lines.extend(self.taps());
        lines
    }

    /// How the pan is tapped to answer.
    fn taps(&self) -> Vec<Line> {
        let text = self.view().taps.as_ref().map(taps).unwrap_or_default();
        let lines = wrapped(&text, self.width, 2).into_iter();
        lines.map(|line| Line::new(line, Tone::Faint)).collect()
    }

    /// What should be known before the first gram; and that it may be the wrong jar, as long as nothing is in it.
    fn concerns(&self) -> Vec<Line> {
        let before = matches!(
            self.view().doing,
            Doing::ClearPan | Doing::PutJar | Doing::ConfirmJar
        );
        let nothing_in = self
            .view()
            .steps
            .iter()
            .all(|step| step.poured_g.is_none_or(|poured| poured <= 0.0));
        let due = |concern: &&ConcernLine| match concern.concern {
            Some(ConcernSaid::UnlikeItsRecord { .. }) => nothing_in,
            _ => before,
        };
        let mut lines = Vec::new();
        for concern in self.view().concerns.iter().filter(due) {
            let mut text = format!("{} {}", self.style.marks.warning, concern.text);
            if !concern.ways_round.is_empty() {
                text.push_str(&format!(" (or: {})", concern.ways_round.join("; ")));
            }
            let text = wrapped(&text, self.width, 3).into_iter();
            lines.extend(text.map(|line| Line::new(line, Tone::Care)));
        }
        lines
    }

    /// As many steps as fit, those around the running one.
    fn steps(&self, room: usize) -> Vec<Line> {
        let steps = &self.view().steps;
        let now = steps
            .iter()
            .position(|step| step.status == StepStatus::Now)
            .or_else(|| {
                steps
                    .iter()
                    .position(|step| step.status == StepStatus::Open)
            })
            .unwrap_or(steps.len());
        // One before it, the rest after it: what comes is asked for more often than what was.
        let first = now.saturating_sub(1).min(steps.len().saturating_sub(room));
        let shown = steps.iter().skip(first).take(room);
        shown.map(|step| self.step_line(step)).collect()
    }

    fn step_line(&self, step: &StepView) -> Line {
        let marks = self.style.marks;
        let (mark, tone) = match step.status {
            StepStatus::Done => (marks.done, Tone::Faint),
            StepStatus::Now => (marks.now, Tone::Strong),
            StepStatus::Open => (marks.open, Tone::Plain),
        };
        let target = step.target_g.map(|target| grams(target, 2));
        let numbers = match (step.poured_g, target) {
            (_, Some(target)) if step.status == StepStatus::Open => format!("{target} g"),
            (Some(poured), Some(target)) => format!("{} of {target} g", grams(poured, 2)),
            (Some(poured), None) => format!("{} g", grams(poured, 2)),
            (None, Some(target)) => format!("{target} g"),
            (None, None) => String::new(),
        };
        let (word, word_tone) = match step.verdict {
            None | Some(VerdictWord::Within | VerdictWord::Recorded) => ("", Tone::Plain),
            Some(other) => (verdict(other), Tone::Bad),
        };
        let extra = if step.extra { " (rescue)" } else { "" };
        let title = format!("{mark} {}{extra}", shown(&step.title));
        let numbers_at = (self.width / 2).clamp(18, 44);
        let mut line = Line::new(title, tone).cut(numbers_at, marks.ellipsis);
        if !numbers.is_empty() || !word.is_empty() {
            line = line.padded(numbers_at + 1).with(numbers, tone);
        }
        if !word.is_empty() {
            line = line.with(" ", tone).with(word, word_tone);
        }
        line
    }

    /// Trouble, what was said last, and the keys.
    fn bottom(&self) -> Vec<Line> {
        let mut lines = Vec::new();
        if let Some(trouble) = self.trouble() {
            let trouble = wrapped(&trouble, self.width, 2).into_iter();
            lines.extend(trouble.map(|line| Line::new(line, Tone::Bad)));
        }
        match (self.scene.asking, self.scene.notice, &self.view().cue) {
            (Asking::Trail(typed), ..) => lines.push(Line::new(
                format!("trail in seconds: {typed}_  (Enter keeps it, Esc forgets it, t times it)"),
                Tone::Strong,
            )),
            (Asking::GiveUp, ..) => lines.push(Line::new(
                "Give this batch up? The record stays. y gives it up, any other key goes on",
                Tone::Strong,
            )),
            (Asking::Nothing, Some(notice), _) => lines.push(Line::new(notice, Tone::Care)),
            (Asking::Nothing, None, Some(cue)) => lines.push(Line::new(&cue.text, Tone::Plain)),
            (Asking::Nothing, None, None) => {}
        }
        let keys = help(self.view(), self.scene.asking);
        let keys = packed(&keys, self.width).into_iter();
        lines.extend(keys.map(|line| Line::new(line, Tone::Faint)));
        lines
    }

    fn trouble(&self) -> Option<String> {
        let warning = self.style.marks.warning;
        if let Link::Away(time) = self.scene.link {
            return Some(format!(
                "{warning} the service has not answered for {} s: trying again; nothing that was settled is lost",
                time.as_secs()
            ));
        }
        if let Some(trouble) = &self.view().trouble {
            let hint = self.view().hint.as_ref().map(|hint| format!(": {hint}"));
            return Some(format!("{warning} {trouble}{}", hint.unwrap_or_default()));
        }
        let scale = self.view().scale_in_use()?;
        let trouble = scale.trouble.as_deref().or(if scale.open {
            None
        } else {
            Some("not open yet")
        })?;
        Some(match &scale.hint {
            Some(hint) => format!("{warning} scale: {trouble}: {hint}"),
            None => format!("{warning} scale: {trouble}"),
        })
    }
}
