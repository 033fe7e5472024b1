//! Reading an archive again to prove that nothing private is in it.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io;
use std::path::Path;

use rayon::prelude::*;
use walkdir::WalkDir;

use super::for_each_chunk;
use super::strip::metadata;

/// What must not be in the archive.
#[derive(Debug, Default)]
pub struct Needles {
    /// The text, and what it is called when it is found: never the text itself.
    texts: Vec<(Vec<u8>, String)>,
    /// By their first two bytes.
    by_start: BTreeMap<[u8; 2], Vec<usize>>,
    longest: usize,
}

/// A text must have so many letters or digits to be searched for: shorter ones stand everywhere.
const SHORTEST: usize = 5;

/// Single words of small letters are searched for from this length on.
const LONGEST_WORD: usize = 9;

impl Needles {
    /// Adds a private value. Says whether it is one that a search can find: dates, plain numbers and short words stand in
    /// too many places to mean anything, and `names` are those of the record's own files, which are no secret.
    pub fn add(&mut self, value: &str, called: &str, names: &BTreeSet<&str>) -> bool {
        let mut is_searched = false;
        for line in value.lines().map(str::trim) {
            let letters = line.chars().filter(|c| c.is_alphabetic()).count();
            let digits = line.chars().filter(char::is_ascii_digit).count();
            let is_date = line.get(..10).is_some_and(|start| start.parse::<jiff::civil::Date>().is_ok());
            // A setting such as `metric` is a word of the program's, and stands on its pages as such.
            let is_word = line.len() < LONGEST_WORD && line.chars().all(char::is_lowercase);
            let is_plain = is_date || is_word || is_duration(line) || names.contains(line);
            if letters + digits >= SHORTEST && (letters > 0 || digits >= 6) && !is_plain {
                self.push(line, called);
                is_searched = true;
            }
            // Numbers of telephones and policies, by themselves.
            for word in line.split(|c: char| c.is_whitespace() || c == ',' || c == ';') {
                if word != line
                    && word.chars().filter(char::is_ascii_digit).count() >= 6
                    && word.parse::<jiff::civil::Date>().is_err()
                {
                    self.push(word, called);
                    is_searched = true;
                }
            }
        }
        is_searched
    }

    fn push(&mut self, text: &str, called: &str) {
        // As a page and as JSON would write it.
        let html = text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;");
        let quoted = html.replace('\'', "&#x27;");
        let decimal = html.replace('\'', "&#39;");
        let slashed = quoted.replace('/', "&#x2F;");
        let json = serde_json::to_string(text).unwrap_or_default();
        let csv = text.replace('"', "\"\"");
        let mut forms = vec![text.to_string(), html, quoted, decimal, slashed, json.trim_matches('"').to_string(), csv];
        forms.sort();
        forms.dedup();
        for form in forms {
            let bytes = form.into_bytes();
            if let [first, second, ..] = bytes[..] {
                self.longest = self.longest.max(bytes.len());
                self.by_start.entry([first, second]).or_default().push(self.texts.len());
                self.texts.push((bytes, called.to_string()));
            }
        }
    }

    pub fn is_empty(&self) -> bool {
        self.texts.is_empty()
    }

    /// Which pairs of bytes one of these begins with.
    pub fn starts(&self) -> Vec<bool> {
        let mut starts = vec![false; 1 << 16];
        for pair in self.by_start.keys() {
            starts[usize::from(pair[0]) << 8 | usize::from(pair[1])] = true;
        }
        starts
    }

    /// Where these stand in a line: the byte, the letters, and what each is called.
    pub fn in_line(&self, starts: &[bool], line: &str) -> Vec<(usize, u32, &str)> {
        let mut found = Vec::new();
        self.each_within(starts, line.as_bytes(), |at, (text, called)| {
            // A longer form of the same, or the same once more, says nothing new.
            if !found.iter().any(|(_, _, other)| *other == called.as_str()) {
                found.push((at, String::from_utf8_lossy(text).chars().count() as u32, called.as_str()));
            }
        });
        found
    }

    /// What of these stands in some bytes.
    fn within(&self, starts: &[bool], bytes: &[u8], found: &mut Vec<String>) {
        self.each_within(starts, bytes, |_, (_, called)| {
            if !found.contains(called) {
                found.push(called.clone());
            }
        });
    }

    fn each_within<'n>(&'n self, starts: &[bool], bytes: &[u8], mut tell: impl FnMut(usize, &'n (Vec<u8>, String))) {
        for (at, pair) in bytes.windows(2).enumerate() {
            if starts[usize::from(pair[0]) << 8 | usize::from(pair[1])] {
                for number in &self.by_start[&[pair[0], pair[1]]] {
                    let needle = &self.texts[*number];
                    if bytes[at..].starts_with(&needle.0) && stands_alone(bytes, at, &needle.0) {
                        tell(at, needle);
                    }
                }
            }
        }
    }
}

