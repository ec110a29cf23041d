//! The content of a label in sections of text.

use super::content::{Content, Measured, Part};
use super::keeps::Keeps;
use crate::card::{grams, percent, tidy, time, trail};
use crate::provenance::Run;

/// Whether a label says grams or shares.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Says {
    /// As poured, in grams.
    #[default]
    Grams,
    /// In percent by weight of what is inside the ratio.
    Shares,
}

/// What a section is about; in the order in which they matter, when there is no room for all.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum About {
    /// The name.
    Name,
    /// Date, weight and trail.
    Made,
    /// The cautions.
    Cautions,
    /// Until when it is good.
    Keeps,
    /// What is in it.
    Contents,
    /// What lies outside the ratio.
    Beside,
    /// What a premix holds.
    Premix,
}

impl About {
    /// Returns what it is called in a remark.
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Name => "the name",
            Self::Made => "date, weight and trail",
            Self::Cautions => "the cautions",
            Self::Keeps => "the best before",
            Self::Contents => "what is in it",
            Self::Beside => "what lies outside the ratio",
            Self::Premix => "what a premix holds",
        }
    }
}

/// A section of a label: a few words, or a list that can be shortened from its end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Section {
    pub(super) about: About,
    /// What stands before the list.
    lead: String,
    items: Vec<String>,
    /// The same without amounts or reasons, where it can be said so, the longer one first.
    shorter: Vec<Vec<String>>,
    between: &'static str,
}

impl Section {
    fn one(about: About, text: String) -> Self {
        Self::list(about, String::new(), vec![text], "")
    }

    fn list(about: About, lead: String, items: Vec<String>, between: &'static str) -> Self {
        Self {
            about,
            lead,
            items,
            shorter: Vec::new(),
            between,
        }
    }

    /// Returns it without amounts or reasons, where it can be said so.
    pub(super) fn shorter(&self) -> Option<Self> {
        let (items, shorter) = self.shorter.split_first()?;
        (!items.is_empty()).then(|| Self {
            items: items.clone(),
            shorter: shorter.to_vec(),
            ..self.clone()
        })
    }

    /// Returns how many things are in its list.
    pub(super) const fn len(&self) -> usize {
        self.items.len()
    }

    /// Returns it with its texts changed.
    pub(super) fn map(self, mut change: impl FnMut(&str) -> String) -> Self {
        Self {
            lead: change(&self.lead),
            items: self.items.iter().map(|item| change(item)).collect(),
            shorter: self
                .shorter
                .iter()
                .map(|list| list.iter().map(|item| change(item)).collect())
                .collect(),
            ..self
        }
    }

    /// Returns all of it.
    pub(super) fn whole(&self) -> String {
        format!("{}{}", self.lead, self.items.join(self.between))
    }

    /// Returns it with only the first few of its list, and says how many more there are and where.
    pub(super) fn with(&self, few: usize, elsewhere: &str) -> String {
        let Some(rest @ 1..) = self.items.len().checked_sub(few) else {
            return self.whole();
        };
        let mut items = self.items[..few].to_vec();
        items.push(format!("… {rest} more{elsewhere}"));
        format!("{}{}", self.lead, items.join(self.between))
    }
}

/// Returns the sections of a label in the order they are read. The mark is none of them: it stands by itself.
pub(super) fn sections(content: &Content, says: Says) -> Vec<Section> {
    let mut sections = vec![
        Section::one(About::Name, tidy(&content.name)),
        Section::list(About::Made, String::new(), made(content), " · "),
    ];
    let amount = |part: &Part| amount(part, says);
    let mut parts = |about, lead, parts: &[Part]| {
        sections.push(Section {
            shorter: vec![parts.iter().map(|part| tidy(&part.name)).collect()],
            ..Section::list(about, lead, parts.iter().map(amount).collect(), ", ")
        });
    };
    parts(About::Contents, String::new(), &content.parts);
    parts(About::Beside, "besides: ".to_owned(), &content.beside);
    for premix in &content.premixes {
        let lead = format!("{} holds ", tidy(&premix.name));
        parts(About::Premix, lead, &premix.parts);
    }
    sections.extend(keeps(content).map(|(text, why)| Section {
        shorter: vec![
            vec![text.clone()],
            vec![text.replace("best before ", "until\u{a0}")],
        ],
        ..Section::list(
            About::Keeps,
            String::new(),
            [Some(text), why].into_iter().flatten().collect(),
            " ",
        )
    }));
    sections.push(Section::list(
        About::Cautions,
        "Caution: ".to_owned(),
        content.cautions.iter().map(|text| tidy(text)).collect(),
        "; ",
    ));
    sections.retain(|section| section.items.iter().any(|item| !item.trim().is_empty()));
    sections
}

fn made(content: &Content) -> Vec<String> {
    let mut said = Vec::new();
    said.extend(content.day.map(|day| day.to_string()));
    match content.run {
        Run::Real => said.push(tight(&grams(content.in_jar))),
        Run::Rehearsal => said.push("rehearsal: nothing poured".to_owned()),
    }
    said.extend(content.chosen.iter().map(|choice| tidy(choice)));
    said.extend(content.trail.map(|measured| match measured {
        Measured::Found(seconds) => format!("trail\u{a0}{}", tight(&trail(seconds))),
        Measured::Wanted(seconds) => format!("trail, wanted: {}", tight(&trail(seconds))),
    }));
    said
}

fn amount(part: &Part, says: Says) -> String {
    let amount = match (says, &part.share) {
        (Says::Shares, Some(share)) => format!("{} %", percent(share)),
        _ => grams(part.mass),
    };
    format!("{} {}", tidy(&part.name), tight(&amount))
}

/// Says until when it is good, and what that rests on.
fn keeps(content: &Content) -> Option<(String, Option<String>)> {
    Some(match &content.keeps {
        Keeps::Unsaid => return None,
        Keeps::Hardens { within } => {
            let within = tight(&time(*within));
            (format!("hardens: use within {within} of mixing"), None)
        }
        Keeps::AsSet { until, days } => {
            let days = days.number();
            let unit = if days == 1 { "day" } else { "days" };
            let why = format!("({days}\u{a0}{unit}, as the studio sets it)");
            (format!("best before {until}"), Some(why))
        }
        Keeps::AsPack { until, of } => {
            let of = tidy(of);
            match content.day {
                Some(made) if *until < made => (
                    format!("past its best before, {until},"),
                    Some(format!("when it was made: {of}, as the pack says")),
                ),
                _ => (
                    format!("best before {until}"),
                    Some(format!("(as the pack of {of} says)")),
                ),
            }
        }
    })
}

/// Keeps a number and its unit on one line.
fn tight(text: &str) -> String {
    text.replace(' ', "\u{a0}")
}
