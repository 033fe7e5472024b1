//! Files of entries: one in bad notation does not hide the mistakes in all the others.

use std::sync::Arc;

use super::node::Node;
use super::yaml::parse_yaml;
use crate::diagnostic::Diagnostic;

/// In a file of entries at most this many unreadable ones are told one by one.
const MOST_UNREADABLE: usize = 50;

/// Reads a file of entries, a mapping from dates. An entry in bad notation is told and left out, so that it does not
/// hide the mistakes in all the others.
pub fn parse_entries(file: &Arc<str>, text: &str, first_line: u32, problems: &mut Vec<Diagnostic>) -> Option<Node> {
    let mut lines: Vec<&str> = text.lines().collect();
    for _ in 0..MOST_UNREADABLE {
        let mut told = Vec::new();
        let root = parse_yaml(file, &lines.join("\n"), first_line, &mut told);
        if root.is_some() {
            problems.append(&mut told);
            return root;
        }
        let mistake = told.pop()?;
        let line = (mistake.place.line - first_line) as usize;
        problems.push(mistake);
        let begins_an_entry = |text: &str| text.starts_with(|c: char| !c.is_whitespace() && !"#-%".contains(c));
        let from = (0..=line.min(lines.len().checked_sub(1)?)).rev().find(|number| begins_an_entry(lines[*number]))?;
        let to = (from + 1..lines.len()).find(|number| begins_an_entry(lines[*number])).unwrap_or(lines.len());
        lines[from..to].fill("");
        if lines.iter().all(|line| line.trim().is_empty() || line.starts_with('#')) {
            return None;
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::Kind;

    #[test]
    fn one_bad_entry_does_not_hide_the_others() {
        let text = "2025-01-01:\n  note: closed: shedding\n2025-01-02:\n  note: sound\n2025-01-03:\n  done: [glass\n2025-01-04:\n  note: again\n  note: twice\n";
        let mut problems = Vec::new();
        let root = parse_entries(&"log/2025.yaml".into(), text, 1, &mut problems);
        let root = root.unwrap();
        assert!(root.get("2025-01-01").is_none() && root.get("2025-01-03").is_none());
        let sound = root.get("2025-01-02").unwrap();
        assert_eq!(sound.get("note").unwrap().as_text(), Some("sound"));
        assert_eq!(sound.place.line, 4);
        let lines: Vec<u32> = problems.iter().map(|problem| problem.place.line).collect();
        assert_eq!(lines, [2, 6, 9]);
        assert!(matches!(problems[2].kind, Kind::DuplicateKey { .. }));
    }
}
