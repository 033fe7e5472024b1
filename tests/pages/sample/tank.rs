//! The front page, the story, equipment, heat, light, movement and power.

use polypary::pages::model::*;
use polypary::pages::model::{equipment::*, front::*, heat::*, light::*, movement::*, power::*, story::*};

use super::*;

pub fn front() -> FrontPage {
    FrontPage {
        name: text("Low Tide"),
        standfirst: text(
            "A shallow lagoon in a hallway: soft corals, seagrass and leafy algae in 114 litres under one lamp, in its \
             twenty-sixth month.",
        ),
        now: vec![
            Run::text("Six of eight quantities stand in their bands; "),
            Run::link("phosphate is below", "water/phosphate.html"),
            Run::text(" and alkalinity on its edge. "),
            Run::link("One danger to people", "#cautions-h"),
            Run::text(": the lamp’s bracket. Last entry 10 October."),
        ],
        in_short: vec![Fact::new(
            "New",
            vec![Run::link("10 October 2026", "log/2026-10-10.html"), Run::text(", a portrait")],
        )],
        hero: Some(Photo {
            plate: Some(text("Plate 1")),
            date: Some(october(10)),
            caption: text("The whole tank, 757 days after the dry rock was laid,"),
            lamp: Some(text("lamp at full level")),
            ..photo("2026-10-10-front", "Two years in: a lush lagoon tank, leather coral on the right.")
        }),
        asked: vec![fact("What happened after the video?", "The leather shed twice.")],
        glance: vec![
            fact("Glass", "90 × 45 × 35 cm, filled 21 September 2024"),
            valued(
                "Water",
                measured("114", "L").spread("± 2").linked("water/index.html#figure-a"),
                "measured, counted at fill",
            ),
            valued("Lamp", stated("96", "W"), "stated, one bar, 9½ h a day"),
            valued("Light at the corals", computed("2.4 to 7.9", "", "mol/m²"), "a day, computed"),
            valued("Flow", computed("2300", "± 500", "L/h"), "computed; maker states 4000"),
            valued("Nutrients", measured("1.2", "mL"), "a day of nitrate, measured"),
            valued("Power", computed("1.46", "± 0.08", "kWh"), "a day, computed"),
            valued("Work", computed("38", "± 10", "min"), "a week, computed"),
        ],
        water_note: text(
            "Shaded: the band the keeper wants. Bars: two standard uncertainties of the kit. Last four months.",
        ),
        water_lead: vec![
            Run::text("Of eight quantities kept in a band, "),
            Run::strong("one is below it"),
            Run::text(", "),
            Run::strong("one stands on its edge"),
            Run::text(" and six are inside."),
        ],
        water_groups: water_groups(),
        water_href: text("water/index.html"),
        entries_note: text(
            "Last entry 10 October. Quiet since then means nobody has written, not that nothing happened.",
        ),
        entries: vec![
            card(10, Some("2026-10-10-leather")),
            card(3, Some("2026-10-10-zoanthids")),
            EntryCard { quiet: true, text: String::new(), facts: Vec::new(), heading: String::new(), ..card(1, None) },
        ],
        log_href: text("log/index.html"),
        changes: Some(chart("six-weeks", "Everything that changed in six weeks")),
        losses_note: text("Kept, with the cause and how sure it is."),
        losses: vec![loss()],
        losses_rest: Some(PlaceLink::new("Seven earlier losses and faults in the log", "log/index.html#wrong-h")),
        questions: vec![question(true), question(false)],
        promises: Some(PlaceLink::new("Two promises: one overdue, one still open", "promises.html")),
        back_href: text("looking-back.html"),
        cautions_note: text("Three stand out for this tank. The rest stand beside the work they belong to."),
        cautions: vec![
            caution(Danger::People, "bracket", "The lamp hangs on a rusting bracket, over water"),
            caution(Danger::Animals, "one-heater", "One heater, and it has stuck before"),
            caution(Danger::Check, "zoanthids", "Zoanthids: gloves and glasses"),
        ],
        cautions_rest: vec![
            PlaceLink::new("Drip loop on every cable", "cautions.html#caution-drip-loops"),
            PlaceLink::new("Floor load 164 kg on four feet", "cautions.html#caution-floor-load"),
        ],
        cautions_rest_summary: text("Two more that hold for this tank"),
        cautions_href: text("cautions.html"),
        colonies_note: text("Twelve colonies, one lost. Each has a life history."),
        colonies: colony_cards(),
        colonies_href: text("colony/index.html"),
        chapters: vec![chapter_card()],
        story_href: Some(text("story/index.html")),
        other_tanks: vec![tank_card()],
    }
}

