//! Water, colonies, upkeep, log, cautions, sources, tanks and videos.

use polypary::pages::model::*;
use polypary::pages::model::{cautions::*, colony::*, log::*, sources::*, tanks::*, upkeep::*, video::*, water::*};

use super::*;

pub fn water() -> WaterPage {
    let row = QuantityRow {
        name: text("Nitrate"),
        href: text("water/nitrate.html"),
        latest: Some(Shown {
            unit_title: Some(text("milligrams of nitrate, as the ion, per litre")),
            ..measured("6.0", "mg/L NO₃").spread("± 0.8")
        }),
        age: text("10 October, a day ago"),
        band: text("2 to 10 mg/L"),
        standing: text("inside"),
        trend: text("rising 0.27 ± 0.08 mg/L a week"),
        test_again: text("7 November, for a change of 0.4"),
    };
    WaterPage {
        standfirst: text("Eight quantities in their bands, three more read now and then."),
        lead: vec![Run::text("Of eight, "), Run::strong("one is below"), Run::text(".")],
        groups: water_groups(),
        groups_note: text("Last four months."),
        quantities: vec![row.clone(), QuantityRow { latest: None, age: text("never"), ..row }],
        figures: vec![figure(), lacking_figure()],
        differs: vec![
            Run::text("Evaporation rose to "),
            Run::value(computed("1.4", "± 0.2", "L a day")),
            Run::text("."),
        ],
        charts: vec![chart("evaporation", "Evaporation")],
        plane: Some(chart("nutrients", "Nitrate against phosphate")),
        together: vec![vec![Run::text("Nitrogen to phosphorus, by atoms: 29 in what is used.")]],
        slow: vec![vec![Run::text("Salinity: no drift that the instrument can see.")]],
        marked: vec![Fact::new("14 June 2025", vec![Run::link("leather closed and shedding", "log/2025-06-14.html")])],
        ripening: vec![vec![Run::text("Ammonia: first seen on 2 January 2025.")]],
        cautions: vec![caution(Danger::Check, "nitrate-stock", "Nitrate stock is an oxidiser")],
    }
}

pub fn quantity() -> QuantityPage {
    QuantityPage {
        name: text("Nitrate"),
        about: text("What is left when proteins are broken down; algae and corals take it up."),
        standfirst: text(
            "The algae take up more than the fish give, so nitrate is dosed. It fell out of sight of the card in May and has \
             climbed since mid-August by more than the card’s error.",
        ),
        latest: Some(measured("6.0", "mg/L NO₃").spread("± 0.8")),
        latest_note: text("measured, 10 October, a day ago"),
        band: vec![Run::text("Inside its band, 2 to 10 mg/L since 1 March 2025.")],
        standing: text("inside"),
        chart: Some(chart("nitrate", "Twelve months")),
        more_charts: vec![chart("nitrate-all", "The whole record")],
        trend: Some(TrendText {
            sentence: text("Nitrate rose by 0.27 mg/L a week, more than the card’s error."),
            window: text("60 days to 10 October 2026, 11 readings"),
            test_again: Some(text("Test again on 7 November 2026 to see a change of 0.4 mg/L.")),
            href: Some(text("water/nitrate.html#figure-water-nitrate-uptake")),
        }),
        balance: Some(BalanceBlock {
            lead: vec![Run::text("The tank took up 1.26 ± 0.06 mg/L NO₃ a day.")],
            ledger: chart_table("What came and went"),
            course: Some(chart("nitrate-uptake", "Uptake since the start")),
            pairs: Some(chart_table("From reading to reading")),
            notes: vec![text("2 of the 9 readings lie below what the kit can see.")],
        }),
        outlook: Some(OutlookBlock {
            target: text("Target: 6 mg/L, as the keeper set it"),
            answers: vec![Fact::new("To hold it", vec![Run::text("2.5 ± 0.1 mL of stock a day.")])],
            caution: text("Stocks are chemicals."),
        }),
        words: vec![vec![
            Run::text("At this rate it leaves the band at 10 in "),
            Run::value(Shown::new("15", "weeks", Basis::Computed).spread("(9 to 36)")),
            Run::text("."),
        ]],
        kits: Some(chart_table("Kits")),
        breaks: vec![SeriesBreak {
            date: date("2026-03-21", "21 March 2026"),
            before: text("lot 1"),
            after: text("lot 2"),
            offset: Some(computed("−0.6", "± 0.4", "mg/L")),
            remark: text("the fall of March is partly the new lot"),
        }],
        figures: vec![FigureRow { open: true, ..figure() }, lacking_figure()],
        cautions: vec![caution(Danger::Check, "nitrate-stock", "Nitrate stock is an oxidiser")],
        previous: Some(PlaceLink::new("Magnesium", "water/magnesium.html")),
        next: Some(PlaceLink::new("Phosphate", "water/phosphate.html")),
    }
}

