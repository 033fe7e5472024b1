//! A full set of pages of an invented tank: every field of every model filled at least once.

mod back;
mod record;
mod small;
mod tank;

use polypary::pages::model::share::{Share, SharePicture};
use polypary::pages::model::sheet::{Sheet, SheetFact, SheetPicture, SheetSection};
use polypary::pages::model::*;

use back::*;
use record::*;
use small::*;
use tank::*;

pub fn site() -> Site {
    let nav = [
        ("front", "Front page", "index.html"),
        ("story", "Story", "story/index.html"),
        ("water", "Water", "water/index.html"),
        ("light", "Light", "light.html"),
        ("movement", "Movement", "movement.html"),
        ("heat", "Heat", "heat.html"),
        ("power", "Power", "power.html"),
        ("equipment", "Equipment", "equipment/index.html"),
        ("colonies", "Colonies", "colony/index.html"),
        ("photos", "Photos", "photo/index.html"),
        ("upkeep", "Upkeep", "upkeep.html"),
        ("back", "Looking back", "looking-back.html"),
        ("log", "Log", "log/index.html"),
        ("cautions", "Cautions", "cautions.html"),
        ("sources", "Sources", "sources.html"),
    ];
    Site {
        name: text("Low Tide"),
        language: text("en"),
        edition: text("journal"),
        as_of: date("2026-10-11", "11 October 2026"),
        home: text("index.html"),
        nav: nav
            .iter()
            .map(|(key, words, href)| NavItem { key: text(key), text: text(words), href: text(href) })
            .collect(),
        tanks: vec![
            TankLink { name: text("Low Tide"), href: text("index.html"), current: true },
            TankLink { name: text("The jar"), href: text("jar/index.html"), current: false },
        ],
        notes: vec![text("Invented tank, invented numbers.")],
        sources_href: text("sources.html"),
        feed_href: Some(text("feed.xml")),
    }
}

/// One page of every kind.
pub fn pages() -> Vec<Page> {
    let mut pages = vec![
        page("index.html", "front", "Low Tide", PageBody::Front(Box::new(front()))),
        page("story/index.html", "story", "The story", PageBody::Story(Box::new(story()))),
        page("story/first-water.html", "story", "First water", PageBody::Chapter(Box::new(chapter()))),
        page("equipment/index.html", "equipment", "Equipment", PageBody::Equipment(Box::new(equipment()))),
        page("equipment/wave-pump.html", "equipment", "Wave pump", PageBody::Device(Box::new(device()))),
        page("light.html", "light", "Light", PageBody::Light(Box::new(light()))),
        page(
            "light/2026-06-20.html",
            "light",
            "Light survey of 20 June 2026",
            PageBody::Survey(Box::new(survey_page())),
        ),
        page("movement.html", "movement", "Water movement", PageBody::Movement(Box::new(movement()))),
        page("heat.html", "heat", "Heat", PageBody::Heat(Box::new(heat()))),
        page("power.html", "power", "Power", PageBody::Power(Box::new(power()))),
        page("water/index.html", "water", "Water", PageBody::Water(Box::new(water()))),
        page("water/nitrate.html", "water", "Nitrate", PageBody::Quantity(Box::new(quantity()))),
        page("colony/index.html", "colonies", "Colonies", PageBody::Colonies(Box::new(colonies()))),
        page("colony/finger-leather.html", "colonies", "Finger leather", PageBody::Colony(Box::new(colony()))),
        page("upkeep.html", "upkeep", "Upkeep", PageBody::Upkeep(Box::new(upkeep()))),
        page("log/index.html", "log", "Log", PageBody::Log(Box::new(log()))),
        page("log/2026.html", "log", "2026", PageBody::Year(Box::new(year()))),
        page("log/2026-10-03.html", "log", "3 October 2026", PageBody::Entry(Box::new(entry()))),
        page("cautions.html", "cautions", "Cautions", PageBody::Cautions(Box::new(cautions_page()))),
        page("sources.html", "sources", "Sources and methods", PageBody::Sources(Box::new(sources()))),
        page("source/log/2026.yaml.html", "sources", "log/2026.yaml", PageBody::SourceFile(Box::new(source_file()))),
        page("tanks.html", "tanks", "Tanks", PageBody::Tanks(Box::new(tanks()))),
        page("photo/index.html", "photos", "Photographs", PageBody::Photos(Box::new(photos()))),
        page("photo/2026-10-03-leather.html", "photos", "Finger leather", PageBody::Photo(Box::new(one_photo()))),
        page("looking-back.html", "back", "Looking back", PageBody::LookingBack(Box::new(looking_back()))),
        page("year/2026.html", "back", "2026 in review", PageBody::Review(Box::new(review()))),
        page("compare/a-to-b.html", "back", "Before and after", PageBody::Compare(Box::new(compare()))),
        page("promises.html", "back", "Promises", PageBody::Promises(Box::new(promises()))),
        page("video/index.html", "story", "Videos", PageBody::Videos(Box::new(videos()))),
        page("video/two-years-in.html", "story", "Two years in", PageBody::Video(Box::new(video()))),
    ];
    for page in &mut pages {
        if page.path.starts_with("water/") && page.path != "water/index.html" {
            page.trail = vec![PlaceLink::new("Water", "water/index.html")];
        }
    }
    pages
}

