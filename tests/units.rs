//! Units as a keeper writes them, and conversions against published factors and tables.

use polypary::units::Dimension::{self, *};
use polypary::units::{
    Problem, Species, parse, parse_bounded, parse_duration, parse_lengths, parse_range, to_canonical_ion, unit_named,
    usual_unit,
};

/// Expected numbers follow from the definitions of the units: 1 in = 2.54 cm, 1 lb = 453.59237 g, US gallon
/// 3.785411784 L, imperial gallon 4.54609 L, t/°C = (t/°F − 32)/1.8 (NIST SP 811, appendix B.8, and the SI
/// brochure, 9th edition; the factors written down from memory).
#[test]
fn what_people_write_is_understood() {
    let table: &[(&str, Dimension, f64)] = &[
        ("75 L", Volume, 75.0),
        ("75L", Volume, 75.0),
        ("75\u{a0}l", Volume, 75.0),
        ("75\u{202f}litres", Volume, 75.0),
        ("20 gal", Volume, 75.70823568),
        ("20 US gallons", Volume, 75.70823568),
        ("10 UK gal", Volume, 45.4609),
        ("250 mL", Volume, 0.25),
        ("1.2e3 ml", Volume, 1.2),
        ("1 m³", Volume, 1000.0),
        ("8 fl oz", Volume, 0.2365882365),
        ("1 tsp", Volume, 0.00492892159375),
        ("2 tbsp", Volume, 0.0295735295625),
        (".5 cup", Volume, 0.11829411825),
        ("4000 L/h", VolumeRate, 4000.0),
        ("4000lph", VolumeRate, 4000.0),
        ("4 m3/h", VolumeRate, 4000.0),
        ("2 L min-1", VolumeRate, 120.0),
        ("400 gph", VolumeRate, 1514.1647136),
        ("5 gpm", VolumeRate, 1135.6235352),
        ("24 mL per day", VolumeRate, 0.001),
        ("60 cm", Length, 60.0),
        ("8mm", Length, 0.8),
        ("0.9 m", Length, 90.0),
        ("24\"", Length, 60.96),
        ("24 inches", Length, 60.96),
        ("4 ft", Length, 121.92),
        ("4′", Length, 121.92),
        ("2 m²", Area, 20000.0),
        ("18 kg", Mass, 18000.0),
        ("3 mg", Mass, 0.003),
        ("40 lb", Mass, 18143.6948),
        ("3 oz", Mass, 85.048569375),
        ("38 W", Power, 38.0),
        ("1.1 kW", Power, 1100.0),
        ("500 mW", Power, 0.5),
        ("123.4 kWh", Energy, 123.4),
        ("250 Wh", Energy, 0.25),
        ("230 V", Voltage, 230.0),
        ("16 A", Current, 16.0),
        ("300 mA", Current, 0.3),
        ("25.5 °C", Temperature, 25.5),
        ("25.5C", Temperature, 25.5),
        ("25.5 degC", Temperature, 25.5),
        ("25.5 ℃", Temperature, 25.5),
        ("−1.8 °C", Temperature, -1.8),
        ("78.8 °F", Temperature, 26.0),
        ("77F", Temperature, 25.0),
        ("298.15 K", Temperature, 25.0),
        ("1.8 °F", TemperatureDifference, 1.0),
        ("± 0.2 °C", TemperatureDifference, 0.2),
        ("60 µmol/m²/s", PhotonFlux, 60.0),
        ("60 \u{3bc}mol m⁻² s⁻¹", PhotonFlux, 60.0),
        ("60 umol/m^2/s", PhotonFlux, 60.0),
        ("60 µmol·m-2·s-1", PhotonFlux, 60.0),
        ("60 µmol/(m²·s)", PhotonFlux, 60.0),
        ("60 PAR", PhotonFlux, 60.0),
        ("PPFD 60", PhotonFlux, 60.0),
        ("2.5 mol/m²/d", DailyLight, 2.5),
        ("9 klx", Illuminance, 9000.0),
        ("9600 lm", LuminousFlux, 9600.0),
        ("6 h 30 min", Duration, 6.5),
        ("8.1 dKH", Alkalinity, 8.1),
        ("8.1 °dKH", Alkalinity, 8.1),
        ("0.05 mg/L", Concentration, 0.05),
        ("50 µg/L", Concentration, 0.05),
        ("50 ug/l", Concentration, 0.05),
        ("34.6 g/L", Concentration, 34600.0),
        ("420 ppm", Concentration, 420.0),
        ("50 ppb", Concentration, 0.05),
        ("35 ppt", Salinity, 35.0),
        ("35 PSU", Salinity, 35.0),
        ("35 g/kg", Salinity, 35.0),
        ("35 ‰", Salinity, 35.0),
        ("1.0255 SG", SpecificGravity, 1.0255),
        ("SG 1.0255", SpecificGravity, 1.0255),
        ("53 mS/cm", Conductivity, 53.0),
        ("53000 µS/cm", Conductivity, 53.0),
        ("8.1 pH", Acidity, 8.1),
        ("pH 8.1", Acidity, 8.1),
        ("60 %", Fraction, 0.6),
        ("60%", Fraction, 0.6),
        ("8 cm/s", Speed, 8.0),
        ("0.08 m/s", Speed, 8.0),
        ("0.24 EUR/kWh", Tariff, 0.24),
        ("€0.24/kWh", Tariff, 0.24),
        ("$0.16 per kWh", Tariff, 0.16),
        ("120 EUR", Money, 120.0),
        ("EUR 120", Money, 120.0),
        ("12", Count, 12.0),
    ];
    for (text, dimension, expected) in table {
        match parse(text, &[*dimension], None) {
            Ok(got) => {
                assert_eq!(got.dimension, *dimension, "{text}");
                let error = (got.value - expected).abs();
                assert!(error <= 1e-12 * expected.abs(), "{text}: {} is not {expected}", got.value);
            }
            Err(problem) => panic!("{text}: {problem:?}"),
        }
    }
}

