//! Every water parameter: latest value, trend, where it stands in its band, and when a test would show something new.

use std::collections::BTreeMap;

use jiff::ToSpan;
use jiff::civil::Date;

use super::figure::Figures;
use super::graph::{Basis, NodeId, Root, Shape};
use super::inputs::{assumed, number, stated};
use super::readings::{Series, SeriesPoint};
use crate::record::{Band, Parameter, Record, Tank, days_between};
use crate::science::normal::{ONE_SIDED_95, TWO_SIDED_95};
use crate::science::trend;
use crate::units::Bound;

/// What is known of one parameter.
#[derive(Clone, Debug)]
pub struct WaterState {
    pub parameter: Parameter,
    pub series: Series,
    pub band: Option<Band>,
    pub latest: Option<SeriesPoint>,
    pub age_days: i32,
    pub standing: Standing,
    pub trend: TrendState,
    pub test_again: Option<TestAgain>,
}

/// When a further test would show something new.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TestAgain {
    pub on: Date,
    /// The change that two readings would then tell, and the change a day that is taken for it.
    pub change: f64,
    pub a_day: f64,
    /// Whether the record shows that change a day; else it is what is common in practice.
    pub by_trend: bool,
}

/// Where the latest value stands in the keeper's band, as far as its uncertainty lets one tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    Below,
    Above,
    TooCloseToTell,
    Inside,
    NoBand,
    NoReading,
}

/// A trend over the window, or why there is none.
#[derive(Clone, Debug)]
pub enum TrendState {
    Found(FoundTrend),
    TooFew { readings: usize, days: i32 },
}

#[derive(Clone, Debug)]
pub struct FoundTrend {
    pub from: Date,
    pub to: Date,
    pub readings: usize,
    /// Per day.
    pub slope: f64,
    pub low: f64,
    pub high: f64,
    /// Two-sided p of Mann–Kendall.
    pub p: f64,
    /// Value of the line at the end of the window, on the latest run's offset.
    pub value_at_end: f64,
    /// Whether it is more than chance and more than the error of the kit would make of as many readings.
    pub visible: bool,
}

/// The default window: the last 60 days, at least six readings over at least 21 days.
pub const WINDOW_DAYS: i32 = 60;
const FEWEST: usize = 6;
const SHORTEST: i32 = 21;

/// Works out the state of every parameter that is read or banded, and adds its figures.
pub fn work_out(
    record: &Record,
    tank: &Tank,
    series: BTreeMap<Parameter, Series>,
    figures: &mut Figures,
) -> BTreeMap<Parameter, WaterState> {
    let mut states = BTreeMap::new();
    for parameter in Parameter::ALL {
        let series = series.get(&parameter).cloned().unwrap_or_default();
        let band = tank.bands.get(&parameter).and_then(|band| band.at(record.as_of)).map(|stretch| stretch.value);
        if series.points.is_empty() && band.is_none() {
            continue;
        }
        // Readings of one day are one: they are steadier together than each alone.
        let latest = series.by_day().pop();
        let trend = trend_of(&series, record.as_of);
        let state = WaterState {
            parameter,
            age_days: latest.as_ref().map_or(0, |point| days_between(point.when.date(), record.as_of)),
            standing: standing(latest.as_ref(), band),
            test_again: latest.as_ref().and_then(|latest| test_again(parameter, latest, &trend)),
            band,
            latest,
            trend,
            series,
        };
        add_figures(record, tank, &state, figures);
        states.insert(parameter, state);
    }
    states
}

fn standing(latest: Option<&SeriesPoint>, band: Option<Band>) -> Standing {
    let Some(latest) = latest else {
        return Standing::NoReading;
    };
    band.map_or(Standing::NoBand, |band| stands(latest.value, latest.u, latest.bound, band))
}

/// Where a value stands in a band, as far as its uncertainty lets one tell: 95 in 100, one-sided.
pub fn stands(value: f64, u: f64, bound: Bound, band: Band) -> Standing {
    match bound {
        Bound::Below if value <= band.low => Standing::Below,
        Bound::Above if value >= band.high => Standing::Above,
        Bound::Below | Bound::Above => Standing::TooCloseToTell,
        Bound::Exactly => {
            let margin = ONE_SIDED_95 * u;
            if value + margin < band.low {
                Standing::Below
            } else if value - margin > band.high {
                Standing::Above
            } else if value - margin < band.low || value + margin > band.high {
                Standing::TooCloseToTell
            } else {
                Standing::Inside
            }
        }
    }
}

