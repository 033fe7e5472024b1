//! Median slopes, rank tests and smooth lines against the statistical libraries.

use super::table::{Row, rows};
use polypary::science::trend::{Trend, lowess, theil_sen, theil_sen_censored};

fn series(dataset: &str) -> (Vec<f64>, Vec<f64>) {
    let rows = rows(&format!("14_data_{dataset}.csv"));
    // The first column is the time, whatever its unit.
    let time = if dataset == "temperature" {
        "time_h"
    } else if ["epa_qa_g9s", "helsel_hirsch"].contains(&dataset) {
        "x"
    } else {
        "time_d"
    };
    (rows.iter().map(|row| row.number(time)).collect(), rows.iter().map(|row| row.number("value")).collect())
}

fn matches(row: &Row, trend: &Trend) {
    row.close("n", trend.n as f64, 0.0);
    row.close("kendall_s", trend.s as f64, 0.0);
    row.relatively_close("var_s", trend.var_s, 1e-9);
    row.relatively_close("z_continuity", trend.z, 1e-9);
    row.relatively_close("p_two_sided", trend.p, 1e-9);
    row.relatively_close("theil_slope", trend.slope, 1e-9);
    row.relatively_close("intercept_medians", trend.intercept, 1e-9);
    row.relatively_close("slope_low95", trend.low, 1e-9);
    row.relatively_close("slope_high95", trend.high, 1e-9);
    assert!(trend.limits_are_95);
}

#[test]
fn every_series_gives_the_trend_of_the_statistical_libraries() {
    let results = rows("14a_trend_results.csv");
    assert_eq!(results.len(), 9);
    for row in results {
        let (times, values) = series(row.text("dataset"));
        matches(&row, &theil_sen(&times, &values).unwrap());
        let none_below = vec![false; times.len()];
        matches(&row, &theil_sen_censored(&times, &values, &none_below).unwrap());
    }
}

#[test]
fn smooth_lines_are_those_of_the_statistical_library() {
    let all = rows("14b_lowess.csv");
    for dataset in ["alkalinity", "nitrate", "phosphate"] {
        let rows: Vec<&Row> = all.iter().filter(|row| row.text("dataset") == dataset).collect();
        let times: Vec<f64> = rows.iter().map(|row| row.number("time_d")).collect();
        let values: Vec<f64> = rows.iter().map(|row| row.number("value")).collect();
        assert!(times.len() >= 18);
        for (column, iterations) in [("lowess_frac0_5_it0", 0), ("lowess_frac0_5_it3", 3)] {
            for (row, smooth) in rows.iter().zip(lowess(&times, &values, 0.5, iterations)) {
                row.relatively_close(column, smooth, 1e-8);
            }
        }
    }
}
