//! YAML through an event parser: scalars stay the text that was typed, and everything keeps its place.

use std::collections::BTreeMap;
use std::sync::Arc;

use saphyr_parser::{Event, Parser, ScalarStyle, Span};

use super::node::{Content, Node, key_name};
use crate::diagnostic::{Diagnostic, Kind, Place};

/// Deeper than this no record nests; a file that does is refused before it exhausts the stack.
const DEEPEST: usize = 64;

/// Aliases may not blow a file up to more nodes than this.
const MOST_NODES: usize = 2_000_000;

/// Reads one YAML document. `first_line` is the line of the file on which `text` starts (front matter starts on 2).
///
/// An unreadable file gives `None` and a diagnostic; duplicate keys and comments that cut prose give diagnostics and
/// the rest of the file.
pub fn parse_yaml(file: &Arc<str>, text: &str, first_line: u32, problems: &mut Vec<Diagnostic>) -> Option<Node> {
    let mut builder =
        Builder { file, first_line, lines: text.lines().collect(), anchors: BTreeMap::new(), nodes: 0, problems };
    let mut parser = Parser::new_from_str(text);
    let mut root = None;
    loop {
        let (event, span) = match parser.next_event()? {
            Ok(next) => next,
            Err(error) => {
                let marker = *error.marker();
                builder.scan_error(error.info(), marker.line(), marker.col());
                return None;
            }
        };
        match event {
            Event::StreamEnd => break,
            Event::StreamStart | Event::DocumentStart(_) | Event::DocumentEnd | Event::Nothing => {}
            event => {
                if root.is_some() {
                    let message = "a second document starts here; a file holds one".to_string();
                    let place = builder.place(&span);
                    builder.problems.push(Diagnostic::new(Kind::BadYaml { message }, place));
                    return root;
                }
                match builder.node(event, span, &mut parser, 0) {
                    Ok(node) => root = Some(node),
                    Err(()) => return None,
                }
            }
        }
    }
    Some(root.unwrap_or_else(|| Node {
        content: Content::Null,
        place: Place { file: file.clone(), line: first_line, column: 1, length: 1 },
        end: (first_line, 1),
    }))
}

const OPEN_BRACKET: &str = "a bracket or brace is opened and never closed, or a comma is missing in between";

struct Builder<'a> {
    file: &'a Arc<str>,
    first_line: u32,
    lines: Vec<&'a str>,
    anchors: BTreeMap<usize, Node>,
    nodes: usize,
    problems: &'a mut Vec<Diagnostic>,
}

type Events<'a> = Parser<'a, saphyr_parser::StrInput<'a>>;

impl<'a> Builder<'a> {
    fn node(&mut self, event: Event<'a>, span: Span, parser: &mut Events<'a>, depth: usize) -> Result<Node, ()> {
        self.nodes += 1;
        if depth > DEEPEST || self.nodes > MOST_NODES {
            self.refuse(&span, "nested or repeated far beyond what a record needs");
            return Err(());
        }
        let place = self.place(&span);
        match event {
            Event::Scalar(text, style, anchor, _) => {
                let plain = style == ScalarStyle::Plain;
                let content = if plain && (text.is_empty() || text == "~") {
                    Content::Null
                } else {
                    Content::Scalar { text: text.into_owned(), plain }
                };
                let node = Node { content, end: self.end(&span), place };
                self.comment_after(&node);
                self.keep(anchor, &node);
                Ok(node)
            }
            Event::SequenceStart(anchor, _) => {
                let mut items = Vec::new();
                let end = loop {
                    let (event, span) = self.next(parser)?;
                    if matches!(event, Event::SequenceEnd) {
                        break self.end(&span);
                    }
                    items.push(self.node(event, span, parser, depth + 1)?);
                };
                let node = Node { content: Content::List(items), place, end };
                self.keep(anchor, &node);
                Ok(node)
            }
            Event::MappingStart(anchor, _) => {
                let mut pairs: Vec<(Node, Node)> = Vec::new();
                let mut names: BTreeMap<String, Place> = BTreeMap::new();
                let end = loop {
                    let (event, span) = self.next(parser)?;
                    if matches!(event, Event::MappingEnd) {
                        break self.end(&span);
                    }
                    let key = self.node(event, span, parser, depth + 1)?;
                    let (event, span) = self.next(parser)?;
                    let value = self.node(event, span, parser, depth + 1)?;
                    if let Some(earlier) = names.insert(key_name(&key), key.place.clone()) {
                        let kind = Kind::DuplicateKey { key: key.as_text().unwrap_or_default().to_string() };
                        let diagnostic = Diagnostic::new(kind, key.place.clone());
                        self.problems.push(diagnostic.with_related(earlier, "the first one"));
                        continue;
                    }
                    pairs.push((key, value));
                };
                let node = Node { content: Content::Map(pairs), place, end };
                self.keep(anchor, &node);
                Ok(node)
            }
            Event::Alias(anchor) => match self.anchors.get(&anchor).cloned() {
                Some(node) => {
                    self.nodes += size(&node);
                    if self.nodes > MOST_NODES {
                        self.refuse(&span, "aliases repeat this file beyond what a record needs");
                        return Err(());
                    }
                    Ok(node)
                }
                None => {
                    self.refuse(&span, "this alias has no anchor before it");
                    Err(())
                }
            },
            _ => {
                self.refuse(&span, "something else is expected here");
                Err(())
            }
        }
    }

