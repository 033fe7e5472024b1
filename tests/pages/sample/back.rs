//! Pages that look back: photographs, years, dates side by side, promises.

use polypary::pages::model::back::*;
use polypary::pages::model::log::YearCard;
use polypary::pages::model::photos::*;
use polypary::pages::model::story::ThenNow;
use polypary::pages::model::*;

use super::*;

fn dated(name: &str, alt: &str, day: u32) -> Photo {
    Photo {
        caption: text(alt),
        date: Some(october(day)),
        href: Some(format!("photo/{name}.html")),
        lamp: Some(text("Lamp at 75 %")),
        ..photo(name, alt)
    }
}

pub fn photos() -> PhotosPage {
    PhotosPage {
        standfirst: text("2 photos in order of time, each with a page of its own."),
        years: vec![PhotoYear {
            id: text("year-2026"),
            title: text("2026"),
            count: text("2 photos"),
            photos: vec![
                dated("2026-10-03-leather", "The leather coral open.", 3),
                Photo { missing: true, ..dated("2026-10-10-front", "From the front.", 10) },
            ],
        }],
    }
}

pub fn one_photo() -> PhotoPage {
    let shown = dated("2026-10-03-leather", "The leather coral open.", 3);
    PhotoPage {
        title: text("Finger leather"),
        number: text("Photo 1 of 2"),
        photo: Photo { href: Some(text("photos/2026-10-03-leather-1600.jpg")), ..shown.clone() },
        facts: vec![
            fact("Taken", "3 October 2026"),
            Fact::new("Shows", vec![Run::link("Finger leather", "colony/finger-leather.html")]),
        ],
        series: Some(PhotoSeries {
            title: text("The same view over time"),
            note: text("Compare shapes, not shades."),
            steps: None,
            photos: vec![shown, dated("2026-10-10-leather", "The same a week later.", 10)],
        }),
        previous: Some(PlaceLink::new("From the front, 1 October 2026", "photo/2026-10-01-front.html")),
        next: Some(PlaceLink::new("From the front, 10 October 2026", "photo/2026-10-10-front.html")),
    }
}

fn series() -> PhotoSeries {
    PhotoSeries {
        title: text("First and last of the year"),
        note: text("Compare shapes, not shades."),
        steps: None,
        photos: vec![
            dated("2026-01-03-front", "The tank in January.", 1),
            Photo { days_between: Some(text("280 days later")), ..dated("2026-10-10-front", "In October.", 10) },
        ],
    }
}

fn pair(title: &str) -> PairCard {
    PairCard {
        title: text(title),
        href: text("compare/2025-10-10-to-2026-10-10.html"),
        from: date("2025-10-10", "10 October 2025"),
        to: october(10),
        apart: text("one year apart"),
        before: Some(Photo { href: None, ..dated("2025-10-12-front", "A year before.", 1) }),
        after: Some(Photo { href: None, ..dated("2026-10-10-front", "The tank.", 10) }),
    }
}

fn then_and_now() -> Vec<ThenNow> {
    vec![
        ThenNow { label: text("Water"), then: Some(measured("112", "L")), now: Some(measured("114", "L")) },
        ThenNow { label: text("Uptake"), then: None, now: Some(computed("0.31", "± 0.06", "mg/L")) },
    ]
}

pub fn looking_back() -> LookingBackPage {
    LookingBackPage {
        standfirst: text("Each year with its figures as of its end, dates side by side and what was promised."),
        years: vec![YearCard {
            year: text("2026"),
            href: text("year/2026.html"),
            count: text("1 January 2026 to 11 October 2026"),
            summary: text("96 entries; most growth seen in Finger leather; one lost or broken."),
        }],
        pairs: vec![pair("Before the lamp was raised"), PairCard { before: None, ..pair("Without a photo") }],
        anniversaries: vec![pair("Year 1 of the tank")],
        promises: text("Two promises: one overdue and one answered."),
        promises_href: Some(text("promises.html")),
    }
}

pub fn review() -> ReviewPage {
    ReviewPage {
        year: text("2026"),
        standfirst: text("1 January 2026 to 11 October 2026, 284 days. The year is not over."),
        short: vec![
            fact("Written", "96 entries, 12 of them quiet"),
            valued("Water changed", measured("180", "L").spread("± 3"), "measured"),
        ],
        photos: Some(series()),
        growth: Some(chart_table("Growth that the sizes can tell from none")),
        growth_note: text("Lengths and counts cannot be ranked against each other."),
        losses: vec![loss()],
        losses_note: text("With the cause and how sure it is."),
        arrivals: vec![DatedText {
            date: october(3),
            text: text("Ball sponge"),
            href: Some(text("colony/ball-sponge.html")),
        }],
        bands: Some(chart("bands", "Days of the year")),
        bands_note: text("Readings too far apart say nothing of the days between."),
        figures: then_and_now(),
        start_head: text("31 December 2025"),
        end_head: text("11 October 2026"),
        energy: Some(chart_table("Energy and what it cost")),
        energy_note: text("Worked out from what was set on each day."),
        upkeep: Some(chart_table("Upkeep, times")),
        upkeep_note: text("On time: within the interval and a tenth of it."),
        asked: vec![answered()],
        missing: vec![text("Energy by the meter: the meter’s total in two entries.")],
        log: Some(PlaceLink::new("The entries of 2026", "log/2026.html")),
        previous: Some(PlaceLink::new("2025 in review", "year/2025.html")),
        next: Some(PlaceLink::new("2027 in review", "year/2027.html")),
    }
}

pub fn compare() -> ComparePage {
    let side = |day: u32, shown: Option<Photo>| CompareSide {
        date: october(day),
        age: text("760 days after the first fill"),
        photo: shown,
        off: text("Taken on that day."),
        facts: vec![valued("Size", measured("21.0", "cm"), "measured")],
    };
    ComparePage {
        title: text("Before the lamp was raised"),
        standfirst: text("Each side stands as the record gave it on its own date."),
        from: text("3 October 2026"),
        to: text("10 October 2026"),
        sides: vec![
            side(3, Some(dated("2026-10-03-leather", "Before.", 3))),
            side(10, Some(dated("2026-10-10-leather", "After.", 10))),
        ],
        photo_note: text("The lamp differs: compare shapes, not colours."),
        figures: then_and_now(),
        settings: settings_then(),
        between: vec![DatedText { date: october(5), text: text("Power cut"), href: Some(text("log/2026-10-05.html")) }],
        corrections: vec![DatedText { date: october(9), text: text("The level was read wrong."), href: None }],
        previous: Some(PlaceLink::new("The pair before", "compare/2024-10-10-to-2025-10-10.html")),
        next: Some(PlaceLink::new("The pair after", "compare/2025-04-10-to-2026-04-10.html")),
    }
}

pub fn promises() -> PromisesPage {
    PromisesPage {
        standfirst: text("Four promises: one overdue, two still open and one answered."),
        overdue: vec![question(true)],
        waiting: vec![question(false)],
        undated: vec![QuestionRow {
            id: text("question-undated"),
            look_again: DateText::default(),
            when: text("no date to look again"),
            ..question(false)
        }],
        answered: vec![answered()],
    }
}
