//! What was done with a finished jar that was opened again.

use tarehand_protocol::api::{AgainWord, OpenedAgain};

use super::{shown, signed};

/// Says what was done with which mix: `added flow-drops to Slip, grey`.
pub(crate) fn done_again(again: &OpenedAgain) -> String {
    let recipe = shown(&again.recipe);
    let what = again.what.join(", ");
    let what = shown(&what);
    match (again.how, what.is_empty()) {
        (AgainWord::Added, _) => format!("added {what} to {recipe}"),
        (AgainWord::Joined, _) => format!("poured {what} into {recipe}"),
        (AgainWord::TakenOut, true) => format!("took from {recipe}"),
        (AgainWord::TakenOut, false) => format!("took from {recipe} into {what}"),
    }
}

/// Says how much more is in the jar by it: `+4.0 g`, `-16.0 g`.
pub(crate) fn by_how_much(again: &OpenedAgain, decimals: u8) -> String {
    format!("{} g", signed(again.mass_g, decimals))
}

/// Says which jar it was: `into K7F2A`, `M3T8C into K7F2A`.
pub(crate) fn which_jar(again: &OpenedAgain) -> String {
    let way = match again.how {
        AgainWord::Added | AgainWord::Joined => "into",
        AgainWord::TakenOut => "out of",
    };
    let jar = shown(&again.jar);
    match &again.from {
        Some(from) => format!("{} {way} {jar}", shown(from)),
        None => format!("{way} {jar}"),
    }
}

/// Says all of it in a line.
pub(crate) fn opened_again(again: &OpenedAgain) -> String {
    let own = OpenedAgain {
        // What was poured in is named with its mark before.
        from: None,
        ..again.clone()
    };
    format!(
        "{}: {} {}",
        done_again(again),
        by_how_much(again, 2),
        which_jar(&own)
    )
}