fn trend_of(series: &Series, as_of: Date) -> TrendState {
    let from = as_of.saturating_sub(WINDOW_DAYS.days());
    let days = series.by_day();
    let points: Vec<&SeriesPoint> = days
        .iter()
        .filter(|point| point.when.date() > from && point.bound != Bound::Above && !point.off_hour)
        .collect();
    let days = match (points.first(), points.last()) {
        (Some(first), Some(last)) => days_between(first.when.date(), last.when.date()),
        _ => 0,
    };
    let too_few = TrendState::TooFew { readings: points.len(), days };
    if points.len() < FEWEST || days < SHORTEST {
        return too_few;
    }
    let start = points[0].when.date();
    let time = |point: &SeriesPoint| {
        let hour = f64::from(point.when.hour()) + f64::from(point.when.minute()) / 60.0;
        f64::from(days_between(start, point.when.date())) + hour / 24.0
    };
    let times: Vec<f64> = points.iter().map(|point| time(point)).collect();
    let values: Vec<f64> = points.iter().map(|point| point.value).collect();
    let groups: Vec<usize> = points.iter().map(|point| point.run).collect();
    let below: Vec<bool> = points.iter().map(|point| point.bound == Bound::Below).collect();
    let Ok(found) = trend::theil_sen_grouped_censored(&times, &values, &groups, &below) else {
        return too_few;
    };
    let last_run = groups[groups.len() - 1];
    let intercept = found
        .intercepts
        .iter()
        .find(|(run, _)| *run == last_run)
        .map_or(found.trend.intercept, |(_, intercept)| *intercept);
    let length = times[times.len() - 1];
    // Many readings see a smaller change than two do. Sen's interval knows only how far they scatter; a kit that always
    // shows the same may still be no better than it states, so the slope must also be more than its error would make.
    let us: Vec<f64> = points.iter().map(|point| point.u.max(f64::MIN_POSITIVE.sqrt())).collect();
    let by_error = TWO_SIDED_95 * trend::slope_uncertainty(&times, &us, &groups);
    let visible = found.trend.is_distinguishable() && found.trend.slope.abs() > by_error;
    TrendState::Found(FoundTrend {
        from: points[0].when.date(),
        to: points[points.len() - 1].when.date(),
        readings: points.len(),
        slope: found.trend.slope,
        low: found.trend.low,
        high: found.trend.high,
        p: found.trend.p,
        value_at_end: intercept + found.trend.slope * length,
        visible,
    })
}

/// A change a day that is worth looking for, where the record shows none yet (common practice, no source).
fn expected_change(parameter: Parameter) -> Option<f64> {
    Some(match parameter {
        Parameter::Alkalinity => 0.05,
        Parameter::Calcium => 0.5,
        Parameter::Magnesium => 1.0,
        Parameter::Nitrate => 0.2,
        Parameter::Phosphate => 0.002,
        Parameter::Salinity => 0.05,
        Parameter::Potassium => 0.5,
        _ => return None,
    })
}

fn test_again(parameter: Parameter, latest: &SeriesPoint, trend: &TrendState) -> Option<TestAgain> {
    let change = trend::smallest_visible_change(latest.u).ok()?;
    let (a_day, by_trend) = match trend {
        TrendState::Found(found) if found.visible => (found.slope.abs(), true),
        _ => (expected_change(parameter)?, false),
    };
    let days = trend::detectable_after(latest.u, a_day).ok()?.ceil().clamp(1.0, 365.0) as i64;
    Some(TestAgain { on: latest.when.date().saturating_add(days.days()), change, a_day, by_trend })
}

fn add_figures(record: &Record, tank: &Tank, state: &WaterState, figures: &mut Figures) {
    let name = state.parameter.shown();
    let key = state.parameter.key();
    let Some(latest) = &state.latest else {
        figures.miss(&tank.key, &format!("water.{key}"), name, format!("`{key}: …` in an entry"));
        return;
    };
    if latest.bound == Bound::Exactly {
        let node = figures.graph.root(Root {
            label: format!("{name}, reading of {}", latest.when.date()),
            value: latest.value * state.parameter.shown_factor(),
            uncertainty: latest.u * state.parameter.shown_factor(),
            unit: state.parameter.unit().into(),
            basis: Basis::Measured,
            places: vec![latest.place.clone()],
            shape: Shape::Normal,
            private: false,
            note: None,
            source: None,
        });
        let mut built = figures
            .define(&tank.key, &format!("water.{key}"), name)
            .method(
                "the latest reading",
                number(latest.value),
                if latest.u_assumed { &["common-practice"] } else { &[] },
            )
            .decimals(state.parameter.decimals());
        if latest.u_assumed {
            built = built.note("the kit's uncertainty is not recorded: the default of careful home use is taken");
        }
        built.finish(node);
    } else {
        let word = crate::record::bound_word(latest.bound);
        figures.miss(
            &tank.key,
            &format!("water.{key}"),
            name,
            format!(
                "a kit that sees further: the latest reading is {word}{} {}",
                number(latest.value),
                state.parameter.unit()
            ),
        );
    }
    trend_figure(tank, state, figures);
    test_again_figure(record, tank, state, latest, figures);
}

