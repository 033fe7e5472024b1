//! The record as it stood on other days, with the figures of each: worked out once a date for all pages that ask for it,
//! since a whole record takes its time.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use rayon::prelude::*;

use super::view::View;
use crate::figures::{self, Findings};
use crate::record::Record;

struct Then {
    record: Record,
    findings: Findings,
}

/// The record at every date that some page looks back to.
pub struct Dates(BTreeMap<Date, Then>);

impl Dates {
    /// The record's own date needs no place here: it is what the pages show anyway.
    pub fn of(record: &Record, dates: BTreeSet<Date>) -> Dates {
        let wanted: Vec<Date> = dates.into_iter().filter(|date| *date != record.as_of).collect();
        let stood = |date: Date| {
            let mut then = record.clone();
            then.stand_at(date);
            let findings = figures::work_out_then(&then);
            (date, Then { record: then, findings })
        };
        Dates(wanted.into_par_iter().map(stood).collect())
    }

    /// A tank as it was seen on a date. `None` before it was filled, and for a date that nobody asked for.
    pub fn view<'b>(&'b self, now: &'b View<'b>, date: Date) -> Option<View<'b>> {
        if date == now.record.as_of {
            return Some(View { prefix: now.prefix.clone(), slugs: now.slugs.clone(), ..*now });
        }
        let then = self.0.get(&date)?;
        let tank = then.record.tanks.get(&now.tank.key)?;
        Some(View {
            record: &then.record,
            findings: &then.findings,
            cautions: &[],
            sources: now.sources,
            tank,
            of: then.findings.tanks.get(&tank.key)?,
            prefix: now.prefix.clone(),
            slugs: super::slugs(tank),
        })
    }
}