pub fn story() -> StoryPage {
    StoryPage {
        standfirst: text("Six chapters, from dry rock to the second autumn."),
        chapters: vec![chapter_card(), ChapterCard { number: text("3"), photo: None, ..chapter_card() }],
        videos: vec![video_card()],
    }
}

pub fn then_now() -> Vec<ThenNow> {
    vec![
        ThenNow { label: text("Nitrate"), then: Some(measured("12", "mg/L")), now: Some(measured("6.0", "mg/L")) },
        ThenNow { label: text("Light at the slab"), then: None, now: Some(computed("5.5", "± 0.8", "mol/m² a day")) },
    ]
}

pub fn chapter() -> ChapterPage {
    ChapterPage {
        number: text("2"),
        title: text("First water"),
        summary: text("Salt water over dry rock, and two weeks of brown film."),
        date: Some(date("2024-09-21", "21 September 2024")),
        photo: Some(Photo {
            plate: Some(text("Plate 1")),
            caption: text("Just filled."),
            ..photo("2024-09-21-front", "The tank just filled: milky water veils the rock.")
        }),
        prose: Html::trusted(
            "<p>The first water went in by jug, ten litres at a time, and was counted. It stayed milky for two days, as sand \
             from a bag does however well it was rinsed.</p>\n<h2>Counting</h2>\n<p>Eleven jugs and four litres: the \
             number that every figure of this record starts from.</p>\n<ul>\n<li>sand 18 kg</li>\n<li>rock 14 kg</li>\n\
             </ul>\n<blockquote>\n<p>Write it down now; nobody can count it later.</p>\n</blockquote>\n",
        ),
        then_and_now: then_now(),
        settings: Some(settings_then()),
        losses: dated(),
        since_then: dated(),
        photos: vec![photo("2024-09-14-front", "The empty glass tank."), photo("2024-11-16-front", "Brown film.")],
        corrections: dated(),
        previous: Some(PlaceLink::new("Dry rock", "story/dry-rock.html")),
        next: Some(PlaceLink::new("Brown and green", "story/brown-and-green.html")),
    }
}

pub fn device_card() -> DeviceCard {
    DeviceCard {
        name: text("Wave pump"),
        href: text("equipment/wave-pump.html"),
        role: text("Circulation pump"),
        power: Some(stated("8", "W")),
        setting: text("Pulse, 30 % of the time, always on"),
        service: text("in service since 5 October 2024"),
        photo: Some(photo("2024-10-05-wave-pump", "The wave pump on the left pane.")),
    }
}

pub fn equipment() -> EquipmentPage {
    EquipmentPage {
        standfirst: text("Twelve devices. What the maker states stands beside what was observed."),
        groups: vec![
            DeviceGroup {
                title: text("Movement"),
                devices: vec![device_card(), DeviceCard { power: None, ..device_card() }],
            },
            DeviceGroup { title: text("Heat"), devices: vec![DeviceCard { photo: None, ..device_card() }] },
        ],
        retired: vec![device_card()],
        supply: Some(chart_table("Supplies")),
        cautions: vec![caution(Danger::People, "strip", "One strip carries everything")],
        figures: vec![figure()],
    }
}

pub fn settings_then() -> SettingsThen {
    SettingsThen {
        changed: vec![ChangedSetting {
            device: PlaceLink::new("LED bar", "equipment/lamp.html"),
            label: text("Level"),
            then: text("55 %"),
            now: text("60 %"),
        }],
        others: vec![fact("As today", "Wave pump")],
    }
}