pub fn ended() -> EndedRow {
    EndedRow {
        colony: PlaceLink::new("Bud C", "colony/bud-c.html"),
        date: date("2026-08-22", "22 August 2026"),
        how: text("lost"),
        cause: text("not known"),
        grade: text("unknown"),
    }
}

pub fn colonies() -> ColoniesPage {
    ColoniesPage {
        standfirst: text("Twelve living colonies, one lost."),
        groups: vec![ColonyGroup {
            title: text("Leather corals"),
            count: text("5"),
            colonies: colony_cards(),
            unpictured: colony_cards(),
        }],
        ended: vec![ended()],
        survival: Some(chart_table("Survival by source")),
        lineage: Some(chart("lineage", "Lineage")),
        lineages: lineage(),
        families: vec![FamilyBlock {
            summary: text("Finger leather: 46 colonies, 12 alive and here, since 8 January 2011"),
            chart: chart("lineage-finger-leather", "The line of Finger leather"),
            list: lineage(),
        }],
        cautions: vec![caution(Danger::People, "palytoxin", "Zoanthids can hold palytoxin")],
    }
}

fn lineage() -> Vec<LineageNode> {
    let node = |name: &str, grade: &str, word: &str, generation| LineageNode {
        colony: PlaceLink::new(name, "colony/fragment-a.html"),
        here: name == "Finger leather",
        on: date("2026-01-10", "10 January 2026"),
        grade: text(grade),
        grade_word: text(word),
        fate: text("alive in the jar"),
        generation,
        indent: generation,
    };
    vec![
        node("Harbour leather", "", "the first of its line here", 1),
        node("Finger leather", "givers-record", "giver’s record", 2),
        node("Fragment A", "witnessed-cut", "witnessed cut", 3),
    ]
}

