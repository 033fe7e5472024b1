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
use crate::science::births::ln_growth_uncertainty;
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
    /// The cut with which the time ends, where later sizes were left out for it.
    pub until_cut: Option<Date>,
    /// A year: in the measure's unit (linear), or as a specific rate, ln of the factor (log-linear): see
    /// [`Growth::a_year`].
    pub rate: f64,
    /// 95 in 100, in the unit of the rate.
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
    /// A rate as a reader means it: in the measure's unit a year, or in % a year, 100·(e^rate − 1).
    pub fn a_year(&self, rate: f64) -> f64 {
        if self.model == Model::Linear { rate } else { share_a_year(rate) }
    }

    /// Whether not even the order of magnitude of a share is known: the factor a year may be a hundred times another, and
    /// none is as likely. A number would only mislead.
    pub fn tells_nothing(&self) -> bool {
        self.model == Model::LogLinear && !self.visible && self.high - self.low > 100f64.ln()
    }

    /// Days in which it doubles, for a rate that is a share.
    pub fn doubling_days(&self) -> Option<f64> {
        (self.model == Model::LogLinear && self.rate > 0.0).then(|| 2f64.ln() / self.rate * YEAR)
    }
}

/// % a year of a specific rate a year: a rate of ln 2 doubles, which is 100 % more.
fn share_a_year(rate: f64) -> f64 {
    100.0 * rate.exp_m1()
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
pub fn cuts(record: &Record, colony: &Colony) -> Vec<Date> {
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
    let cuts: Vec<Date> = cuts.iter().copied().filter(|cut| *cut > first.on && *cut <= last.on).collect();
    let times: Vec<f64> = sizes.iter().map(|size| f64::from(days_between(first.on, size.on))).collect();
    let values: Vec<f64> = sizes.iter().map(|size| scale(size.value)).collect();
    // A cut parts the sizes into groups: it makes the colony smaller, not slower.
    let groups: Vec<usize> = sizes.iter().map(|size| cuts.iter().filter(|cut| **cut <= size.on).count()).collect();
    let stretches: Vec<Stretch> = sizes
        .chunk_by(|a, b| !cuts.iter().any(|cut| *cut > a.on && *cut <= b.on))
        .filter_map(|uncut| Stretch::of(uncut, model))
        .collect();

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
        until_cut: None,
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
            if measure.is_count()
                && let Some((_, u)) = pooled(&stretches)
            {
                // However evenly a count rose, chance may have moved all of it.
                growth.low = growth.low.min(growth.rate - COVERAGE * u * YEAR);
                growth.high = growth.high.max(growth.rate + COVERAGE * u * YEAR);
            }
            growth.visible = trend.is_distinguishable() && (growth.low > 0.0 || growth.high < 0.0);
            let end = trend.at(*times.last()?);
            growth.value_at_end = if model == Model::Linear { end } else { end.exp() };
        }
        _ => {
            let (slope, u) = pooled(&stretches)?;
            let (from, to) = (stretches.first()?.from, stretches.last()?.to);
            (growth.from, growth.to) = (from.on, to.on);
            (growth.first, growth.last) = (from.value, to.value);
            growth.sizes = stretches.iter().map(|stretch| stretch.sizes).sum();
            growth.since_cut = growth.cuts.iter().copied().filter(|cut| *cut <= from.on).max();
            growth.until_cut = growth.cuts.iter().copied().filter(|cut| *cut > to.on).min();
            growth.cuts.retain(|cut| *cut > from.on && *cut <= to.on);
            growth.rate = slope * YEAR;
            (growth.low, growth.high) = ((slope - COVERAGE * u) * YEAR, (slope + COVERAGE * u) * YEAR);
            growth.visible = growth.low > 0.0 || growth.high < 0.0;
            growth.value_at_end = to.value;
        }
    }
    Some(growth)
}

/// A time without a cut, long enough for growth to show, by its first and its last size.
struct Stretch<'a> {
    from: &'a Size,
    to: &'a Size,
    sizes: usize,
    /// A day, on the scale of the model, with its standard uncertainty.
    slope: f64,
    u: f64,
}

