//! Devices, what was set on them, and what their makers state.

use crate::pages::archive::tidy::FieldKind::*;
use crate::pages::archive::tidy::{Columns, TidyTable};
use crate::record::equipment::Settings;
use crate::record::{Device, Record, SpecSheet, Stretch, Tank};

type Set<'a> = (&'a Tank, &'a Device, usize, &'a Stretch<Settings>);

pub fn tables(record: &Record) -> Vec<TidyTable<'static>> {
    let devices: Vec<(&Tank, &Device)> =
        record.tanks.values().flat_map(|tank| tank.devices.values().map(move |device| (tank, device))).collect();
    let settings: Vec<Set> = devices
        .iter()
        .flat_map(|(tank, device)| {
            device.settings.iter().enumerate().map(move |(number, stretch)| (*tank, *device, number + 1, stretch))
        })
        .collect();
    let sheets: Vec<(&Tank, &SpecSheet)> =
        record.tanks.values().flat_map(|tank| tank.specs.values().map(move |sheet| (tank, sheet))).collect();
    vec![
        of_devices(&devices),
        of_settings(&settings),
        courses(&settings),
        channels(&settings),
        specs(&sheets),
        curves(&sheets),
    ]
}

fn of_devices(devices: &[(&Tank, &Device)]) -> TidyTable<'static> {
    Columns::of("devices", "Devices", "One row for each device, in service or not.", devices)
        .key("tank", Text, "Key of the tank", |row| &row.0.key)
        .key("device", Text, "Key of the device", |row| &row.1.key)
        .need("name", Text, "", "What the keeper calls it", |row| &row.1.name)
        .need("role", Text, "", "What it is for", |row| row.1.role.value.word())
        .column("spec", Text, "", "Key of its maker's sheet", |row| row.1.spec.as_ref())
        .need("in_service", Day, "", "From when on", |row| row.1.in_service.value)
        .column("out_of_service", Day, "", "Until when", |row| row.1.out_of_service.as_ref())
        .column("bought_on", Day, "", "Day it was bought", |row| row.1.bought_on.as_ref())
        .column("watts", Number, "W", "What the keeper measured at full level", |row| row.1.watts.as_ref())
        .column("watts_u", Number, "W", "Its standard uncertainty, where one was written", |row| {
            row.1.watts.as_ref().and_then(|watts| watts.value.uncertainty)
        })
        .column("standby", Number, "W", "What it takes while off", |row| row.1.standby.as_ref())
        .column("head", Number, "cm", "Height it lifts water", |row| row.1.head.as_ref())
        .column("position", Text, "", "in-water, over-water, under-tank, beside, on-wall", |row| {
            row.1.position.as_ref().map(|position| position.value.word())
        })
        .need("mains", Text, "", "Whether it runs on mains voltage: yes, no, unknown", |row| row.1.mains)
        .column("plugged", Text, "", "Strip it hangs on", |row| row.1.plugged.as_ref())
        .column("protection", Text, "", "Earth-leakage protection it hangs on", |row| row.1.protection.as_ref())
        .column("x", Number, "cm", "Place from the front left outer corner, along the front", |row| {
            row.1.place_in_tank.map(|spot| spot.x)
        })
        .column("y", Number, "cm", "Place from the front left outer corner, to the back", |row| {
            row.1.place_in_tank.map(|spot| spot.y)
        })
        .column("depth", Number, "cm", "Depth below the surface", |row| row.1.place_in_tank.and_then(|spot| spot.depth))
        .column("keeps_settings", Text, "", "Keeps its settings through a power cut", |row| {
            row.1.forgets.as_ref().map(|forgets| forgets.keeps_settings)
        })
        .column("keeps_clock", Text, "", "Keeps its clock through a power cut", |row| {
            row.1.forgets.as_ref().map(|forgets| forgets.keeps_clock)
        })
        .column("restarts_itself", Text, "", "Starts again by itself after a power cut", |row| {
            row.1.forgets.as_ref().map(|forgets| forgets.restarts_itself)
        })
        .column("state_at_power_up", Text, "", "on, off, last, full, unknown", |row| {
            row.1.forgets.as_ref().map(|forgets| forgets.state_at_power_up.word())
        })
        .column("needs_hand", Text, "", "What has to be done by hand then", |row| {
            row.1.forgets.as_ref().and_then(|forgets| forgets.needs_hand.clone())
        })
        .column("tested_on", Day, "", "When that was last tried", |row| {
            row.1.forgets.as_ref().and_then(|forgets| forgets.tested_on.as_ref().map(|on| on.value))
        })
        .column("why", Text, "", "Why it was chosen", |row| row.1.why.as_ref())
        .column("again", Text, "", "Whether the keeper would choose it again", |row| {
            row.1.again.as_ref().map(|again| again.answer.clone())
        })
        .column("again_because", Text, "", "And why", |row| {
            row.1.again.as_ref().and_then(|again| again.because.clone())
        })
        .column("photo", Text, "", "Photo, from the record's photos/", |row| row.1.photo.as_ref())
        .column("note", Text, "", "The keeper's note", |row| row.1.note.as_ref())
        .source(|row| &row.1.place)
        .refers(&["tank"], "tanks", &["tank"])
        .done()
}

