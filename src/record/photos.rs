//! Photos with what the record says of them.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::{Date, DateTime};

use super::fields::Context;
use super::parse::story::Caption;
use super::story::Photo;
use super::{Located, Record, Tank};
use crate::diagnostic::{Kind, Place, nearest};
use crate::read::{DocumentKind, Folder};

/// Every photo of the folder, with its caption. A caption for a photo that is not there is a warning.
pub fn gather(folder: &Folder, context: &mut Context) -> BTreeMap<String, Photo> {
    let mut captions: BTreeMap<String, (Caption, Place)> = BTreeMap::new();
    for document in folder.documents.iter().filter(|document| document.kind == DocumentKind::Captions) {
        for (file, caption) in super::parse::story::captions(document, context) {
            captions.insert(format!("photos/{}", file.trim_start_matches("photos/")), caption);
        }
    }
    let mut photos = BTreeMap::new();
    for file in &folder.photos {
        let path = file.path.to_string();
        let (caption, place) = captions.remove(&path).map_or((Caption::default(), None), |(c, p)| (c, Some(p)));
        let taken = file.header.as_ref().and_then(|header| header.taken.as_deref()).and_then(exif_moment);
        let date = caption.on.or_else(|| date_in_name(&path)).or_else(|| taken.map(|taken| taken.date()));
        let photo = Photo {
            absolute: file.absolute.clone(),
            bytes: file.bytes,
            modified: file.modified,
            header: file.header.as_ref().map(|header| (header.width, header.height, header.orientation)),
            date,
            taken,
            caption: caption.caption,
            of: caption.of,
            view: caption.view,
            lamp: caption.lamp,
            place,
            path: path.clone(),
            is_private: false,
        };
        photos.insert(path, photo);
    }
    for (path, (_, place)) in captions {
        let kind = Kind::MissingPhoto { nearest: nearest(&path, photos.keys().map(String::as_str)), path };
        context.note(kind, &place);
    }
    photos
}

/// What is said of a photo where it is named: by an entry, by a colony or with its size, by a device. `photos/captions.yaml`
/// speaks first.
pub fn tell(record: &mut Record) {
    let mut told: Vec<(String, Caption)> = Vec::new();
    let main = record.main_tank().map(|tank| tank.key.clone());
    for tank in record.tanks.values() {
        // A picture that names nothing shows the tank in whose log it stands; of the main one that goes without saying.
        let whole = || (Some(&tank.key) != main.as_ref()).then(|| tank.key.clone()).into_iter().collect();
        for entry in &tank.entries {
            told.extend(entry.photos.iter().map(|used| {
                let caption = Caption {
                    caption: used.caption.clone(),
                    of: if used.of.is_empty() { whole() } else { used.of.clone() },
                    view: used.view.clone(),
                    lamp: used.lamp.clone(),
                    on: Some(entry.when.date()),
                };
                (used.file.value.clone(), caption)
            }));
        }
        let of = |key: &String| Caption { of: vec![key.clone()], ..Caption::default() };
        let devices = tank.devices.iter();
        told.extend(devices.filter_map(|(key, device)| Some((device.photo.as_ref()?.value.clone(), of(key)))));
    }
    let by_colonies = told.len();
    for (key, colony) in &record.colonies {
        let portrait = colony.photo.iter().map(|photo| (photo, None));
        let measured = colony.sizes.iter().filter_map(|size| Some((size.photo.as_ref()?, Some(size.on))));
        told.extend(portrait.chain(measured).map(|(photo, on)| {
            let caption = Caption { of: vec![key.clone()], on, ..Caption::default() };
            (photo.value.clone(), caption)
        }));
    }
    for (number, (named, told)) in told.into_iter().enumerate() {
        let Some(path) = find(&record.photos, &named).map(|photo| photo.path.clone()) else { continue };
        let Some(photo) = record.photos.get_mut(&path) else { continue };
        photo.caption = photo.caption.take().or(told.caption);
        photo.view = photo.view.take().or(told.view);
        photo.lamp = photo.lamp.take().or(told.lamp);
        photo.date = photo.date.or(told.on);
        // A size may be taken from a picture of the whole tank, or of a neighbour.
        if number >= by_colonies && (photo.view.as_deref() == Some("front") || !photo.of.is_empty()) {
            continue;
        }
        for who in told.of {
            if !photo.of.contains(&who) {
                photo.of.push(who);
            }
        }
    }
}

