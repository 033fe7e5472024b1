//! Numbers of spec sheets and tests about light and flow that cannot all be true. Each is a warning with its place: the
//! keeper may have copied it as printed.

use super::fields::Context;
use super::{Record, SpecSheet, Tank};
use crate::diagnostic::Kind;
use crate::science::photons::{LUMENS_PER_WATT, luminous_efficacy};
use crate::science::plumbing::operating_point;
use crate::units::Length;

/// Two statements of one quantity may differ by this share before it is told.
const SHEETS_AGREE: f64 = 0.03;

/// A bucket test is good to 10 %; twice that is no chance any more.
const TESTS_AGREE: f64 = 0.20;

/// Tells the claims that contradict each other.
pub fn check(record: &Record, context: &mut Context) {
    for tank in record.tanks.values() {
        for spec in tank.specs.values() {
            lumens(spec, context);
            ends_of_the_curve(spec, context);
        }
        flow_tests(record, tank, context);
    }
}

fn lumens(spec: &SpecSheet, context: &mut Context) {
    let (Some(flux), Some(power)) = (&spec.luminous_flux, &spec.power) else {
        return;
    };
    if power.value.value <= 0.0 {
        return;
    }
    let stated = flux.value.value / power.value.value;
    let own = spec.spectrum.as_ref().and_then(|spectrum| luminous_efficacy(spectrum).ok());
    let (most, of_what) = match own {
        Some(own) => (own, "all of its power as light of its own spectrum"),
        None => (LUMENS_PER_WATT, "all of its power as green light, the most there is"),
    };
    if stated > most {
        let kind = Kind::Disagreement {
            what: format!("lumens for each watt of {}", spec.name.value),
            stated: format!("{stated:.0} lm/W ({} at {})", flux.value.as_typed(), power.value.as_typed()),
            computed: format!("at most {most:.0} lm/W, {of_what}"),
            difference: format!("{:.0} lm/W", stated - most),
        };
        context.note(kind, &flux.place);
    }
}

fn ends_of_the_curve(spec: &SpecSheet, context: &mut Context) {
    let Some((first, last)) = spec.curve.first().zip(spec.curve.last()) else {
        return;
    };
    // Points are (head in m, flow in L/h), by head.
    let curve_flow = (first.0 == 0.0).then_some(first.1);
    let curve_head = (last.1 == 0.0).then_some(last.0 * 100.0);
    for (what, stated, of_curve, factor, unit) in [
        ("flow at no head", &spec.flow, curve_flow, 1.0, "L/h"),
        ("head at no flow", &spec.head, curve_head, 100.0, "m"),
    ] {
        let (Some(stated), Some(of_curve)) = (stated, of_curve) else {
            continue;
        };
        let difference = stated.value.value - of_curve;
        if difference.abs() > SHEETS_AGREE * of_curve {
            let kind = Kind::Disagreement {
                what: format!("{what} of {}", spec.name.value),
                stated: stated.value.as_typed(),
                computed: format!("{} {unit} by its own curve", short(of_curve / factor)),
                difference: format!("{} {unit}", short(difference.abs() / factor)),
            };
            context.note(kind, &stated.place);
        }
    }
}

/// A test cannot find more than the pump's curve gives at the height that the pump lifts.
fn flow_tests(record: &Record, tank: &Tank, context: &mut Context) {
    for entry in &tank.entries {
        for (name, tested) in &entry.flow_tests {
            let Some(device) = tank.device(&name.value) else {
                continue;
            };
            let Some(most) = record
                .spec_of(tank, device)
                .and_then(|spec| most_flow(spec, device.head.as_ref().map(|head| head.value.value)))
            else {
                continue;
            };
            if tested.value > most * (1.0 + TESTS_AGREE) {
                let kind = Kind::Disagreement {
                    what: format!("flow test of {}", device.name.value),
                    stated: tested.as_typed(),
                    computed: format!("at most {} L/h by its curve at the height it lifts", short(most)),
                    difference: format!("{} L/h", short(tested.value - most)),
                };
                context.note(kind, &name.place);
            }
        }
    }
}

/// L/h at a height in cm by the sheet's curve, else by its two ends, else its stated flow.
fn most_flow(spec: &SpecSheet, head_cm: Option<f64>) -> Option<f64> {
    match (spec.pump_curve(), head_cm) {
        (Some(curve), Some(head)) => {
            let point = operating_point(&curve, Length::centimetres(head), &[], 1.0).ok()?;
            Some(point.flow.as_litres_per_hour())
        }
        (Some(curve), None) => Some(curve.max_flow().as_litres_per_hour()),
        (None, _) => spec.flow.as_ref().map(|flow| flow.value.value),
    }
}

fn short(value: f64) -> String {
    if value.abs() >= 100.0 { format!("{value:.0}") } else { format!("{value:.2}") }
}
