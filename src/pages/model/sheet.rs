//! A page that stands alone: one file with its style and pictures inside, for handing on by itself.

use serde::Serialize;

use super::parts::*;

/// A sheet of paper, or a card for a bag.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Sheet {
    /// `sheet` for A4 and Letter, `card` for A6.
    pub kind: String,
    pub title: String,
    /// What it is and of when, in a sentence or two.
    pub standfirst: String,
    pub sections: Vec<SheetSection>,
    /// Sentences at the foot.
    pub foot: Vec<String>,
}

/// One part of a sheet. What is empty is not shown.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SheetSection {
    pub title: String,
    pub text: Vec<String>,
    pub items: Vec<String>,
    pub facts: Vec<SheetFact>,
    pub tables: Vec<Table>,
    pub pictures: Vec<SheetPicture>,
}

/// A label with its words.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SheetFact {
    pub label: String,
    pub text: String,
}

/// A picture inside the file.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SheetPicture {
    /// `data:image/jpeg;base64,…`
    pub data: String,
    pub alt: String,
    pub caption: String,
}

impl SheetSection {
    pub fn new(title: impl Into<String>) -> SheetSection {
        SheetSection { title: title.into(), ..SheetSection::default() }
    }

    pub fn say(mut self, text: impl Into<String>) -> SheetSection {
        self.text.push(text.into());
        self
    }

    pub fn items(mut self, items: impl IntoIterator<Item = String>) -> SheetSection {
        self.items.extend(items);
        self
    }

    pub fn fact(mut self, label: impl Into<String>, text: impl Into<String>) -> SheetSection {
        self.facts.push(SheetFact { label: label.into(), text: text.into() });
        self
    }

    pub fn table(mut self, table: Table) -> SheetSection {
        if !table.rows.is_empty() {
            self.tables.push(table);
        }
        self
    }
}
