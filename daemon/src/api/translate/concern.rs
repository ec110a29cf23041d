//! What speaks against a batch, as lines of the API.

use tarehand_mixing::amend;
use tarehand_mixing::concern::{Concern, Way};
use tarehand_mixing::procedure::Amends;
use tarehand_mixing::session::Book;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{ConcernLine, ConcernSaid, WayRound};

use super::action::count_said;
use super::words::{grams, millilitres, more_or_less};

const RIGHT_JAR: &str = "give this up and put the right jar on the pan, or go on: what is missing dried or was taken unseen";

/// Returns concerns as the API lists them.
#[must_use]
pub fn concern_lines(concerns: &[Concern]) -> Vec<ConcernLine> {
    concerns
        .iter()
        .map(|concern| ConcernLine {
            text: concern.to_string(),
            ways_round: concern.ways().iter().map(ToString::to_string).collect(),
            concern: Some(said(concern)),
            rounds: concern.ways().iter().map(round).collect(),
            remark: None,
        })
        .collect()
}

/// Says that the finished jar on the pan does not weigh what its record says.
#[must_use]
pub fn unlike_its_record(book: &Book) -> Option<ConcernLine> {
    let off = book.unlike_its_record()?;
    Some(unlike(book.procedure().amends.as_ref()?, off))
}

pub(super) fn unlike(amends: &Amends, off: Mass) -> ConcernLine {
    let (jar, should) = (amend::name(amends), amends.gross());
    ConcernLine {
        text: format!(
            "the jar on the pan weighs {} than {jar} should, which is {}: is it that one?",
            more_or_less(off),
            grams(should)
        ),
        ways_round: vec![RIGHT_JAR.to_owned()],
        concern: Some(ConcernSaid::UnlikeItsRecord {
            jar,
            off_g: off.grams(),
            should_g: should.grams(),
        }),
        rounds: vec![WayRound::RightJar],
        remark: None,
    }
}

fn said(concern: &Concern) -> ConcernSaid {
    match concern {
        Concern::Widened {
            ingredient,
            target,
            asked,
            in_force,
            smallest,
            ..
        } => ConcernSaid::Widened {
            ingredient: ingredient.clone(),
            target_g: target.grams(),
            asked_g: asked.grams(),
            in_force_g: in_force.grams(),
            smallest_g: smallest.grams(),
        },
        Concern::Unweighable {
            ingredient,
            target,
            uncertainty,
            ..
        } => ConcernSaid::Unweighable {
            ingredient: ingredient.clone(),
            target_g: target.grams(),
            uncertainty_g: uncertainty.grams(),
        },
        Concern::Unseen {
            ingredient,
            amount,
            division,
            ..
        } => ConcernSaid::Unseen {
            ingredient: ingredient.clone(),
            amount_g: amount.grams(),
            division_g: division.grams(),
        },
        Concern::UnevenCount {
            ingredient,
            count,
            off,
            ..
        } => ConcernSaid::UnevenCount {
            ingredient: ingredient.clone(),
            count: count_said(count),
            off: *off,
        },
        Concern::OverCapacity {
            contents,
            tare,
            capacity,
            ..
        } => ConcernSaid::OverCapacity {
            contents_g: contents.grams(),
            tare_g: tare.map(Mass::grams),
            capacity_g: capacity.grams(),
        },
        Concern::LittleLeftForJar { contents, capacity } => ConcernSaid::LittleLeftForJar {
            contents_g: contents.grams(),
            left_g: (*capacity - *contents).grams(),
            capacity_g: capacity.grams(),
        },
        Concern::JarTooSmall {
            contents_ul,
            jar_ul,
            assumed,
            ..
        } => ConcernSaid::JarTooSmall {
            contents_ml: millilitres(*contents_ul),
            jar_ml: millilitres(*jar_ul),
            assumed: assumed.clone(),
        },
        Concern::StockShort {
            ingredient,
            needed,
            stock,
            ..
        } => ConcernSaid::StockShort {
            ingredient: ingredient.clone(),
            needed_g: needed.grams(),
            stock_g: stock.grams(),
        },
    }
}

fn round(way: &Way) -> WayRound {
    match way {
        Way::BiggerBatch { planned } => WayRound::BiggerBatch {
            planned_g: planned.grams(),
        },
        Way::EvenBatch { planned } => WayRound::EvenBatch {
            planned_g: planned.grams(),
        },
        Way::SmallerBatch { planned } => WayRound::SmallerBatch {
            planned_g: planned.grams(),
        },
        Way::CountDrops => WayRound::CountDrops,
        Way::DiluteFirst { times } => WayRound::DiluteFirst { times: *times },
        Way::FinerScale { division } => WayRound::FinerScale {
            division_g: division.grams(),
        },
        Way::LargerJar { holds_ul } => WayRound::LargerJar {
            holds_ml: millilitres(*holds_ul),
        },
        Way::LighterJar { tare } => WayRound::LighterJar {
            tare_g: tare.grams(),
        },
        Way::OutOfBottle => WayRound::OutOfBottle,
        Way::GetMore { missing } => WayRound::GetMore {
            missing_g: missing.grams(),
        },
    }
}
