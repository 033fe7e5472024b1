//! A sheet's watts against its own volts and amps.

use std::collections::BTreeMap;

use crate::diagnostic::Kind;
use crate::record::equipment::Role;
use crate::record::fields::Context;
use crate::record::timeline::Located;
use crate::units::Quantity;

/// Rounded numbers on a sheet may part by so much without saying anything (judgement, no source).
const ROUNDING: f64 = 0.10;

/// No device draws more than volts times amps (its power factor is at most 1), and a heater, which is a resistor, draws
/// just that.
pub fn check(kind: Option<Role>, stated: &BTreeMap<&'static str, Located<Quantity>>, context: &mut Context) {
    let value = |key: &str| stated.get(key).map(|located| located.value.value);
    let (Some(power), Some(volts)) = (stated.get("power"), value("voltage")) else {
        return;
    };
    // What a strip or a breaker states as its rating is no draw.
    let Some(amps) = value("current") else {
        return;
    };
    let (watts, product) = (power.value.value, volts * amps);
    let too_much = watts > product * (1.0 + ROUNDING);
    let too_little = kind == Some(Role::Heater) && watts < product * (1.0 - ROUNDING);
    if too_much || too_little {
        let number = |value: f64| {
            let text = format!("{value:.2}");
            text.trim_end_matches('0').trim_end_matches('.').to_string()
        };
        let why = if too_much { "no device draws more than volts × amps" } else { "a heater draws volts × amps" };
        let kind = Kind::Disagreement {
            what: format!("power ({why})"),
            stated: format!("{} W", number(watts)),
            computed: format!("{} V × {} A = {} W", number(volts), number(amps), number(product)),
            difference: format!("{} W", number((watts - product).abs())),
        };
        context.note(kind, &power.place);
    }
}