fn of_settings(settings: &[Set]) -> TidyTable<'static> {
    let about = "What was set on a device, one row for each time something was set. The day's course of the level is in `day-courses`.";
    Columns::of("settings", "Settings", about, settings)
        .key("tank", Text, "Key of the tank", |row| &row.0.key)
        .key("device", Text, "Key of the device", |row| &row.1.key)
        .key("setting", Whole, "Number of the setting, in order of time", |row| row.2)
        .column("since", Day, "", "From when on; empty for as long as it is in service", |row| row.3.since)
        .column("level", Number, "share from 0 to 1", "Level set; empty for full", |row| row.3.value.level.as_ref())
        .column("duty", Number, "share from 0 to 1", "Share of the time it really runs", |row| {
            row.3.value.duty.as_ref()
        })
        .column("temperature", Number, "°C", "Temperature set", |row| row.3.value.temperature.as_ref())
        .column("thermostat", Number, "°C", "Where its own thermostat stands", |row| row.3.value.thermostat.as_ref())
        .column("height", Number, "cm", "Height over the water", |row| row.3.value.height.as_ref())
        .column("flow", Number, "L/h", "Flow set", |row| row.3.value.flow.as_ref())
        .column("mode", Text, "", "Mode, in the keeper's words", |row| row.3.value.mode.as_ref())
        .column("why", Text, "", "Why it was set so", |row| row.3.value.why.as_ref())
        .source(|row| &row.3.place)
        .refers(&["tank", "device"], "devices", &["tank", "device"])
        .done()
}

fn courses(settings: &[Set]) -> TidyTable<'static> {
    let mut rows = Vec::new();
    for (tank, device, number, stretch) in settings {
        if let Some(schedule) = &stretch.value.schedule {
            for (point, (hour, share)) in schedule.value.course().into_iter().enumerate() {
                rows.push((*tank, *device, *number, point + 1, hour, share));
            }
        }
    }
    let about = "The day's course of a device's level: points joined by straight lines; two points at one hour are a step. A setting without points runs all day.";
    Columns::of("day-courses", "Day courses", about, &rows)
        .key("tank", Text, "Key of the tank", |row| &row.0.key)
        .key("device", Text, "Key of the device", |row| &row.1.key)
        .key("setting", Whole, "Number of the setting", |row| row.2)
        .key("point", Whole, "Number of the point, in order of the hour", |row| row.3)
        .need("hour", Number, "h", "Hour of the day, 0 to 24", |row| row.4)
        .need("share", Number, "share from 0 to 1", "Share of the level set", |row| row.5)
        .refers(&["tank", "device", "setting"], "settings", &["tank", "device", "setting"])
        .done()
}

fn channels(settings: &[Set]) -> TidyTable<'static> {
    let mut rows = Vec::new();
    for (tank, device, number, stretch) in settings {
        rows.extend(stretch.value.channels.iter().map(|(channel, level)| (*tank, *device, *number, channel, *level)));
    }
    Columns::of("setting-channels", "Channels", "Levels of single channels within a setting.", &rows)
        .key("tank", Text, "Key of the tank", |row| &row.0.key)
        .key("device", Text, "Key of the device", |row| &row.1.key)
        .key("setting", Whole, "Number of the setting", |row| row.2)
        .key("channel", Text, "Name of the channel", |row| row.3)
        .need("level", Number, "share from 0 to 1", "Level of the channel", |row| row.4)
        .refers(&["tank", "device", "setting"], "settings", &["tank", "device", "setting"])
        .done()
}

fn specs(sheets: &[(&Tank, &SpecSheet)]) -> TidyTable<'static> {
    let number = |of: fn(&SpecSheet) -> Option<f64>| move |row: &(&Tank, &SpecSheet)| of(row.1);
    let about = "What makers state of their devices. Stated, not measured. The words as printed are in `values`.";
    Columns::of("spec-sheets", "Spec sheets", about, sheets)
        .key("tank", Text, "Key of the tank whose folder holds the sheet", |row| &row.0.key)
        .key("spec", Text, "Key of the sheet", |row| &row.1.key)
        .need("name", Text, "", "What the sheet is of", |row| &row.1.name)
        .column("kind", Text, "", "Role of the device", |row| row.1.kind.as_ref().map(|kind| kind.value.word()))
        .column("power", Number, "W", "Stated power", number(|s| Some(s.power.as_ref()?.value.value)))
        .column("voltage", Number, "V", "Stated voltage", number(|s| Some(s.voltage.as_ref()?.value.value)))
        .column("current", Number, "A", "Stated current", number(|s| Some(s.current.as_ref()?.value.value)))
        .column("flow", Number, "L/h", "Stated flow at no head", number(|s| Some(s.flow.as_ref()?.value.value)))
        .column("head", Number, "cm", "Stated head at no flow", number(|s| Some(s.head.as_ref()?.value.value)))
        .column(
            "luminous_flux",
            Number,
            "lm",
            "Stated luminous flux",
            number(|s| Some(s.luminous_flux.as_ref()?.value.value)),
        )
        .source(|row| &row.1.place)
        .refers(&["tank"], "tanks", &["tank"])
        .done()
}

fn curves(sheets: &[(&Tank, &SpecSheet)]) -> TidyTable<'static> {
    let rows: Vec<_> = sheets
        .iter()
        .flat_map(|(tank, sheet)| {
            sheet.curve.iter().enumerate().map(move |(point, (head, flow))| (*tank, *sheet, point + 1, *head, *flow))
        })
        .collect();
    Columns::of("pump-curves", "Pump curves", "Stated flow against head, one row a point.", &rows)
        .key("tank", Text, "Key of the tank whose folder holds the sheet", |row| &row.0.key)
        .key("spec", Text, "Key of the sheet", |row| &row.1.key)
        .key("point", Whole, "Number of the point", |row| row.2)
        .need("head", Number, "m", "Head", |row| row.3)
        .need("flow", Number, "L/h", "Flow at this head", |row| row.4)
        .refers(&["tank", "spec"], "spec-sheets", &["tank", "spec"])
        .done()
}
