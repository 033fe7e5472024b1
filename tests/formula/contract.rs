//! Every formula of the contract (`tests/reference/science/contract.csv`) over its table, by the way that `--table`
//! takes, against the numbers of independent libraries; the tolerances are the contract's.

use std::collections::BTreeMap;
use std::fs::File;
use std::path::{Path, PathBuf};

use polypary::formula::{Work, find, over_table};

type Record = BTreeMap<String, String>;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/science")
}

fn records(mut reader: csv::Reader<impl std::io::Read>) -> Vec<Record> {
    let header = reader.headers().expect("a header").clone();
    let records = reader.records().map(|row| row.expect("a sound row"));
    records.map(|row| header.iter().map(str::to_string).zip(row.iter().map(str::to_string)).collect()).collect()
}

fn table(file: &str) -> Vec<Record> {
    records(csv::Reader::from_path(folder().join(file)).unwrap_or_else(|error| panic!("{file}: {error}")))
}

/// What `polypary formula NAME --table FILE` prints.
fn worked_out(name: &str, file: &str) -> Vec<Record> {
    let formula = find(name).unwrap_or_else(|| panic!("the formula {name} is missing"));
    let mut out = Vec::new();
    let input = File::open(folder().join(file)).unwrap();
    over_table(formula, &[], input, &mut out).unwrap_or_else(|why| panic!("{name} over {file}: {why:?}"));
    records(csv::Reader::from_reader(out.as_slice()))
}

/// `1e-6a` absolute, `1e-6r` relative.
fn allowed(tolerance: &str, expected: f64) -> f64 {
    let (number, kind) = tolerance.split_at(tolerance.len() - 1);
    let number: f64 = number.parse().unwrap_or_else(|_| panic!("{tolerance} is no tolerance"));
    match kind {
        "a" => number,
        "r" => number * expected.abs(),
        other => panic!("{other} is neither a nor r"),
    }
}

/// How many numbers were compared.
fn compare(place: &str, got: &Record, expected: &Record, outputs: &[(&str, &str)]) -> usize {
    assert_eq!(got["refused"], "", "{place}");
    let mut compared = 0;
    for &(column, tolerance) in outputs {
        let got = got.get(column).unwrap_or_else(|| panic!("{place}: no output {column}"));
        let wanted = expected.get(column).unwrap_or_else(|| panic!("{place}: the table has no {column}"));
        if wanted.is_empty() {
            assert_eq!(got, "", "{place}, {column}: the table has none");
            continue;
        }
        let wanted: f64 = wanted.parse().unwrap();
        let number: f64 = got.parse().unwrap_or_else(|_| panic!("{place}, {column}: {got:?} is no number"));
        let limit = allowed(tolerance, wanted);
        assert!((number - wanted).abs() <= limit, "{place}, {column}: {number} where the table has {wanted} ± {limit}");
        compared += 1;
    }
    compared
}

fn tolerances(outputs: &str) -> Vec<(&str, &str)> {
    outputs.split_whitespace().map(|output| output.split_once(':').expect("column:tolerance")).collect()
}

#[test]
fn every_row_of_the_contract_holds() {
    let contract = table("contract.csv");
    assert_eq!(contract.len(), 43);
    let mut compared = 0;
    for row in &contract {
        let (name, file, outputs) = (row["formula"].as_str(), row["table"].as_str(), tolerances(&row["outputs"]));
        let inputs: Vec<&str> = row["inputs"].split_whitespace().collect();
        let formula = find(name).unwrap_or_else(|| panic!("the formula {name} is missing"));
        let own: Vec<&str> = formula.inputs.iter().map(|input| input.key).collect();
        assert_eq!(own, inputs, "{name} has other inputs than the contract, or in another order");
        if row["kind"] == "whole" {
            assert!(matches!(formula.work, Work::Whole(_)), "{name}");
            let results = table("14a_trend_results.csv");
            assert_eq!(results.len(), 9);
            for expected in &results {
                let file = file.replace('*', &expected["dataset"]);
                let got = worked_out(name, &file);
                assert_eq!(got.len(), 1, "{file}");
                compared += compare(&file, &got[0], expected, &outputs);
            }
            continue;
        }
        let (got, expected) = (worked_out(name, file), table(file));
        assert_eq!(got.len(), expected.len(), "{name}");
        for (line, (got, expected)) in got.iter().zip(&expected).enumerate() {
            let place = format!("{name}, row {}", line + 1);
            for input in &inputs {
                assert_eq!(got[*input], expected[*input], "{place}: inputs come back as they were typed");
            }
            compared += compare(&place, got, expected, &outputs);
        }
    }
    assert!(compared > 1800, "{compared}");
}

