//! Candidates of lines of text: a shape that is known already, else a pattern made of the lines.

use super::evidence::percent;
use super::heard::{self, Heard};
use super::lesson::{Lesson, Pan};
use super::line_frames::{check, frames, framings};
use super::lines::{self, Part, Told};
use super::numbers::fit;
use super::rank;
use super::{Candidate, Doubt, MOST, Taught};
use crate::mass::Mass;
use crate::scale::frame::{ETX, STX};
use crate::scale::profile::{Layout, Settings};
use crate::scale::shapes::Shape;

/// Fewest lines to learn from.
const FEWEST: usize = 16;
/// What a reader of text must explain of what came while known weights stood.
const LEAST: f64 = 0.8;
/// Most kinds of lines that become patterns.
const KINDS: usize = 6;
/// Most numbers of a line that are tried.
const NUMBERS: usize = 6;

/// One in so many lines that two explanations read as different weights is one too many.
const DOUBTFUL: usize = 50;

struct Explained {
    settings: Settings,
    heard: Heard,
    share: f64,
    evidence: String,
}

/// Returns what reads the lesson as text, if it is text.
pub(super) fn find(lesson: &Lesson) -> Option<Taught> {
    if !is_text(lesson) {
        return None;
    }
    let mut explained: Vec<Explained> = Vec::new();
    for (settings, evidence) in known(lesson).into_iter().chain(made(lesson)) {
        explained.extend(explain(settings, evidence, lesson));
    }
    // What shows the weights most often, not what stays silent while they are put on.
    let often = |one: &Explained| {
        one.share * f64::from(u32::try_from(one.heard.weights.len()).unwrap_or(u32::MAX))
    };
    let best = explained.iter().map(often).fold(0.0, f64::max);
    explained.retain(|one| best * 0.97 <= often(one));
    // What reads the lines in between as well knows more, and what is known already comes first.
    explained.sort_by_key(|one| 30 * one.heard.rejected / (one.heard.weights.len() + 1));
    let first = explained.first()?;
    let rival = explained
        .iter()
        .skip(1)
        .position(|other| differs(&first.heard, &other.heard));
    let mut order: Vec<&Explained> = explained.iter().collect();
    if let Some(at) = rival {
        let other = order.remove(at + 1);
        order.insert(1, other);
    }
    let candidates = order.iter().take(MOST).filter_map(|one| {
        let mut evidence = vec![
            one.evidence.clone(),
            format!(
                "{} of what came while known weights stood shows them; {} lines were read and {} rejected",
                percent(one.share),
                one.heard.weights.len(),
                one.heard.rejected
            ),
        ];
        if !one.heard.weights.iter().any(|(_, mass)| mass.micrograms() < 0) {
            evidence.push("nothing below zero was shown".to_owned());
        }
        Candidate::new(&one.settings, evidence)
    });
    let mut candidates: Vec<Candidate> = candidates.collect();
    if candidates.is_empty() {
        return None;
    }
    Some(match rival {
        Some(_) => Taught::Doubtful {
            candidates,
            doubt: Doubt::of(rank::Rival::Differs, lesson),
        },
        None => Taught::Found {
            best: Box::new(candidates.remove(0)),
            others: candidates,
        },
    })
}

fn is_text(lesson: &Lesson) -> bool {
    let (mut text, mut all) = (0, 0);
    for byte in lesson.pieces.iter().flat_map(|piece| &piece.bytes) {
        all += 1;
        text += usize::from(matches!(
            byte,
            b' '..=b'~' | b'\r' | b'\n' | b'\t' | &STX | &ETX
        ));
    }
    all * 97 / 100 <= text
}

fn explain(settings: Settings, evidence: String, lesson: &Lesson) -> Option<Explained> {
    let heard = heard::hear(&settings, lesson)?;
    let share = heard::explained(&heard, lesson, Mass::ZERO).share();
    let spans = lesson
        .spans
        .iter()
        .enumerate()
        .filter(|(_, pan)| matches!(pan, Pan::Stands(_)));
    let all_heard = spans.into_iter().all(|(span, _)| {
        let of = |piece: usize| {
            lesson
                .pieces
                .get(piece)
                .is_some_and(|piece| piece.span == span)
        };
        !lesson.pieces.iter().any(|piece| piece.span == span)
            || heard.weights.iter().any(|&(piece, _)| of(piece))
    });
    (all_heard
        && FEWEST <= heard.weights.len()
        && LEAST <= share
        && heard.rejected <= heard.weights.len())
    .then_some(Explained {
        settings,
        heard,
        share,
        evidence,
    })
}

