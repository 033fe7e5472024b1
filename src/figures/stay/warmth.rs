//! How long the tank's warmth lasts from the state in which a sitter finds it, which need not be the one that is set: a step
//! of the sheet that begins at 27.5 °C counts its hours from there.

use super::Limits;
use crate::figures::Findings;
use crate::figures::failures::in_sump;
use crate::figures::heat::balance::{Balance, everything};
use crate::figures::heat::bounds::{cooling_hours, heating_hours};
use crate::record::{Device, Role, Tank};

/// From where the sheet says "too hot" to where it says "call at once", with every heater on.
pub const STUCK: &str = "stay.stuck-heater-hours";
/// From where it says "too cold" to where it says "call at once", with no power.
pub const CUT: &str = "stay.power-cut-hours";
/// The same with power, and no heater that works.
pub const UNHEATED: &str = "stay.unheated-hours";
/// The same without the return pump, and so without the heaters that stand in the sump.
pub const STRANDED: &str = "stay.no-return-hours";

/// Adds these figures, where the balance of heat is known.
pub fn work_out(tank: &Tank, findings: &mut Findings, limits: &Limits, devices: &[&Device]) {
    let Some(balances) = findings.tanks[&tank.key].heat.balances.clone() else { return };
    let figures = &mut findings.figures;
    let mut exact = |celsius: f64| figures.graph.exact(celsius);
    let (hot, call_hot) = (exact(limits.hot), exact(limits.call_hot));
    let (cold, call_cold) = (exact(limits.cold), exact(limits.call_cold));
    let heated = devices.iter().any(|device| device.role.value == Role::Heater);
    if heated && limits.hot < limits.call_hot {
        let label = "Hours from “too hot” to “call at once” if the heaters stick on, at least";
        heating_hours((&tank.key, STUCK, label), &balances, (hot, call_hot), &everything, figures);
    }
    if limits.cold <= limits.call_cold {
        return;
    }
    let down = (cold, call_cold);
    let label = "Hours from “too cold” to “call at once” with no power, at least";
    cooling_hours((&tank.key, CUT, label), &balances, down, &|_| Vec::new(), figures);
    let label = "Hours from “too cold” to “call at once” with no heater, at least";
    cooling_hours((&tank.key, UNHEATED, label), &balances, down, &|side| side.gains_without(&|_| false), figures);
    let has_return = devices.iter().any(|device| device.role.value == Role::ReturnPump);
    if tank.sump_size.is_some() && has_return {
        // A heater of which nobody wrote where it stands may stand in the sump.
        let dead = |key: &str| {
            devices.iter().filter(|device| device.key == key).any(|device| match device.role.value {
                Role::ReturnPump => true,
                Role::Heater => in_sump(tank, device).unwrap_or(true),
                _ => false,
            })
        };
        let left = |side: &Balance| [side.gains_without(&dead), side.heaters_without(&dead)].concat();
        let label = "Hours from “too cold” to “call at once” without the return pump, at least";
        cooling_hours((&tank.key, STRANDED, label), &balances, down, &left, figures);
    }
}
