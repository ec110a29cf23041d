//! Which candidate explains all that was heard, and which others do so as well.

use super::Candidate;
use super::binary::Guess;
use super::fields::covers;
use super::framing::share;
use super::heard::{Heard, explained, hear};
use super::lesson::{Lesson, Pan};
use super::low::Low;
use super::seen::seen;
use crate::mass::Mass;
use crate::scale::binary::{Form, Number, Order};
use crate::scale::profile::Layout;

/// Candidates that are worse by more than this share explain less.
const AS_WELL: f64 = 0.03;
/// How much more a wrong number goes up and down than the right one.
const FARTHER: f64 = 1.3;
/// Under a weight with fewer pieces than this there may have been none.
const SOME: usize = 12;
/// How much less a fine number moves under a weight that stands than its upper part does.
const CALMER: f64 = 4.0;
/// What a profile must explain at least.
const LEAST: f64 = 0.6;

/// A guess with what it makes of the lesson.
pub(super) struct Ranked {
    pub(super) guess: Guess,
    pub(super) heard: Heard,
    badness: f64,
}

/// Verifies guesses by the real decoder, the best one first.
pub(super) fn rank(guesses: Vec<Guess>, lesson: &Lesson) -> Vec<Ranked> {
    let bytes: usize = lesson.pieces.iter().map(|piece| piece.bytes.len()).sum();
    let stands = lesson.pieces.iter().filter(|piece| {
        let pan = lesson.spans.get(piece.span);
        matches!(pan, Some(Pan::Stands(_)))
    });
    let stands = match lesson.packets() {
        true => stands.count(),
        false => stands.map(|piece| piece.bytes.len()).sum(),
    };
    let mut ranked: Vec<Ranked> = guesses
        .into_iter()
        .filter_map(|mut guess| {
            let heard = hear(&guess.settings, lesson)?;
            let (least, most) = seen(&heard, lesson)?;
            let length = match &mut guess.settings.layout {
                Layout::Binary(binary) => {
                    binary.at_least = Some(least);
                    binary.at_most = Some(most);
                    usize::from(binary.length.unwrap_or(1))
                }
                _ => return None,
            };
            let step = Mass::from_estimated_grams(guess.fit.grain_grams * 1.01);
            let told = explained(&heard, lesson, step);
            let heard = hear(&guess.settings, lesson)?;
            let each = if lesson.packets() { 1 } else { length };
            let whole = if lesson.packets() {
                lesson.pieces.len()
            } else {
                bytes
            };
            let taken = share(heard.weights.len() * each, whole);
            (LEAST <= told.share() && everywhere(&heard, lesson)).then_some(Ranked {
                // What leaves frames out that show no weight that stands explains no more for it.
                badness: guess.fit.spikes
                    + (1.0 - share(told.right * each, stands))
                    + 0.3 * (1.0 - taken),
                guess,
                heard,
            })
        })
        .collect();
    ranked.sort_by(|one, other| {
        let order = |ranked: &Ranked| {
            let bad = ranked.badness - if ranked.guess.checked { 0.1 } else { 0.0 };
            let unclear = if ranked.guess.low == Low::Unclear {
                0.015
            } else {
                0.0
            };
            bad + unclear + 0.0005 * f64::from(u32::try_from(ranked.guess.parts).unwrap_or(99))
                - if ranked.guess.paused { 0.05 } else { 0.0 }
        };
        order(one).total_cmp(&order(other))
    });
    settle_digits(&mut ranked);
    settle_nearer(&mut ranked);
    settle_refined(&mut ranked);
    ranked
}

/// Returns whether something was read under every weight: what knows some of them only is no explanation.
fn everywhere(heard: &Heard, lesson: &Lesson) -> bool {
    let mut pieces = vec![0_usize; lesson.spans.len()];
    let mut weights = vec![0_usize; lesson.spans.len()];
    for piece in &lesson.pieces {
        pieces
            .get_mut(piece.span)
            .into_iter()
            .for_each(|count| *count += 1);
    }
    for piece in heard
        .weights
        .iter()
        .filter_map(|&(piece, _)| lesson.pieces.get(piece))
    {
        weights
            .get_mut(piece.span)
            .into_iter()
            .for_each(|count| *count += 1);
    }
    let spans = lesson.spans.iter().zip(pieces.iter().zip(&weights));
    spans
        .filter(|(pan, (pieces, _))| matches!(pan, Pan::Stands(_)) && SOME <= **pieces)
        .all(|(_, (_, weights))| *weights != 0)
}