pub fn text(words: &str) -> String {
    words.to_owned()
}

fn page(path: &str, section: &str, title: &str, body: PageBody) -> Page {
    let mut page = Page::new(path, section, title, format!("{title} of Low Tide, an invented lagoon tank."), body);
    let canonical = format!("https://example.org/low-tide/{path}");
    page.share = Some(Share {
        data: Html::trusted(format!("{{\"@context\":\"https://schema.org\",\"@id\":\"{canonical}\"}}")),
        canonical,
        kind: text("article"),
        written: Some(text("2026-10-03T21:10:00+01:00")),
        picture: Some(SharePicture {
            address: text("https://example.org/low-tide/photos/front-share.jpg"),
            file: text("photos/front-share.jpg"),
            width: 1200,
            height: 630,
            alt: text("The tank from the front"),
        }),
    });
    page
}

fn date(iso: &str, words: &str) -> DateText {
    DateText { iso: text(iso), text: text(words) }
}

fn october(day: u32) -> DateText {
    date(&format!("2026-10-{day:02}"), &format!("{day} October 2026"))
}

fn measured(number: &str, unit: &str) -> Shown {
    Shown::new(number, unit, Basis::Measured)
}

fn computed(number: &str, spread: &str, unit: &str) -> Shown {
    Shown::new(number, unit, Basis::Computed).spread(spread)
}

fn stated(number: &str, unit: &str) -> Shown {
    Shown::new(number, unit, Basis::Stated)
}

fn fact(label: &str, words: &str) -> Fact {
    Fact::new(label, vec![Run::text(words)])
}

fn valued(label: &str, value: Shown, word: &str) -> Fact {
    Fact {
        label: text(label),
        runs: vec![Run::value(value)],
        more: vec![vec![Run::text(text("twice"))]],
        basis_word: Some(text(word)),
    }
}

/// A photo of the demonstration set, in three widths.
pub fn photo(name: &str, alt: &str) -> Photo {
    let variant = |width: u32| Variant { path: format!("photos/{name}-{width}.jpg"), width, height: width * 3 / 4 };
    Photo {
        alt: text(alt),
        variants: vec![variant(480), variant(960), variant(1600)],
        path: format!("photos/{name}-960.jpg"),
        width: 960,
        height: 720,
        ..Photo::default()
    }
}

fn svg(id: &str, class: &str, width: u32, height: u32) -> Html {
    let mid = height / 2;
    Html::trusted(format!(
        "<svg class=\"chart {class}\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" height=\"{height}\" role=\"img\" \
         aria-labelledby=\"{id}-{class}-t {id}-{class}-d\"><title id=\"{id}-{class}-t\">Nitrate</title><desc \
         id=\"{id}-{class}-d\">Readings against the band.</desc><rect class=\"band\" x=\"38\" y=\"30\" width=\"{}\" \
         height=\"{mid}\"/><circle class=\"pt a\" cx=\"90\" cy=\"{mid}\" r=\"3.4\"/></svg>",
        width - 80
    ))
}

fn chart(id: &str, title: &str) -> ChartBlock {
    ChartBlock {
        id: format!("chart-{id}"),
        number: text("Figure 1"),
        title: text(title),
        wide: svg(id, "wide", 940, 300),
        narrow: svg(id, "narrow", 340, 260),
        sentence: text(
            "Nitrate in mg/L as NO₃. 34 of 42 readings lie in the band; 8 were below 2 and count as unknown.",
        ),
        key: text("Circles: lot 1. Squares: lot 2. Thick bar: one standard uncertainty; thin: two."),
        table_summary: text("The 42 readings as a table"),
        table: Table {
            caption: text("The newest readings"),
            head: vec![HeadCell::text("Date"), HeadCell::number("mg/L"), HeadCell::text("Where written")],
            rows: vec![
                vec![
                    Cell::header("10 Oct 2026"),
                    Cell::number("6.0 ± 0.8").known(Basis::Measured),
                    Cell::text("log/2026.yaml, line 611").linked("source/log/2026.yaml.html#L611"),
                ],
                vec![Cell::date("1 Oct 2026"), Cell::number("below 2"), Cell::text("log/2026.yaml, line 588")],
            ],
        },
        changes: changes(),
        changes_summary: text("The 40 changes by number"),
    }
}

