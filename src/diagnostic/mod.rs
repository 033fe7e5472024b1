//! What went wrong, where, and how it looks: kind, place and wording apart. Imported by every stage, imports none.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

mod kind;
mod nearest;
mod wording;

pub use kind::Kind;
pub use nearest::nearest;

/// A stretch of one line of one file. Lines and columns count from 1; columns and lengths count characters.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Place {
    /// Relative to the record's root, with `/` between folders.
    pub file: Arc<str>,
    pub line: u32,
    pub column: u32,
    pub length: u32,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    Error,
    Warning,
}

/// One mistake.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnostic {
    pub kind: Kind,
    pub place: Place,
    /// Other places that take part, each with a word on its role.
    pub related: Vec<(Place, String)>,
}

impl Diagnostic {
    pub fn new(kind: Kind, place: Place) -> Self {
        Diagnostic { kind, place, related: Vec::new() }
    }

    pub fn with_related(mut self, place: Place, role: impl Into<String>) -> Self {
        self.related.push((place, role.into()));
        self
    }

    pub fn severity(&self) -> Severity {
        self.kind.severity()
    }

    /// What is wrong, in one line that stands alone.
    pub fn headline(&self) -> String {
        wording::headline(&self.kind)
    }

    /// What stands beside the carets.
    pub fn label(&self) -> String {
        wording::label(&self.kind)
    }

    /// What would be right, without the word `try`.
    pub fn suggestion(&self) -> Option<String> {
        wording::suggestion(&self.kind)
    }
}

/// The text of every file that was read, for showing lines.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sources {
    texts: BTreeMap<Arc<str>, Arc<str>>,
}

impl Sources {
    pub fn insert(&mut self, file: Arc<str>, text: Arc<str>) {
        self.texts.insert(file, text);
    }

    pub fn get(&self, file: &str) -> Option<&Arc<str>> {
        self.texts.get(file)
    }

    pub fn files(&self) -> impl Iterator<Item = (&Arc<str>, &Arc<str>)> {
        self.texts.iter()
    }

    /// A line by its number from 1.
    pub fn line(&self, file: &str, line: u32) -> Option<&str> {
        self.texts.get(file)?.lines().nth(line.checked_sub(1)? as usize)
    }
}

/// All mistakes of one run.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Diagnostics {
    list: Vec<Diagnostic>,
}

impl Diagnostics {
    pub fn push(&mut self, diagnostic: Diagnostic) {
        self.list.push(diagnostic);
    }

    pub fn extend(&mut self, other: Diagnostics) {
        self.list.extend(other.list);
    }

    /// By file, line and column; what is said twice is kept once, and what only follows from a told mistake is left out.
    pub fn sort(&mut self) {
        self.leave_out_what_follows();
        self.list.sort_by(|a, b| a.place.cmp(&b.place).then_with(|| a.headline().cmp(&b.headline())));
        self.list.dedup();
    }

    /// A device whose own file has an error is missing from the record, and every mention of it would be told as
    /// dangling. The error in its file says it all.
    fn leave_out_what_follows(&mut self) {
        let plain = |word: &str| word.to_lowercase().replace([' ', '_'], "-");
        let mut faulty: BTreeSet<(String, Arc<str>)> = BTreeSet::new();
        for diagnostic in &self.list {
            if diagnostic.severity() == Severity::Error && !matches!(diagnostic.kind, Kind::DanglingReference { .. }) {
                let file = &diagnostic.place.file;
                let mut parts = file.rsplit('/');
                let stem = parts.next().and_then(|name| name.rsplit_once('.')).map_or("", |(stem, _)| stem);
                // A tank goes by the name of its folder, `.` at the root.
                let name = if stem == "tank" { parts.next().unwrap_or(".") } else { stem };
                faulty.insert((plain(name), file.clone()));
            }
        }
        self.list.retain(|diagnostic| {
            let Kind::DanglingReference { name, .. } = &diagnostic.kind else {
                return true;
            };
            let name = plain(name.rsplit('/').next().unwrap_or(name));
            !faulty.iter().any(|(other, file)| *other == name && *file != diagnostic.place.file)
        });
    }

