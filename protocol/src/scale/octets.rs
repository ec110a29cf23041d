//! Control characters in a stream of text.

/// Returns where the first control character is that is `wanted`; `mask` tells the bits that count.
///
/// Text of a scale has hardly any control character but its ends, so eight bytes at a time are
/// looked at for any of them, and only one that is found is asked about.
#[inline]
pub(super) fn find(bytes: &[u8], mask: u8, wanted: impl Fn(u8) -> bool) -> Option<usize> {
    let mut from = 0;
    loop {
        let at = from + first(&bytes[from..], mask)?;
        if wanted(bytes[at] & mask) {
            return Some(at);
        }
        from = at + 1;
    }
}

#[inline]
fn first(bytes: &[u8], mask: u8) -> Option<usize> {
    let (words, rest) = bytes.as_chunks();
    for (at, &word) in words.iter().enumerate() {
        let controls = controls(u64::from_le_bytes(word) & each(mask));
        if controls != 0 {
            let byte = controls.trailing_zeros() / u8::BITS;
            return Some(at * size_of::<u64>() + byte as usize);
        }
    }
    let at = rest.iter().position(|byte| byte & mask < b' ')?;
    Some(bytes.len() - rest.len() + at)
}

/// Returns a word whose lowest set bit is in the first of its bytes that is below the blank.
///
/// Such a byte borrows from its own top bit; a byte above may be marked wrongly by its borrow.
const fn controls(word: u64) -> u64 {
    word.wrapping_sub(each(b' ')) & !word & each(0x80)
}

const fn each(byte: u8) -> u64 {
    u64::from_le_bytes([byte; size_of::<u64>()])
}

#[cfg(test)]
mod tests {
    use proptest::collection::vec;
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn eight_at_a_time_find_what_one_at_a_time_finds(
            bytes in vec(prop_oneof![any::<u8>(), b' '..=b'~', Just(b'\r')], 0..40),
            seven: bool,
        ) {
            let mask = if seven { 0x7f } else { 0xff };
            let wanted = |byte: u8| matches!(byte, b'\r' | 0x02);
            let expect = bytes.iter().position(|byte| wanted(byte & mask));
            prop_assert_eq!(find(&bytes, mask, wanted), expect);
        }
    }
}
