//! What is wrong with a bench or its scale, in a line.

use tarehand_protocol::api::{ScaleState, View};

use super::shown;

/// Remembers what was said to be wrong, so that each change is said once.
#[derive(Debug, Default)]
pub(crate) struct Troubles {
    said: Option<String>,
}

impl Troubles {
    /// Returns the line that says what has changed at the bench or its scale; none when nothing has.
    pub(crate) fn line(&mut self, view: &View) -> Option<String> {
        self.change(trouble_of_bench(view).or_else(|| trouble_of_scales(view)))
    }

    /// Returns the line that says why no reading can come, or that one can again.
    ///
    /// What is wrong with the readings themselves, each of them says.
    pub(crate) fn line_of_closed_scale(&mut self, view: &View) -> Option<String> {
        let closed = view.scale.as_ref().filter(|scale| !scale.open);
        self.change(closed.and_then(trouble_of_scale))
    }

    fn change(&mut self, trouble: Option<String>) -> Option<String> {
        if trouble == self.said {
            return None;
        }
        let line = match &trouble {
            Some(trouble) => format!("trouble: {trouble}"),
            None => "all well again".to_owned(),
        };
        self.said = trouble;
        Some(line)
    }

    /// Returns whether something is wrong.
    pub(crate) const fn is_any(&self) -> bool {
        self.said.is_some()
    }
}

fn trouble_of_bench(view: &View) -> Option<String> {
    let trouble = shown(view.trouble.as_ref()?);
    Some(match &view.hint {
        Some(hint) => format!("{trouble}: {}", shown(hint)),
        None => trouble.into_owned(),
    })
}

fn trouble_of_scales(view: &View) -> Option<String> {
    let main = view.scale.as_ref().and_then(trouble_of_scale);
    let fine = || view.fine_scale.as_ref().and_then(trouble_of_scale);
    main.or_else(|| fine().map(|trouble| format!("finer {trouble}")))
}

/// A scale without trouble is open, or just being opened.
fn trouble_of_scale(scale: &ScaleState) -> Option<String> {
    let trouble = shown(scale.trouble.as_ref()?);
    Some(match &scale.hint {
        Some(hint) => format!("scale: {trouble}: {}", shown(hint)),
        None => format!("scale: {trouble}"),
    })
}