impl<'a> Stretch<'a> {
    /// `None` for one size, or too short a time.
    fn of(sizes: &[&'a Size], model: Model) -> Option<Stretch<'a>> {
        let (from, to) = (*sizes.first()?, *sizes.last()?);
        let days = days_between(from.on, to.on);
        if days < LEAST_DAYS {
            return None;
        }
        let days = f64::from(days);
        let (rise, u) = match model {
            Model::Linear => (to.value - from.value, size_u(from).hypot(size_u(to))),
            Model::LogLinear => {
                // Relative for the logarithm: d ln v = dv / v.
                let measuring = (size_u(from) / from.value).hypot(size_u(to) / to.value);
                let chance = if from.measure.is_count() {
                    ln_growth_uncertainty(from.value, to.value).unwrap_or_default()
                } else {
                    0.0
                };
                ((to.value / from.value).ln(), measuring.hypot(chance))
            }
        };
        Some(Stretch { from, to, sizes: sizes.len(), slope: rise / days, u: u / days })
    }
}

/// The mean slope of stretches weighed by 1∕u², and its standard uncertainty 1∕√Σ 1∕u². `None` for no stretch.
fn pooled(stretches: &[Stretch]) -> Option<(f64, f64)> {
    match stretches {
        [] => None,
        [one] => Some((one.slope, one.u)),
        _ => {
            // A size that is told to have no error at all must not outweigh all others beyond number.
            let weight = |stretch: &Stretch| stretch.u.max(1e-9).powi(-2);
            let all: f64 = stretches.iter().map(weight).sum();
            Some((stretches.iter().map(|one| weight(one) * one.slope).sum::<f64>() / all, all.sqrt().recip()))
        }
    }
}

/// `2 and 3 heads`
fn ends_of(growth: &Growth) -> String {
    format!("{} and {} {}", number(growth.first), number(growth.last), growth.measure.unit())
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
                let uncut = if cuts(record, colony).is_empty() { "" } else { ", with no cut between them" };
                let name = &colony.name.value;
                let what = if colony.sizes.len() == 1 {
                    format!("another size of {name}, {LEAST_DAYS} days or more after the first{uncut}")
                } else {
                    format!("two sizes of {name} in one measure, {LEAST_DAYS} days or more apart{uncut}")
                };
                figures.miss(tank, &key, &label, what);
            }
            continue;
        };
        if growth.tells_nothing() {
            let what = format!(
                "another size of {}, later: {} in {} days are too few to tell a share a year",
                colony.name.value,
                ends_of(&growth),
                days_between(growth.from, growth.to)
            );
            figures.miss(tank, &key, &label, what);
            continue;
        }
        let is_share = growth.model == Model::LogLinear;
        let slope = figures.graph.root(Root {
            label: match (growth.test, growth.sizes) {
                (Some(_), sizes) => format!("Slope through {sizes} sizes{}", if is_share { ", logarithm" } else { "" }),
                (None, 2) => format!("Between two sizes{}", if is_share { ", logarithm" } else { "" }),
                (None, sizes) => {
                    format!("From the first of {sizes} sizes to the last{}", if is_share { ", logarithm" } else { "" })
                }
            },
            value: growth.rate,
            uncertainty: (growth.high - growth.low) / (2.0 * COVERAGE),
            unit: if is_share { "a year".into() } else { format!("{} a year", growth.measure.unit()) },
            basis: Basis::Computed,
            places: colony
                .sizes
                .iter()
                .filter(|size| size.measure == growth.measure && size.on >= growth.from && size.on <= growth.to)
                .map(|size| size.place.clone())
                .collect(),
            shape: Shape::Normal,
            private: false,
            note: None,
            source: growth.test.map(|_| "sen_1968"),
        });
        // Of a share the figure is the factor a year less one: a logarithm is for sums, not for readers.
        let node =
            if is_share { figures.graph.compute(&label, "% a year", &[slope], |x| share_a_year(x[0])) } else { slope };
        let [rate, low, high] = [growth.rate, growth.low, growth.high].map(|rate| number(growth.a_year(rate)));
        let interval = format!("95 in 100 between {low} and {high}");
        let mut sources = Vec::new();
        let (formula, numbers) = match growth.test {
            Some((s, p)) => {
                sources.extend(["sen_1968", "mann_1945", "kendall_1970"]);
                (
                    match growth.model {
                        Model::Linear => "rate = median of (Lⱼ − Lᵢ) ∕ (tⱼ − tᵢ) over pairs of sizes between cuts",
                        Model::LogLinear => {
                            "rate = exp(median of (ln Lⱼ − ln Lᵢ) ∕ (tⱼ − tᵢ)) − 1 over pairs of sizes between cuts"
                        }
                    },
                    format!("{rate}; {interval}; Mann–Kendall S = {s}, p = {p:.3}"),
                )
            }
            None => {
                sources.push("jcgm_100_2008");
                let ends = format!("{} in {} days", ends_of(&growth), days_between(growth.from, growth.to));
                match (growth.model, growth.cuts.is_empty()) {
                    (Model::Linear, true) => ("rate = (L₂ − L₁) ∕ (t₂ − t₁)", format!("{ends}; {interval}")),
                    (Model::LogLinear, true) => {
                        ("rate = exp((ln L₂ − ln L₁) ∕ (t₂ − t₁)) − 1", format!("{ends}: {rate}; {interval}"))
                    }
                    (Model::Linear, false) => (
                        "rate = mean of (L₂ − L₁) ∕ (t₂ − t₁) of the times between cuts, weighed by 1 ∕ u²",
                        format!("{ends} with a cut between: {rate}; {interval}"),
                    ),
                    (Model::LogLinear, false) => (
                        "rate = exp(mean of (ln L₂ − ln L₁) ∕ (t₂ − t₁) of the times between cuts, weighed by 1 ∕ u²) − 1",
                        format!("{ends} with a cut between: {rate}; {interval}"),
                    ),
                }
            }
        };
        if growth.measure.is_count() {
            sources.extend(["yule_1925", "kendall_1949"]);
        }
        let mut built = figures.define(tank, &key, &label).method(formula, numbers, &sources).inputs(&[slope]);
        if is_share {
            built = built.interval(growth.a_year(growth.low), growth.a_year(growth.high));
        }
        if growth.measure.is_count() {
            built = built.note(
                "the count is exact, the rate is not: how far chance goes if each divides at random and on its own, \
                 u(ln L₂ − ln L₁) = √|1∕L₁ − 1∕L₂|, beside the error of counting more than twelve",
            );
        }
        if growth.test.is_none() && growth.sizes > 2 {
            built = built.note(format!(
                "with fewer than {LEAST_FOR_RANKS} sizes only the first and the last between cuts count"
            ));
        }
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

