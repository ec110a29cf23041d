//! Until when a mix is good, and what that rests on.

use std::str::FromStr;
use std::time::Duration;

use tarehand_protocol::Mass;

use super::content::{Content, Part};
use crate::shelf::{Date, Pack, Shelf, oldest_first};

/// How many days a mix is good for, as the studio sets it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Days(u32);

/// A text that is no number of days.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no time a mix keeps; write 1 to 36500 days, as in \"90 days\" or \"12 weeks\"")]
pub struct ParseDaysError(String);

impl Days {
    /// Makes so many days; `None` unless there are 1 to 36 500.
    #[must_use]
    pub const fn new(days: u32) -> Option<Self> {
        match days {
            1..=36_500 => Some(Self(days)),
            _ => None,
        }
    }

    /// Returns how many there are.
    #[must_use]
    pub const fn number(self) -> u32 {
        self.0
    }
}

impl FromStr for Days {
    type Err = ParseDaysError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let refused = || ParseDaysError(text.chars().take(40).collect());
        let text = text.trim();
        let digits = text.bytes().take_while(u8::is_ascii_digit).count();
        let (number, unit) = text.split_at(digits);
        let each = match unit.trim() {
            "day" | "days" => 1,
            "week" | "weeks" => 7,
            _ => return Err(refused()),
        };
        let number = number.parse::<u32>().map_err(|_| refused())?;
        number
            .checked_mul(each)
            .and_then(Self::new)
            .ok_or_else(refused)
    }
}

/// Until when a mix is good.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Keeps {
    /// So many days after it was made, as the studio sets it.
    AsSet {
        /// The last good day.
        until: Date,
        /// The setting.
        days: Days,
    },
    /// As long as the pack of something in it, which ends first.
    AsPack {
        /// The last good day.
        until: Date,
        /// The name of what is in the pack.
        of: String,
    },
    /// It hardens.
    Hardens {
        /// How long it can be worked with once its parts have met.
        within: Duration,
    },
    /// Nobody says.
    Unsaid,
}

/// Says until when a mix is good: as set, or as the pack in use of something in it where that ends first.
///
/// A mix that hardens is good for its pot life and no longer, whatever is set. `shelf` is the shelf as it was when the batch
/// was opened; the pack in use is the one opened first that still held something when it was weighed last.
#[must_use]
pub fn keeps(content: &Content, days: Option<Days>, shelf: &Shelf) -> Keeps {
    let packs = pack_ends(content.everything(), shelf);
    until(content.pot_life, packs, content.day, days)
}

/// Returns the last good day of the pack in use of each of these things, where a pack says one, with its name.
pub(super) fn pack_ends<'p>(
    parts: impl Iterator<Item = &'p Part>,
    shelf: &Shelf,
) -> impl Iterator<Item = (Date, String)> {
    parts.filter_map(|part| {
        let pack = in_use(&shelf.get(&part.key)?.packs)?;
        Some((pack.best_before?, part.name.clone()))
    })
}

/// Says until when a mix of that pot life is good, whose packs end so, and whose oldest part was made on that day.
pub(super) fn until(
    pot_life: Option<Duration>,
    packs: impl Iterator<Item = (Date, String)>,
    made: Option<Date>,
    days: Option<Days>,
) -> Keeps {
    if let Some(within) = pot_life {
        return Keeps::Hardens { within };
    }
    let set = days.and_then(|days| Some((made?.later_by(days.number())?, days)));
    match (packs.min(), set) {
        (Some((until, of)), Some((set, _))) if until < set => Keeps::AsPack { until, of },
        (_, Some((until, days))) => Keeps::AsSet { until, days },
        (Some((until, of)), None) => Keeps::AsPack { until, of },
        (None, None) => Keeps::Unsaid,
    }
}

fn in_use(packs: &[Pack]) -> Option<&Pack> {
    oldest_first(packs)
        .into_iter()
        .map(|place| &packs[place])
        .find(|pack| Mass::ZERO < pack.last_known())
}
