//! Walking through a report descriptor.

use super::draft::{Draft, Purpose, Way, weighing};
use super::field::Field;
use super::item::{self, Item, Kind};

/// Longest descriptor that is looked at; the kernel takes no longer one either.
const MOST_BYTES: usize = 4_096;
/// Most bits of a report.
const MOST_BITS: u32 = 8 * 4_096;
/// Deepest nesting of collections and of saved states.
const DEEPEST: usize = 32;
/// Most ranges of usages before a field, and most of its values that are looked at.
const MOST_USAGES: usize = 64;
/// Most reports.
const MOST_REPORTS: usize = 64;

const KEYBOARD: u32 = 0x0001_0006;
const KEYPAD: u32 = 0x0001_0007;

/// Why a device gives no weight by its reports.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotAScale {
    /// A scale that types what it weighs, or simply a keyboard.
    #[error("this device is a keyboard: it types")]
    Keyboard,
    /// A device for something else.
    #[error("this device does not describe itself as a scale")]
    Other,
    /// A scale that does not say where its weight is.
    #[error("this scale's report descriptor names no weight")]
    NoWeight,
    /// A descriptor that breaks its own rules.
    #[error("the report descriptor is broken at byte {at}")]
    Broken {
        /// The first byte of the item that cannot be.
        at: usize,
    },
}

impl NotAScale {
    /// Returns what the person can do about it.
    #[must_use]
    pub const fn hint(self) -> &'static str {
        match self {
            Self::Keyboard => {
                "set the scale to its USB scale mode or to a serial port; its manual may call typing \"keyboard\""
            }
            Self::Other => "choose another device",
            Self::NoWeight => "teach this scale",
            Self::Broken { .. } => {
                "unplug the scale, plug it in again, and teach it if that does not help"
            }
        }
    }
}

/// Items that hold until they are changed.
#[derive(Clone, Copy, Debug, Default)]
struct Globals {
    page: u32,
    least: i64,
    tens: i32,
    size: u32,
    count: u32,
    id: Option<u8>,
}

/// Items that hold for the next main item.
#[derive(Clone, Debug, Default)]
struct Locals {
    usages: Vec<(u32, u32)>,
    from: Option<u32>,
    to: Option<u32>,
    set: Set,
}

/// Usages of which one field may have any; the first one counts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Set {
    #[default]
    Closed,
    Opened,
    HasOne,
}

/// All that a descriptor says.
#[derive(Debug, Default)]
pub(super) struct Walk {
    pub(super) drafts: Vec<Draft>,
    globals: Globals,
    saved: Vec<Globals>,
    locals: Locals,
    collections: Vec<u32>,
    pub(super) is_scale: bool,
    pub(super) is_keyboard: bool,
}

/// An item that cannot be.
struct Wrong;

impl Walk {
    pub(super) fn through(descriptor: &[u8]) -> Result<Self, NotAScale> {
        let mut walk = Self::default();
        if MOST_BYTES < descriptor.len() {
            return Err(NotAScale::Broken { at: MOST_BYTES });
        }
        let mut rest = descriptor;
        while !rest.is_empty() {
            let broken = NotAScale::Broken {
                at: descriptor.len() - rest.len(),
            };
            let (item, behind) = item::first(rest).ok_or(broken)?;
            if let Some(item) = item {
                walk.take(item).map_err(|Wrong| broken)?;
            }
            rest = behind;
        }
        Ok(walk)
    }

    fn take(&mut self, item: Item) -> Result<(), Wrong> {
        match item.kind {
            Kind::Main => {
                let outcome = self.main(item);
                self.locals = Locals::default();
                outcome
            }
            Kind::Global => self.global(item),
            Kind::Local => self.local(item),
            Kind::Reserved => Ok(()),
        }
    }

    fn global(&mut self, item: Item) -> Result<(), Wrong> {
        match item.tag {
            0x0 => self.globals.page = item.data,
            0x1 => self.globals.least = item.signed(),
            0x5 => {
                // Four bits with a sign in many descriptors, a whole byte in some.
                let tens = match item.data {
                    8..=15 => i64::from(item.data) - 16,
                    _ => item.signed(),
                };
                self.globals.tens = i32::try_from(tens).map_err(|_| Wrong)?;
            }
            0x7 => self.globals.size = item.data,
            0x8 => match u8::try_from(item.data) {
                Ok(id @ 1..) => self.globals.id = Some(id),
                Ok(0) | Err(_) => return Err(Wrong),
            },
            0x9 => self.globals.count = item.data,
            0xa if self.saved.len() < DEEPEST => self.saved.push(self.globals),
            0xa => return Err(Wrong),
            0xb => self.globals = self.saved.pop().ok_or(Wrong)?,
            _ => {}
        }
        Ok(())
    }