/// Outputs beyond the contract for which its table has a column, to the table's own ten digits unless said otherwise.
#[test]
fn outputs_beyond_the_contract_agree_with_their_tables_too() {
    let looser = [
        // Where Reynolds number lies between 2000 and 4000 nothing is tabulated.
        ("oxygen-saturation", "o2_mg_l_bk84", "1e-7r"),
        ("evaporation", "evaporation_kg_s_m2", "5e-4r"),
        ("ammonia-fraction-nbs", "pk_total_cw95", "1e-7a"),
        ("carbonate-system", "ph_nbs", "1e-6a"),
        ("carbonate-system", "ph_sws", "1e-6a"),
        ("carbonate-from-kit-units", "pco2_uatm", "1e-4r"),
        ("carbonate-from-kit-units", "calcium_umol_kg", "1e-6r"),
        ("photons-per-lumen", "photons_per_joule_of_par_umol_j", "2e-4r"),
    ];
    let mut columns = 0;
    for row in table("contract.csv") {
        let (name, file) = (row["formula"].as_str(), row["table"].as_str());
        if row["kind"] == "whole" {
            continue;
        }
        let (got, expected) = (worked_out(name, file), table(file));
        let promised: Vec<&str> = tolerances(&row["outputs"]).into_iter().map(|(column, _)| column).collect();
        for output in find(name).unwrap().outputs {
            if promised.contains(&output.key) || !expected[0].contains_key(output.key) {
                continue;
            }
            let own = looser.iter().find(|(formula, column, _)| (*formula, *column) == (name, output.key));
            let tolerance = own.map_or("1e-9r", |(_, _, tolerance)| *tolerance);
            for (got, expected) in got.iter().zip(&expected) {
                compare(name, got, expected, &[(output.key, tolerance)]);
            }
            columns += 1;
        }
    }
    assert!(columns >= 20, "{columns}");
}

/// Formulas beyond the contract whose table is a table of theirs: inputs and outputs by the table's own names.
#[test]
fn further_tables_hold() {
    for (name, file, outputs) in [
        ("pump-operating-point-by-resistance", "12g_operating_point_closed_form.csv", "flow_l_h:1e-9r head_m:1e-9r"),
        // The place of a maximum is flat: the table has it to four digits.
        (
            "pane-stress",
            "15c_pane_stress.csv",
            "pressure_at_bottom_kpa:1e-9r max_stress_mpa:1e-6r max_deflection_mm:1e-6r max_stress_at_y_over_h:1e-3a \
             deflection_over_thickness:1e-6r stress_over_45_mpa:1e-6r",
        ),
        (
            "pane-coefficients",
            "15b_pane_coefficients.csv",
            "alpha_deflection:1e-6r deflection_at_y_over_h:1e-3a beta_stress_horizontal:1e-6r beta_stress_vertical:1e-6r \
             max_at_y_over_h:1e-3a",
        ),
        ("apparent-power", "13d_apparent_power.csv", "apparent_va:1e-9r current_a:1e-9r"),
    ] {
        let (got, expected) = (worked_out(name, file), table(file));
        for (got, expected) in got.iter().zip(&expected) {
            assert_eq!(compare(name, got, expected, &tolerances(outputs)), tolerances(outputs).len());
        }
    }
}

/// Cleveland 1979 by statsmodels, one series at a time.
#[test]
fn smooth_lines_hold() {
    let expected = table("14b_lowess.csv");
    for dataset in ["alkalinity", "nitrate", "phosphate"] {
        let got = worked_out("lowess", &format!("14_data_{dataset}.csv"));
        let expected: Vec<&Record> = expected.iter().filter(|row| row["dataset"] == dataset).collect();
        assert_eq!(got.len(), expected.len(), "{dataset}");
        for (got, expected) in got.iter().zip(expected) {
            assert_eq!(got["time_d"], expected["time_d"]);
            compare(dataset, got, expected, &[("lowess_frac0_5_it0", "1e-8r"), ("lowess_frac0_5_it3", "1e-8r")]);
        }
    }
}