pub fn filmed_rows() -> Vec<FilmedRow> {
    let row = |label, filmed, today, changed| FilmedRow {
        label: text(label),
        filmed: text(filmed),
        today: text(today),
        changed,
    };
    vec![row("Mode", "pulse", "pulse", false), row("Duty", "40 %", "30 %", true)]
}

pub fn setting() -> SettingSince {
    SettingSince {
        since: date("2026-09-19", "19 September 2026"),
        until: text("until now"),
        facts: vec![fact("Level", "60 %"), fact("Hours", "10:00 to 19:30")],
        why: Some(text("phosphate had sunk out of sight")),
        place: Some(PlaceLink::new("equipment/lamp.yaml, line 22", "source/equipment/lamp.yaml.html#L22")),
    }
}

pub fn stated_row() -> StatedRow {
    StatedRow {
        label: text("Flow"),
        stated: Some(stated("4000", "L/h")),
        observed: Some(computed("2300", "± 500", "L/h")),
        remark: text("36 days since cleaning"),
    }
}

pub fn device() -> DevicePage {
    DevicePage {
        name: text("Wave pump"),
        role: text("Circulation pump"),
        standfirst: text("Pushes water along the back pane, in pulses."),
        photo: Some(Photo {
            date: Some(date("2024-10-05", "5 October 2024")),
            ..photo("2024-10-05-wave-pump", "The wave pump.")
        }),
        facts: vec![fact("Role", "circulation pump"), fact("In service", "since 5 October 2024")],
        today: vec![fact("Mode", "pulse"), fact("Duty", "30 %")],
        filmed: vec![FilmedSettings {
            video: PlaceLink::new("Two years in", "video/two-years-in.html"),
            filmed: date("2026-06-20", "20 June 2026"),
            rows: filmed_rows(),
            sentence: text("One setting has changed since."),
        }],
        settings: vec![setting()],
        spec_name: text("Spec sheet: wave pump, 4000 L/h class"),
        stated: vec![stated_row(), StatedRow { stated: None, observed: None, ..stated_row() }],
        spec_prose: Some(Html::trusted("<p>Propeller pump on a magnet holder.</p>\n")),
        curve: Some(chart("curve", "Flow against head")),
        forgets: vec![fact("Keeps its settings", "yes"), fact("State at power-up", "last")],
        forgets_note: text("Tested on 12 March 2026."),
        upkeep_note: text("Cleaned every 95 days by habit; last on 5 September, 36 days ago."),
        upkeep: vec![UpkeepDone {
            date: date("2026-09-05", "5 September 2026"),
            task: text("cleaned in acid"),
            after: text("95 days after the last time"),
            gained: text("flow from 1500 to 2300 L/h, measured"),
            href: Some(text("log/2026-09-05.html")),
        }],
        upkeep_chart: Some(chart("upkeep", "Flow between cleanings")),
        why: Some(text("Quiet, and its wet side comes apart without tools.")),
        again: Some(text("yes")),
        again_because: text("It has run two years without a part."),
        photos: vec![photo("2026-02-21-wave-pump-algae", "The pump grown over with algae.")],
        history: dated(),
        figures: vec![figure(), lacking_figure()],
        cautions: vec![caution(Danger::Check, "acid", "Acid: gloves, glasses, window open")],
        source: Some(PlaceLink::new("equipment/wave-pump.yaml", "source/equipment/wave-pump.yaml.html")),
    }
}

fn survey() -> Survey {
    Survey {
        id: text("survey-2026-06-20"),
        date: date("2026-06-20", "20 June 2026"),
        facts: vec![fact("Level", "60 %"), fact("Height", "25 cm"), fact("Factor in water", "1.25, applied")],
        maps: vec![chart("map", "Light 3 cm deep")],
        error: Some(computed("6.7", "± 0.7", "%")),
        note: Some(text("Pumps off, surface still.")),
    }
}

