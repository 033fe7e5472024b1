//! Tables that stand in a CSV beside a spec sheet: a pump's curve, a lamp's spectrum.

use super::fields::Context;
use super::sensor::cell_place;
use super::timeline::Located;
use super::{Record, SpecSheet};
use crate::diagnostic::{Diagnostic, Kind, Place};
use crate::read::{Folder, for_each_row};
use crate::science::photons::Spectrum;

/// Reads the tables that the spec sheets name.
pub fn read(folder: &Folder, record: &mut Record, context: &mut Context) {
    for tank in record.tanks.values_mut() {
        for spec in tank.specs.values_mut() {
            if let Some(file) = named(spec, "curve")
                && let Some((_, mut points)) = table(folder, spec, &file, "head_m", &["flow_l_h"], context)
            {
                points.sort_by(|a, b| a.0.total_cmp(&b.0));
                spec.curve = points;
            }
            spectrum(folder, spec, context);
        }
    }
}

/// What a sheet says under a key.
fn named(spec: &SpecSheet, key: &str) -> Option<Located<String>> {
    spec.stated.iter().find(|(stated, _)| stated == key).map(|(_, text)| text.clone())
}

/// A spectrum from its file, or a published light by its name; other words are the maker's and say nothing to work with.
fn spectrum(folder: &Folder, spec: &mut SpecSheet, context: &mut Context) {
    let Some(said) = named(spec, "spectrum") else {
        return;
    };
    if !said.value.to_lowercase().ends_with(".csv") {
        spec.spectrum = Spectrum::named(&said.value);
        return;
    }
    let Some((second, mut points)) =
        table(folder, spec, &said, "wavelength_nm", &["relative", "power", "photons"], context)
    else {
        return;
    };
    if second == "photons" {
        // A photon carries the less energy the longer its wave.
        for (nm, power) in &mut points {
            *power /= nm.max(f64::MIN_POSITIVE);
        }
    }
    match Spectrum::of_points(&points) {
        Ok(spectrum) => spec.spectrum = Some(spectrum),
        Err(refusal) => {
            let kind = Kind::Contradiction {
                what: format!("`{}` holds no spectrum", said.value),
                why: refusal.to_string(),
                suggestion: None,
            };
            context.note(kind, &said.place);
        }
    }
}

/// The header of the second column and the rows of a table of two columns beside a sheet. What is wrong in it is told,
/// and the sound rows are kept.
fn table(
    folder: &Folder,
    spec: &SpecSheet,
    file: &Located<String>,
    first: &'static str,
    second: &[&'static str],
    context: &mut Context,
) -> Option<(&'static str, Vec<(f64, f64)>)> {
    if file.value.split(['/', '\\']).any(|part| part == "..") {
        context.note(Kind::LeavesTheRecord { path: file.value.clone() }, &file.place);
        return None;
    }
    let beside = spec.place.file.rsplit_once('/').map_or("", |(beside, _)| beside);
    let path = format!("{beside}/{}", file.value);
    if !folder.csv.contains(path.as_str()) {
        let kind = Kind::DanglingReference {
            what: "table beside the sheet".into(),
            name: file.value.clone(),
            nearest: crate::diagnostic::nearest(&path, folder.csv.iter().map(|path| &**path)),
            known: folder.csv.iter().map(|path| path.to_string()).collect(),
        };
        context.note(kind, &file.place);
        return None;
    }
    let mut points = Vec::new();
    let mut problems = Vec::new();
    let mut found: Option<&'static str> = None;
    let mut headers_checked = false;
    let result = for_each_row(folder, &path, b',', &mut |headers, line, row| {
        let is =
            |index: usize, wanted: &str| headers.get(index).is_some_and(|header| header.eq_ignore_ascii_case(wanted));
        if !headers_checked {
            headers_checked = true;
            found = second.iter().copied().find(|name| is(1, name));
            let missing = if is(0, first) { found.is_none().then(|| second.join(" or ")) } else { Some(first.into()) };
            if let Some(column) = missing {
                found = None;
                let found = headers.iter().map(|header| header.to_string()).collect();
                let place = Place { file: path.as_str().into(), line: 1, column: 1, length: 1 };
                problems.push(Diagnostic::new(Kind::MissingColumn { column, found }, place));
            }
        }
        if let Some(second) = found {
            points.extend(two_numbers(&path, [first, second], line, row, &mut problems));
        }
    });
    problems.extend(result.err().unwrap_or_default());
    for problem in problems {
        context.diagnostics.push(problem);
    }
    Some((found?, points))
}

/// The two numbers of a row, neither below zero; every cell that is none is told at its place.
fn two_numbers(
    path: &str,
    columns: [&str; 2],
    line: u64,
    row: &csv::StringRecord,
    problems: &mut Vec<Diagnostic>,
) -> Option<(f64, f64)> {
    let mut numbers = [None; 2];
    for (index, name) in columns.iter().enumerate() {
        let typed = row.get(index).unwrap_or_default();
        numbers[index] = typed.trim().parse::<f64>().ok().filter(|number| number.is_finite() && *number >= 0.0);
        if numbers[index].is_none() {
            let kind = Kind::BadCell {
                column: name.to_string(),
                typed: typed.into(),
                wanted: "a number of zero or more, with a decimal point".into(),
            };
            problems.push(Diagnostic::new(kind, cell_place(path, line, row, index)));
        }
    }
    Some((numbers[0]?, numbers[1]?))
}
