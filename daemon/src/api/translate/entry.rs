//! One entry of the journal as a person reads it.

use tarehand_mixing::procedure::{Procedure, StepKind, Weigh};
use tarehand_mixing::rescue::{RescueKind, RescueOption};
use tarehand_mixing::session::{
    Answer, Book, By, Cause, Destination, Entry, Limits, Question, Seen, Slip, Taken, TaskId,
    Verdict, ZeroCause,
};
use tarehand_protocol::Mass;

use super::words::{grams, more_or_less};

/// Returns what happened, ready to read.
#[must_use]
pub fn entry_text(book: &Book, entry: &Entry) -> String {
    let title = |task: &TaskId| {
        book.task(*task)
            .map(|task| super::action::title(book, task))
            .unwrap_or_default()
    };
    match entry {
        Entry::Opened {
            procedure, limits, ..
        } => {
            let learnt = as_learnt(procedure, limits);
            let learnt = match learnt.as_slice() {
                [] => String::new(),
                names => format!("; stop is said as learnt for {}", names.join(", ")),
            };
            let planned = grams(procedure.planned);
            format!("opened: {}, {planned}{learnt}", procedure.recipe)
        }
        Entry::ScaleKnown { scale } => match scale.division {
            Some(division) => format!("the scale's division is {division}"),
            None => "the scale is known".to_owned(),
        },
        Entry::JarPlaced { empty, gross } => {
            let jar = *gross - *empty;
            format!("jar on the pan, {}{}", grams(jar), unlike_record(book, jar))
        }
        Entry::Began { task } => format!("began: {}", title(task)),
        Entry::Poured {
            task,
            before,
            after,
            seen,
            ..
        } => {
            let seen = match seen {
                Seen::Watched => "",
                Seen::Unseen => ", unseen",
                Seen::InHand => ", in the hand",
                Seen::Told => ", as told",
            };
            format!("poured {} {}{seen}", grams(*after - *before), title(task))
        }
        Entry::PouredOut {
            task,
            before,
            after,
            seen,
            ..
        } => {
            let seen = match seen {
                Seen::Watched | Seen::InHand => "",
                Seen::Unseen => ", unseen",
                Seen::Told => ", as told",
            };
            let mass = grams(*before - *after);
            format!("poured {mass} {} out of its bottle{seen}", title(task))
        }
        Entry::Filled {
            task,
            before,
            after,
            ..
        } => format!(
            "filled {} {} into its cup",
            grams(*after - *before),
            title(task)
        ),
        Entry::LaidOn { before, after } => {
            format!(
                "{} laid beside the bottle, nothing poured",
                grams(*after - *before)
            )
        }
        Entry::WeighChosen { weigh, .. } => match weigh {
            Weigh::Bottle => "to be weighed out of the bottle".to_owned(),
            Weigh::Jar => "to be weighed in the jar".to_owned(),
            Weigh::Fine => "to be weighed out on the finer scale".to_owned(),
        },
        Entry::WeighFits { task, weigh } => match weigh {
            Weigh::Fine => format!(
                "{}: weighed out on the finer scale, the jar's own is too coarse for it",
                title(task)
            ),
            Weigh::Jar | Weigh::Bottle => {
                format!(
                    "{}: weighed in the jar, the finer scale is away",
                    title(task)
                )
            }
        },
        Entry::FineKnown { scale: None } => "the finer scale was let go".to_owned(),
        Entry::FineKnown { scale: Some(scale) } => match scale.division {
            Some(division) => format!("a finer scale of {} stands by", grams(division)),
            None => "a finer scale stands by".to_owned(),
        },
        Entry::FineLost => "the finer scale was lost".to_owned(),
        Entry::FineBack => "the finer scale came back".to_owned(),
        Entry::FineCleared => "the finer scale holds something else now, nothing poured".to_owned(),
        Entry::FineZeroMoved { before, after, .. } => format!(
            "the finer scale's zero moved from {} to {}",
            grams(*before),
            grams(*after)
        ),
        Entry::JarCompared { before, after } => format!(
            "the jar's own scale agrees: {} instead of {}",
            grams(*after),
            grams(*before)
        ),
        Entry::JarSetAside { .. } => "the jar stands beside the scale".to_owned(),
        Entry::JarReturned { .. } => "the jar is back from beside the scale".to_owned(),
        Entry::BottlePlaced {
            task, empty, gross, ..
        } => format!("a bottle of {}, {}", title(task), grams(*gross - *empty)),
        Entry::BottleLifted { .. } => "the bottle was lifted".to_owned(),
        Entry::BottleBack { .. } => "the bottle is back".to_owned(),
        Entry::Changed {
            before,
            after,
            cause,
        } => {
            let cause = match cause {
                Cause::Residue => "residue or a stick",
                Cause::TakenOut => "taken out or spilled",
                Cause::Foreign => "not part of the mix",
            };
            format!("{} {cause}", grams(*after - *before))
        }
        Entry::Decanted {
            task,
            before,
            after,
            ..
        } => match book.task(*task).map(|task| book.step(task)) {
            Some(StepKind::Decant { into, .. }) if after <= before => {
                format!("decanted {} into {into}", grams(*before - *after))
            }
            Some(StepKind::Decant { into, .. }) => {
                format!("{} back out of {into}", grams(*after - *before))
            }
            _ => format!("decanted {}", grams(*before - *after)),
        },
        Entry::Judged {
            task,
            verdict,
            poured,
            target,
            within,
        } => {
            let verdict = verdict_words(*verdict);
            match (judged_masses(*poured, *target), within) {
                ((poured, Some(target)), Some(within)) => {
                    let (poured, target) = (grams(poured), grams(target));
                    format!(
                        "{verdict}: {} {poured} of {target}, ± {}",
                        title(task),
                        grams(*within)
                    )
                }
                _ => format!("{verdict}: {}", title(task)),
            }
        }
        Entry::Asked { question } => format!("held: {}", question_words(question)),
        Entry::Answered { answer, by } => {
            let answer = match answer {
                Answer::Yes => "yes".to_owned(),
                Answer::No => "no".to_owned(),
                Answer::Option(number) => format!("option {number}"),
            };
            format!("answered {answer}, {}", by_words(*by))
        }
        Entry::Rescued { option, by, .. } => rescued(option, *by),
        Entry::RanOut { task } => format!("there is no more: {}", title(task)),
        Entry::WasOther { from, to, mass, .. } => {
            format!("the {} of {} were {}", grams(*mass), title(from), title(to))
        }
        Entry::Undone => "undone".to_owned(),
        Entry::WentBack { task } => format!("went back to: {}", title(task)),
        Entry::Paused => "paused".to_owned(),
        Entry::Resumed => "resumed".to_owned(),
        Entry::LoadGone { gross } => format!("the load is gone, the scale shows {}", grams(*gross)),
        Entry::JarBack { .. } => "the jar is back".to_owned(),
        Entry::JarMistaken => "that was another jar".to_owned(),
        Entry::ZeroMoved {
            before,
            after,
            cause,
        } => {
            let cause = match cause {
                ZeroCause::TareKey => "the scale's tare was pressed",
                ZeroCause::EmptyPan => "that is the empty pan",
                ZeroCause::Power => "the scale started anew; what was poured meanwhile is unknown",
            };
            format!(
                "zero moved from {} to {}: {cause}",
                grams(*before),
                grams(*after)
            )
        }
        Entry::ScaleLost => "the scale was lost".to_owned(),
        Entry::ScaleBack => "the scale came back".to_owned(),
        Entry::Trail {
            seconds,
            jar,
            taken,
            ..
        } => {
            let taken = match taken {
                Taken::Said => "",
                Taken::Tapped => ", timed by taps",
            };
            let jar = jar.map_or_else(String::new, |jar| {
                format!(", {} thinner in {}", grams(jar.thinner), grams(jar.total))
            });
            format!("trail {seconds} s{taken}{jar}")
        }
        Entry::ThinningKnown { slopes } => match slopes.len() {
            1 => "how an earlier batch answered to thinner is known".to_owned(),
            batches => format!("how {batches} earlier batches answered to thinner is known"),
        },
        Entry::FlowTimed {
            cup,
            seconds,
            viscosity_mm2_s,
            ..
        } => format!(
            "{seconds} s from {}: {viscosity_mm2_s:.0} mm²/s",
            cup.word()
        ),
        Entry::Remarked { text } => format!("remark: {text}"),
        Entry::RoomKnown { room } => format!("the room: {room}"),
        Entry::CameOut { outcome } => format!("came out: {outcome}"),
        Entry::Moved { to, mass, seen } => {
            let told = match seen {
                Seen::Told => ", as told",
                Seen::Watched | Seen::Unseen | Seen::InHand => "",
            };
            format!("{} {}{told}", grams(*mass), where_to(to))
        }
        Entry::Completed => "complete".to_owned(),
        Entry::Aborted => "given up".to_owned(),
    }
}

