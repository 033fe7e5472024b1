//! Small pieces that several pages show: cautions, questions, entries, cards.

use polypary::pages::model::*;
use polypary::pages::model::{
    colony::ColonyCard, front::WaterGroup, story::ChapterCard, tanks::TankCard, water::Multiple,
};

use super::*;

pub fn caution(class: Danger, key: &str, title: &str) -> CautionBlock {
    CautionBlock {
        key: text(key),
        id: format!("caution-{key}"),
        class,
        severity_word: text(class.words()),
        title: text(title),
        text: vec![text("A spot of 2 cm in July, around the lower screw, over open water.")],
        steps: vec![text("Switch off at the wall before reaching under it."), text("Replace the screw.")],
        why: vec![PlaceLink::new("log/2026.yaml, line 402", "source/log/2026.yaml.html#L402")],
        defer: Some(text("The rules of your place and a licensed electrician come first.")),
        sources: vec![PlaceLink::new("a published guide", "https://example.org/guide")],
        acknowledged: None,
        href: Some(format!("cautions.html#caution-{key}")),
    }
}

pub fn answered_caution() -> CautionBlock {
    CautionBlock {
        acknowledged: Some(Acknowledged {
            on: date("2025-02-02", "2 February 2025"),
            reason: text("Solid ground floor, seen by an engineer."),
        }),
        ..caution(Danger::People, "floor-load", "164 kg on four feet")
    }
}

pub fn question(overdue: bool) -> QuestionRow {
    QuestionRow {
        id: format!("question-bracket-{overdue}"),
        question: text("Does the new bracket screw stay dry?"),
        asked: date("2026-07-11", "11 July 2026"),
        asked_href: Some(text("log/2026-07-11.html")),
        look_again: october(10),
        when: text("a day overdue"),
        overdue,
        answer: None,
    }
}

pub fn answered() -> QuestionRow {
    QuestionRow {
        id: text("question-leather-open"),
        question: text("Leather open again?"),
        answer: Some(Answer {
            text: text("Opened on the fifth day, after shedding."),
            on: date("2025-06-19", "19 June 2025"),
            href: Some(text("log/2025-06-19.html")),
        }),
        ..question(false)
    }
}

pub fn loss() -> LossRow {
    LossRow {
        date: date("2026-08-22", "22 August 2026"),
        what: vec![
            Run::text("Bud C of the "),
            Run::link("finger leather", "colony/finger-leather.html"),
            Run::text(" lost"),
        ],
        kind: "colony lost".into(),
        cause: text("not known"),
        grade: text("unknown"),
    }
}

pub fn dated() -> Vec<DatedText> {
    vec![
        DatedText { date: october(3), text: text("cleaned"), href: Some(text("log/2026-10-03.html")) },
        DatedText { date: october(10), text: text("runs quietly"), href: None },
    ]
}

pub fn card(day: u32, name: Option<&str>) -> EntryCard {
    EntryCard {
        date: october(day),
        time: Some(text("21:10")),
        href: format!("log/2026-10-{day:02}.html"),
        heading: text("Water change, 11 L"),
        text: text("Red alga cut back. Counted the zoanthids from a photo: about 210."),
        facts: vec![valued("Nitrate", measured("6.0", "mg/L").spread("± 0.8"), "card, lot 2")],
        photo: name.map(|name| photo(name, "The finger leather coral, shading the rock below.")),
        quiet: false,
    }
}

pub fn multiple(name: &str, number: &str, unit: &str, sentence: &str) -> Multiple {
    Multiple {
        name: text(name),
        href: Some(format!("water/{}.html", name.to_lowercase())),
        value: Some(measured(number, unit)),
        sentence: text(sentence),
        svg: svg(&name.to_lowercase(), "multiple", 300, 112),
    }
}

pub fn water_groups() -> Vec<WaterGroup> {
    let group = |key, title, multiples| WaterGroup { key: text(key), title: text(title), multiples };
    vec![
        group(
            "outside",
            "Outside its band",
            vec![multiple(
                "Phosphate",
                "below 0.02",
                "mg/L",
                "Below its band on three tests. The card cannot see less.",
            )],
        ),
        group(
            "close",
            "Too close to its edge to tell",
            vec![multiple("Alkalinity", "7.0", "dKH", "On the lower edge. Test again on 18 October.")],
        ),
        group(
            "inside",
            "Inside its band",
            vec![
                multiple("Nitrate", "6.0", "mg/L", "Rising 0.27 a week, more than the card’s error."),
                multiple("Temperature", "25.0", "°C", "Daily mean and range. Left its band on no day."),
                multiple("Salinity", "35.1", "g/kg", "No change that the refractometer can see."),
                multiple("Calcium", "425", "mg/L", "Steady."),
            ],
        ),
        group("unbanded", "Not banded", vec![multiple("Silicate", "0.4", "mg/L", "Two readings.")]),
    ]
}

pub fn colony_card(name: &str, file: &str, plate: &str) -> ColonyCard {
    ColonyCard {
        name: text(name),
        href: text("colony/finger-leather.html"),
        photo: Some(photo(file, "")),
        plate: text(plate),
        since: text("since January 2025"),
        size: Some(measured("21.0", "cm").spread("± 0.5")),
        remark: text("shades its rock"),
    }
}

pub fn colony_cards() -> Vec<ColonyCard> {
    vec![
        colony_card("Finger leather", "2026-10-10-leather", "2"),
        colony_card("Branching hammer", "2026-10-10-hammer", "3"),
        colony_card("Purple sea rod", "2025-12-13-gorgonian", "4"),
        colony_card("Zoanthid carpet", "2026-03-14-zoanthids", "5"),
        colony_card("Blue-green mushrooms", "2026-09-12-mushrooms", "6"),
        ColonyCard { photo: None, ..colony_card("Orange ball sponge", "2026-09-12-sponge", "") },
    ]
}

pub fn chapter_card() -> ChapterCard {
    ChapterCard {
        number: text("2"),
        title: text("First water"),
        href: text("story/first-water.html"),
        summary: text("Salt water over dry rock, and two weeks of brown film."),
        date: Some(date("2024-09-21", "21 September 2024")),
        photo: Some(photo("2024-09-21-front", "The tank just filled: milky water veils the rock.")),
    }
}

pub fn tank_card() -> TankCard {
    TankCard {
        name: text("The jar"),
        href: text("jar/index.html"),
        about: text("An older jar of 12 litres on a window sill, where the finger leather came from."),
        photo: Some(photo("2024-10-12-cabinet", "The cabinet.")),
        facts: vec![fact("Since", "March 2022"), valued("Water", measured("12.0", "L"), "measured")],
    }
}
