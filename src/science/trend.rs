//! Trends in a series of readings that last: rank tests and median slopes, which a single wild reading cannot move.
//!
//! Times are in any unit counted from any origin, normally days; slopes come back in the value's unit per that unit.

use std::collections::BTreeMap;
use std::fmt;

use super::normal::{TWO_SIDED_95, two_sided_p};
use super::rank::{median, median_of_sorted};

pub use super::detection::{detectable_after, slope_uncertainty, smallest_visible_change};
pub use super::lowess::lowess;

/// A median slope with its interval, and the test of whether there is a trend at all.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trend {
    /// How many readings went in.
    pub n: usize,
    /// Theil–Sen slope: the median of the slopes of all pairs, in the value's unit per unit of time.
    pub slope: f64,
    /// Lower 95 % limit of the slope.
    pub low: f64,
    /// Upper 95 % limit of the slope.
    pub high: f64,
    /// Whether there were enough readings for limits at 95 %. Where not (four readings or fewer), `low` and `high`
    /// are the smallest and the largest slope of all pairs and cover less than 95 %.
    pub limits_are_95: bool,
    /// Value of the line at time 0: the median value less the slope times the median time.
    pub intercept: f64,
    /// Mann–Kendall S: pairs that rise less pairs that fall.
    pub s: i64,
    /// Variance of S where there is no trend, with ties counted.
    pub var_s: f64,
    /// S in standard deviations, with the continuity correction.
    pub z: f64,
    /// Chance of an S so far from zero, on either side, where there is no trend.
    pub p: f64,
}

impl Trend {
    /// Whether the readings rule out "no change" at 95 %.
    pub fn is_distinguishable(&self) -> bool {
        self.p < 0.05
    }

    /// Value of the line at a time, in the unit of the values.
    pub fn at(&self, time: f64) -> f64 {
        self.intercept + self.slope * time
    }
}

/// One slope shared by groups of readings of which each has its own offset.
#[derive(Debug, Clone, PartialEq)]
pub struct GroupedTrend {
    /// The common trend. Its intercept belongs to the group with the latest reading.
    pub trend: Trend,
    /// Value of the line at time 0 for each group, in order of group number. A group without any detected reading
    /// has no line and is left out.
    pub intercepts: Vec<(usize, f64)>,
}

/// Why no trend can be given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TooFew {
    /// Fewer than three readings: two always lie on a line.
    Readings { have: usize },
    /// Every reading (of each group) is of the same time.
    DifferentTimes,
    /// Every reading is the same, or none can be ordered, so the test has nothing to rank.
    DifferentValues,
    /// No two readings (of a group) at different times are above the limit of detection, so there is no slope.
    Detected,
    /// A time or a value is not a number.
    Numbers,
}

impl fmt::Display for TooFew {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            TooFew::Readings { have } => {
                write!(f, "a trend needs three readings or more, there are {have}")
            }
            TooFew::DifferentTimes => f.write_str("a trend needs readings at different times"),
            TooFew::DifferentValues => f.write_str("the readings do not differ, so there is no trend to rank"),
            TooFew::Detected => {
                f.write_str("a slope needs two readings above the limit of detection at different times")
            }
            TooFew::Numbers => f.write_str("a time or a value is not a number"),
        }
    }
}

impl std::error::Error for TooFew {}

/// Theil–Sen slope and Mann–Kendall test of a series.
///
/// slope = median of (yⱼ − yᵢ)/(tⱼ − tᵢ) over pairs with different times;
/// S = Σ sign(tⱼ − tᵢ) sign(yⱼ − yᵢ); z = (S − sign S)/√Var S; p = 2 (1 − Φ(|z|))
///
/// Var S counts ties in value and in time (Kendall's two-variable form). The limits of the slope are ranks of the
/// ordered slopes after Sen's equation 2.6, with ties counted and ranks rounded half to even.
///
/// `times` and `values` belong together by index and need not be sorted. Valid for independent readings: hourly
/// readings of one day follow one another, and then p is too small and the limits too narrow.
///
/// Errors: fewer than three readings, all at one time, or all alike.
/// Source: [`theil_1950`, `sen_1968`, `mann_1945`, `kendall_1970`](crate::science::sources).
///
/// ```
/// # use polypary::science::trend::{theil_sen, TooFew};
/// let times: Vec<f64> = (1..=11).map(f64::from).collect();
/// let values = [10., 10., 10., 5., 10., 20., 18., 17., 15., 24., 15.];
/// let trend = theil_sen(&times, &values)?;
/// // EPA QA/G-9S (2006), page 109: S = 22, Var S = 155.33, Z = 1.685.
/// assert_eq!(trend.s, 22);
/// assert!((trend.var_s - 155.33).abs() < 0.005 && (trend.z - 1.685).abs() < 0.0005);
/// assert_eq!(theil_sen(&[3.], &[1.]), Err(TooFew::Readings { have: 1 }));
/// # Ok::<(), TooFew>(())
/// ```
pub fn theil_sen(times: &[f64], values: &[f64]) -> Result<Trend, TooFew> {
    let one_group = vec![0; times.len()];
    Ok(theil_sen_grouped(times, values, &one_group)?.trend)
}

