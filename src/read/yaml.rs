//! YAML through an event parser: scalars stay the text that was typed, and everything keeps its place.

use std::collections::BTreeMap;
use std::sync::Arc;

use saphyr_parser::{Event, Parser, ScalarStyle, Span, Tag};

use super::explain::explain;
use super::node::{Content, Node, key_name};
use super::notation::{control_character, cut_by_comment, plain_spaces};
use crate::diagnostic::{Diagnostic, Kind, Place};

/// Deeper than this no record nests; a file that does is refused before it exhausts the stack.
const DEEPEST: usize = 64;

/// Aliases may not add more nodes to a file than this.
const MOST_REPEATED: usize = 100_000;

/// Reads one YAML document. `first_line` is the line of the file on which `text` starts (front matter starts on 2).
///
/// An unreadable file gives `None` and a diagnostic; duplicate keys and comments that cut prose give diagnostics and
/// the rest of the file.
pub fn parse_yaml(file: &Arc<str>, text: &str, first_line: u32, problems: &mut Vec<Diagnostic>) -> Option<Node> {
    let mended = plain_spaces(text);
    let mut builder = Builder {
        file,
        first_line,
        lines: text.lines().collect(),
        open: Vec::new(),
        anchors: BTreeMap::new(),
        repeated: 0,
        problems,
    };
    if let Some((line, column)) = control_character(&builder.lines) {
        builder.scan_error("unprintable", line, column);
        return None;
    }
    let mut parser = Parser::new_from_str(&mended);
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
            // A rule at the end of a file begins a document in which nothing stands.
            Event::Scalar(text, ScalarStyle::Plain, 0, None) if root.is_some() && text.is_empty() => {}
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

struct Builder<'a> {
    file: &'a Arc<str>,
    first_line: u32,
    lines: Vec<&'a str>,
    /// Brackets and braces that are open: line from 1, column from 0.
    open: Vec<(usize, usize)>,
    anchors: BTreeMap<usize, Node>,
    /// Nodes that aliases added.
    repeated: usize,
    problems: &'a mut Vec<Diagnostic>,
}

type Events<'a> = Parser<'a, saphyr_parser::StrInput<'a>>;

