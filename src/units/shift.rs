//! From the units in which values are worked out to those of a system, where the unit is known by its symbol: figures
//! carry theirs as text, rates among them.

use super::System;

/// How values kept in one unit are shown in a system of units.
#[derive(Clone, Debug, PartialEq)]
pub struct Shift {
    /// The unit shown.
    pub unit: String,
    factor: f64,
    offset: f64,
}

impl Shift {
    /// Values multiplied by a factor.
    pub fn by(unit: &str, factor: f64) -> Shift {
        Shift { unit: unit.to_string(), factor, offset: 0.0 }
    }

    /// A kept value in the unit shown.
    pub fn value(&self, kept: f64) -> f64 {
        kept * self.factor + self.offset
    }

    /// A kept difference or uncertainty in the unit shown: no offset of a temperature scale.
    pub fn spread(&self, kept: f64) -> f64 {
        kept * self.factor
    }

    /// How many digits after the point tell about the same as `decimals` do of the kept value.
    pub fn decimals(&self, decimals: usize) -> usize {
        let finer = (-self.factor.log10()).ceil();
        if finer > 0.0 && self.factor != 1.0 { decimals + finer as usize } else { decimals }
    }

    /// Whether values are shown as they are kept.
    pub fn is_none(&self) -> bool {
        self.factor == 1.0 && self.offset == 0.0
    }
}

const LITRES_A_GALLON: f64 = 3.785411784;
const CM_AN_INCH: f64 = 2.54;
const CM_A_FOOT: f64 = 30.48;
const GRAMS_A_POUND: f64 = 453.59237;
/// Standard gravity, m/s², which the pound-force is defined with (NIST SP 811, appendix B.8).
const GRAVITY: f64 = 9.80665;

impl System {
    /// A value kept in a unit, with three digits and the unit shown: `15 cm`, `5.91 in`.
    pub fn text(self, kept: f64, unit: &str) -> String {
        let shift = self.of(unit);
        format!("{}\u{a0}{}", super::round_sig(shift.value(kept), 3), shift.unit)
    }

    /// What becomes of values kept in a unit, given by its symbol as figures carry it: `L`, `°C`, `°C of difference`, `°C a week`,
    /// `kPa`. A colour temperature in K stays.
    /// A unit that both systems use, or that is not known here, stays.
    pub fn of(self, unit: &str) -> Shift {
        let shift = |symbol: &str, factor: f64, offset: f64| Shift { unit: symbol.to_string(), factor, offset };
        if self == System::Metric {
            return shift(unit, 1.0, 0.0);
        }
        let whole = match unit {
            "°C" => Some(shift("°F", 1.8, 32.0)),
            "kPa" => {
                // A pound-force on a square foot.
                let pascal = GRAMS_A_POUND / 1000.0 * GRAVITY / (CM_A_FOOT / 100.0).powi(2);
                Some(shift("lb/ft²", 1000.0 / pascal, 0.0))
            }
            "kg/L" => Some(shift("lb/gal", 1000.0 / GRAMS_A_POUND * LITRES_A_GALLON, 0.0)),
            "W/L" => Some(shift("W/gal", LITRES_A_GALLON, 0.0)),
            "W/K" | "W/°C" => Some(shift("W/°F", 1.0 / 1.8, 0.0)),
            "L/h" => Some(shift("gph", 1.0 / LITRES_A_GALLON, 0.0)),
            _ => None,
        };
        if let Some(whole) = whole {
            return whole;
        }
        let end = [" a ", " an ", " of ", "/"].iter().filter_map(|joint| unit.find(joint)).min().unwrap_or(unit.len());
        let (what, rate) = unit.split_at(end);
        // Of a rate as of a difference no zero is shifted.
        let known = [
            "",
            " of difference",
            " a day",
            " a week",
            " a month",
            " a year",
            " an hour",
            "/h",
            "/d",
            "/s",
            "/min",
            "/month",
        ];
        if !known.contains(&rate) {
            return shift(unit, 1.0, 0.0);
        }
        let (symbol, factor) = match what {
            "°C" => ("°F", 1.8),
            "L" => ("gal", 1.0 / LITRES_A_GALLON),
            "cm" => ("in", 1.0 / CM_AN_INCH),
            "m" => ("ft", 100.0 / CM_A_FOOT),
            "cm²" => ("in²", 1.0 / (CM_AN_INCH * CM_AN_INCH)),
            "m²" => ("ft²", 1e4 / (CM_A_FOOT * CM_A_FOOT)),
            "kg" => ("lb", 1000.0 / GRAMS_A_POUND),
            _ => return shift(unit, 1.0, 0.0),
        };
        shift(&format!("{symbol}{rate}"), factor, 0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST SP 811 (2008), appendix B.8, printed the other way round: 1 gal = 3.785 412 L, 1 lb/ft² (pound-force) =
    /// 47.880 26 Pa, 1 lb/gal (US) = 119.8264 kg/m³, 1 ft² = 9.290 304E-02 m², 1 in/s = 2.54E-02 m/s.
    #[test]
    fn factors_are_those_of_the_handbook() {
        for (unit, shown, one, printed) in [
            ("L", "gal", 3.785412, 1.0),
            ("L/h", "gph", 3.785412, 1.0),
            ("L a day", "gal a day", 3.785412, 1.0),
            ("kPa", "lb/ft²", 0.04788026, 1.0),
            ("kg/L", "lb/gal", 0.1198264, 1.0),
            ("m²", "ft²", 0.09290304, 1.0),
            ("kg", "lb", 0.45359237, 1.0),
            ("cm/s", "in/s", 2.54, 1.0),
            ("°C", "°F", 37.77778, 100.0),
            ("°C a week", "°F a week", 0.5555556, 1.0),
            ("°C of difference", "°F of difference", 0.5555556, 1.0),
        ] {
            let shift = System::Us.of(unit);
            assert_eq!(shift.unit, shown);
            assert!((shift.value(one) - printed).abs() < 5e-7 * printed, "{unit}: {}", shift.value(one));
        }
    }

    #[test]
    fn what_both_systems_use_stays() {
        for unit in [
            "K",
            "dKH",
            "mg/L NO₃",
            "mL",
            "mL/L",
            "kWh",
            "EUR/kWh",
            "µmol/m²/s",
            "mol/m²/d",
            "1",
            "",
            "volumes an hour",
        ] {
            let shift = System::Us.of(unit);
            assert_eq!((shift.unit.as_str(), shift.is_none()), (unit, true));
        }
        assert!(System::Metric.of("°C").is_none());
    }

    #[test]
    fn spreads_have_no_offset_and_decimals_tell_the_same() {
        assert!((System::Us.of("°C").spread(0.5) - 0.9).abs() < 1e-12);
        assert_eq!(System::Us.of("L").decimals(0), 1);
        assert_eq!(System::Us.of("kg").decimals(1), 1);
        assert_eq!(System::Us.of("dKH").decimals(1), 1);
    }
}
