//! What keepers and their keyboards put into YAML without meaning it: odd spaces, control characters, comments that are
//! none.

use std::borrow::Cow;

/// No-break spaces where YAML wants plain ones: in the indentation and behind the colon of a line's first key. Keyboards
/// put them there unseen. Every character keeps its place.
pub fn plain_spaces(text: &str) -> Cow<'_, str> {
    let odd = |c: char| matches!(c, '\u{a0}' | '\u{202f}' | '\u{2007}');
    if !text.contains(odd) {
        return Cow::Borrowed(text);
    }
    let mut mended = String::with_capacity(text.len());
    for line in text.split_inclusive('\n') {
        let mut in_key = true;
        let mut behind_colon = false;
        let mut indentation = true;
        for character in line.chars() {
            mended.push(if odd(character) && (indentation || behind_colon) { ' ' } else { character });
            indentation &= odd(character) || character == ' ' || character == '-';
            behind_colon = in_key && character == ':' || behind_colon && (odd(character) || character == ' ');
            in_key &= character.is_alphanumeric() || odd(character) || matches!(character, ' ' | '-' | '_');
        }
    }
    Cow::Owned(mended)
}

/// Line (from 1) and column (from 0) of the first character that is neither text nor white space.
pub fn control_character(lines: &[&str]) -> Option<(usize, usize)> {
    lines.iter().enumerate().find_map(|(number, text)| {
        let place = text.chars().position(|c| c.is_control() && !matches!(c, '\t' | '\r' | '\u{85}'))?;
        Some((number + 1, place))
    })
}

/// Whether the comment in `rest`, what follows the plain `text` on its line, looks like a part of the text: it begins
/// with a word right behind the `#` (`rock #3`), or a single space parts it from prose. A quantity with a remark behind
/// it, or a remark set off by more spaces, is what comments are for. Gives the columns to skip and what was cut off.
pub fn cut_by_comment(text: &str, rest: &str) -> Option<(u32, String)> {
    let comment = rest.trim_start();
    let after = comment.strip_prefix('#')?;
    let gap = rest.chars().count() - comment.chars().count();
    let begins_a_word = after.starts_with(char::is_alphanumeric);
    let words = text.split_whitespace().filter(|word| word.starts_with(char::is_alphabetic)).count();
    let prose =
        gap == 1 && words >= 2 && text.starts_with(char::is_alphabetic) && after.contains(char::is_alphanumeric);
    (gap > 0 && (begins_a_word || prose)).then(|| (gap as u32, comment.trim_end().to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn which_comments_look_like_cut_text() {
        for (text, rest, cut) in [
            ("moved rock", " #3 to the left", Some("#3 to the left")),
            ("12", " #3", Some("#3")),
            ("Leather closed", " # shedding?", Some("# shedding?")),
            ("60 %", " # measured", None),
            ("75 L, counted at fill", " # or: stated", None),
            ("My tank", "   # the name on the front page", None),
            ("always", " # for now", None),
            ("Leather closed", " #", None),
            ("Leather closed", " ########", None),
            ("rock#3", "", None),
        ] {
            assert_eq!(cut_by_comment(text, rest).map(|(_, cut)| cut).as_deref(), cut, "{text}{rest}");
        }
    }
}