fn trend_figure(tank: &Tank, state: &WaterState, figures: &mut Figures) {
    let label = format!("Trend of {}", lower(state.parameter));
    let key = format!("water.{}.trend", state.parameter.key());
    let found = match &state.trend {
        TrendState::Found(found) => found,
        TrendState::TooFew { readings, days } => {
            let what = format!(
                "{FEWEST} readings over {SHORTEST} days within the last {WINDOW_DAYS}; there are {readings} over {days} days"
            );
            figures.miss(&tank.key, &key, &label, what);
            return;
        }
    };
    let from = found.from;
    let places = state
        .series
        .points
        .iter()
        .filter(|point| point.when.date() >= from && point.when.date() <= found.to)
        .map(|point| point.place.clone())
        .collect();
    // Sen's interval is about two standard uncertainties to either side.
    let u = (found.high - found.low) / (2.0 * 1.96);
    let unit = format!("{} a week", state.parameter.unit());
    let node = figures.graph.root(Root {
        label: format!("Slope through {} readings", found.readings),
        value: found.slope * 7.0,
        uncertainty: u * 7.0,
        unit: unit.clone(),
        basis: Basis::Computed,
        places,
        shape: Shape::Normal,
        private: false,
        note: None,
        source: Some("sen_1968"),
    });
    let numbers = format!(
        "median slope {} {unit}, 95 in 100 between {} and {}; Mann–Kendall p = {:.3}",
        number(found.slope * 7.0),
        number(found.low * 7.0),
        number(found.high * 7.0),
        found.p
    );
    let mut built = figures.define(&tank.key, &key, &label).method(
        "slope = median of (vⱼ − vᵢ) ∕ (tⱼ − tᵢ) over pairs of one kit and lot",
        numbers,
        &["sen_1968", "mann_1945", "kendall_1970", "hirsch_slack_smith_1982", "helsel_2012"],
    );
    if !found.visible {
        built = built.note("not distinguishable from no change: the interval holds zero, or the change is smaller than the kit can see");
    }
    built.finish(node);
}

fn test_again_figure(record: &Record, tank: &Tank, state: &WaterState, latest: &SeriesPoint, figures: &mut Figures) {
    let Some(again) = state.test_again else {
        return;
    };
    let label = format!("Smallest change of {} that two readings show", lower(state.parameter));
    let key = format!("water.{}.visible-change", state.parameter.key());
    let unit = state.parameter.difference_unit();
    let graph = &mut figures.graph;
    let of_one = "Uncertainty of one reading";
    let u = if latest.u_assumed {
        assumed(graph, of_one, latest.u, 0.0, unit, "that of careful home use: the record states none for the kit")
    } else {
        // Written with the kit, or beside the reading itself.
        let kit = latest.kit.as_ref().and_then(|kit| record.supplies.get(kit));
        let of_kit = kit.and_then(|kit| kit.uncertainty.as_ref()).filter(|u| u.value.at(latest.value) == latest.u);
        stated(graph, of_one, latest.u, 0.0, unit, of_kit.map_or(&latest.place, |u| &u.place))
    };
    let node: NodeId = graph.linear(&label, unit, &[(u, 1.96 * 2f64.sqrt())]);
    figures
        .define(&tank.key, &key, &label)
        .method(
            "Δ = 1.96 · √2 · u",
            format!("Δ = 1.96 × 1.414 × {} = {}", number(latest.u), number(again.change)),
            &["jcgm_100_2008"],
        )
        .inputs(&[u])
        .note(format!(
            "test again on {} to see it at {} {unit} a day, {}",
            again.on,
            number(again.a_day),
            if again.by_trend { "as the trend is" } else { "a pace common in practice (no source): no trend shows" }
        ))
        .note("a trend through many readings can show a smaller one")
        .finish(node);
}

