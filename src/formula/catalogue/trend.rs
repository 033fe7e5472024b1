//! Trends in a series of readings.

use super::super::given::Given;
use super::super::{Formula, Input, Refusal, Work, number, numbers, output};
use crate::science::trend::{detectable_after, lowess, smallest_visible_change, theil_sen_censored};

const TIME: Input = numbers("time_d", "", "0 7 14 21 28 35", "times in any one unit; in a table the first column");
const VALUE: Input =
    numbers("value", "", "8.6 8.5 8.5 8.3 <8.2 8.2", "readings; <0.02 is one below the limit of detection");

/// All pairs of readings are compared, so that time and memory grow with the square of their number.
const MOST_READINGS: usize = 6000;

pub(super) const FORMULAS: &[Formula] = &[
    Formula {
        name: "trend",
        about: "median slope with its interval (Theil–Sen) and rank test (Mann–Kendall) of one series",
        inputs: &[TIME, VALUE],
        outputs: &[
            output("n", "", "readings"),
            output("kendall_s", "", "pairs that rise less pairs that fall"),
            output("var_s", "", "variance of that without a trend, ties counted"),
            output("z_continuity", "", "in standard deviations, with continuity correction"),
            output("p_two_sided", "", "chance of as much without a trend"),
            output("theil_slope", "", "median slope, in the value's unit per unit of time"),
            output("intercept_medians", "", "value of the line at time 0"),
            output("slope_low95", "", "lower 95 % limit of the slope; with four readings or fewer it covers less"),
            output("slope_high95", "", "upper 95 % limit"),
        ],
        valid: "3 to 6000 readings at two times or more that are not all alike, and independent: hourly readings of \
            one day follow one another, and then p is too small and the limits too narrow. Readings below a limit \
            count in the test where their order is certain; slope and limits come from the others",
        sources: &["theil_1950", "sen_1968", "mann_1945", "kendall_1970", "helsel_2012"],
        work: Work::Whole(|given| {
            let Series { times, values, below } = series(given)?;
            let trend = theil_sen_censored(&times, &values, &below)?;
            Ok([
                trend.n as f64,
                trend.s as f64,
                trend.var_s,
                trend.z,
                trend.p,
                trend.slope,
                trend.intercept,
                trend.low,
                trend.high,
            ]
            .map(Some)
            .to_vec())
        }),
    },
    Formula {
        name: "lowess",
        about: "smooth line through a series (locally weighted regression), as charts draw it",
        inputs: &[TIME, numbers("value", "", "8.6 8.5 8.5 8.3 8.2 8.2", "readings")],
        outputs: &[
            output("lowess_frac0_5_it0", "", "line from the nearest half of the readings, plain"),
            output("lowess_frac0_5_it3", "", "the same after three rounds that lower the weight of outliers"),
        ],
        valid: "2 to 6000 readings, none of them only an upper limit",
        sources: &["cleveland_1979"],
        work: Work::Series(|given| {
            given.list("value")?;
            let Series { times, values, .. } = series(given)?;
            if times.len() < 2 {
                return Err(Refusal("a line needs two readings or more".into()));
            }
            let (plain, robust) = (lowess(&times, &values, 0.5, 0), lowess(&times, &values, 0.5, 3));
            Ok(plain.into_iter().zip(robust).map(|(plain, robust)| vec![Some(plain), Some(robust)]).collect())
        }),
    },
    Formula {
        name: "smallest-visible-change",
        about: "smallest difference of two readings that is more than their scatter, and days until a change shows",
        inputs: &[
            number("reading_uncertainty", "", "0.3", "standard uncertainty of one reading, in its own unit"),
            number("change_per_day", "", "0.1", "change a day that is looked for, in the same unit"),
        ],
        outputs: &[
            output("smallest_change", "", "at 95 %, in the same unit"),
            output("days", "", "days until two readings tell it; none for no change"),
        ],
        valid: "uncertainty 0 or more; both readings have the same and share no error",
        sources: &["jcgm_100_2008"],
        work: Work::Row(|given| {
            let (u, slope) = (given.number("reading_uncertainty"), given.number("change_per_day"));
            Ok(vec![Some(smallest_visible_change(u)?), detectable_after(u, slope).ok()])
        }),
    },
];

struct Series {
    times: Vec<f64>,
    values: Vec<f64>,
    /// Whether each value is only an upper limit.
    below: Vec<bool>,
}

fn series(given: &Given) -> Result<Series, Refusal> {
    let times = given.list("time_d")?;
    let (values, below) = given.readings("value");
    if times.len() != values.len() {
        return Err(Refusal(format!("{} times for {} values", times.len(), values.len())));
    }
    if times.len() > MOST_READINGS {
        let why = format!("{} readings are more than {MOST_READINGS}: take daily means", times.len());
        return Err(Refusal(why));
    }
    Ok(Series { times, values, below })
}
