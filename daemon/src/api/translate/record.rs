//! A batch from the log as the API shows it.

use tarehand_mixing::amend::{self, Again};
use tarehand_mixing::ledger::{self, Substance, Vessel};
use tarehand_mixing::procedure::Procedure;
use tarehand_mixing::rescue::{Known, known};
use tarehand_mixing::session::{BatchState, Book, By, Entry, Question, Record, Seen, Weighings};
use tarehand_protocol::Mass;
use tarehand_protocol::api::{
    AgainWord, AmendsLine, BatchEntry, BatchRecord, BatchStateWord, BatchSummary, ContentLine,
    OpenedAgain, OutcomeLine, RescueTaken, ShareView, StepStatus, StepView, WayOffered, WeighedOn,
};

use super::question::{about_word, obstacle_said, way_figures, way_text};
use super::{choice_lines, entry_said, entry_text, steps, words};
use crate::journal::Kept;
use crate::log::{self, BatchHead, Ending, LiveState, Reality};

/// Returns a batch in a line; what its jar holds is what the ledger says, as in a list.
fn summary(kept: &Kept, head: &BatchHead) -> BatchSummary {
    BatchSummary {
        mark: kept.mark.clone(),
        recipe: kept.book.procedure().recipe.clone(),
        state: state_word(kept.state),
        rehearsal: kept.rehearsal,
        opened: kept.opened.clone(),
        closed: kept.closed.clone(),
        planned_g: kept.book.procedure().planned.grams(),
        in_jar_g: Mass::from_micrograms(head.in_jar_ug).grams(),
        opened_again: opened_again(
            kept.book.procedure(),
            head.reopening.as_ref().map_or(0, |again| again.mass_ug),
        ),
    }
}

/// Says which finished jar was opened again, and what that came to.
fn opened_again(procedure: &Procedure, mass_ug: i64) -> Option<OpenedAgain> {
    let (jar, again) = amend::again(procedure)?;
    let (how, what) = match again {
        Again::Added(names) => (AgainWord::Added, names),
        Again::Joined(jars) => (AgainWord::Joined, jars),
        Again::TakenOut(vessels) => (AgainWord::TakenOut, vessels),
    };
    Some(OpenedAgain {
        jar: jar.mark.clone(),
        recipe: jar.recipe.clone(),
        how,
        what: what.into_iter().map(str::to_owned).collect(),
        from: jar.out_of.values().next().cloned(),
        mass_g: Mass::from_micrograms(mass_ug).grams(),
    })
}

/// Returns a batch in a line, without its journal.
#[must_use]
pub fn summary_of_head(head: BatchHead) -> BatchSummary {
    BatchSummary {
        mark: head.mark.as_str().to_owned(),
        recipe: head.recipe,
        state: state_word(head.state),
        rehearsal: head.reality == Reality::Rehearsal,
        opened: head.opened,
        closed: head.closed,
        planned_g: Mass::from_micrograms(head.planned_ug).grams(),
        in_jar_g: Mass::from_micrograms(head.in_jar_ug).grams(),
        opened_again: head.reopening.and_then(|again| {
            // A procedure of a newer version is listed all the same.
            let procedure: Procedure = serde_json::from_str(&again.procedure).ok()?;
            opened_again(&procedure, again.mass_ug)
        }),
    }
}

/// Returns a state of the log's register in the words of the API.
const fn state_word(state: log::BatchState) -> BatchStateWord {
    words::batch_state(match state {
        log::BatchState::Live(LiveState::Idle) => BatchState::Idle,
        log::BatchState::Live(LiveState::Running) => BatchState::Running,
        log::BatchState::Live(LiveState::Held) => BatchState::Held,
        log::BatchState::Live(LiveState::Paused) => BatchState::Paused,
        log::BatchState::Ended(Ending::Complete) => BatchState::Complete,
        log::BatchState::Ended(Ending::Aborted) => BatchState::Aborted,
    })
}

/// Returns a batch whole; `head` is what the log says of it beside its journal.
#[must_use]
pub fn record(kept: &Kept, head: &BatchHead) -> BatchRecord {
    let situation = kept.book.situation();
    let inside = situation.in_jar();
    let known = known(&situation, &Weighings::of(&kept.book, &kept.records));
    let known = known.as_ref();
    let shares = situation
        .components
        .iter()
        .enumerate()
        .map(|(at, component)| ShareView {
            ingredient: component.name.clone(),
            planned: component.share.to_f64(),
            result: component
                .in_jar
                .checked_div(&inside)
                .map_or(0.0, |share| share.to_f64()),
            uncertainty: known.and_then(|known| known.shares.get(at).copied()),
        });
    BatchRecord {
        summary: summary(kept, head),
        tare_g: true_tare(&kept.book).grams(),
        amends: kept
            .book
            .procedure()
            .amends
            .as_ref()
            .map(|amends| AmendsLine {
                batch: amends.mark.clone(),
                recipe: amends.recipe.clone(),
            }),
        weighed_on: WeighedOn {
            division_g: kept.book.scale().division.map(Mass::grams),
            capacity_g: kept.book.scale().capacity.map(Mass::grams),
            // Only the log has its text.
            profile: None,
        },
        choices: choice_lines(kept.book.procedure()),
        contents: contents(&kept.book, &kept.records, known),
        room: room(kept),
        hand: kept.book.limits().hand.clone(),
        outcomes: outcomes(kept),
        // Only the log knows of other batches.
        now: None,
        recipe_file: None,
        amendments: Vec::new(),
        poured_into: Vec::new(),
        shares: shares.collect(),
        rescues: rescues(kept.book.procedure().planned, happened(kept)),
        steps: steps_kept(kept),
        entries: kept
            .records
            .iter()
            .zip(&kept.moments)
            .zip(0..)
            .map(|((record, at), seq)| BatchEntry {
                seq,
                at: at.clone(),
                kind: record.entry.kind().to_owned(),
                text: entry_text(&kept.book, &record.entry),
                said: Some(entry_said(&kept.book, &record.entry)),
            })
            .collect(),
    }
}