#[test]
fn what_is_not_a_quantity_is_refused() {
    let number = |typed: &str| Problem::NotANumber { typed: typed.to_string() };
    let table: &[(&str, Dimension, Problem)] = &[
        ("", Volume, Problem::EmptyText),
        (" \u{a0}", Volume, Problem::EmptyText),
        ("75", Volume, Problem::MissingUnit { typed: "75".into() }),
        ("lots", Volume, number("lots")),
        ("NaN L", Volume, number("NaN L")),
        ("inf L", Volume, number("inf L")),
        ("1e999 L", Volume, number("1e999 L")),
        ("1 000 L", Volume, number("1 000 L")),
        ("1/2 cup", Volume, number("1/2 cup")),
        ("1.2.3 L", Volume, number("1.2.3 L")),
        ("12:30 h", Duration, number("12:30 h")),
        ("below 2 L", Volume, number("below 2 L")),
        ("25,5 °C", Temperature, Problem::DecimalComma { suggestion: "25.5 °C".into() }),
        ("4,000 L/h", VolumeRate, Problem::DecimalComma { suggestion: "4000 L/h".into() }),
        ("4,000", VolumeRate, Problem::DecimalComma { suggestion: "4000".into() }),
        ("0,125 L", Volume, Problem::DecimalComma { suggestion: "0.125 L".into() }),
        ("1,234.5 L", Volume, Problem::DecimalComma { suggestion: "1234.5 L".into() }),
        ("-1.234,5 g", Mass, Problem::DecimalComma { suggestion: "-1234.5 g".into() }),
        ("25 °C", Volume, Problem::WrongDimension { got: Temperature, unit: "°C".into() }),
        ("3 m", Duration, Problem::WrongDimension { got: Length, unit: "m".into() }),
        ("0.2 EUR/kWh", Power, Problem::WrongDimension { got: Tariff, unit: "EUR/kWh".into() }),
        ("8 dKG", Alkalinity, Problem::UnknownUnit { unit: "dKG".into(), nearest: Some("dKH".into()) }),
        ("5 mg/L N", Concentration, Problem::UnknownUnit { unit: "mg/L N".into(), nearest: None }),
        ("5 µmol/L", Concentration, Problem::UnknownUnit { unit: "µmol/L".into(), nearest: Some("µmol/L NO3".into()) }),
        ("2 L ± ", Volume, Problem::EmptyText),
        ("2 L ± 1 kg", Volume, Problem::WrongDimension { got: Mass, unit: "kg".into() }),
        ("2 L ± -1 L", Volume, number("-1 L")),
        ("25 °C ± 2 %", Temperature, Problem::WrongDimension { got: Fraction, unit: "%".into() }),
        ("24 ct/kWh", Tariff, Problem::UnknownUnit { unit: "ct/kWh".into(), nearest: None }),
        ("5 MW", Power, Problem::UnknownUnit { unit: "MW".into(), nearest: Some("W".into()) }),
    ];
    for (text, dimension, expected) in table {
        assert_eq!(parse(text, &[*dimension], None).as_ref(), Err(expected), "{text}");
    }
}