impl<'a> Builder<'a> {
    fn node(&mut self, event: Event<'a>, span: Span, parser: &mut Events<'a>, depth: usize) -> Result<Node, ()> {
        if depth > DEEPEST {
            self.refuse(&span, "nested far beyond what a record needs");
            return Err(());
        }
        let place = self.place(&span);
        match event {
            Event::Scalar(text, style, anchor, tag) => {
                self.refuse_tag(tag.as_deref(), &span);
                let plain = style == ScalarStyle::Plain;
                let content = if plain && (text.is_empty() || text == "~") {
                    Content::Null
                } else {
                    Content::Scalar { text: text.into_owned(), plain }
                };
                let mut node = Node { content, end: self.end(&span), place };
                let quote = match style {
                    ScalarStyle::SingleQuoted => Some('\''),
                    ScalarStyle::DoubleQuoted => Some('"'),
                    _ => None,
                };
                if let Some(quote) = quote {
                    self.end_at_quote(&mut node, &span, quote);
                }
                self.comment_after(&node);
                self.keep(anchor, &node);
                Ok(node)
            }
            Event::SequenceStart(anchor, tag) => {
                self.refuse_tag(tag.as_deref(), &span);
                let opened = self.opens(&span);
                let mut items = Vec::new();
                let end = loop {
                    let (event, span) = self.next(parser)?;
                    if matches!(event, Event::SequenceEnd) {
                        break self.end(&span);
                    }
                    items.push(self.node(event, span, parser, depth + 1)?);
                };
                if opened {
                    self.open.pop();
                }
                let node = Node { content: Content::List(items), place, end };
                self.keep(anchor, &node);
                Ok(node)
            }
            Event::MappingStart(anchor, tag) => {
                self.refuse_tag(tag.as_deref(), &span);
                let opened = self.opens(&span);
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
                    if matches!(key.content, Content::List(_) | Content::Map(_)) {
                        let message = "a bracket or brace begins a key: put quotes around the whole text".to_string();
                        self.problems.push(Diagnostic::new(Kind::BadYaml { message }, key.place.clone()));
                        continue;
                    }
                    if let Some(earlier) = names.insert(key_name(&key), key.place.clone()) {
                        let kind = Kind::DuplicateKey { key: key.as_text().unwrap_or_default().to_string() };
                        let diagnostic = Diagnostic::new(kind, key.place.clone());
                        self.problems.push(diagnostic.with_related(earlier, "the first one"));
                        continue;
                    }
                    pairs.push((key, value));
                };
                if opened {
                    self.open.pop();
                }
                let node = Node { content: Content::Map(pairs), place, end };
                self.keep(anchor, &node);
                Ok(node)
            }
            Event::Alias(anchor) => {
                let Some(node) = self.anchors.get(&anchor) else {
                    self.refuse(&span, "this alias has no anchor before it");
                    return Err(());
                };
                let (count, deep) = measure(node);
                self.repeated += count;
                if self.repeated > MOST_REPEATED || depth + deep > DEEPEST {
                    self.refuse(&span, "aliases repeat this file beyond what a record needs");
                    return Err(());
                }
                Ok(node.clone())
            }
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

    /// Whether a list or mapping begins with a bracket or brace, which is then kept as open.
    fn opens(&mut self, span: &Span) -> bool {
        let (line, column) = (span.start.line(), span.start.col());
        let text = self.lines.get(line.saturating_sub(1)).copied().unwrap_or_default();
        // Counting the characters of a very long line for each of its brackets would take minutes.
        let character = if text.is_ascii() {
            text.as_bytes().get(column).map(|byte| *byte as char)
        } else {
            text.chars().nth(column)
        };
        let opens = matches!(character, Some('[' | '{'));
        if opens {
            self.open.push((line, column));
        }
        opens
    }

    /// A text that begins with `!` would lose its first word: YAML takes that for a tag. Its own tags, as `!!str`, do
    /// no harm.
    fn refuse_tag(&mut self, tag: Option<&Tag>, span: &Span) {
        if tag.is_some_and(|tag| !tag.is_yaml_core_schema()) {
            self.refuse(span, "a text that begins with `!` means something of its own in YAML: put quotes around it");
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
            self.lines
                .get(line.saturating_sub(1))
                .map_or(1, |text| text.trim_end().chars().count().saturating_sub(column))
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

    /// The parser counts the comment behind a quoted text as part of it: the text ends at its closing quote.
    fn end_at_quote(&self, node: &mut Node, span: &Span, quote: char) {
        let (first, column) = (span.start.line().max(1), span.start.col());
        let mut open = false;
        for (number, text) in self.lines.iter().enumerate().skip(first - 1) {
            let skipped = if number + 1 == first { column } else { 0 };
            let mut characters = text.chars().enumerate().skip(skipped).peekable();
            while let Some((place, character)) = characters.next() {
                if character == '\\' && quote == '"' && open {
                    characters.next();
                } else if character == quote && !open {
                    open = true;
                } else if character == quote
                    && quote == '\''
                    && characters.peek().is_some_and(|(_, next)| *next == quote)
                {
                    characters.next();
                } else if character == quote {
                    node.end = (number as u32 + self.first_line, place as u32 + 2);
                    if number + 1 == first {
                        node.place.length = (place + 1 - column) as u32;
                    }
                    return;
                }
            }
        }
    }

    fn scan_error(&mut self, info: &str, line: usize, column: usize) {
        let told = explain(info, line, column, &self.lines, self.open.last().copied());
        if info.contains("comment intercepting") {
            // The warning on the same `#` says the same.
            self.problems.pop_if(|problem| matches!(problem.kind, Kind::CommentCutsProse { .. }));
        }
        let place = Place {
            file: self.file.clone(),
            line: told.line as u32 + self.first_line - 1,
            column: told.column as u32 + 1,
            length: told.length as u32,
        };
        self.problems.push(Diagnostic::new(told.kind, place));
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
        if !rest.contains('#') {
            return;
        }
        let rest: String = rest.chars().skip(node.end.1 as usize - 1).collect();
        if let Some((skipped, cut)) = cut_by_comment(text, &rest) {
            let place = Place {
                file: self.file.clone(),
                line: node.end.0,
                column: node.end.1 + skipped,
                length: cut.chars().count() as u32,
            };
            self.problems.push(Diagnostic::new(Kind::CommentCutsProse { cut }, place));
        }
    }
}

/// How many nodes there are in a node, and how deep they lie.
fn measure(node: &Node) -> (usize, usize) {
    let inner: Vec<(usize, usize)> = match &node.content {
        Content::List(items) => items.iter().map(measure).collect(),
        Content::Map(pairs) => pairs.iter().flat_map(|(key, value)| [measure(key), measure(value)]).collect(),
        _ => Vec::new(),
    };
    let count = inner.iter().map(|(count, _)| count).sum::<usize>() + 1;
    (count, inner.iter().map(|(_, depth)| depth + 1).max().unwrap_or(0))
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
    fn a_quoted_text_ends_at_its_quote() {
        for (text, length, end) in [
            ("a: 'x' # y\n", 3, (1, 7)),
            ("a: 'it''s' # 'y'\n", 7, (1, 11)),
            ("a: \"x \\\" y\" # \"z\"\n", 8, (1, 12)),
            ("a: \"\" # y\n", 2, (1, 6)),
            ("a: \"one\n  two\" # y\n", 4, (2, 7)),
        ] {
            let (node, problems) = parse(text);
            assert!(problems.is_empty(), "{text:?}: {problems:?}");
            let root = node.unwrap();
            let value = root.get("a").unwrap();
            assert_eq!((value.place.length, value.end), (length, end), "{text:?}");
        }
        let (node, _) = parse("a: [\"x\", 'y']\n");
        let root = node.unwrap();
        let Content::List(items) = &root.get("a").unwrap().content else {
            panic!("a list");
        };
        assert_eq!((items[0].place.length, items[0].end), (3, (1, 8)));
        assert_eq!((items[1].place.length, items[1].end), (3, (1, 13)));
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
    fn no_break_spaces_in_the_notation_are_spaces() {
        let (node, problems) = parse("a:\n\u{a0}\u{a0}top\u{a0}off:\u{a0}3.5\u{a0}L\n  note: \"a:\u{a0}b\"\n");
        assert!(problems.is_empty(), "{problems:?}");
        let a = node.unwrap();
        let a = a.get("a").unwrap();
        assert_eq!(a.get("top-off").unwrap().as_text(), Some("3.5\u{a0}L"));
        assert_eq!(a.get("note").unwrap().as_text(), Some("a:\u{a0}b"));
    }

    #[test]
    fn texts_that_yaml_takes_for_something_else() {
        let message = |text: &str| match &parse(text).1[..] {
            [Diagnostic { kind: Kind::BadYaml { message }, .. }] => message.clone(),
            other => panic!("{text:?}: {other:?}"),
        };
        assert!(message("note: !important dead\n").contains("`!`"));
        assert!(message("[a]: 1\n").contains("begins a key"));
        assert!(message("a: x\u{7}y\n").contains("no text"));
        let (node, problems) = parse("lot: !!str 0123\n");
        assert!(problems.is_empty());
        assert_eq!(node.unwrap().get("lot").unwrap().as_text(), Some("0123"));
    }

    #[test]
    fn a_rule_at_the_end_is_no_second_document() {
        for text in ["---\na: 1\n---\n", "a: 1\n...\n", "a: 1\n---\n# the end\n"] {
            let (node, problems) = parse(text);
            assert!(problems.is_empty(), "{text:?}: {problems:?}");
            assert_eq!(node.unwrap().get("a").unwrap().as_text(), Some("1"));
        }
    }

    #[test]
    fn aliases_cannot_nest_without_end() {
        let mut text = String::from("a0: &a0 {b: {c: {d: {e: x}}}}\n");
        for step in 1..40 {
            text.push_str(&format!("a{step}: &a{step} {{b: {{c: *a{}}}}}\n", step - 1));
        }
        let (node, problems) = parse(&text);
        assert!(node.is_none());
        assert!(matches!(&problems[0].kind, Kind::BadYaml { message } if message.contains("aliases")));
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
