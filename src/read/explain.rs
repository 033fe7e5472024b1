//! A YAML parser's complaints in a keeper's words, at the place that has to be mended: a parser complains where it gives
//! up, which may be lines below the mistake.

use crate::diagnostic::Kind;

/// A mistake in the notation: line from 1 within the text, column from 0.
#[derive(Debug, PartialEq)]
pub(super) struct Explained {
    pub kind: Kind,
    pub line: usize,
    pub column: usize,
    pub length: usize,
}

const OPEN_BRACKET: &str = "a bracket or brace is opened and never closed, or a comma is missing in between";
const OPEN_QUOTE: &str = "a quotation mark is opened and never closed";
const COLON_IN_TEXT: &str = "a `: ` inside a text: put quotes around the whole text, or check the indentation";
const NO_COLON: &str = "a `:` is missing after a key, or the line is indented too little";
const QUOTE_IT: &str = "means something of its own in YAML: put quotes around the whole text";

/// What a word processor makes of a quotation mark.
const CURLY: [char; 5] = ['“', '”', '„', '‘', '’'];

const STRAIGHTEN: &str = "a curly quotation mark is a letter like any other here: write a straight one, `\"` or `'`";

/// Whether a value is wrapped in marks that only look like quotes.
pub fn is_curly_quoted(typed: &str) -> bool {
    typed.trim_start().starts_with(CURLY)
}

/// The same explanation; where curly quotes stand in the line, they are the likelier reason.
pub(super) fn explain(
    info: &str,
    line: usize,
    column: usize,
    lines: &[&str],
    open: Option<(usize, usize)>,
) -> Explained {
    let explained = explain_as_typed(info, line, column, lines, open);
    let text = lines.get(explained.line.saturating_sub(1)).copied().unwrap_or_default();
    // An apostrophe inside a word is none.
    let is_quote = |at: usize, c: char| {
        CURLY.contains(&c) && !text.chars().nth(at.wrapping_sub(1)).is_some_and(char::is_alphabetic)
    };
    match text.chars().enumerate().find(|(at, c)| is_quote(*at, *c)) {
        Some((column, _)) if matches!(explained.kind, Kind::BadYaml { .. }) => {
            Explained { kind: Kind::BadYaml { message: STRAIGHTEN.into() }, line: explained.line, column, length: 1 }
        }
        _ => explained,
    }
}

