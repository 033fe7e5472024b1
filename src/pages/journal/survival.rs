//! How colonies fared, by where they came from and the year they came.

use std::collections::BTreeMap;

use super::view::sentence_case;
use crate::pages::model::*;
use crate::record::colony::{Colony, EndKind, SourceKind};
use crate::record::{Record, days_between};

/// A loss after a year is rarely the arrival's doing (judgement, no source).
const SETTLED_DAYS: i32 = 365;

#[derive(Default)]
struct Count {
    arrived: usize,
    here: usize,
    left: usize,
    lost: usize,
    /// Here for a year, or lost within it: those of which it can be told.
    told: usize,
    settled: usize,
}

impl Count {
    fn add(&mut self, colony: &Colony, record: &Record) {
        let end = colony.ended.as_ref().filter(|ended| ended.on <= record.as_of);
        self.arrived += 1;
        match end.map(|ended| ended.how) {
            None => self.here += 1,
            Some(EndKind::Lost) => self.lost += 1,
            Some(_) => self.left += 1,
        }
        let stayed = days_between(colony.arrived.value, end.map_or(record.as_of, |ended| ended.on));
        let lost = end.is_some_and(|ended| ended.how == EndKind::Lost);
        if stayed >= SETTLED_DAYS || lost {
            self.told += 1;
            self.settled += usize::from(stayed >= SETTLED_DAYS);
        }
    }

    fn cells(&self) -> Vec<Cell> {
        let number = |count: usize| Cell::number(count.to_string());
        vec![
            number(self.arrived),
            number(self.here),
            number(self.left),
            number(self.lost),
            Cell::number(match self.told {
                0 => "not known yet".into(),
                told => format!("{} of {told}", self.settled),
            }),
        ]
    }
}

/// Counts by source and year of arrival. Given away, removed or cut up before its first year is over, a colony tells
/// nothing of that year and is left out of its column.
pub fn table(record: &Record) -> Option<Table> {
    let mut rows: BTreeMap<(&str, i16), Count> = BTreeMap::new();
    let mut all = Count::default();
    for colony in record.colonies.values().filter(|colony| colony.arrived.value <= record.as_of) {
        let source = colony.source.as_ref().map_or(SourceKind::Unknown, |source| source.kind.value);
        rows.entry((source.word(), colony.arrived.value.year())).or_default().add(colony, record);
        all.add(colony, record);
    }
    if all.arrived == 0 {
        return None;
    }
    let mut cells: Vec<Vec<Cell>> = rows
        .iter()
        .map(|((source, year), count)| {
            let source = if *source == "unknown" { "Source not known".into() } else { sentence_case(source) };
            let mut row = vec![Cell::header(source.replace('-', " ")), Cell::text(year.to_string())];
            row.extend(count.cells());
            row
        })
        .collect();
    let mut total = vec![Cell::header("All"), Cell::text("")];
    total.extend(all.cells());
    cells.push(total);
    Some(Table {
        caption: "By source and year of arrival, counts".into(),
        head: [HeadCell::text("Source"), HeadCell::text("Came in")]
            .into_iter()
            .chain(["Came", "Here now", "Left alive", "Lost", "Still living after a year"].map(HeadCell::number))
            .collect(),
        rows: cells,
    })
}
