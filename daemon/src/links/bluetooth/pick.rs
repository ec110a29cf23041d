//! Which of the devices in reach is the scale.

use super::named::{Address, Named};

/// A device as the radio sees it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seen {
    /// The radio of this machine that sees it: `hci0`.
    pub adapter: String,
    /// Its address.
    pub address: Address,
    /// What it calls itself.
    pub name: Option<String>,
    /// How loud it is, in dBm; only what is in reach now has a signal.
    pub signal: Option<i16>,
    /// Whether it is connected already; it then calls out no more.
    pub connected: bool,
    /// Whether it says that it has the open Weight Scale Service.
    pub weight_service: bool,
}

impl Seen {
    /// Returns whether it is here: what the system remembers may be far away.
    #[must_use]
    pub const fn is_here(&self) -> bool {
        self.signal.is_some() || self.connected
    }
}

/// The outcome of looking for one scale.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Pick {
    /// The place of the scale in what was looked through.
    Found(usize),
    /// None is it.
    Missing,
    /// Several have the name.
    Alike(Vec<Address>),
}

/// Looks for a scale among what is here.
pub(super) fn pick(named: &Named, seen: &[Seen]) -> Pick {
    let here = || seen.iter().enumerate().filter(|(_, seen)| seen.is_here());
    let meant = |seen: &Seen| match named {
        Named::Address { address, adapter } => {
            seen.address == *address
                && adapter
                    .as_ref()
                    .is_none_or(|adapter| *adapter == seen.adapter)
        }
        Named::Name(name) => seen.name.as_ref().is_some_and(|seen| seen.trim() == name),
    };
    let mut addresses: Vec<Address> = here()
        .filter(|(_, seen)| meant(seen))
        .map(|(_, seen)| seen.address)
        .collect();
    addresses.sort_unstable();
    addresses.dedup();
    if 1 < addresses.len() {
        return Pick::Alike(addresses);
    }
    // Two radios may hear the same scale: one that has it already, else the one that hears it best.
    let best = here()
        .filter(|(_, seen)| meant(seen))
        .max_by_key(|(_, seen)| (seen.connected, seen.signal));
    best.map_or(Pick::Missing, |(place, _)| Pick::Found(place))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(adapter: &str, last: u8, name: &str, signal: Option<i16>) -> Seen {
        Seen {
            adapter: adapter.to_owned(),
            address: Address::from_bytes([0xAA, 0xBB, 0xCC, 0, 0, last]),
            name: Some(name.to_owned()),
            signal,
            connected: false,
            weight_service: false,
        }
    }

    #[track_caller]
    fn check(named: &str, all: &[Seen], expected: &Pick) {
        assert_eq!(pick(&named.parse().unwrap(), all), *expected);
    }

    #[test]
    fn what_the_system_only_remembers_is_not_here() {
        let far = [seen("hci0", 1, "pan", None)];
        check("pan", &far, &Pick::Missing);
        check("AA:BB:CC:00:00:01", &far, &Pick::Missing);
    }

    #[test]
    fn a_device_that_is_connected_already_calls_out_no_more_and_is_here() {
        let mut all = [seen("hci0", 1, "pan", None)];
        all[0].connected = true;
        check("pan", &all, &Pick::Found(0));
    }

    #[test]
    fn two_of_one_name_are_asked_about_and_the_address_settles_it() {
        let all = [
            seen("hci0", 2, "pan", Some(-40)),
            seen("hci0", 1, "pan", Some(-80)),
        ];
        let addresses = vec![all[1].address, all[0].address];
        check("pan", &all, &Pick::Alike(addresses));
        check("AA:BB:CC:00:00:01", &all, &Pick::Found(1));
    }

    #[test]
    fn of_two_radios_the_one_that_was_said_or_hears_it_better_is_taken() {
        let all = [
            seen("hci0", 1, "pan", Some(-80)),
            seen("hci1", 1, "pan", Some(-40)),
        ];
        check("pan", &all, &Pick::Found(1));
        check("hci0/AA:BB:CC:00:00:01", &all, &Pick::Found(0));
        check("hci2/AA:BB:CC:00:00:01", &all, &Pick::Missing);
    }
}
