//! A recipe as written: every field understood, names not yet looked up.

use std::ops::Range;
use std::time::Duration;

use tarehand_protocol::Mass;
use toml::Spanned;

use super::WrittenAmount;
use super::choice::WrittenChoice;
use super::fields::{self, Wanted};
use super::raw::{RawRecipe, RawStep};
use crate::document::Problems;
use crate::procedure::{Weigh, Within};
use crate::ratio::Ratio;
use crate::units::Quantity;

/// A recipe as written.
pub(super) struct Written {
    /// Where messages about the whole recipe point.
    pub head: Range<usize>,
    pub name: String,
    pub makes: Option<Spanned<Quantity>>,
    pub trail: Option<Duration>,
    pub jar: Option<Spanned<Quantity>>,
    pub pot_life: Option<Duration>,
    pub within: Spanned<Within>,
    pub choices: Vec<WrittenChoice>,
    pub steps: Vec<WrittenStep>,
    /// Whether every step and the total could be read, so that their sum means something.
    pub complete: bool,
}

/// One step as written.
pub(super) struct WrittenStep {
    pub kind: WrittenKind,
    pub note: Option<String>,
    /// How what it pours is weighed.
    pub weigh: Weigh,
    /// Grams for one gram, where what was chosen has a ratio of its own.
    pub ratio: Option<Ratio>,
}

/// What one step does.
pub(super) enum WrittenKind {
    Add {
        name: Spanned<String>,
        amount: Spanned<WrittenAmount>,
        within: Option<Spanned<Within>>,
    },
    Stir(Duration),
    Rest(Duration),
    Strain(String),
    Look(String),
    Trail(Option<Duration>),
    Thin {
        with: Spanned<String>,
        by: Spanned<WrittenAmount>,
        at_most: Option<Spanned<WrittenAmount>>,
        wanted: Option<Duration>,
    },
    Decant {
        amount: Spanned<WrittenDecant>,
        into: String,
    },
    Note(String),
}

/// How much is decanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum WrittenDecant {
    All,
    Mass(Mass),
}

/// The tolerance of an addition where neither step nor recipe says one: 2 %.
fn usual_within() -> Within {
    Within::Fraction(Ratio::new(2, 100))
}

/// Understands every field; steps that make no sense are reported and left out.
pub(super) fn understand(raw: RawRecipe, problems: &mut Problems<'_>) -> Written {
    let head = raw.head.clone().unwrap_or(0..0);
    let readable = problems.is_readable();
    let head_read = raw.head.is_some() && !raw.steps.is_empty();
    if !raw.has_head && readable {
        problems
            .error(0..0, "the recipe has no [recipe] table")
            .help = Some("begin with a line [recipe] and name = \"…\" under it".to_owned());
    }
    if raw.head.is_some() && raw.name.is_none() && readable && !problems.mentions(&head) {
        problems.error(head.clone(), "the recipe has no name").help =
            Some("write name = \"Dusk blue, satin\" under [recipe]".to_owned());
    }
    if !raw.has_steps && readable {
        problems.error(head.clone(), "the recipe has no steps").help =
            Some("each step begins with a line [[step]]".to_owned());
    }
    let trail = raw.trail.and_then(|text| fields::trail(&text, problems));
    let trail = trail.and_then(|wanted| match *wanted.get_ref() {
        Wanted::Time(time) => Some(time),
        Wanted::Recipe => {
            problems
                .error(
                    wanted.span(),
                    "the recipe itself says which trail is wanted",
                )
                .help = Some("write trail = \"3 s\"".to_owned());
            None
        }
    });
    let within = raw.within.and_then(|text| fields::within(&text, problems));
    let weigh = raw.weigh.and_then(|text| fields::weigh(&text, problems));
    let weigh = weigh.unwrap_or_default();
    let count = raw.steps.len();
    let had_makes = raw.makes.is_some();
    let makes = raw.makes.and_then(|text| fields::makes(&text, problems));
    let steps: Vec<WrittenStep> = raw
        .steps
        .into_iter()
        .filter_map(|step| understand_step(step, trail, weigh, problems))
        .collect();
    Written {
        complete: readable && steps.len() == count && had_makes == makes.is_some() && head_read,
        name: raw
            .name
            .and_then(|text| fields::words(&text, problems))
            .unwrap_or_default(),
        makes,
        jar: raw.jar.and_then(|text| fields::jar(&text, problems)),
        pot_life: raw.pot_life.and_then(|text| fields::time(&text, problems)),
        within: within.unwrap_or_else(|| Spanned::new(head.clone(), usual_within())),
        choices: raw.choices,
        steps,
        trail,
        head,
    }
}