    fn next(&mut self, parser: &mut Events<'a>) -> Result<(Event<'a>, Span), ()> {
        match parser.next_event() {
            Some(Ok(next)) => Ok(next),
            Some(Err(error)) => {
                let marker = *error.marker();
                self.scan_error(error.info(), marker.line(), marker.col());
                Err(())
            }
            None => Err(()),
        }
    }

    fn keep(&mut self, anchor: usize, node: &Node) {
        if anchor > 0 {
            self.anchors.insert(anchor, node.clone());
        }
    }

    fn refuse(&mut self, span: &Span, message: &str) {
        let place = self.place(span);
        self.problems.push(Diagnostic::new(Kind::BadYaml { message: message.into() }, place));
    }

    fn place(&self, span: &Span) -> Place {
        let (line, column) = (span.start.line(), span.start.col());
        let on_line = if span.end.line() == line {
            span.end.col().saturating_sub(column)
        } else {
            self.lines.get(line - 1).map_or(1, |text| text.trim_end().chars().count().saturating_sub(column))
        };
        Place {
            file: self.file.clone(),
            line: line as u32 + self.first_line - 1,
            column: column as u32 + 1,
            length: on_line.max(1) as u32,
        }
    }

    fn end(&self, span: &Span) -> (u32, u32) {
        (span.end.line() as u32 + self.first_line - 1, span.end.col() as u32 + 1)
    }

    /// A parser's complaint, in a keeper's words where the cause is a common one.
    fn scan_error(&mut self, info: &str, line: usize, column: usize) {
        // A tab in the indentation confuses a parser lines later: look for the first one up to there.
        let tab = self.lines.iter().take(line.max(1)).enumerate().find_map(|(place, text)| {
            let indent: String = text.chars().take_while(|c| c.is_whitespace()).collect();
            let blank = text.trim().is_empty();
            (!blank && indent.contains('\t')).then(|| (place + 1, indent.find('\t').unwrap_or(0)))
        });
        let (kind, line, column) = match tab {
            Some((line, column)) => (Kind::TabIndentation, line, column),
            None => {
                let message = self.plain_words(info, line);
                let (line, column) = match self.open_bracket(line, column) {
                    Some(place) if message == OPEN_BRACKET => place,
                    _ => (line, column),
                };
                (Kind::BadYaml { message }, line, column)
            }
        };
        let line = line.clamp(1, self.lines.len().max(1));
        let rest = self.lines.get(line - 1).map_or(0, |text| text.chars().count());
        let place = Place {
            file: self.file.clone(),
            line: line as u32 + self.first_line - 1,
            column: (column.min(rest.saturating_sub(1))) as u32 + 1,
            length: 1,
        };
        self.problems.push(Diagnostic::new(kind, place));
    }