    fn local(&mut self, item: Item) -> Result<(), Wrong> {
        // Four bytes hold the page too; for fewer it is the one at the main item.
        let usage = match item.size {
            4 => item.data,
            _ => item.data & 0xffff,
        };
        let locals = &mut self.locals;
        match item.tag {
            0x0 if locals.set == Set::HasOne => {}
            0x0 => {
                locals.usages.push((usage, usage));
                if locals.set == Set::Opened {
                    locals.set = Set::HasOne;
                }
            }
            0x1 => locals.from = Some(usage),
            0x2 => locals.to = Some(usage),
            // A delimiter opens and closes a set.
            0xa if item.data == 1 => locals.set = Set::Opened,
            0xa => locals.set = Set::Closed,
            _ => {}
        }
        if let (Some(from), Some(to)) = (locals.from, locals.to) {
            if to < from {
                return Err(Wrong);
            }
            locals.usages.push((from, to));
            (locals.from, locals.to) = (None, None);
        }
        match locals.usages.len() <= MOST_USAGES {
            true => Ok(()),
            false => Err(Wrong),
        }
    }

    fn main(&mut self, item: Item) -> Result<(), Wrong> {
        match item.tag {
            0x8 => self.field(Way::Input, item),
            0x9 => self.field(Way::Output, item),
            0xb => self.field(Way::Feature, item),
            0xa if self.collections.len() < DEEPEST => {
                let usage = self.locals.usages.first().map_or(0, |range| range.0);
                let usage = self.paged(usage);
                self.collections.push(usage);
                if item.data == 1 {
                    self.is_scale |= weighing(usage).is_some();
                    self.is_keyboard |= matches!(usage, KEYBOARD | KEYPAD);
                }
                Ok(())
            }
            0xa => Err(Wrong),
            0xc => self.collections.pop().map(|_| ()).ok_or(Wrong),
            _ => Ok(()),
        }
    }

    fn paged(&self, usage: u32) -> u32 {
        match usage >> 16 {
            0 => self.globals.page << 16 | usage,
            _ => usage,
        }
    }

    fn field(&mut self, way: Way, item: Item) -> Result<(), Wrong> {
        let Globals {
            least,
            tens,
            size,
            count,
            id,
            ..
        } = self.globals;
        let constant = item.data & 0b01 != 0;
        let variable = item.data & 0b10 != 0;
        let bits = size
            .checked_mul(count)
            .filter(|&bits| bits <= MOST_BITS)
            .ok_or(Wrong)?;
        let mut usages: Vec<(u32, u32)> = self
            .locals
            .usages
            .iter()
            .map(|&(from, to)| (self.paged(from), self.paged(to)))
            .collect();
        // A field without a usage says what its collection says.
        if usages.is_empty()
            && let Some(&usage) = self.collections.last()
        {
            usages.push((usage, usage));
        }
        let purpose = Purpose::of(&self.collections);
        let draft = self.draft(way, id)?;
        let from = draft.bits;
        draft.bits = from
            .checked_add(bits)
            .filter(|&bits| bits <= MOST_BITS)
            .ok_or(Wrong)?;
        if constant {
            return Ok(());
        }
        if draft.weight.is_none() {
            draft.purpose = purpose;
        }
        if !variable {
            if let Some(field) = Field::new(from, size, least) {
                draft.choice(&usages, field);
            }
            return Ok(());
        }
        let each = usages.iter().flat_map(|&(first, last)| first..=last);
        let last = usages.last().map(|range| range.1);
        let each = each.map(Some).chain(std::iter::repeat(last));
        for (at, usage) in (0..count).zip(each).take(MOST_USAGES) {
            let field = Field::new(from + at * size, size, least);
            if let (Some(field), Some(usage)) = (field, usage) {
                draft.variable(usage, field, tens);
            }
        }
        Ok(())
    }

    fn draft(&mut self, way: Way, id: Option<u8>) -> Result<&mut Draft, Wrong> {
        let known = self
            .drafts
            .iter()
            .position(|draft| draft.way == way && draft.id == id);
        let at = match known {
            Some(at) => at,
            None if self.drafts.len() < MOST_REPORTS => {
                self.drafts.push(Draft::new(way, id));
                self.drafts.len() - 1
            }
            None => return Err(Wrong),
        };
        self.drafts.get_mut(at).ok_or(Wrong)
    }
}
