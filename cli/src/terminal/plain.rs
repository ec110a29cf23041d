//! The guided batch as plain lines: one for each change, no flood of weights.

use std::collections::BTreeMap;

use tarehand_protocol::api::{CueLine, Doing, QuestionView, VerdictWord, View};

use crate::words::{
    Troubles, grams, option_line, short_grams, shown, step_number, step_of, told, verdict,
};

/// Remembers what has been said.
#[derive(Debug, Default)]
pub(crate) struct Plain {
    begun: bool,
    cue: u64,
    doing: Option<String>,
    question: Option<QuestionView>,
    troubles: Troubles,
    concerns: usize,
    judged: BTreeMap<u32, VerdictWord>,
}

impl Plain {
    /// Returns the lines that say what has changed.
    pub(crate) fn lines(&mut self, view: &View) -> Vec<String> {
        let mut lines = Vec::new();
        if !std::mem::replace(&mut self.begun, true) {
            // Cues from before are old news.
            self.cue = view.cue.as_ref().map_or(0, |cue| cue.number);
            let judged = view.steps.iter();
            self.judged = judged
                .filter_map(|step| Some((step.step, step.verdict?)))
                .collect();
            lines.extend(head(view));
        }
        for concern in view.concerns.iter().skip(self.concerns) {
            let mut line = format!("note: {}", shown(&concern.text));
            if !concern.ways_round.is_empty() {
                line.push_str(&format!(" (or: {})", shown(&concern.ways_round.join("; "))));
            }
            lines.push(line);
        }
        self.concerns = self.concerns.max(view.concerns.len());
        if let Some(cue) = &view.cue {
            // A service that has started anew counts from the beginning.
            if cue.number != self.cue {
                self.cue = cue.number;
                lines.extend(cue_line(cue));
            }
        }
        lines.extend(self.outcomes(view));
        lines.extend(self.troubles.line(view));
        lines.extend(self.asked(view));
        if view.doing != Doing::Answer {
            let line = told(view).line(&view.doing);
            // The target may change under a running step; the time that is left always does.
            let key = format!("{:?} {line}", step_of(&view.doing));
            if self.doing.as_ref() != Some(&key) {
                self.doing = Some(key);
                lines.push(match step_of(&view.doing) {
                    Some(step) => format!("step {}: {line}", step_number(step)),
                    None => line,
                });
            }
        }
        lines
    }

    /// Says how steps came out since the last view.
    fn outcomes(&mut self, view: &View) -> Vec<String> {
        let mut lines = Vec::new();
        for step in &view.steps {
            let Some(word) = step.verdict else {
                // Taken back: it will be judged again.
                self.judged.remove(&step.step);
                continue;
            };
            if self.judged.insert(step.step, word) == Some(word) {
                continue;
            }
            let grams = match (step.poured_g, step.target_g) {
                (Some(poured), Some(target)) => {
                    format!(" {} of {} g", short_grams(poured), short_grams(target))
                }
                (Some(poured), None) => format!(" {} g", short_grams(poured)),
                (None, _) => String::new(),
            };
            lines.push(format!(
                "step {} done: {}{grams}, {}",
                step_number(step.step),
                shown(&step.title),
                verdict(word)
            ));
        }
        lines
    }

    fn asked(&mut self, view: &View) -> Vec<String> {
        if self.question == view.question {
            return Vec::new();
        }
        self.question.clone_from(&view.question);
        let Some(question) = &view.question else {
            return Vec::new();
        };
        // The step is told anew once it is answered.
        self.doing = None;
        let mut lines = vec![format!("question: {}", shown(&question.text))];
        lines.extend(question.options.iter().map(option_line));
        lines.push(if question.options.is_empty() {
            "answer with: tarehand answer yes, or no".to_owned()
        } else {
            "answer with: tarehand answer NUMBER".to_owned()
        });
        lines
    }
}

/// Says a cue, unless the lines about steps and questions say the same.
fn cue_line(cue: &CueLine) -> Option<String> {
    match cue.cue.as_str() {
        "begin" | "judged" | "asks" | "complete" | "aborted" => None,
        _ => Some(shown(&cue.text).into_owned()),
    }
}

fn head(view: &View) -> Option<String> {
    let recipe = view.recipe.as_ref()?;
    let mark = view.batch.as_ref()?;
    let mut line = format!("batch {}: {}", shown(mark), shown(recipe));
    if let Some(planned) = view.planned_g {
        line.push_str(&format!(", {} g", grams(planned, 1)));
    }
    if view.rehearsal {
        line.push_str(", rehearsal");
    }
    Some(line)
}