/// Puts decimal digits before a whole number of the same bytes: by chance bytes are digits two times in five only.
fn settle_digits(ranked: &mut Vec<Ranked>) {
    let Some(best) = ranked.first() else { return };
    let digits = ranked
        .iter()
        .position(|other| other.badness <= best.badness + AS_WELL && digits_of(other, best));
    if let Some(at) = digits {
        let better = ranked.remove(at);
        ranked.insert(0, better);
    }
}

/// Returns whether the first takes the bytes of the second as decimal digits, and the second does not.
fn digits_of(digits: &Ranked, other: &Ranked) -> bool {
    let (one, number) = (&digits.guess.number, &other.guess.number);
    digits.guess.digits
        && !bcd(number)
        && digits.guess.cut == other.guess.cut
        && (one.at, one.length, one.order) == (number.at, number.length, number.order)
}

/// Puts the number first that goes up and down least, where a wrong form or a cut number leaps.
fn settle_nearer(ranked: &mut Vec<Ranked>) {
    let Some(best) = ranked.first() else { return };
    let nearer = ranked.iter().position(|other| {
        other.badness <= best.badness + AS_WELL
            && (other.guess.checked || !best.guess.checked)
            && (other.guess.low == Low::Belongs || best.guess.low != Low::Belongs)
            // What leaves frames out goes less far for it.
            && best.heard.weights.len() * 19 / 20 <= other.heard.weights.len()
            && other.guess.fit.travel * FARTHER < best.guess.fit.travel
    });
    if let Some(at) = nearer {
        let better = ranked.remove(at);
        ranked.insert(0, better);
    }
}

/// Puts a number that goes on into further bytes before the part of it that comes first.
fn settle_refined(ranked: &mut Vec<Ranked>) {
    let finer = ranked
        .iter()
        .position(|other| ranked.first().is_some_and(|best| refines(other, best)));
    if let Some(at) = finer.filter(|&at| at != 0) {
        let better = ranked.remove(at);
        ranked.insert(0, better);
        // At most once more: there are four bytes at most, and the finest one comes last.
        let again = ranked.iter().position(|other| refines(other, &ranked[0]));
        if let Some(at) = again.filter(|&at| at != 0) {
            let better = ranked.remove(at);
            ranked.insert(0, better);
        }
    }
}

/// Returns whether the first holds all bytes of the second and more, all of which surely belong to it.
fn refines(finer: &Ranked, coarse: &Ranked) -> bool {
    let (one, other) = (&finer.guess.number, &coarse.guess.number);
    // Where the weight stands on the edge between two steps of the coarse one, the fine one hardly moves.
    let calmer = 0.0 < coarse.guess.fit.rough
        && finer.guess.fit.rough * CALMER < coarse.guess.fit.rough
        && finer.guess.low != Low::Foreign;
    finer.guess.cut == coarse.guess.cut
        && (goes_on(other, one) || signs(other, one))
        && bcd(one) == bcd(other)
        && (finer.guess.low == Low::Belongs || calmer)
        && finer.guess.fit.spikes <= coarse.guess.fit.spikes + 0.02
        && finer.badness <= coarse.badness + 2.0 * AS_WELL
        && (bcd(one) || finer.guess.fit.off <= coarse.guess.fit.off + 0.002)
}

/// Returns whether the second holds the bytes of the first as its upper ones.
fn goes_on(coarse: &Number, fine: &Number) -> bool {
    let upper = match fine.order {
        Order::Big => coarse.at == fine.at,
        Order::Little => coarse.at + coarse.length == fine.at + fine.length,
    };
    upper && coarse.length < fine.length && (coarse.length == 1 || coarse.order == fine.order)
}

/// Returns whether the second has further bytes above those of the first, which take the sign along.
fn signs(short: &Number, long: &Number) -> bool {
    let lower = match long.order {
        Order::Big => short.at + short.length == long.at + long.length,
        Order::Little => short.at == long.at,
    };
    lower
        && short.length < long.length
        && short.form == long.form
        && (short.length == 1 || short.order == long.order)
}

fn within(part: &Number, whole: &Number) -> bool {
    let from = usize::from(part.at);
    (from..from + usize::from(part.length)).all(|at| covers(whole, at))
}

fn bcd(number: &Number) -> bool {
    number.form == Form::Bcd
}

/// What two candidates that explain as much differ in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Rival {
    /// They give other weights.
    Differs,
    /// They always gave the same, from other bytes.
    Twin,
}

