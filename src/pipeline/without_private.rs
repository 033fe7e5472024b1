//! The record as it may be handed to anybody, and what the proof of that has to look for.

use std::collections::BTreeSet;
use std::io;
use std::path::Path;
use std::sync::Arc;

use rayon::prelude::*;

use crate::diagnostic::{Diagnostic, Diagnostics, Kind, Place};
use crate::pages::archive::LeftOut;
use crate::read::{self, Folder, private_lines, private_values, public_lines};
use crate::write::bag::{self, Needles, Payload};

/// The record's files less what is private, what was left out, and what must not be found again.
pub struct Public {
    pub files: Vec<(String, Payload<'static>)>,
    pub left_out: LeftOut,
    pub needles: Needles,
}

/// Only what the program reads, and so can vouch for, goes along.
///
/// # Errors
/// When a file cannot be read.
pub fn record(folder: &Folder) -> io::Result<Public> {
    let (needles, left_out) = needles(folder);
    let mut public = Public { files: Vec::new(), left_out, needles };
    for document in &folder.documents {
        let text: Arc<str> = folder.sources.get(&document.path).cloned().unwrap_or_else(|| "".into());
        let hidden = private_lines(&document.root);
        let lines = public_lines(document, &text, &hidden);
        let mut is_changed = false;
        for (typed, line) in text.lines().zip(&lines) {
            match line {
                None => public.left_out.lines += 1,
                Some(line) if line != typed => public.left_out.comments += 1,
                Some(_) => continue,
            }
            is_changed = true;
        }
        let content = if is_changed {
            public.left_out.files_changed += 1;
            // An empty line in its place keeps the numbers of the others, to which the tables point.
            let kept: Vec<String> = lines.into_iter().map(Option::unwrap_or_default).collect();
            Payload::Bytes((kept.join("\n") + "\n").into_bytes())
        } else {
            Payload::Copy(folder.root.join(document.path.as_ref()))
        };
        public.files.push((document.path.to_string(), content));
    }
    for csv in &folder.csv {
        public.files.push((csv.to_string(), Payload::Copy(folder.root.join(csv.as_ref()))));
    }
    let photos: Vec<Option<(String, Payload<'static>)>> = folder
        .photos
        .par_iter()
        .map(|photo| {
            let header = photo.header.as_ref()?;
            let stripped = Payload::Stripped(photo.absolute.clone(), header.orientation);
            bag::can_strip(&photo.absolute).then(|| (photo.path.to_string(), stripped))
        })
        .collect();
    public.left_out.photos = photos.iter().flatten().count();
    public.files.extend(photos.into_iter().flatten());
    public.left_out.files = all(&folder.root)?.saturating_sub(public.files.len());
    Ok(public)
}

/// What must not stand in the open, and how many values that is.
fn needles(folder: &Folder) -> (Needles, LeftOut) {
    let (mut needles, mut count) = (Needles::default(), LeftOut::default());
    let names: BTreeSet<&str> = folder.documents.iter().map(|document| document.name.as_str()).collect();
    for (value, place) in folder.documents.iter().flat_map(|document| private_values(&document.root)) {
        count.values += 1;
        if needles.add(&value, &format!("the private value of {}, line {},", place.file, place.line), &names) {
            count.searched += 1;
        }
    }
    (needles, count)
}

/// Warns of private words that the record also writes in the open, from where they would be published.
pub fn look_for_told(folder: &Folder, diagnostics: &mut Diagnostics) {
    let (needles, _) = needles(folder);
    if needles.is_empty() {
        return;
    }
    let starts = needles.starts();
    for document in &folder.documents {
        let Some(text) = folder.sources.get(&document.path) else { continue };
        let lines = public_lines(document, text, &private_lines(&document.root));
        for (number, line) in (1..).zip(lines).filter_map(|(number, line)| Some((number, line?))) {
            for (at, length, called) in needles.in_line(&starts, &line) {
                let kind = Kind::ToldInTheOpen { what: called.to_string() };
                let column = line[..at].chars().count() as u32 + 1;
                let place = Place { file: document.path.clone(), line: number, column, length };
                diagnostics.push(Diagnostic::new(kind, place));
            }
        }
    }
}

fn all(root: &Path) -> io::Result<usize> {
    Ok(read::all_files(root)?.len())
}
