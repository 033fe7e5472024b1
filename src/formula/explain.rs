//! What the command line prints of formulas: the list, one formula explained, and results.

use std::fmt::Write as _;

use super::catalogue::all;
use super::{Formula, Input, Kind, Outcome, Output, Typed, Value, Work};
use crate::science::sources;

/// All formulas by subject, a line each.
pub fn list() -> String {
    let mut text = String::new();
    for subject in all() {
        let _ = writeln!(text, "{}", subject.name);
        for formula in subject.formulas {
            let _ = writeln!(text, "  {:<36} {}", formula.name, formula.about);
        }
        text.push('\n');
    }
    text.push_str("`polypary formula NAME` explains one, `polypary formula NAME key=value …` works it out,\n");
    text.push_str("`polypary formula NAME --table FILE.csv` works out every row of a table.\n");
    text
}

/// One formula: inputs, outputs, range, sources and an example to copy.
pub fn explanation(formula: &Formula) -> String {
    let mut text = format!("{}: {}\n\ninputs\n", formula.name, formula.about);
    for input in formula.inputs {
        let _ = writeln!(text, "  {:<34} {}", label(input.key, input.unit), meaning(input));
    }
    text.push_str("\noutputs\n");
    for output in formula.outputs {
        let _ = writeln!(text, "  {:<34} {}", label(output.key, output.unit), output.meaning);
    }
    text.push('\n');
    text.push_str(&range_and_sources(formula));
    let example: Vec<String> = formula.inputs.iter().map(|input| assignment(input.key, input.example)).collect();
    let _ = write!(text, "\nexample: polypary formula {} {}\n", formula.name, example.join(" "));
    text.push_str(match formula.work {
        Work::Row(_) => "",
        Work::Whole(_) => "a table is one series (first column, then `value`) and gives one row\n",
        Work::Series(_) => "a table is one series (first column, then `value`) and gives a row for each of its rows\n",
    });
    text
}

/// Results with their units and uncertainties, what was assumed, the range and the sources.
pub fn result(formula: &Formula, inputs: &[Typed], outcome: &Outcome) -> String {
    let mut text = String::new();
    for row in &outcome.rows {
        for ((output, value), uncertainty) in formula.outputs.iter().zip(row).zip(&outcome.uncertainties) {
            let _ = writeln!(text, "{}", line(output, *value, *uncertainty));
        }
    }
    for (input, typed) in formula.inputs.iter().zip(inputs).filter(|(_, typed)| typed.assumed) {
        let value = match &typed.reading.value {
            Value::Number(number) => super::table::full(*number),
            _ => input.default.unwrap_or_default().to_string(),
        };
        let _ = writeln!(text, "assumed: {} = {}", input.key, with_unit(&value, input.unit));
    }
    text.push_str(&range_and_sources(formula));
    text
}

fn line(output: &Output, value: Option<f64>, uncertainty: Option<f64>) -> String {
    let value = match (value, uncertainty) {
        (None, _) => "none for these inputs".to_string(),
        (Some(value), Some(u)) if u > 0.0 => {
            // Two digits of the uncertainty, and the value to the same place (JCGM 100:2008, 7.2.6).
            let decimals = (1 - u.log10().floor() as i32).clamp(0, 17) as usize;
            with_unit(&format!("{value:.decimals$} ± {u:.decimals$}"), output.unit)
        }
        (Some(value), _) => with_unit(&ten_digits(value), output.unit),
    };
    format!("{} = {value}", output.key)
}

/// Ten significant digits, without zeros that say nothing.
fn ten_digits(value: f64) -> String {
    let size = value.abs();
    if size != 0.0 && !(1e-4..1e12).contains(&size) {
        let text = format!("{value:.9e}");
        let (mantissa, power) = text.split_once('e').unwrap_or((&text, "0"));
        return format!("{}e{power}", mantissa.trim_end_matches('0').trim_end_matches('.'));
    }
    let decimals = if size == 0.0 { 0 } else { (9 - size.log10().floor() as i32).max(0) as usize };
    let text = format!("{value:.decimals$}");
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_string(),
        false => text,
    }
}

fn with_unit(value: &str, unit: &str) -> String {
    match unit {
        "" | super::SHARE => value.to_string(),
        unit if value.contains('±') => format!("({value}) {unit}"),
        unit => format!("{value} {unit}"),
    }
}

fn range_and_sources(formula: &Formula) -> String {
    let mut text = format!("valid: {}\n", formula.valid);
    for key in formula.sources {
        if let Some(source) = sources::source(key) {
            let _ = writeln!(text, "source: {} ({})", source.citation, source.standing);
        }
    }
    text
}

fn label(key: &str, unit: &str) -> String {
    match unit {
        "" => key.to_string(),
        unit => format!("{key} [{unit}]"),
    }
}

fn meaning(input: &Input) -> String {
    let mut text = input.meaning.to_string();
    if input.kind == Kind::List {
        text.push_str("; several, with spaces or ; between");
    }
    if let Some(default) = input.default {
        let _ = write!(text, "; without it {default} is assumed");
    }
    text
}

/// `key=value` as a shell takes it.
fn assignment(key: &str, value: &str) -> String {
    match value.contains([' ', '(', '<', '*', ';', '&']) {
        true => format!("{key}=\"{value}\""),
        false => format!("{key}={value}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_keep_ten_digits() {
        let table = [
            (1_023.343_061_9, "1023.343062"),
            (0.0, "0"),
            (35.0, "35"),
            (0.036_123_456_789_12, "0.03612345679"),
            (-1.5e-7, "-1.5e-7"),
            (2.4417e6, "2441700"),
            (1e300, "1e300"),
        ];
        for (value, shown) in table {
            assert_eq!(ten_digits(value), shown);
        }
    }

    #[test]
    fn uncertainty_sets_the_digits_of_a_value() {
        let out = super::super::output("x", "kg/m³", "");
        assert_eq!(line(&out, Some(1023.343061), Some(0.0297)), "x = (1023.343 ± 0.030) kg/m³");
        assert_eq!(line(&out, Some(1023.343061), Some(12.0)), "x = (1023 ± 12) kg/m³");
        assert_eq!(line(&out, None, None), "x = none for these inputs");
    }
}