    pub fn iter(&self) -> std::slice::Iter<'_, Diagnostic> {
        self.list.iter()
    }

    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    pub fn error_count(&self) -> usize {
        self.list.iter().filter(|diagnostic| diagnostic.severity() == Severity::Error).count()
    }

    pub fn warning_count(&self) -> usize {
        self.list.len() - self.error_count()
    }

    pub fn has_errors(&self) -> bool {
        self.error_count() > 0
    }

    /// All of them as text, a blank line between two.
    pub fn render_all(&self, sources: &Sources) -> String {
        let mut reader = Reader { sources, at: None };
        self.list.iter().map(|diagnostic| render_with(diagnostic, &mut reader)).collect::<Vec<_>>().join("\n")
    }
}

/// A diagnostic as a terminal shows it; nothing in it depends on colour.
///
/// ```text
/// log/2024.yaml:7:16: water temperature out of range
///    7 |   temperature: 255 °C
///      |                ^^^^^^ read as 255 °C; a tank is between −2 and 45 °C
///      try `25.5 °C`
/// ```
pub fn render(diagnostic: &Diagnostic, sources: &Sources) -> String {
    render_with(diagnostic, &mut Reader { sources, at: None })
}

/// Reads on from where it read last: thousands of mistakes may stand in one long line.
struct Reader<'a> {
    sources: &'a Sources,
    at: Option<At<'a>>,
}

/// A character of a line of a file, with what follows it on the line.
struct At<'a> {
    file: Arc<str>,
    line: u32,
    character: usize,
    rest: &'a str,
}

impl<'a> Reader<'a> {
    /// What stands on a line from a character on.
    fn rest(&mut self, place: &Place, character: usize) -> Option<&'a str> {
        let behind = |at: &&At| at.file == place.file && at.line == place.line && at.character <= character;
        let (mut read, mut rest) = match self.at.as_ref().filter(behind) {
            Some(at) => (at.character, at.rest),
            None => (0, self.sources.line(&place.file, place.line)?),
        };
        let mut letters = rest.chars();
        while read < character && letters.next().is_some() {
            read += 1;
        }
        rest = letters.as_str();
        self.at = Some(At { file: place.file.clone(), line: place.line, character, rest });
        Some(rest)
    }
}

fn render_with(diagnostic: &Diagnostic, reader: &mut Reader) -> String {
    let place = &diagnostic.place;
    let word = if diagnostic.severity() == Severity::Warning { "warning: " } else { "" };
    let mut text = format!("{}:{}:{}: {word}{}\n", place.file, place.line, place.column, diagnostic.headline());
    text.push_str(&excerpt(place, &diagnostic.label(), reader));
    for (place, role) in &diagnostic.related {
        text.push_str(&format!("     {}:{}:{}:\n", place.file, place.line, place.column));
        text.push_str(&excerpt(place, role, reader));
    }
    if let Some(suggestion) = diagnostic.suggestion() {
        text.push_str(&format!("     try {suggestion}\n"));
    }
    // What a file holds may not steer the terminal it is shown on.
    text.replace(|c: char| c.is_control() && c != '\n', "\u{fffd}")
}

/// At most this many characters of a line are shown, around the place.
const SHOWN: usize = 96;