/// Whether a photo belongs to a tank: it names the tank, something that stood in it on that day, or, of the main tank, nothing.
pub fn shows_tank(record: &Record, tank: &Tank, photo: &Photo) -> bool {
    let is_main = record.main_tank().is_some_and(|main| main.key == tank.key);
    let stood_here = |name: &String| {
        let placement = record.colonies.get(name).and_then(|colony| colony.placement_on(photo.date?));
        placement.is_some_and(|placement| placement.tank.value == tank.key)
    };
    let names_it = |name: &String| *name == tank.key || tank.device(name).is_some() || stood_here(name);
    (is_main && photo.of.is_empty()) || photo.of.iter().any(names_it)
}

/// Marks the photos that nothing but the private plan for a sitter names. A photo that nothing names was put among the
/// others to be shown.
pub fn mark_private(record: &mut Record) {
    let mut shown: Vec<&Located<String>> = Vec::new();
    let mut kept: Vec<&Located<String>> = Vec::new();
    for tank in record.tanks.values() {
        shown.extend(&tank.hero);
        shown.extend(tank.devices.values().filter_map(|device| device.photo.as_ref()));
        shown.extend(tank.entries.iter().flat_map(|entry| &entry.photos).map(|used| &used.file));
        let plan = &tank.upkeep.sitter;
        kept.extend(plan.level.iter().filter_map(|level| level.photo.as_ref()));
        kept.extend(plan.looks.iter().chain(&plan.odd).filter_map(|shot| shot.photo.as_ref()));
    }
    for colony in record.colonies.values() {
        shown.extend(colony.photo.iter().chain(colony.sizes.iter().filter_map(|size| size.photo.as_ref())));
    }
    shown.extend(record.chapters.iter().filter_map(|chapter| chapter.photo.as_ref()));
    let paths = |names: &[&Located<String>]| -> BTreeSet<String> {
        names.iter().filter_map(|name| Some(find(&record.photos, &name.value)?.path.clone())).collect()
    };
    let (shown, kept) = (paths(&shown), paths(&kept));
    for photo in record.photos.values_mut() {
        let in_prose = record.chapters.iter().any(|chapter| chapter.prose.contains(&photo.path));
        photo.is_private =
            kept.contains(&photo.path) && !shown.contains(&photo.path) && photo.place.is_none() && !in_prose;
    }
}

pub fn find<'a>(photos: &'a BTreeMap<String, Photo>, typed: &str) -> Option<&'a Photo> {
    let typed = typed.trim().trim_start_matches("./");
    photos.get(typed).or_else(|| photos.get(&format!("photos/{typed}")))
}

/// An ISO date that starts the file's name.
fn date_in_name(path: &str) -> Option<Date> {
    let name = path.rsplit('/').next()?;
    name.get(0..10)?.parse().ok()
}

/// EXIF writes `2025:04:12 18:30:05`.
fn exif_moment(typed: &str) -> Option<DateTime> {
    let (date, time) = typed.trim().split_once(' ')?;
    format!("{}T{time}", date.replace(':', "-")).parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_name_may_start_with_its_date() {
        assert_eq!(date_in_name("photos/2025/2025-04-12-leather.jpg"), Some(date(2025, 4, 12)));
        assert_eq!(date_in_name("photos/leather.jpg"), None);
        assert_eq!(date_in_name("photos/2025-13-12.jpg"), None);
    }

    #[test]
    fn exif_writes_dates_its_own_way() {
        assert_eq!(exif_moment("2025:04:12 18:30:05").unwrap().date(), date(2025, 4, 12));
        assert_eq!(exif_moment("    :  :     :  :  "), None);
    }
}
