//! Located nodes: what a YAML file says, with the place of every key and value, and every scalar as it was typed.

use crate::diagnostic::Place;

#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    pub content: Content,
    pub place: Place,
    /// Line and column (from 1) just behind the node's last character.
    pub end: (u32, u32),
}

#[derive(Clone, Debug, PartialEq)]
pub enum Content {
    /// Nothing typed, or `~`.
    Null,
    Scalar {
        text: String,
        plain: bool,
    },
    List(Vec<Node>),
    Map(Vec<(Node, Node)>),
}

impl Content {
    /// What stands here, in a keeper's words.
    pub fn words(&self) -> &'static str {
        match self {
            Content::Null => "nothing",
            Content::Scalar { .. } => "a text",
            Content::List(_) => "a list",
            Content::Map(_) => "keys with values",
        }
    }
}

impl Node {
    pub fn as_text(&self) -> Option<&str> {
        match &self.content {
            Content::Scalar { text, .. } => Some(text),
            _ => None,
        }
    }

    /// The value under a key of a mapping.
    pub fn get(&self, key: &str) -> Option<&Node> {
        match &self.content {
            Content::Map(pairs) => pairs.iter().find(|(name, _)| key_name(name) == key).map(|(_, value)| value),
            _ => None,
        }
    }
}

/// A key as it is compared: small letters, with `-` for spaces (also no-break ones) and underscores.
pub fn key_name(key: &Node) -> String {
    key.as_text().unwrap_or_default().trim().to_lowercase().replace([' ', '_', '\u{a0}', '\u{202f}'], "-")
}
