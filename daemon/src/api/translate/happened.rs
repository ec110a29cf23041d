//! One entry of the journal as data.

use tarehand_mixing::procedure::{StepKind, Weigh};
use tarehand_mixing::session::{
    Answer, Book, By, Cause, Destination, Entry, Question, Seen, Slip, Taken, TaskId, ZeroCause,
};
use tarehand_protocol::Mass;
use tarehand_protocol::api::{
    ChangeWord, EntrySaid, OutcomeSaid, PlaceWord, SeenWord, SlipWord, StepAction, WeighWord,
    ZeroWord,
};

use super::action::action;
use super::entry::{as_learnt, judged_masses, off_record};
use super::question::{about_word, pour_lines};
use super::verdict_word;

/// Returns what happened, as data.
#[must_use]
pub fn entry_said(book: &Book, entry: &Entry) -> EntrySaid {
    let step = |task: &TaskId| step(book, *task);
    match entry {
        Entry::Opened {
            procedure, limits, ..
        } => EntrySaid::Opened {
            recipe: procedure.recipe.clone(),
            planned_g: procedure.planned.grams(),
            learnt: as_learnt(procedure, limits),
        },
        Entry::ScaleKnown { scale } => EntrySaid::ScaleKnown {
            division_g: scale.division.map(Mass::grams),
        },
        Entry::JarPlaced { empty, gross } => {
            let jar = *gross - *empty;
            EntrySaid::JarPlaced {
                jar_g: jar.grams(),
                off_g: off_record(book, jar).map(Mass::grams),
            }
        }
        Entry::Began { task } => EntrySaid::Began { step: step(task) },
        Entry::Poured {
            task,
            before,
            after,
            seen,
            ..
        } => EntrySaid::Poured {
            step: step(task),
            poured_g: (*after - *before).grams(),
            seen: seen_word(*seen),
        },
        Entry::PouredOut {
            task,
            before,
            after,
            seen,
            ..
        } => EntrySaid::PouredOut {
            step: step(task),
            poured_g: (*before - *after).grams(),
            seen: seen_word(*seen),
        },
        Entry::Filled {
            task,
            before,
            after,
            ..
        } => EntrySaid::Filled {
            step: step(task),
            filled_g: (*after - *before).grams(),
        },
        Entry::LaidOn { before, after } => EntrySaid::LaidOn {
            laid_g: (*after - *before).grams(),
        },
        Entry::WeighChosen { weigh, .. } => EntrySaid::WeighChosen {
            weigh: weigh_word(*weigh),
        },
        Entry::WeighFits { task, weigh } => EntrySaid::WeighFits {
            step: step(task),
            weigh: weigh_word(*weigh),
        },
        Entry::FineKnown { scale } => EntrySaid::FineKnown {
            there: scale.is_some(),
            division_g: scale.and_then(|scale| scale.division).map(Mass::grams),
        },
        Entry::FineLost => EntrySaid::FineLost,
        Entry::FineBack => EntrySaid::FineBack,
        Entry::FineCleared => EntrySaid::FineCleared,
        Entry::FineZeroMoved { before, after, .. } => EntrySaid::FineZeroMoved {
            before_g: before.grams(),
            after_g: after.grams(),
        },
        Entry::JarCompared { before, after } => EntrySaid::JarCompared {
            before_g: before.grams(),
            after_g: after.grams(),
        },
        Entry::JarSetAside { .. } => EntrySaid::JarSetAside,
        Entry::JarReturned { .. } => EntrySaid::JarReturned,
        Entry::BottlePlaced {
            task, empty, gross, ..
        } => EntrySaid::BottlePlaced {
            step: step(task),
            bottle_g: (*gross - *empty).grams(),
        },
        Entry::BottleLifted { .. } => EntrySaid::BottleLifted,
        Entry::BottleBack { .. } => EntrySaid::BottleBack,
        Entry::Changed {
            before,
            after,
            cause,
        } => EntrySaid::Changed {
            by_g: (*after - *before).grams(),
            cause: match cause {
                Cause::Residue => ChangeWord::Residue,
                Cause::TakenOut => ChangeWord::TakenOut,
                Cause::Foreign => ChangeWord::Foreign,
            },
        },
        Entry::Decanted {
            task,
            before,
            after,
            ..
        } => EntrySaid::Decanted {
            decanted_g: (*before - *after).grams(),
            into: match book.task(*task).map(|task| book.step(task)) {
                Some(StepKind::Decant { into, .. }) => Some(into.clone()),
                _ => None,
            },
        },
        Entry::Judged {
            task,
            verdict,
            poured,
            target,
            within,
        } => {
            let (poured, target) = judged_masses(*poured, *target);
            EntrySaid::Judged {
                step: step(task),
                verdict: verdict_word(*verdict),
                poured_g: poured.grams(),
                target_g: target.map(Mass::grams),
                within_g: target.and(*within).map(Mass::grams),
            }
        }
        Entry::Asked { question } => EntrySaid::Asked {
            about: about_word(question).to_owned(),
            slip: match question {
                Question::OffRatio { slip, .. } => Some(match slip {
                    Slip::RanOut => SlipWord::RanOut,
                    Slip::TakenOut => SlipWord::TakenOut,
                }),
                _ => None,
            },
        },
        Entry::Answered { answer, by } => EntrySaid::Answered {
            yes: match answer {
                Answer::Yes => Some(true),
                Answer::No => Some(false),
                Answer::Option(_) => None,
            },
            option: match answer {
                Answer::Option(number) => Some(*number),
                Answer::Yes | Answer::No => None,
            },
            by_limit: *by == By::Limit,
        },
        Entry::Rescued { option, by, .. } => EntrySaid::Rescued {
            kind: option.kind.word().to_owned(),
            total_g: option.total.grams(),
            take_out_g: option.take_out.grams(),
            pours: pour_lines(option),
            by_limit: *by == By::Limit,
        },
        Entry::RanOut { task } => EntrySaid::RanOut { step: step(task) },
        Entry::WasOther { from, to, mass, .. } => EntrySaid::WasOther {
            from: step(from),
            to: step(to),
            mass_g: mass.grams(),
        },
        Entry::Undone => EntrySaid::Undone,
        Entry::WentBack { task } => EntrySaid::WentBack { step: step(task) },
        Entry::Paused => EntrySaid::Paused,
        Entry::Resumed => EntrySaid::Resumed,
        Entry::LoadGone { gross } => EntrySaid::LoadGone {
            shows_g: gross.grams(),
        },
        Entry::JarBack { .. } => EntrySaid::JarBack,
        Entry::JarMistaken => EntrySaid::JarMistaken,
        Entry::ZeroMoved {
            before,
            after,
            cause,
        } => EntrySaid::ZeroMoved {
            before_g: before.grams(),
            after_g: after.grams(),
            cause: match cause {
                ZeroCause::TareKey => ZeroWord::TareKey,
                ZeroCause::EmptyPan => ZeroWord::EmptyPan,
                ZeroCause::Power => ZeroWord::Power,
            },
        },
        Entry::ScaleLost => EntrySaid::ScaleLost,
        Entry::ScaleBack => EntrySaid::ScaleBack,
        Entry::Trail {
            seconds,
            jar,
            taken,
            ..
        } => EntrySaid::Trail {
            seconds: *seconds,
            tapped: *taken == Taken::Tapped,
            thinner_g: jar.map(|jar| jar.thinner.grams()),
            total_g: jar.map(|jar| jar.total.grams()),
        },
        Entry::ThinningKnown { slopes } => EntrySaid::ThinningKnown {
            batches: slopes.len().try_into().unwrap_or(u64::MAX),
        },
        Entry::FlowTimed {
            cup,
            seconds,
            viscosity_mm2_s,
            ..
        } => EntrySaid::FlowTimed {
            cup: cup.word().to_owned(),
            seconds: *seconds,
            viscosity_mm2_s: *viscosity_mm2_s,
        },
        Entry::Remarked { text } => EntrySaid::Remarked { text: text.clone() },
        Entry::RoomKnown { room } => EntrySaid::RoomKnown {
            celsius: room.celsius,
            humidity_percent: room.humidity_percent,
        },
        Entry::CameOut { outcome } => EntrySaid::CameOut {
            outcome: OutcomeSaid {
                found: outcome.found.clone(),
                note: outcome.note.clone(),
                pictures: outcome.pictures.clone(),
                better_than: outcome.better_than.clone(),
            },
        },
        Entry::Moved { to, mass, seen } => {
            let (to, name) = match to {
                Destination::Jar(mark) => (PlaceWord::Jar, Some(mark.clone())),
                Destination::Cup(name) => (PlaceWord::Cup, Some(name.clone())),
                Destination::Shelf(key) => (PlaceWord::Shelf, Some(key.clone())),
                Destination::Waste => (PlaceWord::Waste, None),
            };
            EntrySaid::Moved {
                mass_g: mass.grams(),
                to,
                name,
                told: *seen == Seen::Told,
            }
        }
        Entry::Completed => EntrySaid::Completed,
        Entry::Aborted => EntrySaid::Aborted,
    }
}

fn step(book: &Book, task: TaskId) -> Option<StepAction> {
    book.task(task).map(|task| action(book, task))
}

const fn seen_word(seen: Seen) -> SeenWord {
    match seen {
        Seen::Watched => SeenWord::Watched,
        Seen::Unseen => SeenWord::Unseen,
        Seen::InHand => SeenWord::InHand,
        Seen::Told => SeenWord::Told,
    }
}

const fn weigh_word(weigh: Weigh) -> WeighWord {
    match weigh {
        Weigh::Jar => WeighWord::Jar,
        Weigh::Bottle => WeighWord::Bottle,
        Weigh::Fine => WeighWord::Fine,
    }
}
