//! The archive edition: the record, the journal and the tables in one bag.

use std::io;
use std::path::PathBuf;

use jiff::civil::Date;

use super::{Failure, Look, Quiet, Request, cards, develop, load_sound, pages_of_journal, stand, without_private};
use crate::cautions::{self, Reader};
use crate::figures;
use crate::pages::archive as pages;
use crate::read;
use crate::write::bag::{self, Changed, Payload};
use crate::write::publish::{self, Content};

/// What an archive is to be.
#[derive(Clone, Copy, Debug, Default)]
pub struct Wanted {
    /// Less everything that is private, and proved so.
    pub without_private: bool,
    /// With a loss report of a period, both days included.
    pub loss: Option<(Date, Date)>,
}

/// What came of an archive.
#[derive(Debug)]
pub struct Archived {
    pub edition: PathBuf,
    /// Files of the payload.
    pub files: usize,
    pub tables: usize,
    /// What differs from the bag that stood there; `None` where none did.
    pub changed: Option<Changed>,
    /// Warnings, as text.
    pub warnings: String,
    pub warning_count: usize,
}

/// Writes the archive edition, with `without_private` less everything that is private, into `out/archive` of the record.
/// It stands at the newest entry, whatever is held back from the journal by `publish-lag`: an archive is not published.
///
/// # Errors
/// When the record has errors (nothing is written then), a theme or template is wrong, or the system refuses.
pub fn archive(request: &Request, wanted: Wanted) -> Result<Archived, Failure> {
    let out = request.folder.join("out");
    let edition = out.join("archive");
    let mut loaded = load_sound(request)?;
    let newest = loaded.record.newest_entry().unwrap_or(request.today);
    stand(&mut loaded, request, newest);
    let findings = figures::work_out(&loaded.record);
    let cautions = cautions::raise(&loaded.record, &findings, Reader::Everybody);

    let look = Look::of(request)?;
    let (mut journal, previews) = pages_of_journal(&loaded, &findings, &cautions, &look, None)?;
    develop(&mut loaded, &previews, &out, &mut journal, &Quiet)?;
    journal.extend(cards(&loaded, &findings, &cautions, &look, &journal)?);
    let record = &loaded.record;
    let tables = pages::tables(record, &findings, &loaded.folder);
    let mut payload: Vec<(String, Payload<'_>)> =
        journal.into_iter().map(|(path, content)| (format!("journal/{path}"), payload_of(content))).collect();

    let public = wanted.without_private.then(|| without_private::record(&loaded.folder)).transpose()?;
    let mut needles = None;
    if let Some(public) = public {
        payload.extend(public.files.into_iter().map(|(path, content)| (format!("record/{path}"), content)));
        let text = pages::statement(&public.left_out, &loaded.record.as_of.to_string());
        payload.push(("without-private.txt".into(), Payload::Bytes(text.into_bytes())));
        needles = Some(public.needles);
    } else {
        for (path, absolute) in read::all_files(&request.folder)? {
            payload.push((format!("record/{path}"), Payload::Copy(absolute)));
        }
    }

    let as_of = record.as_of.to_string();
    let name = record.main_tank().map_or("A reef tank", |tank| tank.name.value.as_str()).to_string();
    let title = format!("{name}: the record as tables");
    let about = format!("The record of the reef tank {name} up to {as_of}, one kind of thing to a table.");
    for table in &tables {
        payload.push((format!("tables/{}", table.file()), Payload::Written(Box::new(|to| table.write_csv(to)))));
    }
    let descriptor = pages::descriptor(&tables, &title, &about, &as_of);
    payload.push(("tables/datapackage.json".into(), Payload::Bytes(format!("{descriptor:#}\n").into_bytes())));

    let reader = if wanted.without_private { Reader::Everybody } else { Reader::House };
    let cautions = cautions::raise(record, &findings, reader);
    let hand_over = pages::hand_over(record, &findings, &cautions, &loaded.folder, !wanted.without_private);
    payload.push(("hand-over.txt".into(), Payload::Bytes(pages::sheet_text(&hand_over).into_bytes())));
    let mut sheets = vec![("hand-over.html".to_string(), hand_over)];
    if let Some(period) = wanted.loss {
        let private = !wanted.without_private;
        let report = pages::loss_report(record, &findings, &cautions, &loaded.folder, period, private);
        let sums = report
            .originals
            .iter()
            .map(|path| Ok((path.clone(), bag::sha256(&request.folder.join(path))?)))
            .collect::<io::Result<_>>()?;
        let sheet = pages::with_checksums(report, sums);
        payload.push(("loss-report.txt".into(), Payload::Bytes(pages::sheet_text(&sheet).into_bytes())));
        sheets.push(("loss-report.html".to_string(), sheet));
    }
    let rendered = look.renderer.sheets(&sheets).map_err(Failure::Template)?;
    payload.extend(rendered.into_iter().map(|(path, bytes)| (path, Payload::Bytes(bytes))));

    let readme = pages::readme(&pages::Contents {
        name: &name,
        as_of: &as_of,
        tables: &tables,
        tanks: record.tanks.len(),
        colonies: record.colonies.len(),
        entries: record.tanks.values().map(|tank| tank.entries.len()).sum(),
        photos: record.photos.len(),
        without_private: wanted.without_private,
    });
    let info = [
        ("External-Description", format!("Record of the reef tank {name} as it stood on {as_of}")),
        ("Bagging-Date", as_of.clone()),
        ("Bag-Software-Agent", concat!("polypary ", env!("CARGO_PKG_VERSION")).to_string()),
    ];
    let count = payload.len();
    let changed = publish::stage(&out, "archive", |staged| {
        let tags = vec![("README.txt".into(), readme.into_bytes())];
        let changed = bag::make(staged, payload, &info, tags, &edition)?;
        if let Some(needles) = &needles {
            let found = bag::prove(staged, needles)?;
            if !found.is_empty() {
                return Err(Failure::Private(found));
            }
        }
        Ok(changed)
    })?;
    Ok(Archived {
        edition,
        files: count,
        tables: tables.len(),
        changed,
        warnings: loaded.diagnostics.render_all(&loaded.folder.sources),
        warning_count: loaded.diagnostics.warning_count(),
    })
}

fn payload_of(content: Content) -> Payload<'static> {
    match content {
        Content::Bytes(bytes) => Payload::Bytes(bytes),
        Content::Kept(path) => Payload::Copy(path),
    }
}
