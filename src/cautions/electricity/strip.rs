//! Cautions about what hangs on one strip, cord or circuit.

use super::{ELECTRICIAN, because_of, paragraphs, watts_of};
use crate::cautions::Danger;
use crate::cautions::{Caution, caution};
use crate::diagnostic::Place;
use crate::figures::load::{ContinuousRule, everything_on, groups};
use crate::figures::number;
use crate::record::tank::Electricity;
use crate::record::{Device, Record, Role, Tank, YesNo};
use crate::units::Dimension;

/// Heating or unrated load on one strip above which it is worth a look, in W.
const STRIP_WATTS: f64 = 500.0;

pub(super) fn raise(record: &Record, tank: &Tank, devices: &[&Device], supply: &Electricity, out: &mut Vec<Caution>) {
    let mut found = Load::default();
    let volts = supply.voltage.as_ref().map(|voltage| voltage.value.value);
    // Where the code of the country holds continuous loads to a share of the rating.
    let rule = ContinuousRule::of(tank);
    let in_us = rule == ContinuousRule::FourFifths;
    let share = rule.share();
    let groups = groups(devices, |device| device.plugged.as_ref().map(|into| into.value.as_str()));
    for (name, plugged) in &groups {
        let strip = tank.device(name);
        let shown = strip.map_or(*name, |strip| strip.name.value.as_str());
        let place = strip.map(|strip| strip.place.clone());
        let all = everything_on(name, &groups);
        let (total, unknown) = sum(record, tank, all.iter().copied());
        let rating = strip.and_then(|strip| {
            let spec = || record.spec_of(tank, strip).and_then(|spec| spec.rating.as_ref());
            strip.rating.as_ref().or_else(spec)
        });
        let limit = rating.and_then(|rating| match rating.value.dimension {
            Dimension::Power => Some(rating.value.value),
            _ => volts.map(|volts| rating.value.value * volts),
        });
        match limit {
            Some(limit) if total > limit * share => {
                found.explicit.push((over(shown, total, limit, share, unknown), place.clone()));
            }
            None if total > STRIP_WATTS => {
                let why = if rating.is_some() { "the voltage is" } else { "its rating is" };
                let reason = format!("{shown}: {} W hang on it, and {why} not written", number(total));
                found.open.push((reason, place.clone()));
            }
            _ => {}
        }
        // What is not a strip may be a wall outlet, where a heater belongs.
        if strip.is_some_and(|strip| strip.role.value == Role::PowerStrip) {
            let heaters = all.iter().copied().filter(|device| device.role.value == Role::Heater);
            let (heating, _) = sum(record, tank, heaters);
            if heating > STRIP_WATTS {
                let reason = format!("{shown}: {} W of heating hang on a strip", number(heating));
                found.explicit.push((reason, place.clone()));
            }
            for chained in plugged.iter().filter(|device| device.role.value == Role::PowerStrip) {
                found.explicit.push(because_of(chained, "a strip plugged into a strip"));
            }
        }
    }
    for heater in devices.iter().filter(|device| device.role.value == Role::Heater) {
        if heater.on_extension == YesNo::Yes {
            found.explicit.push(because_of(heater, "a heater on an extension cord"));
        }
    }
    if let (Some(rating), Some(volts)) = (&supply.circuit_rating, volts) {
        let (total, unknown) = sum(record, tank, devices.iter().copied());
        let limit = rating.value.value * volts;
        if total > limit * share {
            found.explicit.push((over("the circuit", total, limit, share, unknown), Some(rating.place.clone())));
        }
    }
    found.raise(in_us, out);
}

/// Reasons found in the loads, by how certain they are.
#[derive(Default)]
struct Load {
    explicit: Vec<(String, Option<Place>)>,
    open: Vec<(String, Option<Place>)>,
}

impl Load {
    fn raise(self, in_us: bool, out: &mut Vec<Caution>) {
        let (danger, title) = match (self.explicit.is_empty(), self.open.is_empty()) {
            (true, true) => return,
            (false, _) => (Danger::People, "A strip, cord or circuit carries more than it should"),
            (true, false) => (Danger::Check, "What is the strip rated for?"),
        };
        let mut raised = caution("electricity.strip-load", danger, title, ELECTRICIAN);
        raised.text = paragraphs(&[
            "Loads here are added at full level, as the keeper measured or the maker states them. An overloaded strip or \
             cord heats up and can start a fire: a warm plug or cord is unplugged and replaced.",
            "Never plug a strip into a strip. An extension cord is for a day, not for a tank. Heaters and chillers go to a \
             wall outlet of their own; more outlets are work for an electrician.",
        ]);
        if in_us {
            raised.text.push(
                "The US code holds continuous loads to 80 % of a circuit's rating: 12 A on a 15 A circuit, which is 1440 W \
                 at 120 V."
                    .into(),
            );
            raised.sources.push("NEC 210.19 and 210.20, 125 % for continuous loads — from memory, to be checked");
        }
        raised.why = self.explicit;
        raised.why.extend(self.open);
        raised.sources.extend([
            "Electrical Safety Foundation International, extension cord and power strip guidance — title or content seen",
            "NFPA tips on extension cords and power strips — seen in a copy",
        ]);
        raised.topics = vec!["power", "equipment"];
        out.push(raised);
    }
}

fn over(shown: &str, total: f64, limit: f64, share: f64, unknown: usize) -> String {
    let mut reason = format!("{shown}: loads add up to {} W, the rating comes to {} W", number(total), number(limit));
    if share < 1.0 {
        reason.push_str(&format!(", of which {} W for continuous loads", number(limit * share)));
    }
    if unknown > 0 {
        reason.push_str(&format!("; {unknown} more without written watts"));
    }
    reason
}

/// Sum of the known watts, and how many devices that draw power have none written.
fn sum<'a>(record: &Record, tank: &Tank, devices: impl Iterator<Item = &'a Device>) -> (f64, usize) {
    let mut total = 0.0;
    let mut unknown = 0;
    for device in devices {
        match watts_of(record, tank, device) {
            Some(watts) => total += watts,
            None if !matches!(device.role.value, Role::PowerStrip | Role::GroundFaultProtection) => unknown += 1,
            None => {}
        }
    }
    (total, unknown)
}
