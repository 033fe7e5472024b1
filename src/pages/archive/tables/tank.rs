//! Tanks, and what of them changes with time.

use crate::pages::archive::tidy::FieldKind::*;
use crate::pages::archive::tidy::{Columns, TidyTable};
use crate::record::tank::{Floor, TankKind, VolumeBasis};
use crate::record::{Record, Stretch, Tank, Timeline};

pub fn tables(record: &Record) -> Vec<TidyTable<'static>> {
    let tanks: Vec<&Tank> = record.tanks.values().collect();
    vec![of_tanks(&tanks), water(&tanks), rooms(&tanks), electricity(&tanks), bands(&tanks), usual_kits(&tanks)]
}

fn of_tanks(tanks: &[&Tank]) -> TidyTable<'static> {
    let outer = |side: usize| move |tank: &&Tank| tank.size.as_ref().map(|size| size.value[side]);
    let sump = |side: usize| move |tank: &&Tank| tank.sump_size.as_ref().map(|size| size.value[side]);
    let foot = |side: usize| move |tank: &&Tank| Some(tank.stand.as_ref()?.footprint.as_ref()?.value[side]);
    Columns::of("tanks", "Tanks", "One row for each tank: one body of water with its equipment.", tanks)
        .key("tank", Text, "Key of the tank: `.` for the one at the top of the record, else its folder", |tank| {
            &tank.key
        })
        .need("name", Text, "", "What the keeper calls it", |tank| &tank.name.value)
        .column("about", Text, "", "The keeper's paragraph on it", |tank| tank.about.as_ref())
        .need("started", Day, "", "First fill", |tank| tank.started.value)
        .column("ended", Day, "", "When it was taken down", |tank| tank.ended.as_ref().map(|ended| ended.value))
        .need("zone", Text, "", "Time zone of its wall clock, by its IANA name", |tank| {
            tank.zone.iana_name().unwrap_or_default()
        })
        .column("country", Text, "", "Country, two letters of ISO 3166", |tank| tank.country.as_ref())
        .column("kind", Text, "", "Kind of tank: soft, mixed, stony, lagoon", |tank| {
            tank.kind.as_ref().map(|kind| match kind.value {
                TankKind::Soft => "soft",
                TankKind::Mixed => "mixed",
                TankKind::Stony => "stony",
                TankKind::Lagoon => "lagoon",
            })
        })
        .column("length", Number, "cm", "Outer length", outer(0))
        .column("width", Number, "cm", "Outer width", outer(1))
        .column("height", Number, "cm", "Outer height", outer(2))
        .column("glass", Number, "cm", "Thickness of the walls", |tank| tank.glass.as_ref().map(|q| q.value.value))
        .column("bottom_glass", Number, "cm", "Thickness of the bottom", |tank| {
            tank.bottom_glass.as_ref().map(|q| q.value.value)
        })
        .column("water_depth", Number, "cm", "From the top of the sand to the surface", |tank| {
            tank.water_depth.as_ref().map(|q| q.value.value)
        })
        .column("sand_mass", Number, "g", "Sand", |tank| tank.sand_mass.as_ref().map(|q| q.value.value))
        .column("sand_depth", Number, "cm", "Depth of the sand", |tank| tank.sand_depth.as_ref().map(|q| q.value.value))
        .column("rock_mass", Number, "g", "Rock", |tank| tank.rock.as_ref().map(|q| q.value.value))
        .column("sump_length", Number, "cm", "Outer length of the sump", sump(0))
        .column("sump_width", Number, "cm", "Outer width of the sump", sump(1))
        .column("sump_height", Number, "cm", "Outer height of the sump", sump(2))
        .column("sump_water_depth", Number, "cm", "Depth of the water in the sump", |tank| {
            tank.sump_water_depth.as_ref().map(|q| q.value.value)
        })
        .column("floor", Text, "", "Floor it stands on: ground, upper, unknown", |tank| {
            tank.floor.as_ref().map(|floor| match floor.value {
                Floor::Ground => "ground",
                Floor::Upper => "upper",
                Floor::Unknown => "unknown",
            })
        })
        .column("floor_construction", Text, "", "How the floor is built", |tank| tank.floor_construction.as_ref())
        .column("stand_mass", Number, "g", "Mass of the stand", |tank| {
            Some(tank.stand.as_ref()?.mass.as_ref()?.value.value)
        })
        .column("stand_length", Number, "cm", "Length of the stand's foot", foot(0))
        .column("stand_width", Number, "cm", "Width of the stand's foot", foot(1))
        .source(|tank| &tank.place)
        .done()
}

/// Each stretch of a timeline with its tank.
fn stretches<'a, T>(tanks: &[&'a Tank], of: impl Fn(&'a Tank) -> &'a Timeline<T>) -> Vec<(&'a Tank, &'a Stretch<T>)> {
    tanks.iter().flat_map(|tank| of(tank).iter().map(|stretch| (*tank, stretch))).collect()
}