pub fn colony() -> ColonyPage {
    let shot = |name: &str, iso: &str, words: &str, size: &str, between: Option<&str>| Photo {
        date: Some(date(iso, words)),
        size: Some(measured(size, "cm")),
        days_between: between.map(text),
        ..photo(name, "The finger leather coral, from the front.")
    };
    ColonyPage {
        name: text("Finger leather"),
        standfirst: text(
            "Came as a cutting of 5 cm in January 2025. It is 21 cm across and shades the rock it stands on.",
        ),
        in_short: text(
            "It came on 18 January 2025: grown in a tank, a club member. It has stood in one place: in Bay.",
        ),
        photo: Some(Photo {
            plate: Some(text("Plate 2")),
            date: Some(october(10)),
            size: Some(measured("21.0", "cm")),
            ..photo("2026-10-10-leather", "The finger leather coral at twenty-one centimetres, polyps out.")
        }),
        identity: text("pp-k7q2m9xd41"),
        group: text("Leather coral"),
        claims: vec![
            Claim {
                kind: text("Called"),
                text: text("Harbour leather"),
                scientific: false,
                by: text("by the giver, 2025"),
            },
            Claim {
                kind: text("Thought to be"),
                text: text("Sinularia"),
                scientific: true,
                by: text("by the keeper, likely"),
            },
        ],
        origin: vec![
            fact("From", "another keeper’s tank, aquacultured"),
            fact("Not known", "where the line was collected"),
        ],
        ended: Some(ended()),
        series: vec![PhotoSeries {
            title: text("From the front"),
            note: text("Lamp at day level. The light differs a little; trust the ruler, not the colour."),
            steps: Some(4),
            photos: vec![
                shot("2025-01-25-leather", "2025-01-25", "25 Jan 2025", "5.0", None),
                shot("2025-04-12-leather", "2025-04-12", "12 Apr 2025", "7.0", Some("77 days later")),
                shot("2026-06-20-leather", "2026-06-20", "20 Jun 2026", "18.0", Some("434 days later")),
                Photo { missing: true, ..shot("2026-10-10-leather", "2026-10-10", "10 Oct 2026", "21.0", None) },
            ],
        }],
        growth: Some(chart("growth", "Growth")),
        sizes: Some(chart_table("Sizes")),
        lineage_chart: Some(chart("lineage", "Lineage")),
        lineage: lineage(),
        lineage_note: text("Each link says on what evidence it rests."),
        placements: vec![PlacementRow {
            since: date("2025-03-02", "2 March 2025"),
            until: text("until now"),
            tank: PlaceLink::new("Low Tide", "index.html"),
            place: text("right rock"),
            depth: text("14 cm"),
            light: Some(computed("5.5", "± 0.8", "mol/m²")),
            flow: text("strong, from the right"),
        }],
        light_chart: Some(chart("colony-light", "Light where it lived")),
        needs: vec![
            NeedRow {
                need: text("Light in a day"),
                wanted: text("4 to 7 mol/m²"),
                today: Some(computed("5.5", "± 0.8", "mol/m²")),
                verdict: text("inside"),
            },
            NeedRow { need: text("Flow"), wanted: text("strong"), today: None, verdict: text("not known") },
        ],
        events: dated(),
        story: vec![text("It sheds a waxy film twice a year and sulks for a week.")],
        before: vec![ChangesBefore {
            title: text("The six weeks before 14 June 2025"),
            unusual: Some(Table {
                caption: text("What was unusual"),
                head: vec![HeadCell::text("What"), HeadCell::number("Then"), HeadCell::number("Usual")],
                rows: vec![vec![Cell::header("Nitrate, middle reading"), Cell::number("12.4"), Cell::number("4.1")]],
            }),
            standing: text("Ranked by how unusual, against every other stretch of six weeks of this tank."),
            changes: changes(),
            changes_summary: text("The 16 changes by number"),
            note: text("Standing next to something is not causing it."),
        }],
        figures: vec![figure()],
        cautions: vec![caution(Danger::Check, "gloves", "Gloves when handling")],
        siblings: Some(Table {
            caption: text("Diameter: growth beside its kin"),
            head: vec![HeadCell::text("Colony"), HeadCell::number("A year")],
            rows: vec![vec![Cell::header("Finger leather"), Cell::number("8.1 cm")]],
        }),
        card: Some(PlaceLink::new("A card for whoever gets a fragment", "card/finger-leather.html")),
        source: Some(PlaceLink::new("colonies/finger-leather.yaml", "source/colonies/finger-leather.yaml.html")),
    }
}

pub fn upkeep() -> UpkeepPage {
    let row = DueRow {
        id: text("task-pump-clean"),
        task: text("Clean the wave pump in acid"),
        device: Some(PlaceLink::new("Wave pump", "equipment/wave-pump.html")),
        last_done: Some(date("2026-05-21", "21 May 2026")),
        last_ago: text("143 days ago"),
        every: text("every 90 days"),
        due_intent: Some(date("2026-08-19", "19 August 2026")),
        habit: text("every 95 days, median of the last 5"),
        due_habit: Some(date("2026-08-24", "24 August 2026")),
        minutes: Some(measured("25", "min")),
        standing: text("48 days overdue"),
        overdue: true,
        reason: Some(text("about 35 % of the flow is gone by now, by this pump’s own history.")),
        caution: Some(text("acid; unplug before hands go in.")),
    };
    UpkeepPage {
        standfirst: text("Eighteen tasks, three overdue."),
        minutes_per_week: Some(computed("38", "± 10", "min")),
        due_note: text("As meant: the interval the keeper wrote. By habit: the median of the last five."),
        due: vec![
            row.clone(),
            DueRow {
                overdue: false,
                standing: text("in 3 days"),
                id: text("task-glass"),
                last_done: None,
                minutes: None,
                ..row.clone()
            },
        ],
        former: vec![DueRow { id: text("task-former"), overdue: false, standing: text("ended 1 May 2025"), ..row }],
        plans: vec![fact("Food", "0.4 g a day, flakes")],
        lifetimes: Some(chart_table("Parts and supplies")),
        history: vec![UpkeepMonth { title: text("October 2026"), done: dated() }],
        history_chart: Some(chart("minutes", "Minutes a week")),
        questions: vec![question(true)],
        figures: vec![figure()],
        cautions: vec![caution(Danger::People, "acid", "Acid: gloves, glasses, window open")],
    }
}

