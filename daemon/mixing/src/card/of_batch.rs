//! From a batch's journal to its card: what was really poured, with what was planned beside it.

use tarehand_protocol::Mass;

use super::of_recipe::{counted, planned};
use super::steps;
use super::value::{Card, CardStep, Caution, Line, Made, Portion, tidy};
use super::words::{grams, trail};
use crate::procedure::{Decanted, Premix, Procedure, StepKind};
use crate::provenance::Provenance;
use crate::ratio::Ratio;
use crate::rescue::RescueKind;
use crate::session::{Book, Cause, Entry, Purpose, Record, Task, Undoes, Verdict};
use crate::units::Volume;

/// Returns the card of a batch.
#[must_use]
pub fn of_batch(from: Provenance<'_>, book: &Book, records: &[Record]) -> Card {
    let procedure = book.procedure();
    let jar = procedure
        .jar_ul
        .and_then(|microlitres| i64::try_from(microlitres).ok())
        .map(|microlitres| Volume::from_microlitres(Ratio::new(microlitres, 1)));
    let lines = lines(book);
    let total = inside(&lines).sum();
    let mut cautions = Vec::new();
    for ingredient in book.tasks().filter_map(|task| book.pours(task)) {
        Caution::add(ingredient, &mut cautions);
    }
    let premixes = premixes(procedure, &lines);
    for premix in &procedure.premixes {
        if premixes.iter().any(|card| card.key == premix.key) {
            for (part, _) in &premix.parts {
                Caution::add(part, &mut cautions);
            }
        }
    }
    Card {
        key: from.mark.to_owned(),
        name: tidy(&procedure.recipe),
        made: Made::Batch {
            mark: from.mark.to_owned(),
            day: from.day.to_owned(),
            run: from.run,
            planned: planned_total(records, book),
        },
        total,
        trail_s: procedure.trail_s,
        pot_life: procedure.pot_life,
        choices: procedure.choices.clone(),
        tools: steps::tools(book.tasks().map(|task| book.step(task)), jar.as_ref()),
        jar,
        lines,
        steps: book.tasks().map(|task| step(book, task)).collect(),
        happened: happened(book, records),
        premixes,
        cautions,
    }
}

/// Returns what was planned before any rescue.
fn planned_total(records: &[Record], book: &Book) -> Mass {
    match records.first().map(|record| &record.entry) {
        Some(Entry::Opened { procedure, .. }) => procedure.planned,
        _ => book.procedure().planned,
    }
}

fn inside(lines: &[Line]) -> impl Iterator<Item = Mass> {
    lines
        .iter()
        .filter(|line| line.portion.share().is_some())
        .filter_map(|line| line.portion.mass())
}

/// Returns what was poured, by ingredient: inside the ratio first, then what lay outside.
fn lines(book: &Book) -> Vec<Line> {
    let mut within: Vec<Line> = Vec::new();
    let mut outside: Vec<Line> = Vec::new();
    for task in book.all_tasks() {
        let Some(ingredient) = book.pours(task) else {
            continue;
        };
        let addition = book.addition(task);
        let has_share = addition.is_some_and(|addition| addition.amount.share().is_some());
        let wanted = match book.step(task) {
            StepKind::Add(addition) => Some(planned(&addition.amount)),
            StepKind::Thin { by, at_most, .. } => Some(Portion::Thinning {
                by: *by,
                at_most: *at_most,
            }),
            _ => None,
        };
        // What a rescue added was not planned.
        let wanted = wanted.filter(|_| task.purpose == Purpose::Planned);
        if !has_share {
            let mut line = Line::of(ingredient, Portion::Beside(task.poured));
            line.planned = wanted;
            outside.push(line);
            continue;
        }
        let place = within.iter().position(|line| line.key == ingredient.key);
        let Some(place) = place else {
            let mut line = Line::of(ingredient, share(task.poured));
            line.planned = wanted;
            line.counted = addition.and_then(|addition| counted(&addition.amount));
            within.push(line);
            continue;
        };
        let line = &mut within[place];
        line.portion = share(line.portion.mass().unwrap_or_default() + task.poured);
        line.planned = sum(line.planned.take(), wanted);
        line.counted = None;
    }
    let total: Mass = inside(&within).sum();
    for line in &mut within {
        let mass = line.portion.mass().unwrap_or_default();
        let of_total = Ratio::from_mass(mass).checked_div(&Ratio::from_mass(total));
        line.portion = Portion::Share {
            mass,
            share: of_total.unwrap_or_else(Ratio::zero),
        };
    }
    within.append(&mut outside);
    within
}