    /// Line (from 1) and column (from 0) of the last bracket or brace that is still open before a place. A parser
    /// complains where it gives up, which may be lines below the bracket that a keeper has to close.
    fn open_bracket(&self, line: usize, column: usize) -> Option<(usize, usize)> {
        let mut open = Vec::new();
        for (number, text) in self.lines.iter().take(line).enumerate() {
            for (place, character) in text.chars().enumerate() {
                if number + 1 == line && place >= column {
                    break;
                }
                match character {
                    '[' | '{' => open.push((number + 1, place)),
                    ']' | '}' => drop(open.pop()),
                    _ => {}
                }
            }
        }
        open.pop()
    }

    fn plain_words(&self, info: &str, line: usize) -> String {
        let text = self.lines.get(line.saturating_sub(1)).copied().unwrap_or_default();
        if info.contains("recursion limit") {
            "nested far beyond what a record needs".into()
        } else if info.contains("mapping values are not allowed") {
            "a `: ` inside a text: put quotes around the whole text, or check the indentation".into()
        } else if text.matches(['"', '\'']).count() % 2 == 1 || info.contains("quoted scalar") {
            "a quotation mark is opened and never closed".into()
        } else if info.contains("simple key")
            || info.contains("expected ':'")
            || info.contains("could not find expected")
        {
            "a `:` is missing after a key, or the line is indented too little".into()
        } else if info.contains("flow") || info.contains("',' or") {
            OPEN_BRACKET.into()
        } else {
            info.to_string()
        }
    }

    /// ` #` after a text is a comment in YAML. Where the cut looks like prose, a keeper most likely meant it.
    fn comment_after(&mut self, node: &Node) {
        let Content::Scalar { text, plain: true } = &node.content else {
            return;
        };
        let line = (node.end.0 + 1).saturating_sub(self.first_line) as usize;
        let Some(rest) = self.lines.get(line.saturating_sub(1)) else {
            return;
        };
        let rest: String = rest.chars().skip(node.end.1 as usize - 1).collect();
        let comment = rest.trim_start();
        let starts_a_word =
            comment.strip_prefix('#').is_some_and(|after| after.starts_with(|c: char| !c.is_whitespace()));
        if rest.len() > comment.len() && starts_a_word && text.contains(char::is_alphabetic) {
            let column = node.end.1 + (rest.chars().count() - comment.chars().count()) as u32;
            let place = Place {
                file: self.file.clone(),
                line: node.end.0,
                column,
                length: comment.trim_end().chars().count() as u32,
            };
            let cut = comment.trim_end().to_string();
            self.problems.push(Diagnostic::new(Kind::CommentCutsProse { cut }, place));
        }
    }
}