fn understand_step(
    mut raw: RawStep,
    trail: Option<Duration>,
    usual: Weigh,
    problems: &mut Problems<'_>,
) -> Option<WrittenStep> {
    let note = raw
        .note
        .take()
        .and_then(|text| fields::words(&text, problems));
    let kind = only_kind(&raw, note.is_some(), problems)?;
    refuse_strangers(&raw, kind, problems);
    let weigh = raw.weigh.take();
    let weigh = weigh.and_then(|text| fields::weigh(&text, problems));
    let weigh = weigh.unwrap_or(usual);
    let kind = match kind {
        "add" => understand_add(raw, problems)?,
        "thin" => understand_thin(raw, trail, problems)?,
        "decant" => understand_decant(raw, problems)?,
        "stir" => WrittenKind::Stir(fields::time(&raw.stir?, problems)?),
        "rest" => WrittenKind::Rest(fields::time(&raw.rest?, problems)?),
        "strain" => WrittenKind::Strain(fields::words(&raw.strain?, problems)?),
        "look" => WrittenKind::Look(fields::words(&raw.look?, problems)?),
        "trail" => match *fields::trail(&raw.trail?, problems)?.get_ref() {
            Wanted::Time(time) => WrittenKind::Trail(Some(time)),
            Wanted::Recipe => WrittenKind::Trail(trail),
        },
        _ => {
            return Some(WrittenStep {
                kind: WrittenKind::Note(note?),
                note: None,
                weigh,
                ratio: None,
            });
        }
    };
    Some(WrittenStep {
        kind,
        note,
        weigh,
        ratio: None,
    })
}

