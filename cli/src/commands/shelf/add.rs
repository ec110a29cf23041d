//! `tarehand shelf add`.

use clap::Args;
use tarehand_mixing::shelf::{Date, Price};
use tarehand_mixing::units::{Density, Quantity};
use tarehand_protocol::Mass;

use super::{FileArgs, Place, date, key, mass, now};
use crate::failure::{Exit, Failure};
use crate::output::Output;

const EXAMPLES: &str = "\
Examples:
  tarehand shelf add clear-binder --holds 1kg --lot B7-114 --opened 2026-10-02 --best-before 2027-06-01
  tarehand shelf add chalk-white --holds 500g --empty 58g --price \"24.50 EUR\" --name \"Chalk white\"";

/// Puts a full pack on the shelf; an ingredient that is new is begun.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES)]
pub(super) struct AddArgs {
    /// The ingredient's key, as recipes name it
    #[arg(value_parser = key)]
    key: String,
    /// What the pack holds
    #[arg(long, value_name = "MASS|VOLUME", value_parser = quantity)]
    holds: Quantity,
    /// The maker's lot
    #[arg(long)]
    lot: Option<String>,
    /// What the pack cost
    #[arg(long, value_name = "MONEY", value_parser = money)]
    price: Option<String>,
    /// When it was opened
    #[arg(long, value_name = "DATE", value_parser = date)]
    opened: Option<Date>,
    /// Until when the maker vouches for it
    #[arg(long, value_name = "DATE", value_parser = date)]
    best_before: Option<Date>,
    /// What the bottle itself weighs, so that weighing it tells what is left
    #[arg(long, value_name = "MASS", value_parser = mass)]
    empty: Option<Mass>,
    /// The ingredient's name for people
    #[arg(long)]
    name: Option<String>,
    /// The ingredient's density: "1.06 g/ml"
    #[arg(long)]
    density: Option<Density>,
}

fn quantity(text: &str) -> Result<Quantity, String> {
    text.parse().map_err(|error| format!("{error}"))
}

/// Reads what a pack cost: here it is a word of the command line that is wrong, in the file it would be a line nobody wrote.
fn money(text: &str) -> Result<String, String> {
    let said = match text.contains(" per ") {
        true => text.to_owned(),
        false => format!("{} per 1 g", text.trim()),
    };
    match said.parse::<Price>() {
        Ok(_) => Ok(text.trim().to_owned()),
        Err(_) => Err("money is wanted, with its currency, as in \"24.50 EUR\"".to_owned()),
    }
}

/// Puts a pack on the shelf.
pub(super) fn run(
    args: &AddArgs,
    file: &FileArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let measures = file.measures(place)?;
    let shelf = file.read_or_begin(place)?;
    let mut edit = shelf.edit()?;
    edit.ensure(&args.key)?;
    if let Some(name) = &args.name {
        edit.set(&args.key, "name", name)?;
    }
    if let Some(density) = &args.density {
        edit.set(&args.key, "density", &density.to_string())?;
    }
    let holds = args.holds.to_string();
    // It is full now: what was poured before came from another pack.
    let mut fields = vec![
        ("holds", holds.clone()),
        ("left", holds),
        ("weighed", now().to_string()),
    ];
    fields.extend(args.empty.map(|empty| ("empty", empty.to_string())));
    fields.extend(args.lot.clone().map(|lot| ("lot", lot)));
    fields.extend(args.opened.map(|date| ("opened", date.to_string())));
    fields.extend(
        args.best_before
            .map(|date| ("best_before", date.to_string())),
    );
    fields.extend(args.price.clone().map(|price| ("price", price)));
    edit.push(&args.key, "pack", &fields)?;
    shelf.replace(&edit, measures, output)?;
    output.say(format_args!(
        "{} of {} in {}",
        args.holds,
        args.key,
        shelf.path().display()
    ));
    output.suggest(file.again());
    Ok(Exit::Done)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_pack_cost_is_read_where_it_is_typed() {
        assert_eq!(money(" 24.50 EUR").as_deref(), Ok("24.50 EUR"));
        assert_eq!(money("24.50").as_deref(), Ok("24.50"));
        for wrong in ["cheap", "", "24.50 EUR per jar", "24,x EUR", "-3 EUR"] {
            assert!(money(wrong).is_err(), "{wrong}");
        }
    }
}