/// Returns what a step received and should have received: what leaves the jar is said as what it is, not as less than nothing.
pub(super) fn judged_masses(poured: Mass, target: Option<Mass>) -> (Mass, Option<Mass>) {
    match target {
        Some(target) if target < Mass::ZERO => (Mass::ZERO - poured, Some(Mass::ZERO - target)),
        target => (poured, target),
    }
}

/// Returns how far a finished jar is from what its record says, where that is more than the scale can err.
pub(super) fn off_record(book: &Book, jar: Mass) -> Option<Mass> {
    book.unlike_its_record()?;
    Some(jar - book.procedure().amends.as_ref()?.gross())
}

fn unlike_record(book: &Book, jar: Mass) -> String {
    let Some(off) = off_record(book, jar) else {
        return String::new();
    };
    let off = more_or_less(off);
    format!(", {off} than its record says")
}

const fn verdict_words(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Within => "within",
        Verdict::Overshoot => "overshoot",
        Verdict::Shortfall => "shortfall",
        Verdict::Recorded => "recorded",
        Verdict::Skipped => "left out",
    }
}

fn rescued(option: &RescueOption, by: By) -> String {
    let by = by_words(by);
    let kind = match option.kind {
        RescueKind::TopUpExact => "rescued, exact ratio",
        RescueKind::TopUpLeast => "rescued, within the tolerances",
        RescueKind::MakeLess => "made less",
        RescueKind::TakeOut => {
            return format!("rescued: {} to be taken out ({by})", grams(option.take_out));
        }
        RescueKind::Accept => "accepted as it is",
        RescueKind::Unthinned => "too thin, more of the mix without thinner",
        RescueKind::ReadyMade => "too thin, more of the mix from another jar",
    };
    let pours = option.pours.iter();
    let pours: Vec<String> = pours
        .map(|pour| format!("{} {}", grams(pour.mass), pour.name))
        .collect();
    let pours = match pours.as_slice() {
        [] => String::new(),
        pours => format!(", still to come {}", pours.join(", ")),
    };
    format!("{kind}: total {}{pours} ({by})", grams(option.total))
}

