//! A new tank ripening: ammonia comes and goes, nitrite after it, and nitrate stays.

use jiff::civil::Date;

use super::figure::Figures;
use super::graph::{Basis, Root, Shape};
use super::readings::{Series, SeriesPoint};
use super::water::WaterState;
use crate::record::{Parameter, Tank, days_between};
use crate::units::Bound;
use std::collections::BTreeMap;

/// One substance rising and going.
#[derive(Clone, Debug, PartialEq)]
pub struct Wave {
    pub parameter: Parameter,
    /// First reading that the kit could see.
    pub seen: Date,
    pub peak: (Date, f64),
    /// The last reading that showed any, and the first that did not.
    pub gone: Option<(Date, Date)>,
}

/// The ripening of a tank, as far as the readings show it.
#[derive(Clone, Debug, PartialEq)]
pub struct Ripening {
    pub ammonia: Wave,
    pub nitrite: Option<Wave>,
    /// First nitrate that the kit could see.
    pub nitrate: Option<Date>,
    /// Neither ammonia nor nitrite seen any more: between the last date that showed some and the first that did not.
    pub ripe: Option<(Date, Date)>,
    /// Ammonia seen again later: something died, or the kit is wrong.
    pub again: Vec<(Date, f64)>,
}

/// Ripening is over within so many days, or it is something else.
const WITHIN_DAYS: i32 = 180;

pub fn work_out(tank: &Tank, water: &BTreeMap<Parameter, WaterState>, figures: &mut Figures) -> Option<Ripening> {
    let series = |parameter| water.get(&parameter).map(|state| &state.series);
    let ammonia = wave(tank, Parameter::Ammonia, series(Parameter::Ammonia)?)?;
    let nitrite = series(Parameter::Nitrite).and_then(|series| wave(tank, Parameter::Nitrite, series));
    let nitrate = series(Parameter::Nitrate)
        .and_then(|series| series.points.iter().find(|point| is_seen(point)).map(|point| point.when.date()));
    let ripe = match (&ammonia.gone, nitrite.as_ref().map(|wave| wave.gone)) {
        (Some(ammonia), Some(Some(nitrite))) => Some(if nitrite.1 >= ammonia.1 { nitrite } else { *ammonia }),
        _ => None,
    };
    let again = match (ammonia.gone, series(Parameter::Ammonia)) {
        (Some((_, gone)), Some(series)) => series
            .points
            .iter()
            .filter(|point| point.when.date() > gone && is_seen(point))
            .map(|point| (point.when.date(), point.value))
            .collect(),
        _ => Vec::new(),
    };
    let found = Ripening { ammonia, nitrite, nitrate, ripe, again };
    define(tank, &found, water, figures);
    Some(found)
}

/// Whether a reading shows more than nothing, as far as its kit can tell.
fn is_seen(point: &SeriesPoint) -> bool {
    point.bound != Bound::Below && point.value > point.u
}

fn wave(tank: &Tank, parameter: Parameter, series: &Series) -> Option<Wave> {
    let early: Vec<&SeriesPoint> =
        series.points.iter().filter(|point| tank.age_days(point.when.date()) <= WITHIN_DAYS).collect();
    let first = early.iter().position(|point| is_seen(point))?;
    let peak =
        early[first..].iter().fold(early[first], |peak, point| if point.value > peak.value { point } else { peak });
    // Gone when two readings in a row, or the last of all, show nothing.
    let after: Vec<&&SeriesPoint> = early.iter().filter(|point| point.when > peak.when).collect();
    let gone = (0..after.len()).find(|&n| !is_seen(after[n]) && after.get(n + 1).is_none_or(|next| !is_seen(next)));
    let gone = gone.map(|n| {
        let before = if n == 0 { peak.when.date() } else { after[n - 1].when.date() };
        (before, after[n].when.date())
    });
    Some(Wave { parameter, seen: early[first].when.date(), peak: (peak.when.date(), peak.value), gone })
}

fn define(tank: &Tank, found: &Ripening, water: &BTreeMap<Parameter, WaterState>, figures: &mut Figures) {
    let key = "water.ripe-after";
    let label = "Days from filling until ammonia and nitrite were gone";
    let Some((before, after)) = found.ripe else {
        figures.miss(
            &tank.key,
            key,
            label,
            "ammonia and nitrite until both are below what the kits see: `ammonia: below 0.25 mg/L NH3`",
        );
        return;
    };
    let (from, to) =
        (f64::from(days_between(tank.started.value, before)), f64::from(days_between(tank.started.value, after)));
    let places = [Parameter::Ammonia, Parameter::Nitrite]
        .iter()
        .filter_map(|parameter| water.get(parameter))
        .flat_map(|state| &state.series.points)
        .filter(|point| point.when.date() == before || point.when.date() == after)
        .map(|point| point.place.clone())
        .collect();
    let node = figures.graph.root(Root {
        label: label.into(),
        value: (from + to) / 2.0,
        uncertainty: (to - from).max(0.0) / 12f64.sqrt(),
        unit: "days".into(),
        basis: Basis::Measured,
        places,
        shape: Shape::Rectangular,
        private: false,
        note: Some("any day between the last test that showed some and the first that did not".into()),
        source: None,
    });
    figures
        .define(&tank.key, key, label)
        .method("the middle of the days between two tests", format!("between {before} and {after}"), &["jcgm_100_2008"])
        .decimals(0)
        .finish(node);
}
