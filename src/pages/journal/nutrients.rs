//! How the water's substances go together, and what moves too slowly to be noticed.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::view::*;
use super::water::{scale, unit};
use crate::figures::energy::MONTH;
use crate::pages::chart;
use crate::pages::model::*;
use crate::record::Parameter;
use crate::science::rank::median;
use crate::units::Bound;

/// Nitrate against phosphate, month by month.
pub fn plane(view: &View) -> Option<ChartBlock> {
    let (nitrate, phosphate) = (view.of.water.get(&Parameter::Nitrate)?, view.of.water.get(&Parameter::Phosphate)?);
    let months = months(view);
    if months.len() < 3 {
        return None;
    }
    let band = |band: Option<crate::record::Band>| {
        band.filter(|band| band.low.is_finite() && band.high.is_finite()).map(|band| (band.low, band.high))
    };
    let axis = |parameter: Parameter, of: Option<crate::record::Band>| chart::PlaneAxis {
        label: format!("{}, {}", lower(parameter.shown()), unit(view, parameter)),
        band: band(of),
        decimals: parameter.decimals(),
    };
    let last = months.len() - 1;
    let points: Vec<chart::PlanePoint> = months
        .iter()
        .enumerate()
        .map(|(place, month)| chart::PlanePoint {
            at: (month.nitrate, month.phosphate),
            u: (month.nitrate_u, month.phosphate_u),
            limit: month.limit,
            label: if place == 0 || place == last || matches!(month.first.month(), 1 | 7) {
                month_text(month.first)
            } else {
                String::new()
            },
        })
        .collect();
    let inside = match (band(nitrate.band), band(phosphate.band)) {
        (Some(n), Some(p)) => {
            let count = months
                .iter()
                .filter(|m| (n.0..=n.1).contains(&m.nitrate) && (p.0..=p.1).contains(&m.phosphate))
                .count();
            format!(" {count} of {} months had both inside their bands.", months.len())
        }
        _ => String::new(),
    };
    let description = format!(
        "Nitrate and phosphate month by month, from {} to {}.{inside}",
        month_text(months[0].first),
        month_text(months[last].first)
    );
    let drawn = chart::draw_plane(&chart::Plane {
        id: "nutrients".into(),
        title: "Nitrate and phosphate, month by month".into(),
        description: description.clone(),
        across: axis(Parameter::Nitrate, nitrate.band),
        up: axis(Parameter::Phosphate, phosphate.band),
        points,
    });
    let rows = months
        .iter()
        .rev()
        .map(|month| {
            let word = if month.limit { "at or below the kit’s limit" } else { "" };
            vec![
                Cell::header(month_text(month.first)),
                Cell::number(fixed(month.nitrate, 1)),
                Cell::number(fixed(month.phosphate, 3)),
                Cell::number(month.days.to_string()),
                Cell::text(word),
            ]
        })
        .collect();
    Some(ChartBlock {
        id: "chart-nutrients".into(),
        number: String::new(),
        title: "Nitrate against phosphate".into(),
        wide: Html::trusted(drawn.wide),
        narrow: Html::trusted(drawn.narrow),
        sentence: description,
        key: "Each dot: the middle reading of a month; open: at or below what the kit can see. The line joins the last thirteen months in order of time; older ones are pale. Box: the keeper’s bands, no judgement beyond them. Bars on the last: two standard uncertainties.".into(),
        table_summary: format!("The {} months as a table", months.len()),
        table: Table {
            caption: "Middle readings of days on which both were read".into(),
            head: vec![
                HeadCell::text("Month"),
                HeadCell::number(unit(view, Parameter::Nitrate)),
                HeadCell::number(unit(view, Parameter::Phosphate)),
                HeadCell::number("Days"),
                HeadCell::text("Remark"),
            ],
            rows,
        },
        changes: Vec::new(),
        changes_summary: String::new(),
    })
}

struct Month {
    first: Date,
    nitrate: f64,
    nitrate_u: f64,
    phosphate: f64,
    phosphate_u: f64,
    limit: bool,
    days: usize,
}

/// Value, standard uncertainty, and whether it is a limit.
type Read = (f64, f64, Bound);

