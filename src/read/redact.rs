//! Source files as the journal may show them: no comments, nothing private.

use super::node::{Content, Node, key_name};

/// Keys whose values never reach the journal, wherever they stand.
const PRIVATE: &[&str] = &["private", "contacts", "household", "away", "sitter"];

/// Whether what stands under a key is never published. The key is a [`key_name`].
pub fn is_private(key: &str) -> bool {
    PRIVATE.contains(&key)
}

/// The lines (from 1, both ends included) that hold private values.
pub fn private_lines(node: &Node) -> Vec<(u32, u32)> {
    let mut found = Vec::new();
    gather(node, &mut found);
    found
}

fn gather(node: &Node, found: &mut Vec<(u32, u32)>) {
    match &node.content {
        Content::Map(pairs) => {
            for (key, value) in pairs {
                if is_private(&key_name(key)) {
                    found.push((key.place.line, last_line(value).max(key.place.line)));
                } else {
                    gather(key, found);
                    gather(value, found);
                }
            }
        }
        Content::List(items) => items.iter().for_each(|item| gather(item, found)),
        _ => {}
    }
}

/// A block scalar or mapping ends where the next line begins: the line of its last character.
fn last_line(node: &Node) -> u32 {
    match &node.content {
        Content::Map(pairs) => pairs
            .iter()
            .map(|(key, value)| last_line(value).max(last_line(key)))
            .max()
            .unwrap_or(node.place.line)
            .max(flow_end(node)),
        Content::List(items) => items.iter().map(last_line).max().unwrap_or(node.place.line).max(flow_end(node)),
        _ => {
            if node.end.1 <= 1 {
                node.end.0.saturating_sub(1).max(node.place.line)
            } else {
                node.end.0.max(node.place.line)
            }
        }
    }
}

/// A flow collection ends at its bracket, which may stand on a line of its own.
fn flow_end(node: &Node) -> u32 {
    if node.end.1 > 1 && node.end.0 >= node.place.line {
        node.end.0.min(deepest_end(node) + 1)
    } else {
        node.place.line
    }
}

fn deepest_end(node: &Node) -> u32 {
    match &node.content {
        Content::Map(pairs) => pairs.iter().map(|(_, value)| deepest_end(value)).max().unwrap_or(node.place.line),
        Content::List(items) => items.iter().map(deepest_end).max().unwrap_or(node.place.line),
        _ => node.end.0,
    }
}

/// The lines of a source text, `None` where they may not be shown. Comments are left out: they were never part of what
/// the record says, and may say anything.
pub fn redacted_lines(text: &str, root: &Node, first_line: u32, hidden: &[(u32, u32)]) -> Vec<Option<String>> {
    let mut scalars = Vec::new();
    gather_scalars(root, &mut scalars);
    text.lines()
        .enumerate()
        .map(|(place, line)| {
            let number = place as u32 + 1;
            if hidden.iter().any(|(from, to)| (*from..=*to).contains(&number)) {
                return None;
            }
            if number < first_line {
                return Some(line.to_string());
            }
            Some(without_comment(line, number, &scalars))
        })
        .collect()
}

type Span = ((u32, u32), (u32, u32));

fn gather_scalars(node: &Node, found: &mut Vec<Span>) {
    match &node.content {
        Content::Scalar { .. } => found.push(((node.place.line, node.place.column), node.end)),
        Content::Map(pairs) => pairs.iter().for_each(|(key, value)| {
            gather_scalars(key, found);
            gather_scalars(value, found);
        }),
        Content::List(items) => items.iter().for_each(|item| gather_scalars(item, found)),
        Content::Null => {}
    }
}

fn without_comment(line: &str, number: u32, scalars: &[Span]) -> String {
    let mut before = ' ';
    for (column, character) in line.chars().enumerate() {
        let at = (number, column as u32 + 1);
        if character == '#' && before.is_whitespace() && !scalars.iter().any(|(from, to)| *from <= at && at < *to) {
            return line.chars().take(column).collect::<String>().trim_end().to_string();
        }
        before = character;
    }
    line.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::parse_yaml;

    fn shown(text: &str) -> Vec<Option<String>> {
        let mut problems = Vec::new();
        let root = parse_yaml(&"tank.yaml".into(), text, 1, &mut problems).unwrap();
        redacted_lines(text, &root, 1, &private_lines(&root))
    }

    #[test]
    fn private_blocks_and_comments_are_left_out() {
        let text = "# my address is here\nname: Lagoon # called so by me\nnote: \"rock #3\"\nprivate:\n  price: 300 EUR\n  lines:\n    - one\n    - two\ncontacts: {vet: 000-1,\n  shop: 000-2}\nroom: 18 to 27 °C\n";
        let lines = shown(text);
        assert_eq!(lines[0].as_deref(), Some(""));
        assert_eq!(lines[1].as_deref(), Some("name: Lagoon"));
        assert_eq!(lines[2].as_deref(), Some("note: \"rock #3\""));
        assert!(lines[3..10].iter().all(Option::is_none), "{lines:?}");
        assert_eq!(lines[10].as_deref(), Some("room: 18 to 27 °C"));
    }

    #[test]
    fn private_texts_of_every_notation_are_hidden_whole() {
        for hidden in [
            "private: one\n  two\n  three\n",
            "Private: \"one\n  two\"\n",
            "contacts:\n  # who to ring\n  vet: >\n    one\n\n    two\n",
            "household: {children-under-5: yes,\n  pets: [a,\n    b]\n  }\n",
            "away:\n- {from: 2025-01-01, to: 2025-01-09}\n- {from: 2025-02-01,\n   to: 2025-02-09}\n",
            "private: [one,\n  # a remark\n\n  two\n]\n",
            "private:\n  deep:\n    - - one\n      - two: |\n          three\n",
        ] {
            let lines = shown(&format!("a: 1\n{hidden}b: 2\n"));
            let count = hidden.lines().count();
            assert_eq!(lines[0].as_deref(), Some("a: 1"));
            assert!(lines[1..=count].iter().all(Option::is_none), "{hidden}: {lines:?}");
            assert_eq!(lines[count + 1].as_deref(), Some("b: 2"), "{hidden}");
        }
    }

    #[test]
    fn only_comments_are_cut() {
        let lines = shown("a: | # remark\n  text # no remark\nb: 'x' # remark\nc: rock#3\nd: [1, # remark\n  2]\n");
        let shown: Vec<&str> = lines.iter().flatten().map(String::as_str).collect();
        assert_eq!(shown, ["a: |", "  text # no remark", "b: 'x'", "c: rock#3", "d: [1,", "  2]"]);
    }

    #[test]
    fn a_private_block_text_is_hidden_whole() {
        let lines = shown("a: 1\nprivate: |\n  secret\n  more\nb: 2\n");
        assert!(lines[1].is_none() && lines[2].is_none() && lines[3].is_none());
        assert_eq!(lines[4].as_deref(), Some("b: 2"));
    }
}
