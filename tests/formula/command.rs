//! The command as a person runs it: what it prints and with which code it ends.

use std::io::Write;
use std::process::{Command, Output, Stdio};

fn formula(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_polypary")).arg("formula").args(arguments).output().expect("the program runs")
}

fn with_input(arguments: &[&str], input: &[u8]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_polypary"))
        .arg("formula")
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program runs");
    let mut stdin = child.stdin.take().unwrap();
    // A program that refuses its arguments closes its input early.
    let _ = stdin.write_all(input);
    drop(stdin);
    child.wait_with_output().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().unwrap()
}

#[test]
fn without_a_name_all_are_listed_by_subject() {
    let output = formula(&[]);
    let text = out(&output);
    assert_eq!(code(&output), 0);
    for words in ["Salinity and conductivity\n", "  seawater-density ", "Heat\n", "  circuit-load "] {
        assert!(text.contains(words), "{words}: {text}");
    }
}

#[test]
fn without_inputs_a_formula_is_explained_and_its_example_runs() {
    let output = formula(&["tank-heat-loss"]);
    let text = out(&output);
    assert_eq!(code(&output), 0);
    for words in
        ["bottom_insulation_m2k_w [m² K/W]", "0 without one", "valid: sizes", "source: ISO 6946", "upper bound"]
    {
        assert!(text.contains(words), "{words}: {text}");
    }
    let example = text.lines().find_map(|line| line.strip_prefix("example: polypary formula tank-heat-loss ")).unwrap();
    let arguments: Vec<&str> = ["tank-heat-loss"].into_iter().chain(example.split(' ')).collect();
    let output = formula(&arguments);
    assert_eq!(code(&output), 0, "{}", err(&output));
    // By hand: (1.215/0.14 + 0.405/0.182 + 0.405/0.10) W/K × 5 K.
    assert!(out(&output).contains("loss_total_w = 74.76923077 W"), "{}", out(&output));
}

#[test]
fn a_result_has_unit_range_and_source() {
    // UNESCO 1981 (Technical Paper 36): 1023.34306 kg/m³ at 25 °C on the scale of 1968, which is 24.994 °C now; the formula rounds to 1023.343058.
    let output = formula(&["seawater-density", "salinity_psu=35", "temperature_c=24.9940014"]);
    let text = out(&output);
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(text.contains("density_eos80_kg_m3 = 1023.34305"), "{text}");
    assert!(text.contains(" kg/m³\n") && text.contains("valid: salinity 0 to 43") && text.contains("source: Millero"));
}

#[test]
fn values_carry_units_and_uncertainties() {
    let bare = out(&formula(&["oxygen-saturation", "salinity_psu=35", "temperature_c=25"]));
    let american = out(&formula(&["oxygen-saturation", "Salinity-PSU=35 ppt", "temperature_c=77F"]));
    assert_eq!(bare, american);
    // Litres of a gallon and grams of an ounce, by NIST SP 811: 28.349523125 g × 0.6132816364 / 75.70823568 L.
    let rise = formula(&["dose-raises-ion", "compound=KNO3", "ion=NO3", "mass_g=1oz", "volume_l=20gal"]);
    assert!(out(&rise).contains("rise_mg_l = 229.64796"), "{}{}", out(&rise), err(&rise));
    // A product: relative uncertainties add in quadrature (JCGM 100, 5.1.6): √(0.03² + 0.04²) = 5 % of 1.26 kWh.
    for typed in ["power_w=150±4.5", "power_w=150 +/- 4.5 W", "power_w=150.0(45)"] {
        let energy = formula(&["energy-and-cost", typed, "duty_fraction=0.35±0.014", "count=1", "tariff_per_kwh=0.3"]);
        assert!(out(&energy).contains("energy_kwh_day = (1.260 ± 0.063) kWh"), "{}{}", out(&energy), err(&energy));
    }
}

#[test]
fn a_default_that_stands_in_is_called_assumed() {
    let output = formula(&["refractive-index", "salinity_psu=0", "temperature_c=20"]);
    assert!(out(&output).contains("assumed: wavelength_nm = 589.3 nm"), "{}", out(&output));
    // Pure water at 20 °C in the yellow light of sodium: 1.3330 in every handbook.
    assert!(out(&output).contains("refractive_index = 1.3329") || out(&output).contains("refractive_index = 1.3330"));
}