/// Theil–Sen slope and Mann–Kendall test with one slope and an offset for each group, for a series that a new kit or
/// lot has broken into pieces.
///
/// Pairs are formed only within a group; S and Var S are summed over the groups, as the seasonal Kendall test sums
/// them over months; the slope is the median of all such pairs' slopes. `groups` numbers the group of each reading.
/// A group of one reading adds nothing to the slope.
///
/// Errors and validity as [`theil_sen`].
/// Source: [`hirsch_slack_smith_1982`](crate::science::sources).
///
/// ```
/// # use polypary::science::trend::{theil_sen_grouped, TooFew};
/// // Falling 0.1 a day; the second lot reads 1.0 higher.
/// let fit = theil_sen_grouped(
///     &[0., 1., 2., 3., 4., 5.], &[8.0, 7.9, 7.8, 8.7, 8.6, 8.5], &[0, 0, 0, 1, 1, 1])?;
/// assert!((fit.trend.slope + 0.1).abs() < 1e-12);
/// assert_eq!(fit.trend.s, -6);
/// assert!((fit.intercepts[1].1 - fit.intercepts[0].1 - 1.0).abs() < 1e-12);
/// # Ok::<(), TooFew>(())
/// ```
pub fn theil_sen_grouped(times: &[f64], values: &[f64], groups: &[usize]) -> Result<GroupedTrend, TooFew> {
    let nothing_below = vec![false; times.len()];
    theil_sen_grouped_censored(times, values, groups, &nothing_below)
}

/// Theil–Sen slope and Mann–Kendall test of a series in which some values are known only to be below a limit.
///
/// Where `below` holds, the value is the limit. A pair counts in S only where its order is certain: a detected value
/// at or above the other's limit is the larger; two values below their limits, or a detected value under the other's
/// limit, count as a tie. Var S is the permutation variance of exactly these scores. Slopes with a value below its
/// limit are skipped, so slope and limits come from the detected readings alone and lean towards zero where the
/// series sinks out of sight; S, z and p use every reading.
///
/// Errors as [`theil_sen`], and none if no two detected readings differ in time.
/// Source: [`helsel_2012`](crate::science::sources) for the scores; [`daniels_1944`](crate::science::sources) for the
/// variance.
///
/// ```
/// # use polypary::science::trend::{theil_sen_censored, TooFew};
/// // 5, 4, 3, then below 2: each pair falls for certain, so S is that of a full series.
/// let trend = theil_sen_censored(&[0., 1., 2., 3.], &[5., 4., 3., 2.], &[false, false, false, true])?;
/// assert_eq!((trend.s, trend.slope), (-6, -1.));
/// // With a limit of 3.5 the last pair may rise or fall.
/// let trend = theil_sen_censored(&[0., 1., 2., 3.], &[5., 4., 3., 3.5], &[false, false, false, true])?;
/// assert_eq!(trend.s, -5);
/// # Ok::<(), TooFew>(())
/// ```
pub fn theil_sen_censored(times: &[f64], values: &[f64], below: &[bool]) -> Result<Trend, TooFew> {
    let one_group = vec![0; times.len()];
    Ok(theil_sen_grouped_censored(times, values, &one_group, below)?.trend)
}

