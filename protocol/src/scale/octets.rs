//! Text, eight bytes at a time.

/// Returns where the first control character is that is `wanted`; `mask` tells the bits that count.
///
/// Text of a scale has hardly any control character but its ends, so eight bytes at a time are
/// looked at for any of them, and only one that is found is asked about.
#[inline]
pub(super) fn find_control(bytes: &[u8], mask: u8, wanted: impl Fn(u8) -> bool) -> Option<usize> {
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
    let mut rest = bytes;
    while let Some((&word, behind)) = rest.split_first_chunk() {
        let controls = controls(u64::from_le_bytes(word) & each(mask));
        if controls != 0 {
            let byte = controls.trailing_zeros() / u8::BITS;
            return Some(bytes.len() - rest.len() + byte as usize);
        }
        rest = behind;
    }
    let at = rest.iter().position(|byte| byte & mask < b' ')?;
    Some(bytes.len() - rest.len() + at)
}

/// Returns how many blanks `text` begins with, as far as whole words tell.
#[inline]
pub(super) fn blanks(text: &[u8]) -> usize {
    let mut rest = text;
    while let Some((&word, behind)) = rest.split_first_chunk() {
        let others = u64::from_le_bytes(word) ^ each(b' ');
        if others != 0 {
            let blanks = others.trailing_zeros() / u8::BITS;
            return text.len() - rest.len() + blanks as usize;
        }
        rest = behind;
    }
    text.len() - rest.len()
}

/// Returns whether nothing but printable characters and tabs is there.
#[inline]
pub(super) fn only_text(bytes: &[u8]) -> bool {
    let (words, rest) = bytes.as_chunks();
    let text = |bytes: &[u8]| bytes.iter().all(|byte| matches!(byte, b' '..=b'~' | b'\t'));
    words
        .iter()
        .all(|word| printable(u64::from_le_bytes(*word)) || text(word))
        && text(rest)
}

/// Returns whether all bytes of a word are printable.
///
/// Of the bytes that are not, the lowest sets its top bit here; no other can while it is missing.
const fn printable(word: u64) -> bool {
    (word.wrapping_sub(each(b' ')) | word | word.wrapping_add(each(0x80 - b'\x7f'))) & each(0x80)
        == 0
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
            prop_assert_eq!(find_control(&bytes, mask, wanted), expect);
        }

        #[test]
        fn text_is_text_in_any_length(
            mut bytes in vec(prop_oneof![b' '..=b'~', Just(b'\t')], 0..40),
            other: Option<(prop::sample::Index, u8)>,
        ) {
            if let Some((at, other)) = other && !bytes.is_empty() {
                let at = at.index(bytes.len());
                bytes[at] = other;
            }
            let expect = bytes.iter().all(|byte| matches!(byte, b' '..=b'~' | b'\t'));
            prop_assert_eq!(only_text(&bytes), expect);
        }

        #[test]
        fn blanks_are_counted_in_any_length(count in 0_usize..40, behind in "[a-z]{0,9}") {
            let text = " ".repeat(count) + &behind;
            let blanks = blanks(text.as_bytes());
            prop_assert!(blanks <= count);
            prop_assert!(blanks == count || text.len() - blanks < 8);
        }
    }
}
