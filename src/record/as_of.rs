//! The record as it stood on an earlier day: entries up to then, what was set then, with today's corrections.

use jiff::civil::Date;

use super::Record;

impl Record {
    /// Forgets everything after `date`.
    pub fn stand_at(&mut self, date: Date) {
        self.as_of = date;
        self.tanks.retain(|_, tank| tank.started.value <= date);
        for tank in self.tanks.values_mut() {
            tank.entries.retain(|entry| entry.date() <= date);
            tank.surveys.retain(|survey| survey.on.value <= date);
            tank.water.truncate_after(date);
            tank.room.truncate_after(date);
            tank.room_humidity.truncate_after(date);
            tank.electricity.truncate_after(date);
            for band in tank.bands.values_mut() {
                band.truncate_after(date);
            }
            for value in tank.targets.values_mut().chain(tank.top_off_water.values_mut()) {
                value.truncate_after(date);
            }
            if tank.ended.as_ref().is_some_and(|ended| ended.value > date) {
                tank.ended = None;
            }
            tank.compare.retain(|pair| pair.to <= date);
            tank.acknowledged.retain(|acknowledged| acknowledged.on <= date);
            tank.devices.retain(|_, device| device.in_service.value <= date);
            for device in tank.devices.values_mut() {
                device.settings.truncate_after(date);
                if device.out_of_service.as_ref().is_some_and(|end| end.value > date) {
                    device.out_of_service = None;
                }
            }
            for file in &mut tank.readings {
                for beside in file.beside.values_mut() {
                    beside.retain(|(when, _)| when.date() <= date);
                }
                for days in file.days.values_mut() {
                    days.retain(|day| day.date <= date);
                }
                file.glitches.retain(|glitch| glitch.date <= date);
            }
            tank.upkeep.feeding.retain(|plan| plan.since.is_none_or(|since| since <= date));
            tank.upkeep.dosing.retain(|plan| plan.since.is_none_or(|since| since <= date));
            tank.upkeep.tasks.retain(|_, task| task.since.as_ref().is_none_or(|since| since.value <= date));
        }
        self.colonies.retain(|_, colony| colony.arrived.value <= date);
        for colony in self.colonies.values_mut() {
            colony.placements.retain(|placement| placement.since <= date);
            colony.sizes.retain(|size| size.on <= date);
            colony.events.retain(|event| event.on <= date);
            colony.heard.retain(|heard| heard.on <= date);
            colony.claims.retain(|claim| claim.on.is_none_or(|on| on <= date));
            if colony.ended.as_ref().is_some_and(|ended| ended.on > date) {
                colony.ended = None;
            }
        }
        self.chapters.retain(|chapter| chapter.on.as_ref().is_none_or(|on| on.value <= date));
        self.videos.retain(|video| video.filmed.value <= date);
        self.photos.retain(|_, photo| photo.date.is_none_or(|taken| taken <= date));
        for supply in self.supplies.values_mut() {
            supply.lots.retain(|lot| lot.since <= date);
            supply.left = supply.left.take().filter(|left| left.on <= date);
        }
    }
}
