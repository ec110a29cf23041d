//! The guided batch as plain lines: one for each change, no flood of weights.

use std::collections::BTreeMap;

use tarehand_protocol::api::{CueLine, Doing, QuestionView, VerdictWord, View};

use crate::words::{
    Troubles, grams, option_line, short_grams, shown, step_number, step_of, taps, told, verdict,
};

/// Remembers what has been said.
#[derive(Debug, Default)]
pub(crate) struct Plain {
    begun: bool,
    cue: u64,
    doing: Option<String>,
    question: Option<QuestionView>,
    taps: Option<String>,
    troubles: Troubles,
    concerns: usize,
    batch: Option<String>,
    judged: BTreeMap<(String, u32), VerdictWord>,
    jars: BTreeMap<String, String>,
}

impl Plain {
    /// Returns the lines that say what has changed.
    pub(crate) fn lines(&mut self, view: &View) -> Vec<String> {
        let mut lines = Vec::new();
        if !std::mem::replace(&mut self.begun, true) {
            // Cues from before are old news.
            self.cue = view.cue.as_ref().map_or(0, |cue| cue.number);
            self.old_news(view);
            lines.extend(head(view));
        } else if self.batch != view.batch {
            self.old_news(view);
        }
        lines.extend(self.other_jars(view));
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
        let taps = view.taps.as_ref().map(taps);
        if taps != self.taps {
            lines.extend(taps.clone());
            self.taps = taps;
        }
        lines
    }

    /// What was judged before this batch came into sight is not told again.
    fn old_news(&mut self, view: &View) {
        self.batch.clone_from(&view.batch);
        let batch = self.batch.clone().unwrap_or_default();
        for step in &view.steps {
            if let Some(verdict) = step.verdict {
                self.judged.insert((batch.clone(), step.step), verdict);
            }
        }
    }

    /// Says what is in the jars of a set, where that has changed; the steps tell it of the one that is shown.
    fn other_jars(&mut self, view: &View) -> Vec<String> {
        let mut lines = Vec::new();
        for jar in &view.jars {
            let (poured, total) = (grams(jar.poured_g, 1), grams(jar.total_g, 1));
            let stands = format!("{}: {poured} of {total} g in it", shown(&jar.name));
            let before = self.jars.insert(jar.key.clone(), stands.clone());
            if !jar.shown && before.is_some_and(|before| before != stands) {
                lines.push(stands);
            }
        }
        lines
    }

    /// Says how steps came out since the last view.
    fn outcomes(&mut self, view: &View) -> Vec<String> {
        let mut lines = Vec::new();
        let batch = view.batch.clone().unwrap_or_default();
        for step in &view.steps {
            let key = (batch.clone(), step.step);
            let Some(word) = step.verdict else {
                // Taken back: it will be judged again.
                self.judged.remove(&key);
                continue;
            };
            if self.judged.insert(key, word) == Some(word) {
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
        "begin" | "judged" | "asks" | "asks-for-jar" | "jars-turn" | "complete" | "aborted" => None,
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