fn excerpt(place: &Place, label: &str, reader: &mut Reader) -> String {
    // A tab would put the carets in the wrong place: it is shown as a sign of one column.
    let before = (place.column as usize).saturating_sub(1);
    let skipped = if before > SHOWN - 24 { before + 24 - SHOWN } else { 0 };
    let Some(rest) = reader.rest(place, skipped) else {
        return if label.is_empty() { String::new() } else { format!("     {label}\n") };
    };
    let shown: String = rest.chars().take(SHOWN).map(|c| if c == '\t' { '→' } else { c }).collect();
    let cut = if skipped > 0 { "…" } else { "" };
    let room = shown.chars().count().saturating_sub(before - skipped).max(1);
    let carets = "^".repeat((place.length.max(1) as usize).min(room));
    let indent = " ".repeat(before - skipped + cut.chars().count());
    let text = format!("{:>4} | {cut}{}\n     | {indent}{carets} {label}", place.line, shown.trim_end());
    format!("{}\n", text.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn carets_stand_under_the_value() {
        let mut sources = Sources::default();
        sources.insert("log/2024.yaml".into(), "a\nb\n  temperature: 255 °C\n".into());
        let kind = Kind::OutOfRange {
            quantity: "water temperature".into(),
            read_as: "255 °C".into(),
            low: "−2 °C".into(),
            high: "45 °C".into(),
            suggestion: Some("25.5 °C".into()),
        };
        let place = Place { file: "log/2024.yaml".into(), line: 3, column: 16, length: 6 };
        let expected = "log/2024.yaml:3:16: water temperature out of range\n   3 |   temperature: 255 °C\n     |                ^^^^^^ read as 255 °C; it is expected between −2 °C and 45 °C\n     try `25.5 °C`\n";
        assert_eq!(render(&Diagnostic::new(kind, place), &sources), expected);
    }

    #[test]
    fn what_follows_from_a_told_mistake_is_left_out() {
        let place = |file: &str| Place { file: file.into(), line: 1, column: 1, length: 1 };
        let dangling = |name: &str| Kind::DanglingReference {
            what: "device".into(),
            name: name.into(),
            nearest: None,
            known: Vec::new(),
        };
        let mut all = Diagnostics::default();
        all.push(Diagnostic::new(Kind::TabIndentation, place("equipment/Wave pump.yaml")));
        all.push(Diagnostic::new(Kind::BadDate { typed: "7.9.".into() }, place("tank.yaml")));
        all.push(Diagnostic::new(Kind::EmptyFile, place("jar/tank.yaml")));
        for name in ["wave-pump", "equipment/wave-pump", ".", "jar", "lamp"] {
            all.push(Diagnostic::new(dangling(name), place("log/2025.yaml")));
        }
        all.sort();
        let left: Vec<Kind> = all.iter().map(|one| one.kind.clone()).collect();
        assert_eq!(left.len(), 4);
        assert!(left.contains(&dangling("lamp")));
    }

    #[test]
    fn a_disagreement_gives_both_values_and_their_difference() {
        let kind = Kind::Disagreement {
            what: "energy in March".into(),
            stated: "31 kWh".into(),
            computed: "28 kWh".into(),
            difference: "3 kWh".into(),
        };
        let place = Place { file: "log/2025.yaml".into(), line: 1, column: 1, length: 1 };
        let text = render(&Diagnostic::new(kind, place), &Sources::default());
        let expected = "log/2025.yaml:1:1: warning: energy in March: stated and worked out do not agree\n     stated 31 kWh, worked out 28 kWh: a difference of 3 kWh\n";
        assert_eq!(text, expected);
    }

    #[test]
    fn many_mistakes_of_one_line_look_as_each_alone() {
        let mut sources = Sources::default();
        let line = (0..400).map(|number| format!("é{number:03}, ")).collect::<String>();
        sources.insert("a.yaml".into(), format!("done:\n  {line}\n").into());
        let mut all = Diagnostics::default();
        for number in [399, 0, 7, 7, 250, 251] {
            let place = Place { file: "a.yaml".into(), line: 2, column: 3 + 6 * number, length: 4 };
            let kind = Kind::BadDate { typed: format!("é{number:03}") };
            let first = Place { column: 3, ..place.clone() };
            all.push(Diagnostic::new(kind, place).with_related(first, "the first"));
        }
        let alone: Vec<String> = all.iter().map(|one| render(one, &sources)).collect();
        assert_eq!(all.render_all(&sources), alone.join("\n"));
        assert!(alone[0].contains("é398, é399,\n"), "{}", alone[0]);
    }

    #[test]
    fn a_file_cannot_steer_the_terminal() {
        let mut sources = Sources::default();
        sources.insert("a.yaml".into(), "name: \u{1b}[31mred\n".into());
        let kind = Kind::WrongWord {
            what: "role".into(),
            typed: "\u{1b}[31mred".into(),
            allowed: vec!["lamp".into()],
            nearest: None,
        };
        let place = Place { file: "a.yaml".into(), line: 1, column: 7, length: 8 };
        let text = render(&Diagnostic::new(kind, place), &sources);
        assert!(!text.contains('\u{1b}'));
        assert!(text.contains("name: \u{fffd}[31mred"));
    }

    #[test]
    fn sorted_by_file_and_line_and_told_once() {
        let place = |file: &str, line| Place { file: file.into(), line, column: 1, length: 1 };
        let mut all = Diagnostics::default();
        for (file, line) in [("b.yaml", 1), ("a.yaml", 9), ("a.yaml", 2), ("a.yaml", 2)] {
            all.push(Diagnostic::new(Kind::EmptyFile, place(file, line)));
        }
        all.sort();
        let order: Vec<_> = all.iter().map(|d| (d.place.file.to_string(), d.place.line)).collect();
        assert_eq!(order, [("a.yaml".into(), 2), ("a.yaml".into(), 9), ("b.yaml".to_string(), 1)]);
        assert_eq!((all.error_count(), all.warning_count()), (3, 0));
    }
}