/// Returns the next candidate that explains as much as the first and may mean something else.
pub(super) fn rival(ranked: &[Ranked]) -> Option<(usize, Rival)> {
    let best = ranked.first()?;
    ranked.iter().enumerate().skip(1).find_map(|(at, other)| {
        let as_well = other.badness <= best.badness + AS_WELL;
        let lacks_check = best.guess.checked && !other.guess.checked;
        let farther = best.guess.fit.travel * FARTHER < other.guess.fit.travel;
        // What is sure of its bytes and what is not, where they share some: those explain both.
        let unclear = best.guess.low == Low::Belongs
            && other.guess.low == Low::Unclear
            && !goes_on(&best.guess.number, &other.guess.number)
            && !twins(&best.guess, &other.guess);
        // Part of the bytes that explain no better.
        let part = best.guess.low == Low::Belongs
            && best.guess.cut == other.guess.cut
            && other.guess.number.length < best.guess.number.length
            && within(&other.guess.number, &best.guess.number)
            && best.guess.fit.off <= other.guess.fit.off + 0.002;
        let explained = unclear || part || refines(best, other) || digits_of(best, other);
        if !as_well || lacks_check || farther || explained {
            return None;
        }
        match agree(
            &best.heard,
            &other.heard,
            best.guess.fit.step_grams.max(other.guess.fit.step_grams),
        ) {
            Agreement::Same if twins(&best.guess, &other.guess) => Some((at, Rival::Twin)),
            // Further bytes that hardly changed may belong to it all the same.
            Agreement::Same if goes_on(&best.guess.number, &other.guess.number) => {
                Some((at, Rival::Differs))
            }
            Agreement::Same => None,
            // Part of the same bytes, cut at another place.
            Agreement::Coarser
                if other.guess.cut != best.guess.cut
                    && other.guess.number.length < best.guess.number.length
                    && best.guess.low == Low::Belongs =>
            {
                None
            }
            Agreement::Coarser => {
                (!(within(&other.guess.number, &best.guess.number))).then_some((at, Rival::Differs))
            }
            Agreement::Other => Some((at, Rival::Differs)),
        }
    })
}

fn twins(one: &Guess, other: &Guess) -> bool {
    let (one_number, other_number) = (&one.number, &other.number);
    let from = usize::from(one_number.at);
    let shared = (from..from + usize::from(one_number.length)).any(|at| covers(other_number, at));
    one.cut == other.cut && !shared
}

/// A frame may be told so many pieces later by the one than by the other.
const LATER: usize = 3;

enum Agreement {
    Same,
    /// Never further apart than a step of the coarser one.
    Coarser,
    Other,
}

fn agree(one: &Heard, other: &Heard, step_grams: f64) -> Agreement {
    let step = Mass::from_estimated_grams(step_grams).micrograms();
    let (mut both, mut same, mut near) = (0_usize, 0_usize, 0_usize);
    let mut from = 0;
    for &(piece, weight) in &one.weights {
        while other
            .weights
            .get(from)
            .is_some_and(|&(known, _)| known + LATER < piece)
        {
            from += 1;
        }
        let about = other
            .weights
            .iter()
            .skip(from)
            .take_while(|&&(known, _)| known <= piece + LATER);
        let apart = about.map(|&(_, told)| (weight.micrograms() - told.micrograms()).abs());
        let Some(apart) = apart.min() else { continue };
        both += 1;
        same += usize::from(apart == 0);
        near += usize::from(apart <= step);
    }
    if both * 49 / 50 <= same {
        Agreement::Same
    } else if both * 49 / 50 <= near {
        Agreement::Coarser
    } else {
        Agreement::Other
    }
}

/// Makes a candidate of a guess, with the evidence as comments before its profile.
pub(super) fn candidate(ranked: &Ranked) -> Option<Candidate> {
    let Layout::Binary(binary) = &ranked.guess.settings.layout else {
        return None;
    };
    let mut evidence = ranked.guess.evidence.clone();
    if let (Some(least), Some(most)) = (binary.at_least, binary.at_most) {
        evidence.push(format!(
            "weights from {least} to {most} were seen, and no others are believed"
        ));
    }
    evidence.push(format!(
        "read by this profile, the lesson has {} weights, and {} pieces are rejected",
        ranked.heard.weights.len(),
        ranked.heard.rejected
    ));
    Candidate::new(&ranked.guess.settings, evidence)
}