    /// Two heads that are seven after 539 days, by hand: ln 3.5 = 1.2528 in 1.4757 years is a rate of 0.8489, a factor of
    /// 2.337 a year: 134 % more. Chance: √(1/2 − 1/7) = 0.5976, so ± 1.96·0.5976/1.4757 = ± 0.7937: 5.7 to 417 % a year.
    #[test]
    fn a_count_grows_by_the_share_that_its_heads_say_and_chance_is_told() {
        let heads = colony(Measure::Heads, &[(0, 2.0), (329, 4.0), (539, 7.0)]);
        let found = growth_between(&heads, Measure::Heads, &[]).unwrap();
        assert!((found.a_year(found.rate) - 133.7).abs() < 0.1, "{}", found.a_year(found.rate));
        assert!((found.a_year(found.low) - 5.7).abs() < 0.1, "{}", found.a_year(found.low));
        assert!((found.a_year(found.high) - 416.9).abs() < 0.5, "{}", found.a_year(found.high));
        assert!((found.doubling_days().unwrap() - 298.2).abs() < 0.1);
        assert!(found.visible);
        // One head more of two may be chance; soon after, it tells nothing: ± 1.96·√(1/2 − 1/3)·365.25/60 in the logarithm
        // is a factor of 130 either way.
        let soon = growth_between(&colony(Measure::Heads, &[(0, 2.0), (60, 3.0)]), Measure::Heads, &[]).unwrap();
        assert!(soon.tells_nothing() && !found.tells_nothing());
        let more = growth_between(&colony(Measure::Heads, &[(0, 2.0), (400, 3.0)]), Measure::Heads, &[]).unwrap();
        assert!(!more.visible && more.high > more.rate);
        // Many polyps: 14 to 120 in 609 days, a factor of 3.63 a year, and the error of counting beside chance.
        let many = growth_between(&colony(Measure::Polyps, &[(0, 14.0), (609, 120.0)]), Measure::Polyps, &[]).unwrap();
        assert!((many.a_year(many.rate) - 262.9).abs() < 0.2, "{}", many.a_year(many.rate));
        let u = (1.0f64 / 14.0 - 1.0 / 120.0 + 2.0 * 0.05 * 0.05).sqrt() * 365.25 / 609.0;
        assert!((many.high - many.rate - 1.96 * u).abs() < 1e-9);
    }

    /// Four sizes and a cut between the last two: the three before it tell the growth.
    #[test]
    fn one_size_after_a_cut_does_not_hide_those_before_it() {
        let cut = date(2024, 1, 1).saturating_add(350.days());
        let leather = colony(Measure::Diameter, &[(0, 6.0), (140, 8.0), (322, 11.0), (623, 15.0)]);
        let found = growth_between(&leather, Measure::Diameter, &[cut]).unwrap();
        // By hand: 5 cm in 322 days.
        assert!((found.rate - 5.0 / 322.0 * 365.25).abs() < 1e-9, "{}", found.rate);
        assert_eq!((found.first, found.last, found.sizes), (6.0, 11.0, 3));
        assert_eq!((found.until_cut, found.since_cut, found.cuts.len()), (Some(cut), None, 0));
        // Two sizes after it as well: 4 cm in 200 days; both count, weighed by their days (the errors are the same).
        let both = colony(Measure::Diameter, &[(0, 6.0), (322, 11.0), (400, 9.0), (600, 13.0)]);
        let found = growth_between(&both, Measure::Diameter, &[cut]).unwrap();
        let weighed = (5.0 * 322.0 + 4.0 * 200.0) / (322.0f64.powi(2) + 200.0f64.powi(2));
        assert!((found.rate - weighed * 365.25).abs() < 1e-9, "{}", found.rate);
        assert_eq!((found.cuts.as_slice(), found.sizes), (&[cut][..], 4));
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