fn water(tanks: &[&Tank]) -> TidyTable<'static> {
    let rows = stretches(tanks, |tank| &tank.water);
    let about = "Net volume of water: one row for each time it was set down anew.";
    Columns::of("water-volumes", "Water volumes", about, &rows)
        .need("tank", Text, "", "Key of the tank", |row| &row.0.key)
        .column("since", Day, "", "From when on; empty for always", |row| row.1.since)
        .column("volume", Number, "L", "Net volume; empty where it is to be worked out from the sizes", |row| {
            row.1.value.volume.as_ref()
        })
        .column("volume_u", Number, "L", "Its standard uncertainty, where one was written", |row| {
            row.1.value.volume.as_ref().and_then(|volume| volume.uncertainty)
        })
        .need("known_by", Text, "", "How it is known: counted at fill, tracer, stated, geometry", |row| {
            match row.1.value.by {
                VolumeBasis::CountedAtFill => "counted at fill",
                VolumeBasis::Tracer => "tracer",
                VolumeBasis::Stated => "stated",
                VolumeBasis::Geometry => "geometry",
            }
        })
        .source(|row| &row.1.place)
        .refers(&["tank"], "tanks", &["tank"])
        .done()
}

fn rooms(tanks: &[&Tank]) -> TidyTable<'static> {
    let mut rows = Vec::new();
    for tank in tanks {
        for (what, timeline) in [("temperature", &tank.room), ("humidity", &tank.room_humidity)] {
            rows.extend(timeline.iter().map(|stretch| (*tank, what, stretch)));
        }
    }
    Columns::of("rooms", "Rooms", "Climate of the room a tank stands in, as the keeper states it.", &rows)
        .need("tank", Text, "", "Key of the tank", |row| &row.0.key)
        .need("quantity", Text, "", "temperature (°C) or humidity (share from 0 to 1)", |row| row.1)
        .column("since", Day, "", "From when on; empty for always", |row| row.2.since)
        .need("low", Number, "°C or share", "Lower end", |row| row.2.value.0.value)
        .need("high", Number, "°C or share", "Upper end", |row| row.2.value.1.value)
        .source(|row| &row.2.place)
        .refers(&["tank"], "tanks", &["tank"])
        .done()
}

fn electricity(tanks: &[&Tank]) -> TidyTable<'static> {
    let rows = stretches(tanks, |tank| &tank.electricity);
    Columns::of("electricity", "Electricity", "Supply and tariff, one row for each time they changed.", &rows)
        .need("tank", Text, "", "Key of the tank", |row| &row.0.key)
        .column("since", Day, "", "From when on; empty for always", |row| row.1.since)
        .column("voltage", Number, "V", "Of the supply", |row| row.1.value.voltage.as_ref().map(|q| q.value.value))
        .column("tariff", Number, "currency/kWh", "Price of energy", |row| {
            row.1.value.tariff.as_ref().map(|q| q.value.value)
        })
        .column("currency", Text, "", "Currency of the tariff", |row| {
            row.1.value.tariff.as_ref().and_then(|q| q.value.currency.clone())
        })
        .column("circuit_rating", Number, "A or W", "What the circuit may carry", |row| {
            row.1.value.circuit_rating.as_ref().map(|q| q.value.value)
        })
        .need("ground_fault", Text, "", "Earth-leakage protection: yes, no, unknown", |row| row.1.value.ground_fault)
        .need("drip_loops", Text, "", "Cords hang in loops: yes, no, unknown", |row| row.1.value.drip_loops)
        .source(|row| &row.1.place)
        .refers(&["tank"], "tanks", &["tank"])
        .done()
}

fn bands(tanks: &[&Tank]) -> TidyTable<'static> {
    let mut rows = Vec::new();
    for tank in tanks {
        for (parameter, timeline) in &tank.bands {
            rows.extend(timeline.iter().map(|stretch| (*tank, *parameter, stretch)));
        }
    }
    Columns::of("bands", "Bands", "Ranges the keeper wanted values in: the keeper's own, no advice.", &rows)
        .need("tank", Text, "", "Key of the tank", |row| &row.0.key)
        .need("quantity", Text, "", "What is read, as in the table of readings", |row| row.1.key())
        .need("unit", Text, "", "Unit of both ends", |row| row.1.unit())
        .column("since", Day, "", "From when on; empty for always", |row| row.2.since)
        .column("low", Number, "as `unit`", "Lower end; empty for none", |row| row.2.value.low * row.1.shown_factor())
        .column("high", Number, "as `unit`", "Upper end; empty for none", |row| row.2.value.high * row.1.shown_factor())
        .source(|row| &row.2.place)
        .refers(&["tank"], "tanks", &["tank"])
        .done()
}

fn usual_kits(tanks: &[&Tank]) -> TidyTable<'static> {
    let rows: Vec<_> = tanks
        .iter()
        .flat_map(|tank| tank.usual_kits.iter().map(move |(parameter, kit)| (*tank, *parameter, kit)))
        .collect();
    Columns::of("usual-kits", "Usual kits", "The kit meant where an entry names none.", &rows)
        .key("tank", Text, "Key of the tank", |row| &row.0.key)
        .key("quantity", Text, "What is read", |row| row.1.key())
        .need("supply", Text, "", "Key of the kit", |row| row.2)
        .source(|row| &row.2.place)
        .refers(&["tank"], "tanks", &["tank"])
        .refers(&["supply"], "supplies", &["supply"])
        .done()
}