pub fn log() -> LogPage {
    LogPage {
        standfirst: text("186 entries in twenty-five months."),
        years: vec![YearCard {
            year: text("2026"),
            href: text("log/2026.html"),
            count: text("84 entries"),
            summary: text("A blocked dosing head, a rusting bracket, and the best growth yet."),
        }],
        newest: vec![card(10, Some("2026-10-10-leather"))],
        open_questions: vec![question(true)],
        answered_questions: vec![answered()],
        losses: vec![loss()],
    }
}

pub fn year() -> YearPage {
    YearPage {
        year: text("2026"),
        standfirst: text("84 entries."),
        months: vec![LogMonth {
            id: text("october"),
            title: text("October"),
            entries: vec![card(10, Some("2026-10-10-leather")), card(3, None)],
        }],
        chart: Some(chart("year", "What changed in 2026")),
        previous: Some(PlaceLink::new("2025", "log/2025.html")),
        next: Some(PlaceLink::new("2027", "log/2027.html")),
    }
}

pub fn entry() -> EntryPage {
    EntryPage {
        date: october(3),
        time: Some(text("21:10")),
        age: text("742 days after the first fill"),
        heading: text("Water change, and a count"),
        note: vec![text("Leather closed: shedding? <b>Not bold</b> & not a tag.")],
        quiet: false,
        readings: Some(chart_table("Readings")),
        facts: vec![fact("Done", "glass, floss"), valued("Harvest", measured("84", "g"), "of red fan")],
        events: dated(),
        seen: vec![fact("Finger leather", "closed")],
        photos: vec![Photo {
            href: Some(text("colony/finger-leather.html")),
            ..photo("2026-10-10-zoanthids", "Part of the carpet.")
        }],
        questions: vec![question(false)],
        answers: vec![answered()],
        corrections: vec![text("The volume was 11 L, not 10 L.")],
        cautions: vec![caution(Danger::Check, "gloves", "Gloves when handling")],
        before: Some(ChangesBefore {
            title: text("The six weeks before"),
            unusual: Some(Table {
                caption: text("What was unusual"),
                head: vec![HeadCell::text("What"), HeadCell::number("Then"), HeadCell::number("Usual")],
                rows: vec![vec![Cell::header("Nitrate, middle reading"), Cell::number("12.4"), Cell::number("4.1")]],
            }),
            standing: text("Ranked by how unusual, against every other stretch of six weeks of this tank."),
            changes: changes(),
            changes_summary: String::new(),
            note: text("Standing next to something is not causing it."),
        }),
        source: Some(PlaceLink::new("log/2026.yaml, line 588", "source/log/2026.yaml.html#L588")),
        previous: Some(PlaceLink::new("26 September 2026", "log/2026-09-26.html")),
        next: Some(PlaceLink::new("10 October 2026", "log/2026-10-10.html")),
    }
}

pub fn cautions_page() -> CautionsPage {
    CautionsPage {
        standfirst: text("Nine, each raised by something in the record."),
        people: vec![caution(Danger::People, "bracket", "The lamp hangs on a rusting bracket, over water")],
        animals: vec![caution(Danger::Animals, "one-heater", "One heater, and it has stuck before")],
        check: vec![caution(Danger::Check, "zoanthids", "Zoanthids: gloves and glasses")],
        acknowledged: vec![answered_caution()],
        chemicals: Some(chart_table("Chemicals")),
        defer: vec![text("Nothing here replaces local codes or licensed practice.")],
        figures: vec![figure()],
    }
}

