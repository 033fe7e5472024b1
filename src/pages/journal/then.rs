//! The record as it stood on other days, with the figures of each: worked out once a date for all pages that ask for it,
//! since a whole record takes its time.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use jiff::civil::Date;
use rayon::prelude::*;

use super::view::View;
use crate::figures::{self, Findings};
use crate::record::Record;

struct Then {
    record: Record,
    /// Those that are looked at.
    tanks: BTreeSet<String>,
    findings: Findings,
}

/// The dates that pages look back to, each with the tanks that are looked at.
pub type Wanted = BTreeMap<Date, BTreeSet<String>>;

/// The record at every date that some page looks back to.
#[derive(Default)]
pub struct Dates(BTreeMap<Date, Arc<Then>>);

impl Dates {
    /// The record's own date needs no place here: it is what the pages show anyway. What `last` holds of the same record
    /// is taken from there: a record that is watched is worked out again and again, and what is new in it leaves most of
    /// its past alone.
    pub fn of(record: &Record, wanted: Wanted, last: &Dates) -> Dates {
        let wanted: Vec<_> = wanted.into_iter().filter(|(date, _)| *date != record.as_of).collect();
        let stood = |(date, tanks): (Date, BTreeSet<String>)| {
            let mut then = record.clone();
            then.stand_at(date);
            // A long record has many dates: of tanks that nobody looks at then, only that they were there is kept.
            for tank in then.tanks.values_mut().filter(|tank| !tanks.contains(&tank.key)) {
                tank.entries = Vec::new();
                tank.surveys = Vec::new();
                tank.readings = Vec::new();
                tank.devices.clear();
            }
            then.tanks.values_mut().for_each(|tank| tank.entries.shrink_to_fit());
            if let Some(known) = last.0.get(&date).filter(|known| known.tanks == tanks && known.record == then) {
                return (date, Arc::clone(known));
            }
            let findings = figures::work_out_then(&then, &tanks);
            (date, Arc::new(Then { record: then, tanks, findings }))
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