/// Returns whether two explanations read the same lines as other weights, or read other lines.
fn differs(one: &Heard, other: &Heard) -> bool {
    let (mut same, mut others) = (0, 0);
    for (piece, mass) in &one.weights {
        let known = other
            .weights
            .binary_search_by_key(piece, |told| told.0)
            .ok()
            .and_then(|at| other.weights.get(at));
        match known {
            Some(known) if known.1 == *mass => same += 1,
            Some(_) => others += 1,
            None => {}
        }
    }
    let both = one.weights.len().min(other.weights.len());
    // One torn line may be read by one and not by the other; the same lines read otherwise are a doubt.
    same < both * 9 / 10 || both < others * DOUBTFUL
}

/// What is known already: the tolerant reader and the shapes, with what a line cannot tell.
fn known(lesson: &Lesson) -> Vec<(Settings, String)> {
    let mut all = vec![(
        Settings::named("taught scale"),
        "the tolerant reader reads it as it is".to_owned(),
    )];
    let unit = Settings {
        unit: Some(lesson.unit),
        ..Settings::named("taught scale")
    };
    all.push((
        unit.clone(),
        format!(
            "the tolerant reader reads it; the unit {} was told",
            lesson.unit
        ),
    ));
    for shape in Shape::ALL {
        let fields = if shape == Shape::Numbers {
            1..=6
        } else {
            1..=1
        };
        for field in fields {
            for decimals in [None, Some(1), Some(2), Some(3), Some(4)] {
                let settings = Settings {
                    layout: Layout::Shape(shape, field),
                    decimals,
                    ..unit.clone()
                };
                let point = decimals.map_or_else(String::new, |decimals| {
                    format!(", with {decimals} decimals")
                });
                let of = if shape == Shape::Numbers {
                    format!(", number {field}")
                } else {
                    String::new()
                };
                all.push((
                    settings,
                    format!("it has the shape `{}`{of}{point}", shape.name()),
                ));
            }
        }
    }
    all
}

/// What can be made of the lines themselves.
fn made(lesson: &Lesson) -> Vec<(Settings, String)> {
    let mut all = Vec::new();
    for framing in framings(lesson) {
        let frames = frames(lesson, &framing);
        if frames.len() < FEWEST {
            continue;
        }
        let check = check(&frames);
        let cut = check.map_or(0, |check| check.written.len());
        let lines: Vec<(usize, Vec<Part>)> = frames
            .iter()
            .map(|(span, line)| {
                (
                    *span,
                    lines::parts(line.get(..line.len() - cut).unwrap_or(line).trim()),
                )
            })
            .collect();
        for nth in 0..NUMBERS {
            let lines = without_last_digit(&lines, nth);
            let made = of_number(lesson, &lines, nth);
            all.extend(made.map(|(mut settings, evidence)| {
                settings.framing = Some(framing.clone());
                settings.check = check;
                (settings, evidence)
            }));
        }
    }
    all
}

fn place(parts: &[Part], nth: usize) -> Option<usize> {
    let numbers = parts
        .iter()
        .enumerate()
        .filter(|(_, part)| matches!(part, Part::Number { .. }));
    numbers.map(|(at, _)| at).nth(nth)
}

/// Takes a last digit that never changes off the number: it may tell the decimals, and is no part of the weight.
fn without_last_digit(lines: &[(usize, Vec<Part>)], nth: usize) -> Vec<(usize, Vec<Part>)> {
    let whole = |parts: &[Part]| match place(parts, nth).and_then(|at| parts.get(at))? {
        Part::Number {
            whole,
            decimals: None,
            ..
        } => Some(whole.clone()),
        _ => None,
    };
    let mut wholes: Vec<String> = lines.iter().filter_map(|(_, parts)| whole(parts)).collect();
    let counted = wholes.len();
    wholes.sort();
    wholes.dedup();
    let last = wholes.first().and_then(|whole| whole.chars().last());
    let same = wholes
        .iter()
        .all(|whole| 1 < whole.len() && whole.chars().last() == last);
    let apart = match last {
        Some(last) if last != '0' && same && 12 <= wholes.len() && lines.len() < counted * 2 => {
            last
        }
        _ => return lines.to_vec(),
    };
    let split = |parts: &Vec<Part>| {
        let at = place(parts, nth);
        let mut split = Vec::new();
        for (here, part) in parts.iter().enumerate() {
            match part {
                Part::Number {
                    sign,
                    whole,
                    decimals: None,
                } if Some(here) == at => {
                    let shorter = whole.get(..whole.len().saturating_sub(1));
                    split.push(Part::Number {
                        sign: *sign,
                        whole: shorter.unwrap_or_default().to_owned(),
                        decimals: None,
                    });
                    split.push(Part::Word(apart.to_string()));
                }
                other => split.push(other.clone()),
            }
        }
        split
    };
    lines
        .iter()
        .map(|(span, parts)| (*span, split(parts)))
        .collect()
}

