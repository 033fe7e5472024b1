//! How fast a colony grows: a median slope through its sizes with its interval, between the cuts that were made.
//!
//! Lengths are taken to grow by so much a year (a branch tip adds the same at its end whatever stands behind it), counts,
//! areas and masses by a share a year (every polyp buds). Both are models: the record seldom holds enough sizes to tell
//! one from the other.

use jiff::civil::Date;

use super::figure::Figures;
use super::graph::{Basis, Root, Shape};
use super::inputs::number;
use crate::record::colony::{Colony, Measure, Size};
use crate::record::{Record, days_between};
use crate::science::trend;

/// Sizes that lie closer in time than this say nothing of growth.
pub const LEAST_DAYS: i32 = 60;

/// With fewer sizes a rank test can never tell growth from chance at 95 %: four in a row come up once in twelve.
const LEAST_FOR_RANKS: usize = 5;

const YEAR: f64 = 365.25;

/// A standard error of 1.96 to either side holds 95 in 100 (GUM, table G.1).
const COVERAGE: f64 = 1.96;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Model {
    /// So much a year.
    Linear,
    /// A share of what is there, a year.
    LogLinear,
}

/// What was found of one colony's growth.
#[derive(Clone, Debug)]
pub struct Growth {
    pub measure: Measure,
    pub model: Model,
    pub from: Date,
    pub to: Date,
    pub first: f64,
    pub last: f64,
    pub sizes: usize,
    /// Cuts within the time, between which the slope was taken.
    pub cuts: Vec<Date>,
    /// The cut after which the time begins, where earlier sizes were left out for it.
    pub since_cut: Option<Date>,
    /// A year: in the measure's unit (linear), or as a specific rate, ln of the factor (log-linear).
    pub rate: f64,
    /// 95 in 100.
    pub low: f64,
    pub high: f64,
    /// Mann–Kendall: S and the chance of it where there is no growth. `None` where sizes are too few for a test.
    pub test: Option<(i64, f64)>,
    /// Whether it can be told from no growth.
    pub visible: bool,
    /// Value of the line at the last size.
    pub value_at_end: f64,
}

impl Growth {
    /// Days in which it doubles, for a rate that is a share.
    pub fn doubling_days(&self) -> Option<f64> {
        (self.model == Model::LogLinear && self.rate > 0.0).then(|| 2f64.ln() / self.rate * YEAR)
    }
}

/// Standard uncertainty of a size when none is written: half a centimetre for a length held against a living thing,
/// a tenth of an area or mass, one in twenty of a count beyond twelve (judgement, no source).
pub fn size_u(size: &Size) -> f64 {
    size.uncertainty.unwrap_or(match size.measure {
        Measure::Diameter | Measure::Height => 0.5,
        Measure::Area | Measure::Mass => 0.1 * size.value,
        _ if size.value > 12.0 => 0.05 * size.value,
        _ => 0.0,
    })
}

/// The measure with the most sizes.
pub fn main_measure(colony: &Colony) -> Option<Measure> {
    Measure::WORDS
        .iter()
        .map(|(_, measure)| *measure)
        .map(|measure| (colony.sizes.iter().filter(|size| size.measure == measure).count(), measure))
        .filter(|(count, _)| *count > 0)
        .max_by(|a, b| a.0.cmp(&b.0).then(b.1.cmp(&a.1)))
        .map(|(_, measure)| measure)
}

/// Growth of a colony; `None` for fewer than two sizes of one measure, or too short a time.
pub fn growth(record: &Record, colony: &Colony) -> Option<Growth> {
    let measure = main_measure(colony)?;
    growth_between(colony, measure, &cuts(record, colony))
}

/// Days on which something was cut from it, as its daughters' records say.
fn cuts(record: &Record, colony: &Colony) -> Vec<Date> {
    let mut cuts: Vec<Date> = record
        .colonies
        .values()
        .filter_map(|other| other.parent.as_ref())
        .filter(|parent| parent.colony.value == colony.key)
        .filter_map(|parent| parent.on)
        .collect();
    cuts.sort();
    cuts.dedup();
    cuts
}