/// Explains the complaint `info` of the parser, made at `line` (from 1) and `column` (from 0). `open` is the place of
/// the innermost bracket or brace that was open then.
fn explain_as_typed(info: &str, line: usize, column: usize, lines: &[&str], open: Option<(usize, usize)>) -> Explained {
    let bad = |message: String, line: usize, column: usize, length: usize| Explained {
        kind: Kind::BadYaml { message },
        line,
        column,
        length,
    };
    // The parser may give up behind the last line.
    let line = line.clamp(1, lines.len().max(1));
    let text = lines.get(line - 1).copied().unwrap_or_default();
    let column = column.min(text.chars().count().saturating_sub(1));
    if let Some((line, column)) = tab(info, line, lines) {
        return Explained { kind: Kind::TabIndentation, line, column, length: 1 };
    }
    let to_the_end = text.trim_end().chars().count().saturating_sub(column).max(1);
    let character = text.chars().nth(column).unwrap_or(' ');
    let begins_the_line = text.chars().take(column).all(char::is_whitespace);
    let has = |part: &str| info.contains(part);

    if has("recursion limit") {
        bad("nested far beyond what a record needs".into(), line, column, 1)
    } else if has("mapping values are not allowed") || has("illegal placement of ':'") {
        match open {
            Some((line, column)) => bad(OPEN_BRACKET.into(), line, column, 1),
            None => stray_colon(line, column, lines),
        }
    } else if has("did not find expected comment or line break") && matches!(character, '>' | '|') {
        let rest = text.chars().skip(column + 1).collect::<String>();
        let number = character == '>' && rest.trim_start().starts_with(|c: char| c.is_ascii_digit());
        let message = if number {
            "`>` means something of its own in YAML: write `above`, or put quotes around it".into()
        } else {
            format!("a text that begins with `{character}` {QUOTE_IT}")
        };
        bad(message, line, column, to_the_end)
    } else if has("block sequence entries are not allowed") && begins_the_line {
        bad("a `-` begins a list here, where no list can stand".into(), line, column, to_the_end)
    } else if has("misplaced bracket") {
        let message = format!("this `{character}` closes nothing; a text that holds brackets needs quotes around it");
        bad(message, line, column, 1)
    } else if has("unexpected character")
        || has("unknown anchor")
        || has("anchor or alias")
        || has("parsing a tag")
        || has("scanning a tag")
        || has("block sequence entries are not allowed")
        || has("mapping keys are not allowed")
        || has("did not find expected node content")
    {
        match open {
            Some((line, column)) if has("node content") => bad(OPEN_BRACKET.into(), line, column, 1),
            _ => bad(format!("a text that begins with `{character}` {QUOTE_IT}"), line, column, to_the_end),
        }
    } else if has("invalid trailing content") {
        let message = "the text goes on behind its closing quotation mark; inside single quotes write `''` for `'`";
        bad(message.into(), line, column, to_the_end)
    } else if has("escape") || has("hexadecimal") {
        let message = "a `\\` inside double quotes begins a code: write `\\\\`, or use single quotes";
        let place = text.chars().skip(column).position(|c| c == '\\').map_or(column, |place| column + place);
        bad(message.into(), line, place, 1)
    } else if has("quoted scalar") {
        bad(OPEN_QUOTE.into(), line, column, 1)
    } else if has("comment intercepting") {
        let message = "a `#` cuts this text in the middle: put quotes around the whole text";
        bad(message.into(), line, column, to_the_end)
    } else if has("flow") || has("',' or") {
        let (line, column) = open.unwrap_or((line, column));
        bad(OPEN_BRACKET.into(), line, column, 1)
    } else if has("did not find expected key") {
        let start = indentation(text);
        let message = if text.trim_start().starts_with("- ") {
            "a `-` begins a list, but stands among keys"
        } else {
            "this line is indented less than its neighbours above and more than what they belong to"
        };
        bad(message.into(), line, start, text.trim().chars().count().max(1))
    } else if has("expected '-'") {
        bad("this line stands in a list but does not begin with `- `".into(), line, column, to_the_end)
    } else if has("simple key") || has("expected ':'") || has("could not find expected") {
        bad(NO_COLON.into(), line, indentation(text), text.trim().chars().count().max(1))
    } else if has("unprintable") || has("byte order mark") {
        bad("a character stands here that is no text".into(), line, column, 1)
    } else {
        bad(info.to_string(), line, column, 1)
    }
}

/// Columns of white space before the text of a line.
fn indentation(text: &str) -> usize {
    text.chars().take_while(|c| c.is_whitespace()).count()
}

/// The tab in the indentation that confused the parser: on the line where it gave up or the one before; where the
/// parser names a tab itself, on the next such line.
fn tab(info: &str, line: usize, lines: &[&str]) -> Option<(usize, usize)> {
    let tab_of = |number: usize| {
        let text = lines.get(number - 1)?;
        let place = text.chars().take_while(|c| c.is_whitespace()).position(|c| c == '\t')?;
        (!text.trim().is_empty()).then_some((number, place))
    };
    let before = (1..line).rev().find(|number| !lines[number - 1].trim().is_empty());
    let near = tab_of(line).or_else(|| tab_of(before?));
    if info.contains("tab") { near.or_else(|| (line..=lines.len()).find_map(tab_of)) } else { near }
}

/// A `: ` where no key can stand. Either it is inside a text, or the line above lacks its colon or the space behind
/// it, so that YAML took both lines for one text, or this line is indented too far.
fn stray_colon(line: usize, column: usize, lines: &[&str]) -> Explained {
    let bad = |message: &str, line: usize, column: usize, length: usize| Explained {
        kind: Kind::BadYaml { message: message.into() },
        line,
        column,
        length,
    };
    let text = lines.get(line - 1).copied().unwrap_or_default();
    let before: String = text.chars().take(column).collect();
    let earlier_key = before.contains(": ") || before.contains(":\t");
    let above = (1..line).rev().find(|number| {
        let text = lines[number - 1].trim();
        !text.is_empty() && !text.starts_with('#')
    });
    let (Some(above), false) = (above, earlier_key) else {
        return bad(COLON_IN_TEXT, line, column, 1);
    };
    let other = lines[above - 1].trim_end();
    let start = indentation(other);
    let bare = other.trim_start().trim_start_matches("- ");
    let length = other.trim_start().chars().count();
    if other.ends_with(':') {
        bad(COLON_IN_TEXT, line, column, 1)
    } else if !bare.contains(": ") {
        match colon_without_space(other) {
            Some(place) => bad("a space is missing behind this `:`", above, place, 1),
            None => bad("a `:` is missing behind the key in this line", above, start, length),
        }
    } else {
        let start = indentation(text);
        let message = "this line is indented deeper than the key above, which has its value already";
        bad(message, line, start, text.trim().chars().count().max(1))
    }
}