/// Every row of tests/reference/08c_nutrient_unit_conversions.csv: ratios of molar masses from the IUPAC/CIAAW abridged
/// standard atomic weights 2021 (Prohaska et al. 2022, Pure Appl. Chem. 94, 573-600), at its tolerance of 1e-9.
#[test]
fn nutrients_convert_as_in_the_table() {
    let table = include_str!("reference/08c_nutrient_unit_conversions.csv");
    let mut rows = 0;
    for line in table.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let (from, to, expected) = (cells[1], cells[2], cells[5].parse::<f64>().unwrap());
        let written = format!("{} {from}", cells[3]);
        let quantity = parse(&written, &[Concentration], None).unwrap();
        // The table leaves the species of a molar concentration to its first column.
        let to = match to {
            "umol/L" => format!("umol/L {}", quantity.species.unwrap().symbol()),
            other => other.to_string(),
        };
        let unit = unit_named(&to).unwrap();
        let in_ion = to_canonical_ion(&quantity);
        let got = unit.from_canonical(in_ion / unit.species.unwrap().factor_to_canonical());
        assert!((got - expected).abs() <= 1e-9 * expected, "{line}: {got}");
        rows += 1;
    }
    assert_eq!(rows, 36);
}

/// Every row of tests/reference/07c_alkalinity_units.csv but its last column, which needs a density: 1 dKH is 10 mg/L
/// CaO, weights as above, at its tolerance of 1e-9.
#[test]
fn alkalinities_convert_as_in_the_table() {
    let table = include_str!("reference/07c_alkalinity_units.csv");
    let mut rows = 0;
    for line in table.lines().skip(1) {
        let cells: Vec<f64> = line.split(',').take(3).map(|cell| cell.parse().unwrap()).collect();
        for (cell, unit) in [(cells[1], "meq/L"), (cells[2], "mg/L CaCO3"), (cells[2], "ppm CaCO3")] {
            let got = parse(&format!("{cell} {unit}"), &[Alkalinity], None).unwrap();
            assert!((got.value - cells[0]).abs() <= 1e-9 * cells[0], "{line}: {unit} {}", got.value);
            assert_eq!(got.species, None);
            let back = unit_named(unit).unwrap().from_canonical(cells[0]);
            assert!((back - cell).abs() <= 1e-9 * cell, "{line}: {unit} {back}");
        }
        rows += 1;
    }
    assert_eq!(rows, 12);
}

/// Molar masses of single ions against tests/reference/08a_atomic_weights.csv (IUPAC/CIAAW 2021).
#[test]
fn moles_convert_by_the_atomic_weights() {
    let table = include_str!("reference/08a_atomic_weights.csv");
    for (element, species) in [("Ca", Species::Calcium), ("Mg", Species::Magnesium), ("K", Species::Potassium)] {
        let row = table.lines().find(|line| line.starts_with(&format!("{element},"))).unwrap();
        let weight: f64 = row.split(',').nth(1).unwrap().parse().unwrap();
        let got = parse(&format!("10 mmol/L {element}"), &[Concentration], None).unwrap();
        assert_eq!(got.species, Some(species));
        assert!((got.value - 10.0 * weight).abs() < 1e-12 * got.value, "{element}: {}", got.value);
    }
}

/// Scraps of texts in every order: nothing may panic, and what is read is a finite number.
#[test]
fn no_text_is_too_strange() {
    let scraps = [
        "", " ", "1", "2.5", "−", ",", ".", "e", "°C", "x", "±", "%", "/(", " to ", "<", "€", "/kWh", "mg/L", " NO3",
        "⁻¹", "h", "İ", "💧",
    ];
    let mut read = 0;
    for first in scraps {
        for second in scraps {
            for third in scraps {
                let text = format!("{first}{second}{third}");
                if let Ok((_, quantity)) = parse_bounded(&text, &[], None) {
                    assert!(quantity.value.is_finite(), "{text}");
                    read += 1;
                }
                if let Ok((low, high)) = parse_range(&text, &[], None) {
                    assert!(low.value <= high.value || low.dimension == Concentration, "{text}");
                }
                if let Ok(lengths) = parse_lengths(&text) {
                    assert!(!lengths.is_empty() && lengths.iter().all(|length| length.is_finite()), "{text}");
                }
                if let Ok(hours) = parse_duration(&text) {
                    assert!(hours.is_finite(), "{text}");
                }
                if let Ok(unit) = usual_unit(&text) {
                    assert_eq!(unit.from_canonical(unit.to_canonical(0.0)), 0.0, "{text}");
                }
            }
        }
    }
    assert!(read > 100, "{read}");
}
