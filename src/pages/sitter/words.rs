//! The fixed wording of the sheet, one file a language.

use std::collections::BTreeMap;

use crate::record::sitter::Reads;

const ENGLISH: &str = include_str!("words/en.yaml");
const SPANISH: &str = include_str!("words/es.yaml");

/// The languages in which the sheet is there, with their wording as YAML.
pub const LANGUAGES: [(&str, &str); 2] = [("en", ENGLISH), ("es", SPANISH)];

/// Wording of one language.
#[derive(Clone, Debug)]
pub struct Words {
    pub language: String,
    strings: BTreeMap<String, String>,
}

impl Words {
    /// The wording of a language; `None` where there is none.
    pub fn of(language: &str) -> Option<Words> {
        let (name, text) = LANGUAGES.iter().find(|(name, _)| *name == language)?;
        Some(Words::from_yaml(name, text))
    }

    /// # Panics
    /// When the text is no map from keys to texts: the files are the program's own.
    pub fn from_yaml(language: &str, text: &str) -> Words {
        let strings = serde_yaml::from_str(text).expect("the wording is a map from keys to texts");
        Words { language: language.to_string(), strings }
    }

    pub fn strings(&self) -> &BTreeMap<String, String> {
        &self.strings
    }

    /// A string as it stands.
    ///
    /// # Panics
    /// When there is no such key; a test holds that every language has every key that is asked for.
    pub fn get(&self, key: &str) -> &str {
        self.strings.get(key).unwrap_or_else(|| panic!("the wording has no `{key}`"))
    }

    /// A string with its blanks filled in. Text from the record is escaped; what is [`Html`] already is not.
    pub fn fill(&self, key: &str, blanks: &[(&str, &dyn Blank)]) -> String {
        fill(self.get(key), |name| blanks.iter().find(|(known, _)| *known == name).map(|(_, value)| value.html()))
    }

    /// The same as plain text, without mark-up.
    pub fn plain(&self, key: &str, blanks: &[(&str, &str)]) -> String {
        let text = fill(self.get(key), |name| {
            blanks.iter().find(|(known, _)| *known == name).map(|(_, value)| value.to_string())
        });
        without_tags(&text)
    }
}

/// # Panics
/// When a blank of the string is not filled.
fn fill(text: &str, value: impl Fn(&str) -> Option<String>) -> String {
    let mut filled = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(start) = rest.find('{') {
        let end = rest[start..].find('}').expect("a blank ends") + start;
        filled.push_str(&rest[..start]);
        let name = &rest[start + 1..end];
        let value = value(name).unwrap_or_else(|| panic!("nobody fills `{name}` in: {text}"));
        rest = &rest[end + 1..];
        // Where nothing is filled in, its space goes too.
        if value.is_empty() && filled.ends_with(' ') && !rest.starts_with(char::is_alphanumeric) {
            filled.pop();
        }
        filled.push_str(&value);
    }
    filled.push_str(rest);
    filled
}

/// Mark-up out, entities back.
pub fn without_tags(html: &str) -> String {
    let mut text = String::with_capacity(html.len());
    let mut inside = false;
    for character in html.chars() {
        match character {
            '<' => inside = true,
            '>' if inside => inside = false,
            _ if !inside => text.push(character),
            _ => {}
        }
    }
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&#39;", "'").replace("&amp;", "&")
}

/// What can be filled into a string.
pub trait Blank {
    fn html(&self) -> String;
}

/// Text that is HTML already.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Html(pub String);

impl Blank for Html {
    fn html(&self) -> String {
        self.0.clone()
    }
}

impl Blank for String {
    fn html(&self) -> String {
        escape(self)
    }
}

impl Blank for &str {
    fn html(&self) -> String {
        escape(self)
    }
}

impl Blank for usize {
    fn html(&self) -> String {
        self.to_string()
    }
}

impl Blank for i32 {
    fn html(&self) -> String {
        self.to_string().replace('-', "\u{2212}")
    }
}

pub fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;").replace('\'', "&#39;")
}

/// The units that a language's readers mostly use, where nobody has said.
pub fn usual_reads(country: Option<&str>) -> Reads {
    if country.is_some_and(|country| country.eq_ignore_ascii_case("US")) { Reads::Us } else { Reads::Metric }
}
