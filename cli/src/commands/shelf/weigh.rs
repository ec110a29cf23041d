//! `tarehand shelf weigh`.

use clap::Args;
use tarehand_mixing::shelf::{Pack, Shelf, oldest_first};
use tarehand_protocol::Mass;

use super::{FileArgs, Place, key, mass, now, pan};
use crate::commands::attach::ScaleArgs;
use crate::failure::{Exit, Failure};
use crate::output::Output;

const EXAMPLES: &str = "\
Examples:
  tarehand shelf weigh clear-binder                   the bottle is on the scale
  tarehand shelf weigh clear-binder --pack B7-114 --weight 698g
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
    output.data(format_args!(
        "{}, lot {}: {left} left",
        args.key,
        pack.lot.as_deref().unwrap_or("–")
    ))?;
    output.suggest("tarehand shelf");
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
    let found = match &args.pack {
        Some(lot) => order
            .iter()
            .find(|&&at| packs[at].lot.as_deref() == Some(lot.as_str())),
        None => order
            .iter()
            .find(|&&at| Mass::ZERO < packs[at].last_known())
            .or(order.first()),
    };
    match found {
        Some(&at) => Ok((at, &packs[at])),
        None => {
            let lots: Vec<&str> = packs
                .iter()
                .filter_map(|pack| pack.lot.as_deref())
                .collect();
            Err(Failure::Refused {
                what: match &args.pack {
                    Some(lot) => format!("`{key}` has no pack of lot {lot}"),
                    None => format!("`{key}` has no packs"),
                },
                hint: Some(match lots.as_slice() {
                    [] => format!("add one: tarehand shelf add {key} --holds 1kg --lot LOT"),
                    lots => format!("its lots are {}", lots.join(", ")),
                }),
            })
        }
    }
}