/// [`theil_sen_grouped`] and [`theil_sen_censored`] in one: lots with their own offsets, some values below a limit.
///
/// # Panics
///
/// Where the four slices differ in length.
pub fn theil_sen_grouped_censored(
    times: &[f64],
    values: &[f64],
    groups: &[usize],
    below: &[bool],
) -> Result<GroupedTrend, TooFew> {
    let n = times.len();
    assert!(
        values.len() == n && groups.len() == n && below.len() == n,
        "a trend needs one value, group and flag for each time"
    );
    if times.iter().chain(values).any(|number| !number.is_finite()) {
        return Err(TooFew::Numbers);
    }
    if n < 3 {
        return Err(TooFew::Readings { have: n });
    }
    let mut by_group: BTreeMap<usize, Vec<Reading>> = BTreeMap::new();
    for i in 0..n {
        by_group.entry(groups[i]).or_default().push(Reading { time: times[i], value: values[i], below: below[i] });
    }
    if by_group.values().all(|group| group.iter().all(|reading| reading.time == group[0].time)) {
        return Err(TooFew::DifferentTimes);
    }

    let ranking = by_group.values().map(|group| Ranking::of(group)).fold(Ranking::default(), Ranking::plus);
    if ranking.variance <= 0.0 {
        return Err(TooFew::DifferentValues);
    }
    let z = (ranking.s - ranking.s.signum()) as f64 / ranking.variance.sqrt();

    let detected: BTreeMap<usize, Vec<Reading>> = by_group
        .iter()
        .map(|(&group, readings)| (group, readings.iter().copied().filter(|r| !r.below).collect::<Vec<_>>()))
        .filter(|(_, readings)| !readings.is_empty())
        .collect();
    let mut slopes: Vec<f64> = detected.values().flat_map(|group| pair_slopes(group)).collect();
    if slopes.is_empty() {
        return Err(TooFew::Detected);
    }
    slopes.sort_by(f64::total_cmp);
    let slope = median_of_sorted(&slopes);
    let (low, high, limits_are_95) =
        sen_limits(&slopes, detected.values().map(|group| sen_variance(group)).sum::<f64>());

    let intercepts: Vec<(usize, f64)> =
        detected.iter().map(|(&group, readings)| (group, intercept(readings, slope))).collect();
    let latest_group = detected
        .iter()
        .max_by(|(_, a), (_, b)| latest(a).total_cmp(&latest(b)))
        .map(|(group, _)| *group)
        .expect("slopes exist, so some group has detected readings");
    let latest_intercept = intercepts
        .iter()
        .find(|(group, _)| *group == latest_group)
        .map(|(_, intercept)| *intercept)
        .expect("every group with detected readings has an intercept");

    Ok(GroupedTrend {
        trend: Trend {
            n,
            slope,
            low,
            high,
            limits_are_95,
            intercept: latest_intercept,
            s: ranking.s,
            var_s: ranking.variance,
            z,
            p: two_sided_p(z),
        },
        intercepts,
    })
}

#[derive(Clone, Copy)]
struct Reading {
    time: f64,
    /// The limit itself where `below` holds.
    value: f64,
    below: bool,
}

impl Reading {
    /// 1 where this value is certainly above the other, -1 where below, 0 where tied or uncertain.
    fn certainly_above(&self, other: &Reading) -> i64 {
        match (self.below, other.below) {
            (false, false) => sign(self.value - other.value),
            (true, true) => 0,
            (false, true) => i64::from(self.value >= other.value),
            (true, false) => -i64::from(other.value >= self.value),
        }
    }
}

/// Kendall's S and its variance where time and value have nothing to do with each other.
#[derive(Clone, Copy, Default)]
struct Ranking {
    s: i64,
    variance: f64,
}

impl Ranking {
    /// S from all pairs, and its permutation variance for any antisymmetric scores aᵢⱼ of time and bᵢⱼ of value
    /// (Daniels 1944). For plain scores this is Kendall's variance with ties in both variables.
    fn of(readings: &[Reading]) -> Ranking {
        let n = readings.len() as f64;
        if readings.len() < 2 {
            return Ranking::default();
        }
        // Twice S, the sums of squared scores, and the sums of squared row totals.
        let (mut twice_s, mut a_squares, mut b_squares, mut a_rows, mut b_rows) = (0, 0, 0, 0, 0);
        for this in readings {
            let (mut a_row, mut b_row) = (0, 0);
            for other in readings {
                let a = sign(this.time - other.time);
                let b = this.certainly_above(other);
                twice_s += a * b;
                a_squares += a * a;
                b_squares += b * b;
                a_row += a;
                b_row += b;
            }
            a_rows += a_row * a_row;
            b_rows += b_row * b_row;
        }
        let mut variance = 2.0 / (n * (n - 1.0)) * a_squares as f64 * b_squares as f64;
        if readings.len() > 2 {
            variance += 4.0 / (n * (n - 1.0) * (n - 2.0)) * (a_rows - a_squares) as f64 * (b_rows - b_squares) as f64;
        }
        Ranking { s: twice_s / 2, variance: variance / 4.0 }
    }

    fn plus(self, other: Ranking) -> Ranking {
        Ranking { s: self.s + other.s, variance: self.variance + other.variance }
    }
}

fn sign(difference: f64) -> i64 {
    i64::from(difference > 0.0) - i64::from(difference < 0.0)
}

