//! The same sheet as plain text.

use super::plain::Plain;
use crate::pages::model::sheet::Sheet;

/// A sheet in lines of text. Tables become lines of `head: cell`, since no width fits all.
pub fn sheet_text(sheet: &Sheet) -> String {
    let mut text = Plain::default();
    text.heading(&sheet.title);
    text.say(&sheet.standfirst);
    for section in &sheet.sections {
        text.heading(&section.title);
        for line in &section.text {
            text.say(line);
        }
        for fact in &section.facts {
            text.item(&format!("{}: {}", fact.label, fact.text));
        }
        for item in &section.items {
            text.item(item);
        }
        for table in &section.tables {
            text.line("");
            text.say(&format!("{}:", table.caption));
            for row in &table.rows {
                let cells: Vec<String> = table
                    .head
                    .iter()
                    .zip(row)
                    .filter(|(_, cell)| !cell.text.is_empty())
                    .map(|(head, cell)| {
                        if cell.header || head.text.is_empty() {
                            cell.text.clone()
                        } else {
                            format!("{}: {}", head.text.to_lowercase(), cell.text)
                        }
                    })
                    .collect();
                text.item(&cells.join("; "));
            }
        }
    }
    text.line("");
    for line in &sheet.foot {
        text.say(line);
    }
    text.finish()
}
