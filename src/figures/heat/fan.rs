//! How much of the day a fan blows over the surface.

use jiff::ToSpan;
use jiff::civil::Date;

use super::Bench;
use super::spread::Side;
use crate::figures::energy::hours_at_full;
use crate::figures::figure::Figures;
use crate::figures::graph::NodeId;
use crate::record::equipment::Settings;
use crate::record::{Record, Role, Tank};

fn share_of(settings: &Settings) -> f64 {
    let level = settings.level.as_ref().map_or(1.0, |level| level.value);
    let duty = settings.duty.as_ref().map_or(1.0, |duty| duty.value);
    level * duty * hours_at_full(settings.schedule.as_ref().map(|schedule| &schedule.value)) / 24.0
}

/// Share of a day that the fans run, as they were set that day.
pub fn share_on(tank: &Tank, date: Date) -> f64 {
    tank.devices_at(date)
        .filter(|device| device.role.value == Role::Fan)
        .filter_map(|device| device.settings.at(date))
        .map(|stretch| share_of(&stretch.value))
        .fold(0.0, f64::max)
}

/// The mean of it from the day after `from` to `to`.
pub fn mean_share(tank: &Tank, from: Date, to: Date) -> f64 {
    let days: Vec<f64> = std::iter::successors(Some(to), |day| Some(day.saturating_sub(1.days())))
        .take_while(|day| *day > from)
        .map(|day| share_on(tank, day))
        .collect();
    if days.is_empty() { 0.0 } else { days.iter().sum::<f64>() / days.len() as f64 }
}

/// The longest hours for which a fan was ever set; None without a fan.
fn longest(record: &Record, tank: &Tank) -> Option<f64> {
    tank.devices_at(record.as_of)
        .filter(|device| device.role.value == Role::Fan)
        .map(|device| device.settings.iter().map(|stretch| share_of(&stretch.value)).fold(0.0, f64::max))
        .reduce(f64::max)
}

impl Bench<'_> {
    /// Mean air speed over the surface with the fans on for a share of the time.
    pub(super) fn speed(&self, share: f64, side: Side, figures: &mut Figures) -> NodeId {
        if share <= 0.0 {
            return self.still;
        }
        // A faster fan loses more.
        let speed = self.fan_speed.on(side, true);
        figures.graph.linear("Mean air speed over the surface", "m/s", &[(speed, share)])
    }

    pub(super) fn speed_now(&self, figures: &mut Figures) -> NodeId {
        self.speed(share_on(self.tank, self.record.as_of), Side::Likely, figures)
    }

    /// Air speed on a hot day, and whether a fan is recorded.
    pub(super) fn fan_on_a_hot_day(&self, figures: &mut Figures) -> (NodeId, bool) {
        let longest = longest(self.record, self.tank);
        // A fan that was never set to run is there all the same.
        let share = longest.filter(|share| *share > 0.0).unwrap_or(1.0);
        (self.speed(share, Side::Likely, figures), longest.is_some())
    }

    pub(super) fn inputs(&self, side: Side, speed: NodeId, air: super::room::Air, more: &[NodeId]) -> Vec<NodeId> {
        self.sides[&side].inputs(speed, air, more)
    }
}
