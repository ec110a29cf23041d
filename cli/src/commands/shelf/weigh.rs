//! `tarehand shelf weigh`.

use clap::Args;
use tarehand_mixing::shelf::{Date, Pack, Shelf, oldest_first};
use tarehand_protocol::Mass;

use super::{FileArgs, Place, date, key, mass, now, pan};
use crate::commands::attach::ScaleArgs;
use crate::failure::{Exit, Failure};
use crate::output::Output;

const EXAMPLES: &str = "\
Examples:
  tarehand shelf weigh clear-binder                   the bottle is on the scale
  tarehand shelf weigh clear-binder --pack B7-114 --weight 698g
  tarehand shelf weigh clear-binder --pack B7-114 --opened 2026-10-02
  tarehand shelf weigh clear-binder --empty 58g --weight 698g";

/// Writes down what is left of a pack: what bottle and all weigh, less the empty bottle.
///
/// From then on only what batches pour later is taken off.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(super) struct WeighArgs {
    /// The ingredient's key
    #[arg(value_parser = key)]
    key: String,
    /// Which pack, by its lot [default: the oldest with something left]
    #[arg(long, value_name = "LOT")]
    pack: Option<String>,
    /// Which pack, by the day it was opened, where several are of one lot
    #[arg(long, value_name = "DATE", value_parser = date)]
    opened: Option<Date>,
    /// Which pack, by its number among those of the ingredient, from 1 in the order of the file
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    number: Option<u16>,
    /// What bottle and all weigh [default: as the scale says]
    #[arg(long, value_name = "MASS", value_parser = mass)]
    weight: Option<Mass>,
    /// What the empty bottle weighs [default: as the shelf says]
    #[arg(long, value_name = "MASS", value_parser = mass)]
    empty: Option<Mass>,
    #[command(flatten)]
    scale: ScaleArgs,
}

/// Weighs a pack.
pub(super) async fn run(
    args: &WeighArgs,
    file: &FileArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let measures = file.measures(place)?;
    let shelf = file.read(place)?;
    let parsed = shelf.parsed(measures, output)?;
    let (at, pack) = pack_of(&parsed, args)?;
    let empty = args.empty.or(pack.empty).ok_or_else(|| Failure::Usage {
        what: format!(
            "what the empty bottle of `{}` weighs is not known",
            args.key
        ),
        hint: "say it, as in --empty 58g, or write empty = \"58 g\" on the shelf".to_owned(),
    })?;
    let gross = match args.weight {
        Some(weight) => weight,
        None => pan::settled(&args.scale, place, output).await?,
    };
    let left = gross - empty;
    if left < Mass::ZERO {
        return Err(Failure::Refused {
            what: format!("{gross} is less than the empty bottle, {empty}"),
            hint: Some("see whether the right bottle is on the scale, and nothing else".to_owned()),
        });
    }
    if pack.holds < left {
        output.say(format_args!(
            "note: {left} is more than the pack held, {}: was the right bottle on the scale?",
            pack.holds
        ));
    }
    let mut edit = shelf.edit()?;
    edit.weighed(&args.key, at, &left.to_string(), &now())?;
    shelf.replace(&edit, measures, output)?;
    let opened = pack
        .opened
        .map_or_else(String::new, |date| format!(", opened {date}"));
    output.data(format_args!(
        "{}, lot {}{opened}: {left} left",
        args.key,
        pack.lot.as_deref().unwrap_or("–")
    ))?;
    output.suggest(file.again());
    Ok(Exit::Done)
}

/// Returns the pack that is meant, with its place in the file.
fn pack_of<'s>(shelf: &'s Shelf, args: &WeighArgs) -> Result<(usize, &'s Pack), Failure> {
    let key = &args.key;
    let item = shelf.get(key).ok_or_else(|| Failure::Refused {
        what: format!("there is no `{key}` on the shelf"),
        hint: Some(format!("add it: tarehand shelf add {key} --holds 1kg")),
    })?;
    let packs = &item.packs;
    let order = oldest_first(packs);
    let named = args.pack.is_some() || args.opened.is_some() || args.number.is_some();
    let meant = |at: usize| {
        let pack = &packs[at];
        args.pack
            .as_ref()
            .is_none_or(|lot| pack.lot.as_ref() == Some(lot))
            && args.opened.is_none_or(|opened| pack.opened == Some(opened))
            && args
                .number
                .is_none_or(|number| usize::from(number) == at + 1)
    };
    if !named {
        let in_use = order
            .iter()
            .find(|&&at| Mass::ZERO < packs[at].last_known());
        if let Some(&at) = in_use.or(order.first()) {
            return Ok((at, &packs[at]));
        }
        return Err(Failure::Refused {
            what: format!("`{key}` has no packs"),
            hint: Some(format!(
                "add one: tarehand shelf add {key} --holds 1kg --lot LOT"
            )),
        });
    }
    let found: Vec<usize> = (0..packs.len()).filter(|&at| meant(at)).collect();
    match found.as_slice() {
        [at] => Ok((*at, &packs[*at])),
        [] => Err(Failure::Refused {
            what: match (&args.pack, args.opened, args.number) {
                (Some(lot), None, None) => format!("`{key}` has no pack of lot {lot}"),
                _ => format!("`{key}` has no such pack"),
            },
            hint: Some(if packs.is_empty() {
                format!("add one: tarehand shelf add {key} --holds 1kg --lot LOT")
            } else {
                format!("its packs are {}", choices(packs, 0..packs.len()))
            }),
        }),
        several => Err(Failure::Refused {
            what: format!("{} packs of `{key}` may be meant", several.len()),
            hint: Some(format!(
                "say which, --number N or --opened DATE: {}",
                choices(packs, several.iter().copied())
            )),
        }),
    }
}

/// Names packs so that each can be told from the others.
fn choices(packs: &[Pack], places: impl IntoIterator<Item = usize>) -> String {
    let named = places.into_iter().map(|at| {
        let pack = &packs[at];
        let lot = pack.lot.as_deref().unwrap_or("–");
        let opened = pack
            .opened
            .map_or_else(|| "not opened".to_owned(), |date| format!("opened {date}"));
        format!(
            "number {} (lot {lot}, {opened}, {} left)",
            at + 1,
            pack.last_known()
        )
    });
    named.collect::<Vec<_>>().join(", ")
}