/// Returns the one kind the step is of; two kinds, or none, are an error.
fn only_kind(raw: &RawStep, noted: bool, problems: &mut Problems<'_>) -> Option<&'static str> {
    let mut kinds: Vec<(&'static str, &Spanned<String>)> = [
        ("add", &raw.add),
        ("stir", &raw.stir),
        ("rest", &raw.rest),
        ("strain", &raw.strain),
        ("look", &raw.look),
        ("trail", &raw.trail),
        ("thin", &raw.thin),
        ("decant", &raw.decant),
    ]
    .into_iter()
    .filter_map(|(kind, text)| text.as_ref().map(|text| (kind, text)))
    .collect();
    // Beside `thin`, `trail` says which trail this thinning wants.
    if raw.thin.is_some() {
        kinds.retain(|&(kind, _)| kind != "trail");
    }
    match kinds.as_slice() {
        [(kind, _)] => Some(kind),
        [] if noted => Some("note"),
        [] => {
            if problems.is_readable() && !problems.mentions(&raw.range) {
                problems
                    .error(raw.range.clone(), "this step does nothing")
                    .help = Some(
                    "say one of add, stir, rest, strain, look, trail, thin, decant or note"
                        .to_owned(),
                );
            }
            None
        }
        [(first, _), (second, text), ..] => {
            problems
                .error(
                    text.span(),
                    format!("one step cannot `{first}` and `{second}`"),
                )
                .help = Some("make two steps of it, each under its own [[step]]".to_owned());
            None
        }
    }
}

/// Reports fields that belong to another kind of step.
fn refuse_strangers(raw: &RawStep, kind: &str, problems: &mut Problems<'_>) {
    let strangers = [
        ("amount", &raw.amount, "add", &["add"][..]),
        ("within", &raw.within, "add", &["add"][..]),
        ("weigh", &raw.weigh, "add` or `thin", &["add", "thin"][..]),
        ("by", &raw.by, "thin", &["thin"][..]),
        ("at_most", &raw.at_most, "thin", &["thin"][..]),
        ("into", &raw.into, "decant", &["decant"][..]),
    ];
    for (field, text, owner, kinds) in strangers {
        if let Some(text) = text
            && !kinds.contains(&kind)
        {
            let problem =
                problems.error(text.span(), format!("`{field}` does not go with `{kind}`"));
            problem.help = Some(match (field, kind) {
                ("amount", "thin") => {
                    "thinning goes by small splashes: write by = \"1.5 g\" and at_most = \"9 g\""
                        .to_owned()
                }
                ("amount", "decant") => {
                    "how much is decanted is said by decant = \"40 g\" or decant = \"all\""
                        .to_owned()
                }
                _ => format!("`{field}` belongs to a step that says `{owner}`"),
            });
        }
    }
}

fn understand_add(raw: RawStep, problems: &mut Problems<'_>) -> Option<WrittenKind> {
    let name = fields::name(&raw.add?, problems);
    let within = raw.within.and_then(|text| fields::within(&text, problems));
    let Some(amount) = raw.amount else {
        if problems.is_readable() && !problems.mentions(&raw.range) {
            problems
                .error(name?.span(), "how much of it is not said")
                .help = Some("write amount = \"12 g\" under it".to_owned());
        }
        return None;
    };
    let amount = fields::amount(&amount, problems)?;
    if let Some(within) = &within {
        let judged = match amount.get_ref() {
            WrittenAmount::Range { .. } => Err("a range is its own tolerance"),
            WrittenAmount::ByEye => Err("what is judged by eye has no tolerance"),
            WrittenAmount::Whole { .. } => Err("a whole vessel has no tolerance"),
            WrittenAmount::Quantity(_)
            | WrittenAmount::Percent(_)
            | WrittenAmount::PercentOf { .. }
            | WrittenAmount::Parts(_) => Ok(()),
        };
        if let Err(reason) = judged {
            problems.error(within.span(), reason).help =
                Some("leave `within` out of this step".to_owned());
        }
    }
    Some(WrittenKind::Add {
        name: name?,
        amount,
        within,
    })
}

fn understand_thin(
    raw: RawStep,
    trail: Option<Duration>,
    problems: &mut Problems<'_>,
) -> Option<WrittenKind> {
    let with = fields::name(&raw.thin?, problems);
    let at_most = raw.at_most.and_then(|text| fields::splash(&text, problems));
    let wanted = match raw.trail.and_then(|text| fields::trail(&text, problems)) {
        None => trail,
        Some(wanted) => match *wanted.get_ref() {
            Wanted::Time(time) => Some(time),
            Wanted::Recipe => trail,
        },
    };
    let Some(by) = raw.by else {
        if problems.is_readable() && !problems.mentions(&raw.range) {
            problems
                .error(with?.span(), "how large one splash is is not said")
                .help = Some("write by = \"1.5 g\" under it".to_owned());
        }
        return None;
    };
    Some(WrittenKind::Thin {
        by: fields::splash(&by, problems)?,
        with: with?,
        at_most,
        wanted,
    })
}

fn understand_decant(raw: RawStep, problems: &mut Problems<'_>) -> Option<WrittenKind> {
    let amount = fields::decant(&raw.decant?, problems);
    let Some(into) = raw.into else {
        if problems.is_readable() && !problems.mentions(&raw.range) {
            problems
                .error(amount?.span(), "into what it is decanted is not said")
                .help = Some("write into = \"squeeze bottle\" under it".to_owned());
        }
        return None;
    };
    let into = fields::words(&into, problems);
    Some(WrittenKind::Decant {
        amount: amount?,
        into: into?,
    })
}