fn size(node: &Node) -> usize {
    1 + match &node.content {
        Content::List(items) => items.iter().map(size).sum(),
        Content::Map(pairs) => pairs.iter().map(|(key, value)| size(key) + size(value)).sum(),
        _ => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse(text: &str) -> (Option<Node>, Vec<Diagnostic>) {
        let mut problems = Vec::new();
        let node = parse_yaml(&"tank.yaml".into(), text, 1, &mut problems);
        (node, problems)
    }

    /// Both readers must see the same structure; only scalars are kept as text here.
    fn same(node: &Node, value: &serde_yaml::Value) -> bool {
        match (&node.content, value) {
            (Content::Null, serde_yaml::Value::Null) => true,
            (Content::Scalar { text, .. }, serde_yaml::Value::String(other)) => text == other,
            (Content::Scalar { text, .. }, serde_yaml::Value::Bool(flag)) => text.parse() == Ok(*flag),
            (Content::Scalar { text, .. }, serde_yaml::Value::Number(number)) => {
                text.parse::<f64>().ok() == number.as_f64()
            }
            (Content::List(items), serde_yaml::Value::Sequence(others)) => {
                items.len() == others.len() && items.iter().zip(others).all(|(item, other)| same(item, other))
            }
            (Content::Map(pairs), serde_yaml::Value::Mapping(others)) => {
                pairs.len() == others.len()
                    && pairs.iter().zip(others).all(|((key, value), (other_key, other_value))| {
                        same(key, other_key) && same(value, other_value)
                    })
            }
            _ => false,
        }
    }

    #[test]
    fn reads_the_same_structure_as_serde_yaml() {
        for text in [
            "name: Kitchen lagoon\nsize: 60 x 40 x 40 cm\nbands: {nitrate: 2 to 15, temperature: 24 to 26.5}\n",
            "a:\n  - 1\n  - {b: c, d: [e, f]}\n  -\n    g: h\n",
            "text: |\n  two\n  lines\nfolded: >\n  one\n  line\nquoted: \"a: b # c\"\nempty:\n",
            "list: []\nmap: {}\nanchor: &x {y: z}\nalias: *x\n",
            "\"2026-10-03 21:10\":\n  note: 'it''s shut'\n",
        ] {
            let (node, problems) = parse(text);
            let oracle: serde_yaml::Value = serde_yaml::from_str(text).unwrap();
            assert!(problems.is_empty(), "{text}: {problems:?}");
            assert!(same(&node.unwrap(), &oracle), "{text}");
        }
    }

    #[test]
    fn scalars_are_what_was_typed() {
        let (node, _) = parse("country: NO\nlot: 0123\nat: 22:30\nbig: 1e3\nnothing: ~\n");
        let node = node.unwrap();
        for (key, typed) in [("country", "NO"), ("lot", "0123"), ("at", "22:30"), ("big", "1e3")] {
            assert_eq!(node.get(key).unwrap().as_text(), Some(typed));
        }
        assert_eq!(node.get("nothing").unwrap().content, Content::Null);
    }

    #[test]
    fn every_value_knows_its_place() {
        let (node, _) = parse("a: 1\nb:\n  temperature: 255 °C\n");
        let node = node.unwrap();
        let place = &node.get("b").unwrap().get("temperature").unwrap().place;
        assert_eq!((place.line, place.column, place.length), (3, 16, 6));
    }

    #[test]
    fn a_comment_that_cuts_prose_is_told() {
        let (node, problems) = parse("note: moved rock #3 to the left\nlevel: 60 % # measured\n");
        assert_eq!(node.unwrap().get("note").unwrap().as_text(), Some("moved rock"));
        assert_eq!(problems.len(), 1);
        assert_eq!(problems[0].kind, Kind::CommentCutsProse { cut: "#3 to the left".into() });
        assert_eq!((problems[0].place.line, problems[0].place.column), (1, 18));
    }

    #[test]
    fn mistakes_in_the_notation() {
        let kinds = |text: &str| {
            parse(text).1.into_iter().map(|problem| (problem.kind, problem.place.line)).collect::<Vec<_>>()
        };
        assert_eq!(kinds("a:\n\tb: 1\n"), vec![(Kind::TabIndentation, 2)]);
        assert_eq!(kinds("a: 1\na: 2\n"), vec![(Kind::DuplicateKey { key: "a".into() }, 2)]);
        assert!(matches!(kinds("note: closed: shedding\n")[..], [(Kind::BadYaml { .. }, 1)]));
        assert!(matches!(kinds("a: [1, 2\nb: 3\n")[..], [(Kind::BadYaml { .. }, _)]));
        assert!(matches!(kinds("a: 1\n---\nb: 2\n")[..], [(Kind::BadYaml { .. }, 3)]));
    }

    #[test]
    fn repeated_aliases_are_refused() {
        let mut text = String::from("a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n");
        for step in 1..9 {
            let before = step - 1;
            let ten = vec![format!("*a{before}"); 10].join(", ");
            text.push_str(&format!("a{step}: &a{step} [{ten}]\n"));
        }
        let (node, problems) = parse(&text);
        assert!(node.is_none());
        assert!(matches!(problems[0].kind, Kind::BadYaml { .. }));
    }
}
