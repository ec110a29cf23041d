//! Names as parts of an address.

/// Writes a name so that it can stand in a path or a query (RFC 3986: all but unreserved is escaped).
pub(crate) fn segment(name: &str) -> String {
    let mut text = String::with_capacity(name.len());
    for byte in name.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' => {
                text.push(char::from(byte));
            }
            _ => text.push_str(&format!("%{byte:02X}")),
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    // The escapes of the examples in RFC 3986, section 2.
    #[test]
    fn whatever_is_not_unreserved_is_escaped() {
        assert_eq!(segment("bench-2_a.b~"), "bench-2_a.b~");
        assert_eq!(segment("two words/é?"), "two%20words%2F%C3%A9%3F");
    }
}