/// A portion whose share is worked out when the total is known.
const fn share(mass: Mass) -> Portion {
    Portion::Share {
        mass,
        share: Ratio::zero(),
    }
}

fn sum(one: Option<Portion>, other: Option<Portion>) -> Option<Portion> {
    match (one, other) {
        (
            Some(Portion::Share { mass, share }),
            Some(Portion::Share {
                mass: more,
                share: more_share,
            }),
        ) => Some(Portion::Share {
            mass: mass + more,
            share: &share + &more_share,
        }),
        (one, other) => one.or(other),
    }
}

fn step(book: &Book, task: &Task) -> CardStep {
    let mut step = steps::planned(&book.procedure().steps[task.step]);
    if let Some(ingredient) = book.pours(task) {
        let name = tidy(&ingredient.name);
        let more = if task.purpose == Purpose::TopUp {
            "more "
        } else {
            ""
        };
        let wanted = task
            .target
            .map(|target| format!(" (wanted: {})", grams(target)));
        step.text = format!(
            "added {} {more}{name}{}",
            grams(task.poured),
            wanted.unwrap_or_default()
        );
    }
    if let StepKind::Decant { into, amount } = book.step(task) {
        let wanted = match amount {
            Decanted::All => String::new(),
            Decanted::Weighed { target, .. } => format!(" (wanted: {})", grams(*target)),
        };
        let out = grams(Mass::ZERO - task.poured);
        step.text = format!("decanted {out} into {}{wanted}", tidy(into));
    }
    match task.verdict {
        Some(Verdict::Skipped) => step.text = format!("left out: {}", step.text),
        None => step.text = format!("not finished: {}", step.text),
        Some(Verdict::Within | Verdict::Overshoot | Verdict::Shortfall | Verdict::Recorded) => {}
    }
    step
}

/// Says what came otherwise than planned, and the trails that were measured.
fn happened(book: &Book, records: &[Record]) -> Vec<String> {
    let mut said: Vec<String> = book.tasks().filter_map(|task| slip(book, task)).collect();
    said.extend(rescues(records));
    let mut gone = Mass::ZERO;
    for record in records {
        match &record.entry {
            Entry::Changed {
                before,
                after,
                cause: Cause::TakenOut,
            } => gone += *before - *after,
            Entry::Trail { seconds, .. } => {
                said.push(format!("trail measured: {}", trail(*seconds)));
            }
            _ => {}
        }
    }
    if Mass::ZERO < gone {
        said.push(format!("{} of the mix taken out or spilled", grams(gone)));
    }
    said
}

fn slip(book: &Book, task: &Task) -> Option<String> {
    let word = match task.verdict? {
        Verdict::Overshoot => "overshoot",
        Verdict::Shortfall => "shortfall",
        Verdict::Within | Verdict::Recorded | Verdict::Skipped => return None,
    };
    let name = tidy(&book.pours(task)?.name);
    let poured = grams(task.poured);
    Some(match task.target {
        Some(target) => format!("{word}: {poured} {name}, wanted were {}", grams(target)),
        None => format!("{word}: {poured} {name}"),
    })
}

