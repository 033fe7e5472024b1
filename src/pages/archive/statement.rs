//! The statement of an archive without private things: what was left out, and how it was made sure.

use super::plain::Plain;

/// What was left out, by number. What it was is nobody's business.
#[derive(Clone, Copy, Debug, Default)]
pub struct LeftOut {
    /// Private values of the record.
    pub values: usize,
    /// Of these, the ones long enough to be searched for.
    pub searched: usize,
    /// Lines that held them.
    pub lines: usize,
    /// Lines that lost a comment.
    pub comments: usize,
    pub files_changed: usize,
    /// Photos that went along without their metadata.
    pub photos: usize,
    /// Files that did not go along.
    pub files: usize,
}

/// The text of `without-private.txt`.
pub fn statement(left_out: &LeftOut, as_of: &str) -> String {
    let mut text = Plain::default();
    text.heading("Without what is private");
    text.say(&format!(
        "This copy of the record, as it stood on {as_of}, was made to be handed on. What the keeper marked as private is \
         not in it: neither in the keeper's own files, nor in the web pages, the tables or the hand-over."
    ));
    text.item(&format!("private values left out: {}, on {} lines", left_out.values, left_out.lines));
    text.item(&format!("lines that lost a comment, which may say anything: {}", left_out.comments));
    text.item(&format!(
        "files of the record that were changed by that: {}; the others are as the keeper left them, byte for byte",
        left_out.files_changed
    ));
    text.item(&format!(
        "photographs without what the camera wrote about them (place, time, device, previews): {}; their pixels are \
         untouched, and which way is up and the colour profile stay",
        left_out.photos
    ));
    text.item(&format!("files that the program does not read and so cannot vouch for, left out: {}", left_out.files));
    text.heading("How it was made sure");
    text.say(&format!(
        "After everything was written, and before it was let stand, the program read every file of this folder again. It \
         searched for each of {} private values, as typed and as web pages, tables and JSON would write them, and looked \
         for metadata in every picture. Had one been found, this folder would not be here.",
        left_out.searched
    ));
    text.say(&format!(
        "{} private values are dates, plain numbers or short words that stand in many places and cannot be searched for; \
         their lines were left out like the others. A line that holds something private is left out whole, with whatever \
         else stood on it; an empty line stands in its place.",
        left_out.values - left_out.searched
    ));
    text.say(
        "What it cannot know: whether the keeper wrote something private where it was not marked, and what can be seen in a \
         photograph.",
    );
    text.finish()
}