fn pair_slopes(readings: &[Reading]) -> Vec<f64> {
    let mut slopes = Vec::new();
    for (i, first) in readings.iter().enumerate() {
        for second in &readings[i + 1..] {
            if first.time != second.time {
                slopes.push((second.value - first.value) / (second.time - first.time));
            }
        }
    }
    slopes
}

/// Variance of S as Sen's equation 2.6 has it: ties in each variable, without the cross terms.
fn sen_variance(readings: &[Reading]) -> f64 {
    let term = |k: usize| {
        let k = k as f64;
        k * (k - 1.0) * (2.0 * k + 5.0)
    };
    let ties = |numbers: Vec<f64>| tie_sizes(numbers).into_iter().map(term).sum::<f64>();
    let times = readings.iter().map(|r| r.time).collect();
    let values = readings.iter().map(|r| r.value).collect();
    (term(readings.len()) - ties(times) - ties(values)) / 18.0
}

fn tie_sizes(mut numbers: Vec<f64>) -> Vec<usize> {
    numbers.sort_by(f64::total_cmp);
    numbers.chunk_by(|a, b| a == b).map(<[f64]>::len).collect()
}

/// Limits of the slope by rank, and whether the ranks lie inside the list.
fn sen_limits(sorted_slopes: &[f64], variance: f64) -> (f64, f64, bool) {
    let count = sorted_slopes.len() as f64;
    let half_width = TWO_SIDED_95 * variance.max(0.0).sqrt();
    let low_rank = ((count - half_width) / 2.0).round_ties_even() - 1.0;
    let high_rank = ((count + half_width) / 2.0).round_ties_even();
    let last = count - 1.0;
    let low = sorted_slopes[low_rank.clamp(0.0, last) as usize];
    let high = sorted_slopes[high_rank.clamp(0.0, last) as usize];
    (low, high, low_rank >= 0.0 && high_rank <= last)
}

fn intercept(readings: &[Reading], slope: f64) -> f64 {
    let times = median(&readings.iter().map(|r| r.time).collect::<Vec<_>>());
    let values = median(&readings.iter().map(|r| r.value).collect::<Vec<_>>());
    values - slope * times
}

