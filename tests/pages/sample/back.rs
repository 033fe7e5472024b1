//! Pages that look back: photographs, years, dates side by side, promises.

use polypary::pages::model::photos::*;
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