fn of_number(
    lesson: &Lesson,
    lines: &[(usize, Vec<Part>)],
    nth: usize,
) -> Option<(Settings, String)> {
    let row: Vec<Option<f64>> = lines
        .iter()
        .map(|(_, parts)| {
            place(parts, nth)
                .and_then(|at| parts.get(at))
                .and_then(lines::value)
        })
        .collect();
    let marked = lines.iter().any(|(_, parts)| {
        place(parts, nth)
            .and_then(|at| parts.get(at))
            .is_some_and(|part| {
                matches!(
                    part,
                    Part::Number {
                        decimals: Some(_),
                        ..
                    }
                )
            })
    });
    // Lines without this number are of another kind.
    let known: Vec<usize> = (0..row.len())
        .filter(|&at| row.get(at).is_some_and(Option::is_some))
        .collect();
    let values: Vec<Option<f64>> = known
        .iter()
        .map(|&at| row.get(at).copied().flatten())
        .collect();
    let spans: Vec<usize> = known
        .iter()
        .filter_map(|&at| lines.get(at).map(|line| line.0))
        .collect();
    let fit = fit(&values, &spans, &lesson.spans, lesson.unit).ok()?;
    let decimals = match (marked, fit.plain.digit, fit.plain.tens) {
        (_, 1, 0) => None,
        (false, 1, -6..=-1) => u8::try_from(-fit.plain.tens).ok(),
        _ => return None,
    };
    let room = (lesson.greatest().grams() * 0.002).max(fit.step_grams * 0.001);
    let (moving, stable) = words(lines, &known, &values, room / fit.step_grams);
    let told = Told {
        moving: &moving,
        stable: &stable,
    };
    let mut kinds: Vec<(String, Vec<&Vec<Part>>)> = Vec::new();
    for &at in &known {
        let Some((_, parts)) = lines.get(at) else {
            continue;
        };
        let kind = lines::kinds(parts);
        match kinds.iter_mut().find(|(known, _)| *known == kind) {
            Some((_, of)) => of.push(parts),
            None => kinds.push((kind, vec![parts])),
        }
    }
    kinds.retain(|(_, of)| 3 <= of.len());
    kinds.sort_by_key(|(_, of)| std::cmp::Reverse(of.len()));
    let patterns: Vec<String> = kinds
        .iter()
        .take(KINDS)
        .filter_map(|(_, of)| Some(lines::pattern(of, place(of.first()?, nth)?, &told)))
        .collect();
    let mut settings = Settings {
        layout: Layout::Patterns(patterns),
        decimals,
        unit: Some(fit.plain.unit),
        ..Settings::named("taught scale")
    };
    let words = match moving.is_empty() {
        true => String::new(),
        false => format!("; {moving:?} stand only while the weight moves"),
    };
    settings.states.moving = moving;
    settings.states.stable = stable;
    Some((
        settings,
        format!(
            "number {} of the line goes with the weights, off by {} at most; unit {}{words}",
            nth + 1,
            percent(fit.off),
            fit.plain.unit
        ),
    ))
}

/// Finds words that stand only while the weight moves, and those that then do not stand.
fn words(
    lines: &[(usize, Vec<Part>)],
    known: &[usize],
    values: &[Option<f64>],
    room: f64,
) -> (Vec<String>, Vec<String>) {
    let value = |at: usize| values.get(at).copied().flatten();
    let apart = |one: usize, other: usize| {
        value(one)
            .zip(value(other))
            .map_or(0.0, |(one, other)| (one - other).abs())
    };
    let mut seen: Vec<(String, usize, usize)> = Vec::new();
    let (mut moved, mut stood) = (0, 0);
    for (at, &line) in known.iter().enumerate() {
        let still =
            6 <= at && (at - 6..(at + 2).min(known.len())).all(|other| apart(other, at) <= room);
        let moves = 1 <= at && 2.0 * room < apart(at - 1, at) && 2.0 * room < apart(at + 1, at);
        moved += usize::from(moves);
        stood += usize::from(still);
        for part in lines.get(line).map_or(&[][..], |(_, parts)| parts) {
            let Part::Word(word) = part else { continue };
            match seen.iter_mut().find(|(known, ..)| known == word) {
                Some((_, moving, standing)) => {
                    *moving += usize::from(moves);
                    *standing += usize::from(still);
                }
                None => seen.push((word.clone(), usize::from(moves), usize::from(still))),
            }
        }
    }
    if moved < 4 || stood < 12 {
        return (Vec::new(), Vec::new());
    }
    let of = |holds: fn(usize, usize, usize, usize) -> bool| {
        let found = seen
            .iter()
            .filter(|&&(_, moving, standing)| holds(moving, standing, moved, stood));
        found.map(|(word, ..)| word.clone()).collect::<Vec<_>>()
    };
    let moving =
        of(|moving, standing, moved, stood| moved * 9 / 10 <= moving && standing * 20 <= stood);
    let stable =
        of(|moving, standing, moved, stood| stood * 9 / 10 <= standing && moving * 10 <= moved);
    (moving, stable)
}
