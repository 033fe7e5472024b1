//! Text inside markup, HTML, SVG and XML alike.

/// Text that may stand in markup: characters with a meaning there replaced, and those that XML 1.0 (2.2) does not know made
/// spaces. Only tabs and ends of lines stay of the control characters.
pub fn escape(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '&' => escaped.push_str("&amp;"),
            '"' => escaped.push_str("&quot;"),
            '\t' | '\n' => escaped.push(character),
            '\u{fffe}' | '\u{ffff}' => escaped.push(' '),
            other if other.is_control() => escaped.push(' '),
            other => escaped.push(other),
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::escape;

    /// Extensible Markup Language 1.0, fifth edition, 2.2 "Characters" and 2.4.
    #[test]
    fn only_characters_of_xml_stay() {
        assert_eq!(escape("<b a=\"1\">&\u{1}\u{b}\u{ffff}"), "&lt;b a=&quot;1&quot;&gt;&amp;   ");
        assert_eq!(escape("a\n\tb\r"), "a\n\tb ");
    }
}
