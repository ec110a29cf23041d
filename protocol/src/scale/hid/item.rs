//! The items a report descriptor is made of (Device Class Definition for HID 1.11, section 6.2.2).

/// A short item.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Item {
    pub(super) kind: Kind,
    pub(super) tag: u8,
    /// How many bytes of data it has.
    pub(super) size: u8,
    /// Them, without a sign.
    pub(super) data: u32,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Main,
    Global,
    Local,
    Reserved,
}

impl Item {
    /// Returns the data with its sign.
    pub(super) const fn signed(self) -> i64 {
        crate::scale::binary::signed(self.data as u64, self.size as u32 * 8)
    }
}

/// Takes the item that bytes begin with, and what stands behind it; `None` when it is cut off.
///
/// Long items, which have no meaning yet, are passed over; `Some(None)` stands for one.
pub(super) fn first(bytes: &[u8]) -> Option<(Option<Item>, &[u8])> {
    const LONG: u8 = 0xfe;
    let (&prefix, rest) = bytes.split_first()?;
    if prefix == LONG {
        let (&[size, _tag], rest) = rest.split_first_chunk()?;
        return Some((None, rest.get(usize::from(size)..)?));
    }
    let size = match prefix & 0b11 {
        3 => 4,
        size => size,
    };
    let (data, rest) = rest.split_at_checked(usize::from(size))?;
    let data = data
        .iter()
        .rev()
        .fold(0, |all: u32, &byte| all << 8 | u32::from(byte));
    let kind = match prefix >> 2 & 0b11 {
        0 => Kind::Main,
        1 => Kind::Global,
        2 => Kind::Local,
        _ => Kind::Reserved,
    };
    let item = Item {
        kind,
        tag: prefix >> 4,
        size,
        data,
    };
    Some((Some(item), rest))
}