/// Returns the steps; none is being done in a batch that no bench makes.
fn steps_kept(kept: &Kept) -> Vec<StepView> {
    let mut steps = steps(&kept.book);
    if kept.is_over() {
        for step in &mut steps {
            if step.status == StepStatus::Now {
                step.status = StepStatus::Open;
            }
        }
    }
    steps
}

/// The empty jar: an amended one was full when it was weighed.
fn true_tare(book: &Book) -> Mass {
    let amends = book.procedure().amends.as_ref();
    amends.map_or_else(|| book.tare(), |amends| amends.tare)
}

fn room(kept: &Kept) -> Option<String> {
    let mut newest_first = kept.records.iter().rev();
    newest_first.find_map(|record| match &record.entry {
        Entry::RoomKnown { room } => Some(room.to_string()),
        _ => None,
    })
}

/// Returns the ways out that were taken; the question before one says what was offered beside it.
pub(super) fn rescues<'k>(
    planned: Mass,
    happened: impl Iterator<Item = (&'k Entry, &'k String)>,
) -> Vec<RescueTaken> {
    let mut asked: Option<&Question> = None;
    let mut taken = Vec::new();
    for (entry, at) in happened {
        match entry {
            Entry::Asked { question } if question.ways_out().is_some() => asked = Some(question),
            Entry::Rescued { option, by, .. } => {
                let question = asked.take().filter(|_| *by == By::Person);
                let offered = question.and_then(Question::ways_out);
                let others = offered.into_iter().flat_map(|(_, options)| options);
                let others = others.filter(|other| other.kind != option.kind);
                taken.push(RescueTaken {
                    at: at.clone(),
                    about: question.map(|question| about_word(question).to_owned()),
                    by_limit: *by == By::Limit,
                    kind: option.kind.word().to_owned(),
                    text: way_text(question, option, planned),
                    said: way_figures(option),
                    others: others
                        .map(|other| WayOffered {
                            kind: other.kind.word().to_owned(),
                            text: way_text(question, other, planned),
                            said: way_figures(other),
                            why_not: other.obstacle.as_ref().map(ToString::to_string),
                            obstacle: other.obstacle.as_ref().map(obstacle_said),
                        })
                        .collect(),
                });
            }
            _ => {}
        }
    }
    taken
}

/// Returns what happened, with its moments.
fn happened(kept: &Kept) -> impl Iterator<Item = (&Entry, &String)> {
    let entries = kept.records.iter().map(|record| &record.entry);
    entries.zip(&kept.moments)
}

fn outcomes(kept: &Kept) -> Vec<OutcomeLine> {
    let line = |(entry, at): (&Entry, &String)| match entry {
        Entry::CameOut { outcome } => Some(OutcomeLine {
            at: at.clone(),
            found: outcome.found.clone(),
            note: outcome.note.clone(),
            pictures: outcome.pictures.clone(),
            better_than: outcome.better_than.clone(),
        }),
        _ => None,
    };
    happened(kept).filter_map(line).collect()
}

fn contents(book: &Book, records: &[Record], known: Option<&Known>) -> Vec<ContentLine> {
    let transfers: Vec<_> = records
        .iter()
        .flat_map(|record| ledger::transfers(book, &record.entry))
        .collect();
    let unseen = |key: &str| -> Mass {
        let of_it = transfers.iter().filter(|transfer| {
            matches!(transfer.seen, Seen::Unseen | Seen::Told)
                && transfer.substance == Substance::Ingredient(key.to_owned())
        });
        of_it
            .map(|transfer| {
                if transfer.to == Vessel::Jar {
                    transfer.mass
                } else {
                    -transfer.mass
                }
            })
            .sum()
    };
    book.contents()
        .into_iter()
        .map(|(ingredient, poured)| ContentLine {
            ingredient: ingredient.key.clone(),
            name: ingredient.name.clone(),
            planned_g: book.planned_for(&ingredient.key).map(Mass::grams),
            poured_g: poured.grams(),
            unseen_g: unseen(&ingredient.key).grams(),
            uncertainty_g: known.and_then(|known| known.poured_g.get(&ingredient.key).copied()),
        })
        .collect()
}