pub fn sources() -> SourcesPage {
    SourcesPage {
        standfirst: text("Where the numbers come from, and what would give the missing ones."),
        figures: vec![FigureListGroup {
            title: text("Water"),
            rows: vec![FigureListRow {
                key: text("water.nitrate.uptake"),
                label: text("Uptake by the tank"),
                value: computed("0.31", "± 0.06", "mg/L a day"),
                basis_word: text("computed"),
                href: text("water/nitrate.html#figure-water-nitrate-uptake"),
            }],
        }],
        figures_count: text("214 figures; each leads to its working."),
        figures_href: Some(text("figures.json")),
        missing: vec![MissingRow {
            key: text("flow.return-pump.derated"),
            label: text("Flow of the return pump"),
            why: text("The height it lifts is not recorded."),
            record: vec![text("write head: 0.9 m into equipment/return-pump.yaml")],
        }],
        works: vec![Work {
            id: text("work-jcgm-100"),
            short: text("JCGM 100:2008"),
            full: text("Evaluation of measurement data: guide to the expression of uncertainty in measurement."),
            href: Some(text("https://www.bipm.org/en/committees/jc/jcgm/publications")),
            used_for: vec![text("uncertainty of every figure")],
        }],
        files: vec![SourceFileRow {
            name: text("log/2026.yaml"),
            href: text("source/log/2026.yaml.html"),
            what: text("entries of 2026"),
            lines: text("612 lines"),
        }],
        made: vec![fact("Theme", "fieldguide")],
    }
}

pub fn source_file() -> SourceFilePage {
    let line = |number: u32, words: &str, redacted| SourceLine { number, text: text(words), redacted };
    SourceFilePage {
        name: text("log/2026.yaml"),
        standfirst: text("Entries of 2026, as the keeper wrote them."),
        lines: vec![
            line(1, "2026-10-03 21:10:", false),
            line(2, "  alkalinity: 7.9", false),
            line(3, "", true),
            line(
                4,
                "  note: \"Leather closed: shedding? A long line that goes on until it must be broken somewhere, on any screen.\"",
                false,
            ),
        ],
        redacted_note: text("One line is private and left out."),
        used_by: vec![PlaceLink::new("3 October 2026", "log/2026-10-03.html"), PlaceLink::plain("the log")],
    }
}

pub fn tanks() -> TanksPage {
    TanksPage { standfirst: text("Two tanks share this record."), tanks: vec![tank_card()], moves: dated() }
}

pub fn video_card() -> VideoCard {
    VideoCard {
        title: text("Two years in"),
        href: text("video/two-years-in.html"),
        filmed: date("2026-06-20", "20 June 2026"),
        length: text("18 min, 9 chapters"),
    }
}

pub fn videos() -> VideosPage {
    VideosPage { standfirst: text("Two videos."), videos: vec![video_card()] }
}

pub fn video() -> VideoPage {
    VideoPage {
        title: text("Two years in"),
        standfirst: text("A walk round the tank, with the lamp’s settings at 12:37."),
        filmed: date("2026-06-20", "20 June 2026"),
        published: Some(date("2026-07-01", "1 July 2026")),
        length: text("18 min"),
        watch: Some(PlaceLink::new("video.example.org", "https://video.example.org/two-years")),
        chapters: vec![VideoChapter {
            id: text("at-12-37"),
            at: text("12:37"),
            watch_href: Some(text("https://video.example.org/two-years#t=757")),
            title: text("Lamp"),
            page: Some(PlaceLink::new("LED bar", "equipment/lamp.html")),
        }],
        sides: compare().sides,
        settings: settings_then(),
        then_and_now: then_now(),
        losses: dated(),
        since_then: dated(),
        corrections: dated(),
        track: Some(PlaceLink::new("two-years.vtt", "video/two-years.vtt")),
        track_missing: text("A chapters file needs the end of the last chapter."),
        description: text("Low Tide, filmed 20 June 2026.\n\nChapters\n0:00 Beginning\n12:37 Lamp"),
        description_file: Some(PlaceLink::new("two-years.txt", "video/two-years.txt")),
        description_note: text("62 characters, of 5000 at most"),
    }
}
