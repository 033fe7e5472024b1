//! Plain text in lines that fit a terminal and a sheet of paper.

const WIDTH: usize = 78;

#[derive(Default)]
pub struct Plain(String);

impl Plain {
    pub fn finish(self) -> String {
        self.0
    }

    pub fn heading(&mut self, text: &str) {
        if !self.0.is_empty() {
            self.line("");
        }
        self.wrapped(text, "", "");
        self.line(&"-".repeat(text.chars().count().min(WIDTH)));
        self.line("");
    }

    pub fn line(&mut self, text: &str) {
        self.0.push_str(text);
        self.0.push('\n');
    }

    /// A paragraph.
    pub fn say(&mut self, text: &str) {
        self.wrapped(text, "", "");
        self.line("");
    }

    /// One point of a list.
    pub fn item(&mut self, text: &str) {
        self.wrapped(text, "- ", "  ");
    }

    fn wrapped(&mut self, text: &str, first: &str, then: &str) {
        let mut line = first.to_string();
        let mut is_empty = true;
        for word in text.split(char::is_whitespace).filter(|word| !word.is_empty()) {
            if !is_empty && line.chars().count() + 1 + word.chars().count() > WIDTH {
                self.line(line.trim_end());
                line = then.to_string();
                is_empty = true;
            }
            if !is_empty {
                line.push(' ');
            }
            line.push_str(word);
            is_empty = false;
        }
        self.line(line.trim_end());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_fit_and_points_hang() {
        let mut text = Plain::default();
        text.item(&"word ".repeat(40));
        let text = text.finish();
        assert!(text.lines().all(|line| line.chars().count() <= WIDTH), "{text}");
        assert!(text.starts_with("- word") && text.lines().nth(1).unwrap().starts_with("  word"), "{text}");
        assert_eq!(text.split_whitespace().filter(|word| *word == "word").count(), 40);
    }
}