/// Searches every file of a folder for what must not be there, and every picture for metadata. Gives what was found, as
/// sentences, in the order of the files.
///
/// # Errors
/// When a file cannot be read.
pub fn prove(folder: &Path, needles: &Needles) -> io::Result<Vec<String>> {
    let starts = needles.starts();
    let mut files = Vec::new();
    for entry in WalkDir::new(folder).sort_by_file_name() {
        let entry = entry.map_err(io::Error::from)?;
        if entry.file_type().is_file() {
            files.push(entry.into_path());
        }
    }
    let found: Vec<Vec<String>> = files
        .par_iter()
        .map(|path| {
            let shown = path.strip_prefix(folder).unwrap_or(path).display().to_string();
            let mut found = Vec::new();
            // The end of each piece is looked at again with the next, so that nothing hides across the border.
            let mut window: Vec<u8> = Vec::new();
            for_each_chunk(path, |chunk| {
                let kept = window.len().min(needles.longest.saturating_sub(1));
                window.drain(..window.len() - kept);
                window.extend_from_slice(chunk);
                needles.within(&starts, &window, &mut found);
                Ok(())
            })?;
            let mut told: Vec<String> = found.into_iter().map(|called| format!("{called} stands in {shown}")).collect();
            if is_picture(path) {
                match metadata(&fs::read(path)?) {
                    Ok(names) if names.is_empty() => {}
                    Ok(names) => told.push(format!("{shown} carries metadata: {}", names.join(", "))),
                    Err(why) => told.push(format!("{shown} cannot be looked into: {why}")),
                }
            }
            Ok(told)
        })
        .collect::<io::Result<_>>()?;
    Ok(found.into_iter().flatten().collect())
}

/// `2 days` tells nothing of anybody.
fn is_duration(line: &str) -> bool {
    let units = ["day", "days", "week", "weeks", "month", "months", "year", "years", "hour", "hours", "min"];
    line.split_once(' ').is_some_and(|(count, unit)| count.parse::<u32>().is_ok() && units.contains(&unit))
}

/// Whether a text is no part of a longer word or number: `24 EUR` does not stand in `0.24 EUR/kWh`.
fn stands_alone(bytes: &[u8], at: usize, text: &[u8]) -> bool {
    let joins = |byte: Option<&u8>| byte.is_some_and(|byte| byte.is_ascii_alphanumeric());
    let before = at.checked_sub(1).and_then(|place| bytes.get(place));
    let is_decimal = before == Some(&b'.') && text[0].is_ascii_digit();
    let starts_within = joins(text.first()) && (joins(before) || is_decimal);
    let ends_within = joins(text.last()) && joins(bytes.get(at + text.len()));
    !starts_within && !ends_within
}

fn is_picture(path: &Path) -> bool {
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    matches!(ending.as_deref(), Some("jpg" | "jpeg" | "png" | "webp"))
}

#[cfg(test)]
mod tests {
    use super::super::CHUNK;
    use super::*;

    #[test]
    fn a_value_is_found_wherever_and_however_it_stands() {
        let (mut needles, names) = (Needles::default(), BTreeSet::from(["sand-gobies"]));
        assert!(!needles.add("sand-gobies", "a file", &names) && !needles.add("metric", "a setting", &names));
        assert!(needles.add("Quill & \"Son\"", "the shop", &names));
        assert!(needles.add("ring Beata, 000-555-0199", "the neighbour", &names));
        for plain in ["yes", "2026-10-03", "12", "3.5 L", "a b"] {
            assert!(!needles.add(plain, "nothing", &names), "{plain}");
        }
        let folder = tempfile::tempdir().unwrap();
        let across = format!("{} Quill & \"Son\"", "x".repeat(CHUNK - 5));
        for (name, text) in [
            ("a.txt", "at Quill & \"Son\" today"),
            ("b.html", "<p>Quill &amp; &quot;Son&quot;</p>"),
            ("c.json", r#"{"a":"Quill & \"Son\""}"#),
            ("d.txt", across.as_str()),
            ("e.txt", "call 000-555-0199."),
            ("f.txt", "Quill and Son, 000-555-019"),
        ] {
            fs::write(folder.path().join(name), text).unwrap();
        }
        assert_eq!(
            prove(folder.path(), &needles).unwrap(),
            [
                "the shop stands in a.txt",
                "the shop stands in b.html",
                "the shop stands in c.json",
                "the shop stands in d.txt",
                "the neighbour stands in e.txt",
            ]
        );
    }
}