/// The middle of each month's days on which both were read.
fn months(view: &View) -> Vec<Month> {
    let by_day = |parameter: Parameter| -> BTreeMap<Date, Read> {
        view.of.water.get(&parameter).map_or_else(BTreeMap::new, |state| {
            state.series.by_day().iter().map(|point| (point.when.date(), (point.value, point.u, point.bound))).collect()
        })
    };
    let (nitrate, phosphate) = (by_day(Parameter::Nitrate), by_day(Parameter::Phosphate));
    let mut days: BTreeMap<Date, Vec<[Read; 2]>> = BTreeMap::new();
    for (date, n) in nitrate {
        if let Some(p) = phosphate.get(&date) {
            days.entry(date.first_of_month()).or_default().push([n, *p]);
        }
    }
    days.into_iter()
        .map(|(first, days)| {
            let middle = |side: usize| {
                let mut values: Vec<Read> = days.iter().map(|day| day[side]).collect();
                values.sort_by(|a, b| a.0.total_cmp(&b.0));
                middle_read(&values)
            };
            let (n, p) = (middle(0), middle(1));
            Month {
                first,
                nitrate: n.0,
                nitrate_u: n.1,
                phosphate: p.0,
                phosphate_u: p.1,
                limit: n.2 != Bound::Exactly || p.2 != Bound::Exactly,
                days: days.len(),
            }
        })
        .collect()
}

/// The median of sorted readings. Where it lies between two it is as unsure as they are, since one kit's error is common
/// to both, and only a limit if either is.
fn middle_read(sorted: &[Read]) -> Read {
    let (low, high) = (sorted[(sorted.len() - 1) / 2], sorted[sorted.len() / 2]);
    let values: Vec<f64> = sorted.iter().map(|read| read.0).collect();
    let bound = if low.2 == Bound::Exactly { high.2 } else { low.2 };
    (median(&values), (low.1 + high.1) / 2.0, bound)
}

/// A figure's value as a link to its working, on the same page.
fn value_run(view: &View, key: &str) -> Option<Run> {
    let figure = view.figure(key)?;
    let shift = view.shift(&figure.unit);
    let text = match figure.interval {
        Some((low, high)) => {
            let value = shift.value(figure.value);
            let (number, _) = rounded(value, shift.spread(figure.uncertainty).min(value.abs() / 3.0), None);
            format!("{number} (95 in 100 between {} and {})", about(shift.value(low)), about(shift.value(high)))
        }
        None => with_spread(shift.value(figure.value), shift.spread(figure.uncertainty)),
    };
    Some(Run::link(text, format!("#{}", anchor(key))))
}

/// How substances go together, a paragraph each.
pub fn together(view: &View) -> Vec<Vec<Run>> {
    let mut found = Vec::new();
    if let (Some(share), Some(figure)) =
        (value_run(view, "water.calcium.beside-alkalinity"), view.figure("water.calcium.beside-alkalinity"))
    {
        let (low, high) = figure
            .interval
            .unwrap_or((figure.value - 1.96 * figure.uncertainty, figure.value + 1.96 * figure.uncertainty));
        let verdict = if low <= 1.0 && high >= 1.0 {
            ". One would mean that both go into skeleton; the readings agree with it."
        } else if high < 1.0 {
            ". One would mean that both go into skeleton. Less calcium is used than that: alkalinity is also lost where nitrogen from food is turned to nitrate, or a kit or a stock is not what its label says."
        } else {
            ". One would mean that both go into skeleton. More calcium is used than that: alkalinity comes from somewhere else, as where algae take up dosed nitrate, or a kit or a stock is not what its label says."
        };
        found.push(vec![
            Run::text("Calcium used, as a share of what the alkalinity used would build: "),
            share,
            Run::text(verdict),
        ]);
    }
    if let Some(grams) = value_run(view, "water.skeleton-per-day") {
        found.push(vec![
            Run::text("If all of the alkalinity went into calcium carbonate, the tank built "),
            grams,
            Run::text(" g of it a day: a weighing of everything that calcifies, crust and scale included."),
        ]);
    }
    if let (Some(water), Some(used)) = (value_run(view, "water.n-to-p"), value_run(view, "water.uptake-n-to-p")) {
        found.push(vec![
            Run::text("Nitrogen to phosphorus, by atoms: "),
            water,
            Run::text(" in the water, "),
            used,
            Run::text(" in what is used. Plankton holds 16 to 1 (Redfield), large marine plants about 30 to 1. Nobody has shown that a tank needs either; what has support is that phosphorus near nothing beside plenty of nitrogen makes corals tender."),
        ]);
    }
    for parameter in [Parameter::Nitrate, Parameter::Phosphate] {
        let key = |what: &str| format!("water.{}.{what}", parameter.key());
        if let (Some(cut), Some(rest)) = (value_run(view, &key("harvested")), value_run(view, &key("unharvested"))) {
            found.push(vec![
                Run::text(format!("{}: of what is used, ", parameter.shown())),
                cut,
                Run::text(format!(" {} a day leaves with the weighed harvest and ", unit(view, parameter))),
                rest,
                Run::text(" goes elsewhere: corals, bacteria, skimmer, rock."),
            ]);
        }
    }
    found
}

