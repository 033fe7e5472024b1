//! What was unusual in the weeks before a date, against records whose every stretch is known beforehand.

use std::fmt::Write;
use std::fs;

use jiff::ToSpan;
use jiff::civil::{Date, date};
use polypary::figures::around::{Around, Topic, around};

/// A tank of a year with one reading of nitrate and alkalinity, one dose and one cleaning a week.
struct Year {
    folder: tempfile::TempDir,
}

const FIRST: Date = date(2025, 1, 6);

impl Year {
    /// `week` gives the lines of the entry of each week, by number from 0.
    fn new(week: impl Fn(i64) -> String) -> Year {
        let folder = tempfile::tempdir().unwrap();
        let write = |path: &str, text: &str| {
            let path = folder.path().join(path);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, text).unwrap();
        };
        write(
            "tank.yaml",
            &format!("name: Bay\nstarted: {FIRST}\nzone: Europe/Lisbon\nwater: 100 L, counted at fill\n"),
        );
        write("supplies/food.yaml", "name: Flakes\nkind: food\n");
        write("supplies/stock.yaml", "name: Stock\nkind: stock\n");
        write(
            "supplies/drops.yaml",
            "name: Drops\nkind: kit\nmeasures: alkalinity\nuncertainty: 0.3 dKH\nlots:\n- {lot: A, since: 2025-01-01}\n",
        );
        write(
            "equipment/lamp.yaml",
            "name: Bar\nrole: lamp\nin-service: 2025-01-06\nsettings:\n- {since: 2025-01-06, level: 50 %, schedule: '10:00 to 18:00'}\n- {since: 2025-11-20, level: 80 %, schedule: '10:00 to 18:00'}\n",
        );
        write("upkeep/tasks.yaml", "tasks: {glass: 7 days}\n");
        let mut log = String::new();
        for number in 0..52 {
            let on = FIRST.saturating_add((7 * number).days());
            write!(log, "{on}:\n{}", week(number)).unwrap();
        }
        write("log/2025.yaml", &log);
        Year { folder }
    }

    fn around(&self, date: Date, weeks: u32) -> Around {
        let (folder, read) = polypary::read::read_folder(self.folder.path()).unwrap();
        assert!(!read.has_errors(), "{}", read.render_all(&folder.sources));
        let (record, built) = polypary::record::build(&folder, jiff::civil::date(2026, 6, 1));
        assert!(!built.has_errors(), "{}", built.render_all(&folder.sources));
        let findings = polypary::figures::work_out(&record);
        around(&record, &findings, &record.tanks["."], date, weeks)
    }
}

/// Forty-eight weeks after the start; the six weeks before it are the weeks 42 to 47.
const ASKED: Date = date(2025, 12, 8);

fn eventful(week: i64) -> String {
    let late = (42..48).contains(&week);
    let nitrate = if late { 22.0 } else { 4.0 + (week % 5) as f64 };
    let alkalinity = if late { 8.3 } else { 8.0 + 0.1 * (week % 3) as f64 };
    let dose = if late { 0 } else { 10 + week % 2 };
    let done = if late && week > 42 { "" } else { "  done: glass\n" };
    let dosed = if dose > 0 { format!("  dose: {{stock: {dose} mL}}\n") } else { String::new() };
    format!(
        "  nitrate: {nitrate} mg/L NO3\n  alkalinity: {{value: {alkalinity} dKH, kit: drops}}\n  feed: {{food: 2 g}}\n{dosed}{done}"
    )
}

#[test]
fn what_stands_out_comes_first_and_what_is_as_always_last() {
    let found = Year::new(eventful).around(ASKED, 6);
    assert_eq!(found.from, date(2025, 10, 27));
    let item = |label: &str| found.items.iter().find(|item| item.label == label).unwrap_or_else(|| panic!("{label}"));

    // Weeks 0 to 41 are seven stretches of six weeks; after week 47 there is room for none. So 1 in 8 at best.
    let nitrate = item("Nitrate, middle reading");
    assert_eq!((nitrate.value, nitrate.others, nitrate.share), (22.0, 7, 0.125));
    assert!(nitrate.is_higher() && !nitrate.within_error);
    // Six readings of 4, 5, 6, 7, 8 and one of these again: by hand the seven middles are 5.5, 5.5, 6, 6.5, 6.5, 5.5, 5.5.
    assert_eq!(nitrate.usual, 5.5);
    let place = nitrate.place.as_ref().unwrap();
    assert_eq!(place.file.as_ref(), "log/2025.yaml");

    let stock = item("Stock dosed, total");
    assert_eq!((stock.value, stock.usual, stock.share), (0.0, 63.0, 0.125));
    assert_eq!(stock.topic, Topic::Dose);

    // 50 % of 8 h to 80 % of 8 h on 20 November, 18 of the 42 days: 4 + 2.4 · 18/42 h.
    let lamp = item("Bar, hours a day at full level");
    assert!((lamp.value - (4.0 + 2.4 * 18.0 / 42.0)).abs() < 1e-9, "{}", lamp.value);
    assert_eq!((lamp.usual, lamp.share), (4.0, 0.125));
    assert!((item("Bar, step in its hours a day").value - 2.4).abs() < 1e-12);

    // Cleaned on 27 October and not again; before that every week, on the day each stretch begins.
    let glass = item("glass: days since it was last done");
    assert_eq!((glass.value, glass.usual, glass.share), (42.0, 7.0, 0.125));

    let food = item("Flakes fed, total");
    assert_eq!((food.value, food.usual, food.share), (12.0, 12.0, 1.0));

    let position = |label: &str| found.items.iter().position(|item| item.label == label).unwrap();
    assert!(position("Nitrate, middle reading") < position("Flakes fed, total"));
    // A quarter of a degree of hardness is more than in any other stretch, and less than the drops can tell.
    let alkalinity = item("Alkalinity, middle reading");
    assert_eq!(alkalinity.share, 0.125);
    assert!(alkalinity.within_error);
    assert!(position("Flakes fed, total") < position("Alkalinity, middle reading"));
}

#[test]
fn a_short_history_claims_nothing() {
    let found = Year::new(eventful).around(date(2025, 3, 31), 12);
    assert!(found.items.iter().all(|item| item.others >= 4));
    let found = Year::new(eventful).around(ASKED, 12);
    assert!(found.items.is_empty(), "four stretches of twelve weeks leave three to compare with");
    assert!(found.too_little.contains(&"Nitrate, middle reading".to_string()));
}

#[test]
fn a_quiet_year_has_shares_as_chance_would_deal_them() {
    // Nitrate from a fixed multiplicative generator (Park and Miller's constants, from memory): nothing but chance.
    let mut state = 7_u64;
    let values: Vec<u64> = (0..52)
        .map(|_| {
            state = state * 16807 % 2_147_483_647;
            state % 1000
        })
        .collect();
    let year = Year::new(|week| format!("  nitrate: {} mg/L NO3\n", 1.0 + values[week as usize] as f64 / 100.0));
    let shares: Vec<f64> = (5..48)
        .map(|week| {
            let found = year.around(FIRST.saturating_add((7 * week).days()), 1);
            found.items.iter().find(|item| item.label == "Nitrate, middle reading").unwrap().share
        })
        .collect();
    let within = |limit: f64| shares.iter().filter(|share| **share <= limit).count() as f64 / shares.len() as f64;
    assert!(within(0.1) < 0.2, "{}", within(0.1));
    assert!((within(0.5) - 0.5).abs() < 0.15, "{}", within(0.5));
}