pub fn survey_page() -> SurveyPage {
    SurveyPage {
        survey: survey(),
        previous: Some(PlaceLink::new("2 May 2026", "light/2026-05-02.html")),
        next: Some(PlaceLink::new("8 August 2026", "light/2026-08-08.html")),
    }
}

pub fn light() -> LightPage {
    let row = ColonyLight {
        colony: PlaceLink::new("Finger leather", "colony/finger-leather.html"),
        place: text("right rock, 14 cm deep"),
        at_peak: Some(computed("162", "± 22", "µmol/m²/s")),
        per_day: Some(computed("5.5", "± 0.8", "mol/m²")),
        wanted: Some(text("4 to 7 mol/m²")),
        verdict: text("inside"),
        missing: None,
    };
    LightPage {
        standfirst: text("One bar over the middle; three surveys, the newest of 20 June 2026."),
        lamp: vec![fact("Lamp", "LED bar, 60 %, 10:00 to 19:30")],
        survey: Some(survey()),
        surveys: Some(chart_table("Light surveys, newest first")),
        colonies: vec![
            row.clone(),
            ColonyLight {
                missing: Some(text("no reading within 15 cm")),
                at_peak: None,
                per_day: None,
                wanted: None,
                verdict: text("not known"),
                ..row
            },
        ],
        colonies_note: text("From the reading nearest in place, scaled with the lamp’s level and hours."),
        without_meter: text("Nobody has measured here."),
        levels: Some(Levels {
            sentence: text("The bar stands at 60 % today."),
            table: chart_table("Level of the lamp for each colony’s band"),
            apart: vec![text("No one level puts both the sponge and the seagrass into their bands.")],
            elsewhere: vec![text("Seagrass would be in its band on 40 % of the area 15 cm deep.")],
        }),
        ageing: Some(chart_table("Light at the same places")),
        plans: vec![PlanBlock {
            title: text("Finger leather, since 20 June 2026"),
            sentence: text("Its place has 162 µmol/m²/s."),
            table: chart_table("A step a week"),
        }],
        spectra: vec![SpectrumBlock {
            lamp: PlaceLink::new("LED bar", "equipment/lamp.html"),
            facts: vec![fact("400 to 500 nm, blue", "42 %")],
            chart: Some(chart("spectrum", "Spectrum of the LED bar")),
            remark: text("It has no correlated colour temperature."),
        }],
        schedule: Some(chart("schedule", "The lamp’s day")),
        lamps: vec![LampHistory { lamp: PlaceLink::new("LED bar", "equipment/lamp.html"), settings: vec![setting()] }],
        figures: vec![figure()],
        cautions: vec![caution(Danger::People, "lamp-light", "Do not look into the lamp")],
    }
}

pub fn movement() -> MovementPage {
    MovementPage {
        standfirst: text("The makers state 35 volumes an hour; about 20 are left."),
        totals: vec![stated_row()],
        groups: vec![
            GroupRow {
                label: text("Circulation"),
                turnover: Some(computed("10.1", "± 1.6", "volumes an hour")),
                band: Some(text("5 to 15")),
                band_from: text("common practice, no source"),
                stands: text("inside"),
            },
            GroupRow { label: text("Filtration"), stands: text("no band"), ..GroupRow::default() },
        ],
        systems: vec![chart("pump-return", "Return pump: pump and plumbing")],
        drain: vec![fact("Runs back when the return stops", "3.7 L")],
        drain_note: text("What runs back into the sump when the return stops."),
        pumps: vec![
            PumpRow {
                device: PlaceLink::new("Wave pump", "equipment/wave-pump.html"),
                role: text("circulation"),
                setting: text("pulse, 30 %"),
                stated: Some(stated("4000", "L/h")),
                derated: Some(computed("2300", "± 500", "L/h")),
                tested: Some(measured("2250", "L/h")),
                remark: text("36 days since cleaning"),
            },
            PumpRow { device: PlaceLink::plain("Air pump"), role: text("air"), ..PumpRow::default() },
        ],
        history: Some(chart("flow", "Flow between cleanings")),
        figures: vec![figure(), lacking_figure()],
        cautions: vec![caution(Danger::Animals, "one-pump", "One pump moves all of the water")],
    }
}