fn lower(parameter: Parameter) -> String {
    if parameter == Parameter::Ph { "pH".into() } else { parameter.shown().to_lowercase() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn point(value: f64, u: f64, bound: Bound) -> SeriesPoint {
        SeriesPoint {
            when: date(2026, 10, 3).at(21, 0, 0, 0),
            value,
            u,
            u_assumed: false,
            bound,
            run: 0,
            kit: None,
            lot: None,
            method: None,
            place: crate::diagnostic::Place { file: "log/a.yaml".into(), line: 1, column: 1, length: 1 },
            off_hour: false,
        }
    }

    #[test]
    fn standing_needs_more_than_the_kits_error() {
        let band = Some(Band { low: 7.0, high: 8.5 });
        let at = |value, u, bound| standing(Some(&point(value, u, bound)), band);
        assert_eq!(at(7.7, 0.2, Bound::Exactly), Standing::Inside);
        assert_eq!(at(7.0, 0.2, Bound::Exactly), Standing::TooCloseToTell);
        assert_eq!(at(6.5, 0.2, Bound::Exactly), Standing::Below);
        assert_eq!(at(8.9, 0.2, Bound::Exactly), Standing::Above);
        assert_eq!(at(7.0, 0.2, Bound::Below), Standing::Below);
        assert_eq!(at(7.5, 0.2, Bound::Below), Standing::TooCloseToTell);
        assert_eq!(standing(None, band), Standing::NoReading);
    }

    #[test]
    fn four_weeks_for_a_soft_tanks_alkalinity() {
        // u = 0.3 dKH and a use of 0.03 dKH a day: 1.96 · √2 · 0.3 / 0.03 = 27.7 days.
        let days = trend::detectable_after(0.3, 0.03).unwrap();
        assert!((days - 27.72).abs() < 0.01, "{days}");
    }

    /// Nine weekly readings that each show 0.1 °C less. By hand: Σ (t − t̄)² = 49·60 = 2940 days², so that a thermometer
    /// good to 0.7 °C makes slopes of up to 1.96·0.7/√2940 = 0.0253 a day by its error alone, more than 0.1/7 = 0.0143;
    /// one good to 0.3 °C makes 0.0108.
    #[test]
    fn a_fall_within_the_error_of_the_kit_is_not_called_more_than_it() {
        let of = |u: f64| {
            let mut series = Series::default();
            for week in 0..9 {
                let mut reading = point(25.8 - 0.1 * f64::from(week), u, Bound::Exactly);
                reading.when = date(2026, 8, 15).saturating_add((week * 7).days()).at(21, 0, 0, 0);
                series.points.push(reading);
            }
            trend_of(&series, date(2026, 10, 12))
        };
        for (u, is_visible) in [(0.7, false), (0.3, true)] {
            let TrendState::Found(found) = of(u) else { panic!("no trend") };
            assert!((found.slope + 0.1 / 7.0).abs() < 1e-9 && found.p < 0.05, "{found:?}");
            assert_eq!(found.visible, is_visible, "±{u}");
        }
        // Where no trend shows, the pace that the next test waits for is not the tank's own, and the state says so.
        let latest = point(8.0, 0.3, Bound::Exactly);
        let few = TrendState::TooFew { readings: 2, days: 14 };
        let again = test_again(Parameter::Alkalinity, &latest, &few).unwrap();
        // 1.96 · √2 · 0.3 = 0.8315 dKH at 0.05 a day: 16.6 days.
        assert_eq!((again.on, again.a_day, again.by_trend), (date(2026, 10, 20), 0.05, false));
        assert!((again.change - 0.8315).abs() < 1e-4);
    }

    #[test]
    fn a_fall_is_found_across_a_new_lot() {
        let mut series = Series::default();
        for day in 0..12 {
            let mut reading = point(8.0 - 0.05 * f64::from(day * 4), 0.1, Bound::Exactly);
            reading.when = date(2026, 8, 20).saturating_add((day * 4).days()).at(21, 0, 0, 0);
            if day >= 6 {
                reading.run = 1;
                reading.value += 0.6;
            }
            series.points.push(reading);
        }
        let TrendState::Found(found) = trend_of(&series, date(2026, 10, 10)) else { panic!("no trend") };
        assert!((found.slope + 0.05).abs() < 1e-9, "{}", found.slope);
        assert!(found.visible);
    }
}
