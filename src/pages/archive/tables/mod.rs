//! Every table of the archive. Values stand in one unit a column, whatever unit they were typed in; the `values` table
//! holds them as typed. Nothing that the record keeps private is in any of them.

use super::darwin;
use super::tidy::TidyTable;
use crate::figures::Findings;
use crate::read::Folder;
use crate::record::{Entry, Record, Tank};

mod figures;
mod gear;
mod life;
mod log;
mod sensor;
mod supply;
mod survey;
mod tank;
mod upkeep;
mod values;

/// All tables, in the order in which a reader may want them.
pub fn tables<'a>(record: &'a Record, findings: &Findings, folder: &'a Folder) -> Vec<TidyTable<'a>> {
    let mut tables = tank::tables(record);
    tables.extend(gear::tables(record));
    tables.extend(supply::tables(record));
    tables.extend(life::tables(record));
    tables.extend(log::tables(record, findings));
    tables.extend(survey::tables(record));
    tables.extend(sensor::tables(record, folder));
    tables.extend(upkeep::tables(record));
    tables.extend(figures::tables(findings));
    tables.extend(darwin::tables(record));
    tables.extend(values::tables(folder));
    tables
}

/// Every entry with its tank and its name: the moment, with a number where two entries are of one moment.
fn entries(record: &Record) -> Vec<(&Tank, String, &Entry)> {
    record
        .tanks
        .values()
        .flat_map(|tank| {
            let slugs = crate::pages::journal::slugs(tank);
            tank.entries.iter().zip(slugs).map(move |(entry, slug)| (tank, slug, entry))
        })
        .collect()
}