fn latest(readings: &[Reading]) -> f64 {
    readings.iter().map(|r| r.time).fold(f64::NEG_INFINITY, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn variance_by_ties(n: f64, times: &[f64], values: &[f64]) -> f64 {
        let five = |k: &f64| k * (k - 1.0) * (2.0 * k + 5.0);
        let three = |k: &f64| k * (k - 1.0) * (k - 2.0);
        let two = |k: &f64| k * (k - 1.0);
        let sum = |of: &dyn Fn(&f64) -> f64, ties: &[f64]| ties.iter().map(of).sum::<f64>();
        (five(&n) - sum(&five, times) - sum(&five, values)) / 18.0
            + sum(&three, times) * sum(&three, values) / (9.0 * three(&n))
            + sum(&two, times) * sum(&two, values) / (2.0 * two(&n))
    }

    /// Kendall 1970, chapter 4 (from memory): the closed form with ties in both variables.
    #[test]
    fn the_permutation_variance_is_kendalls_with_ties_in_both() {
        let times = [0.0, 0.0, 1.0, 2.0, 2.0, 2.0, 5.0];
        let values = [3.0, 4.0, 4.0, 4.0, 7.0, 7.0, 9.0];
        let trend = theil_sen(&times, &values).unwrap();
        let expected = variance_by_ties(7.0, &[2.0, 3.0], &[3.0, 2.0]);
        assert!((trend.var_s - expected).abs() < 1e-12, "{} {expected}", trend.var_s);
    }

    /// Every order of the scores of a small censored series, counted one by one: the variance is exact.
    #[test]
    fn the_variance_with_values_below_a_limit_is_that_of_all_orders() {
        let values = [(5.0, false), (3.5, true), (3.0, false), (2.0, true), (4.0, false)];
        let mut sum_of_squares = 0.0;
        let mut count = 0.0;
        let mut order = [0, 1, 2, 3, 4];
        permute(&mut order, 0, &mut |order| {
            let readings: Vec<Reading> = order
                .iter()
                .enumerate()
                .map(|(day, &i)| Reading { time: day as f64, value: values[i].0, below: values[i].1 })
                .collect();
            let s = Ranking::of(&readings).s as f64;
            sum_of_squares += s * s;
            count += 1.0;
        });
        assert_eq!(count, 120.0);
        let times = [0.0, 1.0, 2.0, 3.0, 4.0];
        let (numbers, below): (Vec<f64>, Vec<bool>) = values.into_iter().unzip();
        let trend = theil_sen_censored(&times, &numbers, &below).unwrap();
        assert!((trend.var_s - sum_of_squares / count).abs() < 1e-12);
        // By hand: 3 falls below 5 and 4 for certain, <3.5 below 5 and 4, <2 below 5, 3 and 4, and 4 below 5.
        // Down: (0,1) (0,2) (0,3) (0,4) (2,3); up: (1,4) (2,4) (3,4).
        assert_eq!(trend.s, -2);
        // Slopes of 5, 3, 4 on days 0, 2, 4: -1, -0.25, 0.5.
        assert_eq!(trend.slope, -0.25);
    }

    fn permute(order: &mut [usize; 5], from: usize, each: &mut impl FnMut(&[usize; 5])) {
        if from == order.len() {
            each(order);
        }
        for i in from..order.len() {
            order.swap(from, i);
            permute(order, from + 1, each);
            order.swap(from, i);
        }
    }

    #[test]
    fn a_series_without_a_trend_to_see_is_refused_with_the_reason() {
        let days = [0.0, 1.0, 2.0, 3.0];
        assert_eq!(theil_sen(&[], &[]), Err(TooFew::Readings { have: 0 }));
        assert_eq!(theil_sen(&days[..2], &[1.0, 2.0]), Err(TooFew::Readings { have: 2 }));
        assert_eq!(theil_sen(&days, &[8.0; 4]), Err(TooFew::DifferentValues));
        let same_day = [7.0; 10];
        let values = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0];
        assert_eq!(theil_sen(&same_day, &values), Err(TooFew::DifferentTimes));
        assert_eq!(theil_sen(&days, &[1.0, f64::NAN, 2.0, 3.0]), Err(TooFew::Numbers));
        let all_but_one = [false, true, true, true];
        assert_eq!(theil_sen_censored(&days, &[5.0, 1.0, 1.0, 1.0], &all_but_one), Err(TooFew::Detected));
        assert_eq!(theil_sen_censored(&days, &[1.0; 4], &[true; 4]), Err(TooFew::DifferentValues));
        // Each lot read once: nothing can be compared.
        assert_eq!(theil_sen_grouped(&days, &values[..4], &[0, 1, 2, 3]), Err(TooFew::DifferentTimes));
        assert_eq!(TooFew::Readings { have: 1 }.to_string(), "a trend needs three readings or more, there are 1");
    }

    #[test]
    fn four_readings_give_a_slope_but_no_limits_at_95_percent() {
        let four = theil_sen(&[0.0, 1.0, 2.0, 3.0], &[1.0, 2.0, 4.0, 8.0]).unwrap();
        assert!(!four.limits_are_95 && !four.is_distinguishable());
        assert_eq!((four.low, four.high), (1.0, 4.0));
        let five = theil_sen(&[0.0, 1.0, 2.0, 3.0, 4.0], &[1.0, 2.0, 4.0, 8.0, 16.0]).unwrap();
        assert!(five.limits_are_95);
        assert_eq!((five.low, five.high), (1.0, 8.0));
    }

    /// Hirsch, Slack & Smith 1982: S and Var S of the groups add; by hand n = 4 has Var S 26/3 without ties.
    #[test]
    fn groups_add_their_s_and_variance() {
        let times = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0];
        let values = [1.0, 2.0, 3.0, 4.0, 1.0, 3.0, 2.0, 4.0];
        let groups = [0, 0, 0, 0, 1, 1, 1, 1];
        let fit = theil_sen_grouped(&times, &values, &groups).unwrap();
        assert_eq!(fit.trend.s, 6 + 4);
        assert!((fit.trend.var_s - 2.0 * 26.0 / 3.0).abs() < 1e-12);
        assert!((fit.trend.z - 9.0 / (52.0_f64 / 3.0).sqrt()).abs() < 1e-12);
        // Read as one series the fall between the lots makes the same rise less certain.
        assert!(theil_sen(&times, &values).unwrap().z < fit.trend.z);
    }

    #[test]
    fn the_order_in_which_readings_come_does_not_matter() {
        let forward = theil_sen(&[0.0, 1.0, 2.0, 3.0, 4.0], &[1.0, 3.0, 2.0, 5.0, 4.0]).unwrap();
        let shuffled = theil_sen(&[3.0, 0.0, 4.0, 2.0, 1.0], &[5.0, 1.0, 4.0, 2.0, 3.0]).unwrap();
        assert_eq!(forward, shuffled);
        assert_eq!(forward.at(2.0), 3.0);
    }
}