fn growth_between(colony: &Colony, measure: Measure, cuts: &[Date]) -> Option<Growth> {
    let model = match measure {
        Measure::Diameter | Measure::Height => Model::Linear,
        _ => Model::LogLinear,
    };
    let sizes: Vec<&Size> = colony
        .sizes
        .iter()
        .filter(|size| size.measure == measure && (model == Model::Linear || size.value > 0.0))
        .collect();
    let (first, last) = (*sizes.first()?, *sizes.last()?);
    if sizes.len() < 2 || days_between(first.on, last.on) < LEAST_DAYS {
        return None;
    }
    let scale = |value: f64| if model == Model::Linear { value } else { value.ln() };
    // Relative for the logarithm: d ln v = dv / v.
    let error = |size: &Size| if model == Model::Linear { size_u(size) } else { size_u(size) / size.value };
    let cuts: Vec<Date> = cuts.iter().copied().filter(|cut| *cut > first.on && *cut <= last.on).collect();
    let times: Vec<f64> = sizes.iter().map(|size| f64::from(days_between(first.on, size.on))).collect();
    let values: Vec<f64> = sizes.iter().map(|size| scale(size.value)).collect();
    // A cut parts the sizes into groups: it makes the colony smaller, not slower.
    let groups: Vec<usize> = sizes.iter().map(|size| cuts.iter().filter(|cut| **cut <= size.on).count()).collect();
    let last_group = groups[groups.len() - 1];
    let own: Vec<usize> = (0..sizes.len()).filter(|place| groups[*place] == last_group).collect();

    let mut growth = Growth {
        measure,
        model,
        from: first.on,
        to: last.on,
        first: first.value,
        last: last.value,
        sizes: sizes.len(),
        cuts,
        since_cut: None,
        rate: 0.0,
        low: 0.0,
        high: 0.0,
        test: None,
        visible: false,
        value_at_end: last.value,
    };
    let found = trend::theil_sen_grouped(&times, &values, &groups);
    match found {
        Ok(grouped) if sizes.len() >= LEAST_FOR_RANKS && grouped.trend.limits_are_95 => {
            let trend = grouped.trend;
            growth.rate = trend.slope * YEAR;
            (growth.low, growth.high) = (trend.low * YEAR, trend.high * YEAR);
            growth.test = Some((trend.s, trend.p));
            growth.visible = trend.is_distinguishable() && (trend.low > 0.0 || trend.high < 0.0);
            let end = trend.at(*times.last()?);
            growth.value_at_end = if model == Model::Linear { end } else { end.exp() };
        }
        _ => {
            // The ends of the longest time without a cut, with the errors of the two sizes.
            let (from, to) = if own.len() >= 2 {
                (sizes[own[0]], last)
            } else if growth.cuts.is_empty() {
                (first, last)
            } else {
                return None;
            };
            let days = f64::from(days_between(from.on, to.on));
            if days < f64::from(LEAST_DAYS) {
                return None;
            }
            let slope = (scale(to.value) - scale(from.value)) / days;
            let u = error(from).hypot(error(to)) / days;
            growth.from = from.on;
            growth.first = from.value;
            growth.since_cut = growth.cuts.iter().copied().filter(|cut| *cut <= from.on).max();
            growth.cuts.clear();
            growth.sizes = sizes.iter().filter(|size| size.on >= from.on).count();
            growth.rate = slope * YEAR;
            (growth.low, growth.high) = ((slope - COVERAGE * u) * YEAR, (slope + COVERAGE * u) * YEAR);
            growth.visible = growth.low > 0.0 || growth.high < 0.0;
        }
    }
    Some(growth)
}

/// The key of a colony's rate of growth.
pub fn key(colony: &str) -> String {
    format!("growth.{colony}.rate")
}