fn where_to(to: &Destination) -> String {
    match to {
        Destination::Jar(mark) => format!("into the jar of {mark}"),
        Destination::Cup(name) => format!("into {name}"),
        Destination::Shelf(key) => format!("on the shelf as {key}"),
        Destination::Waste => "taken out".to_owned(),
    }
}

const fn question_words(question: &Question) -> &'static str {
    match question {
        Question::Overshoot { .. } => "overshoot",
        Question::OffRatio { slip, .. } => match slip {
            Slip::RanOut => "no more",
            Slip::TakenOut => "off the ratio",
        },
        Question::TooThin { .. } => "too thin",
        Question::PouredUnseen { .. } => "poured unseen?",
        Question::AddedInHand { .. } => "added in the hand?",
        Question::Lighter { .. } => "lighter",
        Question::BottleLighter { .. } => "the bottle lighter?",
        Question::ZeroLost { .. } => "zero lost?",
    }
}

const fn by_words(by: By) -> &'static str {
    match by {
        By::Person => "chosen by the person",
        By::Limit => "within the limits set",
    }
}

/// Returns the ingredients of which stop is said as their pours taught.
pub(super) fn as_learnt(procedure: &Procedure, limits: &Limits) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for ingredient in procedure
        .steps
        .iter()
        .filter_map(|step| step.kind.ingredient())
    {
        let learnt = limits.stop_leads.contains_key(&ingredient.key);
        if learnt && !names.contains(&ingredient.name) {
            names.push(ingredient.name.clone());
        }
    }
    names
}