/// The first colon of a line that follows a word and touches what comes behind it. Times have such colons too.
fn colon_without_space(text: &str) -> Option<usize> {
    let characters: Vec<char> = text.chars().collect();
    characters
        .windows(3)
        .position(|three| {
            three[1] == ':' && !three[0].is_ascii_digit() && !three[0].is_whitespace() && !three[2].is_whitespace()
        })
        .map(|place| place + 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::parse_yaml;

    /// Message, line, column (from 1) of the first mistake.
    fn told(text: &str) -> (String, u32, u32) {
        let mut problems = Vec::new();
        parse_yaml(&"log/2025.yaml".into(), text, 1, &mut problems);
        let problem = problems.first().unwrap_or_else(|| panic!("{text:?} is read without complaint"));
        let message = match &problem.kind {
            Kind::BadYaml { message } => message.clone(),
            Kind::TabIndentation => "tab".into(),
            other => panic!("{text:?}: {other:?}"),
        };
        (message, problem.place.line, problem.place.column)
    }

    #[test]
    fn complaints_point_at_what_has_to_be_mended() {
        for (text, part, line, column) in [
            ("a:\n\tb: 1\n", "tab", 2, 1),
            ("a:\n  b: 1\n\tc: 2\n", "tab", 3, 1),
            ("a:\n  - x\n\t- y\n", "tab", 3, 1),
            ("a:\n  b: 1\n  \tc: 2\n", "tab", 3, 3),
            ("note: one\n\ttwo\nb: 3\n", "tab", 2, 1),
            ("nitrate: > 50\n", "`above`", 1, 10),
            ("note: | see\n", "begins with `|`", 1, 7),
            ("note: *important* thing\n", "begins with `*`", 1, 7),
            ("note: & more\n", "begins with `&`", 1, 7),
            ("note: @home\n", "begins with `@`", 1, 7),
            ("note: %5\n", "begins with `%`", 1, 7),
            ("note: `x`\n", "begins with ```", 1, 7),
            ("note: - 3\n", "begins with `-`", 1, 7),
            ("a: ,b\n", "begins with `,`", 1, 4),
            ("a: }\n", "closes nothing", 1, 4),
            ("a: [1, 2]]\n", "closes nothing", 1, 10),
            ("note: \"text\" and more\n", "goes on behind its closing quotation mark", 1, 14),
            ("a: 'it's'\n", "goes on behind its closing quotation mark", 1, 8),
            ("a: \"x\nb: 2\n", OPEN_QUOTE, 1, 4),
            ("a: \"b\\q\"\n", "begins a code", 1, 6),
            ("temperature:25\nb: 2\n", "a space is missing behind this `:`", 1, 12),
            ("a:\n  top-off 3 L\n  b: 1\n", "a `:` is missing behind the key", 2, 3),
            ("2025-03-02 21:10\n  note: x\n", "a `:` is missing behind the key", 1, 1),
            ("a:\n  b: 1\n  top-off 3 L\n", NO_COLON, 3, 3),
            ("a:\n  b: 1\n   c: 2\n", "indented deeper", 3, 4),
            ("a:\n  b: 1\n c: 2\n", "indented less", 3, 2),
            ("a: 1\n- b\n", "stands among keys", 2, 1),
            ("- b\na: 1\n", "does not begin with `- `", 2, 1),
            ("a: {b: 1\nc: 2\n", OPEN_BRACKET, 1, 4),
            ("done: [glass, floss\n", OPEN_BRACKET, 1, 7),
            ("a: [x\n b: 1\n", OPEN_BRACKET, 1, 4),
            ("note: Leather closed: shedding?\n", COLON_IN_TEXT, 1, 21),
            ("note: moved\n  to #3 the left\n  and more\n", "cuts this text in the middle", 2, 6),
            ("a: x\u{0}y\n", "no text", 1, 5),
        ] {
            let (message, at_line, at_column) = told(text);
            assert!(message.contains(part), "{text:?}: {message}");
            assert_eq!((at_line, at_column), (line, column), "{text:?}: {message}");
        }
    }

    /// A tab inside a text block is part of the text: a mistake further down is not its doing.
    #[test]
    fn a_tab_in_a_text_block_is_not_blamed() {
        let (message, line, _) = told("a: |\n  \tx\nb: 1\nc: d: e\n");
        assert_eq!((message.as_str(), line), (COLON_IN_TEXT, 4));
    }
}
