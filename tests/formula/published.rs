//! Published examples that stand in no table here.

use polypary::formula::{Typed, find, work_out};

fn result(name: &str, inputs: &[(&str, &str)], output: &str) -> f64 {
    let formula = find(name).unwrap_or_else(|| panic!("the formula {name} is missing"));
    let typed: Vec<Typed> = formula
        .inputs
        .iter()
        .map(|input| {
            let given = inputs.iter().find(|(key, _)| *key == input.key).map(|(_, value)| *value);
            Typed::of(input, given).unwrap_or_else(|why| panic!("{name}, {}: {why}", input.key))
        })
        .collect();
    let outcome = work_out(formula, &typed).unwrap_or_else(|why| panic!("{name}: {why}"));
    let place = formula.outputs.iter().position(|known| known.key == output);
    outcome.rows[0][place.unwrap_or_else(|| panic!("{name} has no {output}"))].expect("a result")
}

/// Fofonoff & Millard 1983 (UNESCO Technical Paper 44), check values of PSS-78, from memory.
#[test]
fn salinity_at_depth() {
    let s = |ratio, t, p| {
        let inputs = [("conductivity_ratio", ratio), ("temperature_ipts68_c", t), ("pressure_dbar", p)];
        result("salinity-from-conductivity-ratio", &inputs, "salinity_psu")
    };
    assert!((s("0.65", "5", "1500") - 27.995347).abs() < 2e-6);
}