#[test]
fn out_of_range_is_told_with_the_input_and_the_range() {
    for (arguments, words) in [
        (
            ["seawater-density", "salinity_psu=35", "temperature_c=300"],
            "temperature of 300 °C is outside the formula's range, 0 to 40 °C",
        ),
        (
            ["seawater-density", "salinity_psu=-1", "temperature_c=25"],
            "salinity of -1 is outside the formula's range, 0 to 43",
        ),
        (
            ["conductivity-from-salinity", "salinity_psu=0", "temperature_c=25"],
            "salinity of 0 is outside the formula's range, 2 to 42",
        ),
        (["seawater-density", "salinity_psu=1e9", "temperature_c=25"], "0 to 43"),
        (["seawater-density", "salinity_psu=NaN", "temperature_c=25"], "salinity_psu: `NaN` is no number"),
        (["seawater-density", "salinity_psu=35", "temperature_c=inf"], "temperature_c: `inf` is no number"),
    ] {
        let output = formula(&arguments);
        assert_eq!(code(&output), 1, "{arguments:?}");
        assert_eq!(out(&output), "", "{arguments:?}");
        assert!(err(&output).contains(words), "{arguments:?}: {}", err(&output));
    }
    // Where the formula holds without salt it is given.
    assert!(out(&formula(&["seawater-density", "salinity_psu=0", "temperature_c=25"])).contains("997.04"));
}

#[test]
fn wrong_usage_names_what_was_most_likely_meant() {
    for (arguments, words) in [
        (vec!["seawater-densty"], "did you mean `seawater-density`?"),
        (vec!["xyzzy"], "`polypary formula` lists them"),
        (vec!["seawater-density", "salinty_psu=35"], "did you mean `salinity_psu`?"),
        (vec!["seawater-density", "35"], "`35` is not key=value"),
        (vec!["seawater-density", "salinity_psu=35"], "still wants: temperature_c (temperature of the water)"),
        (vec!["seawater-density", "salinity_psu=35", "salinity_psu=36"], "salinity_psu is given twice"),
        (
            vec!["seawater-density", "salinity_psu=35", "temperature_c=20gal"],
            "`gal` measures a volume; a number in °C is wanted",
        ),
        (vec!["seawater-density", "salinity_psu=35", "temperature_c=25,5"], "write `25.5`"),
        (vec!["photons-per-lumen", "--tabel", "x.csv"], "--table"),
    ] {
        let output = formula(&arguments);
        assert_eq!(code(&output), 2, "{arguments:?}: {}", err(&output));
        assert!(err(&output).contains(words), "{arguments:?}: {}", err(&output));
    }
}

#[test]
fn a_table_from_standard_input() {
    let output = with_input(&["oxygen-saturation", "--table", "-"], b"salinity_psu,temperature_c\n35,25\n35,300\n");
    assert_eq!(code(&output), 0, "one row has a result");
    assert_eq!(err(&output), "1 of 2 rows gave no result; the last column says why\n");
    let text = out(&output);
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines[0], "salinity_psu,temperature_c,o2_umol_kg,o2_umol_l,o2_mg_l_gg92,o2_mg_l_bk84,refused");
    let digits = lines[1].split(',').nth(2).unwrap().chars().filter(char::is_ascii_digit).count();
    assert!(digits >= 12, "{}", lines[1]);
    assert!(lines[2].starts_with("35,300,,,,,\"temperature of 300 °C"), "{}", lines[2]);

    let all = with_input(&["oxygen-saturation", "--table", "-"], b"salinity_psu,temperature_c\n35,300\n");
    assert_eq!(code(&all), 1, "no row has a result");
    let none = with_input(&["oxygen-saturation", "--table", "-"], b"salinity_psu,temperature_c\n");
    assert_eq!((code(&none), out(&none).lines().count()), (0, 1), "a table without rows");
}

#[test]
fn a_table_that_cannot_be_used_or_read() {
    let missing = with_input(&["oxygen-saturation", "--table", "-"], b"salinity_psu,temp_c\n35,25\n");
    assert_eq!(code(&missing), 2);
    assert!(err(&missing).contains("no column `temperature_c`"), "{}", err(&missing));
    let nowhere = formula(&["oxygen-saturation", "--table", "no/such/file.csv"]);
    assert_eq!(code(&nowhere), 3);
    assert!(err(&nowhere).contains("no/such/file.csv cannot be read"), "{}", err(&nowhere));
    let folder = formula(&["oxygen-saturation", "--table", env!("CARGO_MANIFEST_DIR")]);
    assert_eq!(code(&folder), 3, "{}", err(&folder));
    assert_eq!(code(&formula(&["--table", "x.csv"])), 2);
}

#[test]
fn a_series_may_be_typed() {
    // EPA QA/G-9S (2006), page 109: S = 22, Z = 1.685.
    let output = formula(&["trend", "time_d=1 2 3 4 5 6 7 8 9 10 11", "value=10;10;10;5;10;20;18;17;15;24;15"]);
    assert!(
        out(&output).contains("kendall_s = 22\n") && out(&output).contains("z_continuity = 1.68494"),
        "{}",
        out(&output)
    );
    let single = formula(&["trend", "time_d=1", "value=10"]);
    assert_eq!(code(&single), 1);
    assert!(err(&single).contains("a trend needs three readings or more, there are 1"));
}