fn changes() -> Vec<Change> {
    let change = |number, iso, words, lane, what| Change {
        number,
        date: date(iso, words),
        lane: text(lane),
        text: text(what),
        href: Some(format!("log/{iso}.html")),
    };
    vec![
        change(1, "2026-09-05", "5 September 2026", "work", "wave pump cleaned, 95 days after the last time"),
        change(2, "2026-09-19", "19 September 2026", "lamp", "day cut from 10 h to 9½ h"),
        change(3, "2026-09-26", "26 September 2026", "food", "raised from 0.3 to 0.4 g a day"),
        change(4, "2026-10-03", "3 October 2026", "work", "water change, 10 %"),
    ]
}

fn chart_table(caption: &str) -> Table {
    Table { caption: text(caption), ..chart("x", "x").table }
}

fn figure() -> FigureRow {
    FigureRow {
        key: text("water.nitrate.uptake"),
        id: text("figure-water-nitrate-uptake"),
        address: Some(text("https://example.org/low-tide/water/nitrate.html#figure-water-nitrate-uptake")),
        label: text("Uptake by the tank"),
        value: Some(computed("0.31", "± 0.06", "mg/L a day")),
        basis_word: text("computed"),
        formula: Some(text("uptake = (C₁ − C₂ + Σ dose − Σ change) ∕ t")),
        numbers: Some(text("= (4.0 − 6.0 + 20.4 − 1.0) ∕ 56 days = 0.31 mg/L a day")),
        inputs: vec![
            InputRow {
                label: text("Reading, 10 October"),
                value: measured("6.0", "mg/L").spread("± 0.8"),
                basis_word: text("measured"),
                share: Some(text("5 %")),
                place: PlaceLink::new("log/2026.yaml, line 611", "source/log/2026.yaml.html#L611"),
            },
            InputRow {
                label: text("Strength of the stock"),
                value: Shown::new("34.6", "g/L", Basis::Assumed).spread("± 5"),
                basis_word: text("assumed"),
                share: Some(text("85 %")),
                place: PlaceLink::new(
                    "supplies/nitrate-stock.yaml, line 7",
                    "source/supplies/nitrate-stock.yaml.html#L7",
                ),
            },
            InputRow {
                label: text("Net water volume"),
                value: measured("114", "L").spread("± 2"),
                basis_word: text("measured"),
                share: None,
                place: PlaceLink::new("another figure", "water/index.html#figure-water-net-volume"),
            },
        ],
        others: vec![OtherInputs {
            words: text("6 more inputs, none of which weighs 1 %, are the same as under"),
            figure: PlaceLink::new("Uptake by the tank", "#figure-water-nitrate-uptake"),
        }],
        shares_note: Some(text(
            "The shares add up to 120 %: what two of these inputs rest on, or what is listed and is part of another input too, counts with each.",
        )),
        how_sure: vec![text("Standard uncertainty 0.06, first order; 95 in 100 between 0.20 and 0.42.")],
        sources: vec![
            PlaceLink::new("JCGM 100:2008, 5.1.2", "sources.html#work-jcgm-100"),
            PlaceLink::plain("mass balance of a stirred volume"),
        ],
        notes: vec![text("Nitrate made from food is not counted: the record does not declare it.")],
        missing: None,
        open: false,
    }
}

fn lacking_figure() -> FigureRow {
    FigureRow {
        key: text("flow.return-pump.derated"),
        id: text("figure-flow-return-pump-derated"),
        label: text("Flow of the return pump"),
        missing: Some(Missing {
            why: text("The height it lifts is not recorded."),
            record: vec![text("write head: 0.9 m into equipment/return-pump.yaml")],
        }),
        ..FigureRow::default()
    }
}

/// A sheet with one of everything.
pub fn sheet() -> Sheet {
    Sheet {
        kind: text("card"),
        title: text("Finger leather"),
        standfirst: text("A fragment of Low Tide, cut on 3 October 2026."),
        sections: vec![SheetSection {
            title: text("Where it lived"),
            text: vec![text("Start at about half of this light.")],
            items: vec![text("Not known is not none.")],
            facts: vec![SheetFact { label: text("Identity"), text: text("pp-7k2m9dxw4h") }],
            tables: vec![Table {
                caption: text("Sizes"),
                head: vec![HeadCell::text("Date"), HeadCell::number("cm")],
                rows: vec![vec![Cell::header("3 October 2026"), Cell::number("7")]],
            }],
            pictures: vec![SheetPicture {
                data: text("data:image/jpeg;base64,/9j/4AAQ"),
                alt: text("Finger leather"),
                caption: text("Under the lamp at full level."),
            }],
        }],
        foot: vec![text("Stony corals stand in the lists of CITES.")],
    }
}