/// Says which rescues were taken and not taken back.
fn rescues(records: &[Record]) -> Vec<String> {
    let Some((first, rest)) = records.split_first() else {
        return Vec::new();
    };
    let Some(mut book) = Book::rebuild(std::slice::from_ref(first)) else {
        return Vec::new();
    };
    let mut said = Vec::new();
    for record in rest {
        match &record.entry {
            Entry::Rescued { option, .. } => {
                let total = grams(option.total);
                said.push(match option.kind {
                    RescueKind::TopUpExact => {
                        format!("rescued: the rest was resized to {total}, the ratio holds")
                    }
                    RescueKind::TopUpLeast => {
                        format!("rescued: the rest was resized to {total}, within the tolerances")
                    }
                    RescueKind::TakeOut => {
                        format!("rescued: {} were to be taken out", grams(option.take_out))
                    }
                    RescueKind::MakeLess => format!("made less: {total}"),
                    RescueKind::Unthinned => {
                        format!("too thin: the mix was made up to {total} without more thinner")
                    }
                    RescueKind::ReadyMade => {
                        format!("too thin: made up to {total} from a jar of the same mix")
                    }
                    RescueKind::Accept => "accepted as it was".to_owned(),
                });
            }
            Entry::Undone if book.undoes() == Some(Undoes::Rescue) => {
                let _taken_back = said.pop();
            }
            _ => {}
        }
        book.fold(record);
    }
    said
}

/// Returns what the premixes in the jar are made of, in the grams that are in the jar.
fn premixes(procedure: &Procedure, lines: &[Line]) -> Vec<Card> {
    let direct = |key: &str| -> Mass {
        let direct = lines.iter().filter(|line| line.key == key);
        direct.filter_map(|line| line.portion.mass()).sum()
    };
    let depth = procedure.premixes.len();
    let amount = |key: &str| amount_of(key, &procedure.premixes, &direct, depth);
    let used = procedure.premixes.iter().map(|premix| {
        let total = amount(&premix.key);
        let lines = premix.parts.iter().map(|(part, share)| {
            let mass = (share * &Ratio::from_mass(total)).to_mass();
            Line::of(
                part,
                Portion::Share {
                    mass,
                    share: share.clone(),
                },
            )
        });
        Card {
            key: premix.key.clone(),
            name: name_of(&premix.key, procedure),
            made: Made::Composition,
            total,
            jar: None,
            trail_s: None,
            pot_life: None,
            choices: Vec::new(),
            tools: Vec::new(),
            lines: lines.collect(),
            steps: Vec::new(),
            happened: Vec::new(),
            premixes: Vec::new(),
            cautions: Vec::new(),
        }
    });
    used.filter(|card| Mass::ZERO < card.total).collect()
}

/// Returns how much of a premix there is, that inside other premixes too; `direct` says how much of a key there is by itself.
///
/// `depth` bounds the way through premixes inside premixes, which a recipe never nests in a circle.
pub(crate) fn amount_of(
    key: &str,
    premixes: &[Premix],
    direct: &impl Fn(&str) -> Mass,
    depth: usize,
) -> Mass {
    let mut total = direct(key);
    let Some(depth) = depth.checked_sub(1) else {
        return total;
    };
    for premix in premixes {
        let of_it: Ratio = premix
            .parts
            .iter()
            .filter(|(part, _)| part.key == key)
            .map(|(_, share)| share.clone())
            .sum();
        if !of_it.is_zero() {
            let whole = amount_of(&premix.key, premixes, direct, depth);
            total += (&of_it * &Ratio::from_mass(whole)).to_mass();
        }
    }
    total
}

fn name_of(key: &str, procedure: &Procedure) -> String {
    let poured = procedure
        .steps
        .iter()
        .filter_map(|step| step.kind.ingredient());
    let parts = procedure.premixes.iter().flat_map(|premix| &premix.parts);
    let mut all = poured.chain(parts.map(|(part, _)| part));
    all.find(|ingredient| ingredient.key == key)
        .map_or_else(|| key.to_owned(), |ingredient| tidy(&ingredient.name))
}