pub fn heat() -> HeatPage {
    HeatPage {
        standfirst: text("What warms the water and what cools it."),
        key_figures: vec![valued("With the heaters stuck on", computed("36.1", "", "°C"), "computed")],
        lacking: vec![text("‘lid: open’ in tank.yaml")],
        balance: Some(chart("balance", "Balance of heat")),
        balance_note: text("In the room as it is now."),
        days: vec![valued("Heater power needed", computed("134", "± 22", "W"), "computed")],
        thermostats: Some(chart_table("Which thermostat leads")),
        thermostats_note: text("The controller leads."),
        evaporation: Some(chart("evaporation", "Evaporation by month")),
        evaporation_words: vec![text("The two agree within what is known.")],
        top_off: vec![valued("The reservoir lasts", computed("8.2", "± 0.4", "days"), "computed")],
        failures: vec![FailureRow {
            id: text("failure-heater-stuck-on"),
            what: PlaceLink::new("Heater", "equipment/heater.html"),
            mode: text("stuck on"),
            follows: text("The water may end at 36 °C."),
            harm: text("5 to 12 h"),
            harm_by: text("heat, computed"),
            remains: text("a plug that can be pulled"),
            catches: text("the dial at 26.5 °C"),
        }],
        failures_note: text("Bounds, never promises."),
        figures: vec![figure(), lacking_figure()],
        cautions: vec![caution(Danger::Animals, "no-cutoff", "A heater that sticks on would cook the tank")],
    }
}

pub fn power() -> PowerPage {
    let row = |name: &str| PowerRow {
        device: PlaceLink::new(name, "equipment/lamp.html"),
        watts: Some(stated("96", "W")),
        duty: text("9½ h a day, ramps counted"),
        per_day: Some(computed("0.84", "± 0.04", "kWh")),
        cost_per_month: Some(computed("6.1", "± 0.3", "EUR")),
        share: text("58 %"),
    };
    PowerPage {
        standfirst: text("1.46 kWh a day, most of it light."),
        totals: vec![valued("In a day", computed("1.46", "± 0.08", "kWh"), "computed")],
        devices: vec![
            row("LED bar"),
            row("Heater"),
            PowerRow { watts: None, per_day: None, cost_per_month: None, ..row("Fan") },
        ],
        devices_total: Some(PowerRow { device: PlaceLink::plain("All"), ..row("All") }),
        devices_note: text("At 0.24 EUR for a kilowatt-hour."),
        bars: Some(chart("bars", "Energy by device")),
        by_hour: Some(chart("hours", "Power over the day")),
        by_purpose: Some(chart("purpose", "Energy by purpose")),
        rates: Some(chart_table("What a day costs")),
        rates_note: text("Heaters are spread evenly."),
        meter_chart: Some(chart("meter", "Metered and worked out")),
        strips_note: text("The local code comes first."),
        batteries: Some(chart_table("On a battery")),
        forgets: Some(chart_table("After a power cut")),
        meter: Some(chart_table("Between meter readings")),
        meter_note: text("Computed over the same days, and the rest nobody explains."),
        strips: vec![StripRow {
            strip: PlaceLink::new("Left strip", "equipment/left-strip.html"),
            on_it: vec![PlaceLink::new("LED bar", "equipment/lamp.html"), PlaceLink::plain("Heater")],
            load: Some(computed("1.1", "± 0.1", "A")),
            rating: Some(stated("10", "A")),
            protection: vec![Run::text("30 mA, tested "), Run::link("12 March 2026", "log/2026-03-12.html")],
            remark: text("on the wall, above the water"),
        }],
        figures: vec![figure()],
        cautions: vec![caution(Danger::People, "strip", "Mains over salt water")],
    }
}
