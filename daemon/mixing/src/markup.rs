//! Texts of people inside markup, where none of them may become markup.

/// Writes a text so that it stands as it is in XML 1.0 (section 2.4) and in HTML (WHATWG HTML, section 13.3), between tags and
/// between double quotes.
///
/// What XML has no sign for (section 2.2) is a blank.
#[must_use]
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for sign in text.chars() {
        match sign {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' | '\t' => out.push(sign),
            '\u{fffe}' | '\u{ffff}' => out.push(' '),
            sign if sign.is_control() => out.push(' '),
            sign => out.push(sign),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_becomes_markup_and_lines_stay_lines() {
        assert_eq!(
            escaped("<b title=\"x\">\n&\u{7}\u{ffff}é"),
            "&lt;b title=&quot;x&quot;&gt;\n&amp;  é"
        );
    }
}