/// Works out the growth of every colony, as figures of the tank it stands in or stood in last.
pub fn work_out(record: &Record, figures: &mut Figures) {
    for colony in record.colonies.values() {
        let Some(placement) = colony.placements.last() else { continue };
        let tank = &placement.tank.value;
        if !record.tanks.contains_key(tank) {
            continue;
        }
        let label = format!("{}: growth a year", colony.name.value);
        let key = key(&colony.key);
        let Some(growth) = growth(record, colony) else {
            if !colony.sizes.is_empty() && colony.is_here_on(record.as_of) {
                let what = format!("another size of {}, {LEAST_DAYS} days or more after the first", colony.name.value);
                figures.miss(tank, &key, &label, what);
            }
            continue;
        };
        let unit = match growth.model {
            Model::Linear => format!("{} a year", growth.measure.unit()),
            Model::LogLinear => "% a year".to_string(),
        };
        let shown = if growth.model == Model::Linear { 1.0 } else { 100.0 };
        let node = figures.graph.root(Root {
            label: format!("Slope through {} sizes", growth.sizes),
            value: growth.rate * shown,
            uncertainty: (growth.high - growth.low) / (2.0 * COVERAGE) * shown,
            unit,
            basis: Basis::Computed,
            places: colony
                .sizes
                .iter()
                .filter(|size| size.measure == growth.measure && size.on >= growth.from)
                .map(|size| size.place.clone())
                .collect(),
            shape: Shape::Normal,
            private: false,
            note: None,
            source: Some("sen_1968"),
        });
        let interval = format!("95 in 100 between {} and {}", number(growth.low * shown), number(growth.high * shown));
        let (formula, numbers, sources): (&str, String, &[&'static str]) = match growth.test {
            Some((s, p)) => (
                match growth.model {
                    Model::Linear => "rate = median of (Lⱼ − Lᵢ) ∕ (tⱼ − tᵢ) over pairs of sizes between cuts",
                    Model::LogLinear => "rate = median of (ln Lⱼ − ln Lᵢ) ∕ (tⱼ − tᵢ) over pairs of sizes between cuts",
                },
                format!("{}; {interval}; Mann–Kendall S = {s}, p = {p:.3}", number(growth.rate * shown)),
                &["sen_1968", "mann_1945", "kendall_1970"],
            ),
            None => (
                match growth.model {
                    Model::Linear => "rate = (L₂ − L₁) ∕ (t₂ − t₁)",
                    Model::LogLinear => "rate = (ln L₂ − ln L₁) ∕ (t₂ − t₁)",
                },
                format!(
                    "{} and {} {} in {} days; {interval}",
                    number(growth.first),
                    number(growth.last),
                    growth.measure.unit(),
                    days_between(growth.from, growth.to)
                ),
                &["jcgm_100_2008"],
            ),
        };
        let mut built = figures.define(tank, &key, &label).method(formula, numbers, sources);
        if !growth.visible {
            built = built.note("cannot be told from no growth: the interval holds zero");
        }
        built.finish(node);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::Place;
    use crate::record::Located;
    use crate::record::colony::Group;
    use jiff::ToSpan;
    use jiff::civil::date;

    fn colony(measure: Measure, sizes: &[(i64, f64)]) -> Colony {
        let place = Place { file: "colonies/a.yaml".into(), line: 1, column: 1, length: 1 };
        let start = date(2024, 1, 1);
        Colony {
            key: "a".into(),
            name: Located::new("A".into(), place.clone()),
            group: Located::new(Group::Leather, place.clone()),
            arrived: Located::new(start, place.clone()),
            sizes: sizes
                .iter()
                .map(|(day, value)| Size {
                    on: start.saturating_add(day.days()),
                    measure,
                    value: *value,
                    uncertainty: None,
                    photo: None,
                    place: place.clone(),
                })
                .collect(),
            ..Colony::bare(place)
        }
    }

    #[test]
    fn a_length_that_grows_evenly_gives_back_its_rate() {
        let sizes: Vec<(i64, f64)> = (0..8).map(|n| (n * 50, 3.0 + n as f64 * 0.6)).collect();
        let found = growth_between(&colony(Measure::Height, &sizes), Measure::Height, &[]).unwrap();
        // 0.6 cm in 50 days, by hand: 4.383 cm a year.
        assert!((found.rate - 0.6 / 50.0 * 365.25).abs() < 1e-9, "{}", found.rate);
        // All 28 pairs rise: S = 28, and its chance without growth is 2 in 8!, far below one in twenty.
        assert_eq!(found.test.map(|(s, _)| s), Some(28));
        assert!(found.visible);
    }

    #[test]
    fn a_count_that_doubles_gives_back_its_doubling_time() {
        let sizes: Vec<(i64, f64)> = (0..6).map(|n| (n * 90, 5.0 * 2f64.powi(n as i32))).collect();
        let found = growth_between(&colony(Measure::Polyps, &sizes), Measure::Polyps, &[]).unwrap();
        assert_eq!(found.model, Model::LogLinear);
        assert!((found.doubling_days().unwrap() - 90.0).abs() < 1e-9);
    }

    #[test]
    fn of_few_sizes_those_since_the_last_cut_count_and_it_is_said() {
        let cut = date(2024, 1, 1).saturating_add(100.days());
        let grown = colony(Measure::Discs, &[(0, 3.0), (120, 5.0), (120 + 731, 6.0)]);
        let found = growth_between(&grown, Measure::Discs, &[cut]).unwrap();
        assert_eq!((found.first, found.last, found.sizes, found.since_cut), (5.0, 6.0, 2, Some(cut)));
        // By hand: ln(6/5) in 731 days.
        assert!((found.rate - 1.2f64.ln() / 731.0 * 365.25).abs() < 1e-12, "{}", found.rate);
        assert_eq!(growth_between(&grown, Measure::Discs, &[]).unwrap().since_cut, None);
    }

    #[test]
    fn a_cut_makes_it_smaller_and_not_slower() {
        let cut = date(2024, 1, 1).saturating_add(200.days());
        let sizes: Vec<(i64, f64)> =
            (0..4).map(|n| (n * 50, 4.0 + n as f64)).chain((0..4).map(|n| (210 + n * 50, 3.0 + n as f64))).collect();
        let grown = colony(Measure::Diameter, &sizes);
        let parted = growth_between(&grown, Measure::Diameter, &[cut]).unwrap();
        // One centimetre in fifty days on either side of the cut.
        assert!((parted.rate - 365.25 / 50.0).abs() < 1e-9, "{}", parted.rate);
        assert!(parted.visible);
        let whole = growth_between(&grown, Measure::Diameter, &[]).unwrap();
        assert!(whole.rate < parted.rate / 2.0, "{}", whole.rate);
    }

    #[test]
    fn hardly_grown_is_found_with_its_limit() {
        let sizes = [(0, 8.0), (60, 8.2), (120, 7.9), (180, 8.1), (240, 8.2), (300, 8.0)];
        let found = growth_between(&colony(Measure::Diameter, &sizes), Measure::Diameter, &[]).unwrap();
        assert!(!found.visible && found.low < 0.0 && found.high > 0.0);
        // Two sizes: 1 cm with half a centimetre of error each is 1 ± 1.39 cm (1.96·√0.5).
        let two = growth_between(&colony(Measure::Diameter, &[(0, 8.0), (365, 9.0)]), Measure::Diameter, &[]).unwrap();
        assert!(!two.visible && two.test.is_none());
        assert!(((two.high - two.rate) - 1.96 * 0.5f64.sqrt() * 365.25 / 365.0).abs() < 1e-9);
    }

    #[test]
    fn too_little_is_no_growth() {
        assert!(growth_between(&colony(Measure::Height, &[(0, 3.0)]), Measure::Height, &[]).is_none());
        assert!(growth_between(&colony(Measure::Height, &[(0, 3.0), (59, 9.0)]), Measure::Height, &[]).is_none());
    }
}