/// Slow changes, a paragraph each.
pub fn slow(view: &View) -> Vec<Vec<Run>> {
    let mut found = Vec::new();
    let drifts = &view.of.drifts;
    if let Some(salinity) = &drifts.salinity {
        let text = if salinity.visible {
            let (direction, cause) = if salinity.slope > 0.0 {
                ("rises", "of what evaporates is not made good")
            } else {
                ("falls", "of salt water is lost (skimmate, spills, thin water changes) and made good with fresh")
            };
            format!(
                "Salinity {direction} {} ppt a week, as if {} L a week {cause}.",
                fixed(salinity.slope.abs(), 2),
                fixed(salinity.litres_a_week.abs(), 1)
            )
        } else {
            "Salinity: no drift that the instrument can see; top-off and evaporation balance.".into()
        };
        found.push(vec![Run::text(text)]);
    }
    if let Some(creep) = &drifts.creep {
        let state = if creep.rising {
            "rising: the filter’s resin is near its end"
        } else {
            "no rise that the meter can see"
        };
        found.push(vec![Run::text(format!(
            "Purified water: {} mg/L of dissolved solids on {}, {} when the filter was last renewed ({}, {} readings since); {state}.",
            fixed(creep.latest.1, 0),
            date_text(creep.latest.0).text,
            fixed(creep.first, 0),
            date_text(creep.since).text,
            creep.readings
        ))]);
    }
    for probe in &drifts.probes {
        let key = format!("sensor.{}.{}.offset", probe.file, probe.parameter.key());
        let Some(offset) = value_run(view, &key) else { continue };
        let unit = unit(view, probe.parameter);
        let mut runs = vec![
            Run::text(format!("{} sensor less the reading by hand: ", probe.parameter.shown())),
            offset,
            Run::text(format!(" {unit}").trim_end().to_string()),
        ];
        if let Some(reset) = probe.reset {
            runs.push(Run::text(format!(", since a jump about {} as of a calibration", date_text(reset).text)));
        }
        runs.push(Run::text(match (&probe.trend, probe.drifts) {
            (Some(trend), true) => {
                let slope = scale(view, probe.parameter).spread(trend.slope.abs() * MONTH);
                let direction = if trend.slope < 0.0 { "down" } else { "up" };
                format!(
                    "; it drifts {direction} by {} {unit} a month, more than the hand’s error: calibrate.",
                    fixed(slope, 2)
                )
            }
            _ => "; no drift that the hand can see.".into(),
        }));
        found.push(runs);
    }
    found
}

/// The tank's ripening, a paragraph each.
pub fn ripening(view: &View) -> Vec<Vec<Run>> {
    let Some(ripening) = &view.of.ripening else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for wave in std::iter::once(&ripening.ammonia).chain(&ripening.nitrite) {
        let unit = unit(view, wave.parameter);
        let gone = match wave.gone {
            Some((_, after)) => format!("not seen any more from {}", date_text(after).text),
            None => "not yet read as gone".into(),
        };
        found.push(vec![Run::text(format!(
            "{}: first seen on {}, highest on {} with {} {unit}, {gone}.",
            wave.parameter.shown(),
            date_text(wave.seen).text,
            date_text(wave.peak.0).text,
            fixed(wave.peak.1, usize::from(wave.parameter.decimals()))
        ))]);
    }
    if let Some(nitrate) = ripening.nitrate {
        found.push(vec![Run::text(format!("Nitrate first seen on {}.", date_text(nitrate).text))]);
    }
    if let (Some(days), Some((before, after))) = (value_run(view, "water.ripe-after"), ripening.ripe) {
        found.push(vec![
            Run::text("Ripe after "),
            days,
            Run::text(format!(" days: between {} and {}.", date_text(before).text, date_text(after).text)),
        ]);
    }
    if let Some((date, value)) = ripening.again.last() {
        found.push(vec![Run::strong(format!(
            "Ammonia was seen again, last on {} with {} {}: in a settled tank something died, or the kit is wrong.",
            date_text(*date).text,
            fixed(*value, 2),
            unit(view, Parameter::Ammonia)
        ))]);
    }
    found
}

/// Marked events, newest first, each leading to what changed around then.
pub fn marked(view: &View) -> Vec<Fact> {
    let entries = view.tank.entries.iter().enumerate().rev();
    entries
        .filter_map(|(index, entry)| {
            let event = entry.event.as_ref()?;
            let run = Run::link(event.what.value.clone(), view.entry_href(index));
            Some(Fact::new(date_text(entry.date()).text, vec![run]))
        })
        .take(20)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_of_two_readings_lies_between_them() {
        let two = [(4.0, 1.0, Bound::Exactly), (10.0, 3.0, Bound::Exactly)];
        assert_eq!(middle_read(&two), (7.0, 2.0, Bound::Exactly));
        assert_eq!(middle_read(&[(2.0, 0.5, Bound::Below), two[1]]), (6.0, 1.75, Bound::Below));
        assert_eq!(middle_read(&[two[0], (5.0, 0.5, Bound::Exactly), two[1]]).0, 5.0);
    }
}
