//! The sitter's sheet of small records: a record full of traps, private data, both languages, and the calendar.

#[path = "sitter/calendar.rs"]
mod calendar;
mod support;
#[path = "sitter/wording.rs"]
mod wording;

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use jiff::civil::{Date, date};
use polypary::figures::stay::Period;
use polypary::pipeline::{self, Request, SitterFailure, SitterOutcome, SitterRequest};
use polypary::units::System;
pub use support::put;

pub const TODAY: Date = date(2026, 10, 17);

/// Ten days away, over the end of summer time in Europe on 25 October 2026.
pub const PERIOD: Period = Period { from: date(2026, 10, 23), to: date(2026, 11, 1) };

const TANK: &str = "\
name: Corner reef
started: 2025-01-04
zone: Europe/Lisbon
country: PT
size: 60 x 40 x 40 cm
water-depth: 34 cm
water: \"75 L ± 1 L, counted at fill\"
electricity: {voltage: 230 V, ground-fault: yes}
usual-units: {temperature: °F, salinity: ppt, alkalinity: dKH}
bands: {temperature: 75 to 79}
household: {children-under-5: unknown}
contacts:
  owner: {name: Ada Example, phone: 555 0191}
  vet: {name: Fish vet, phone: 555 0192}
";

const SITTER: &str = "\
sitter:
  reads: us
  visits: {every: 2 days, at: \"18:30\"}
  call: [owner, vet]
  emergency: {number: \"112\", poison-centre: 555 0193, breaker: hall cupboard, water-stop: kitchen sink}
  address: 12 Quiet Lane, code 8251
  alarm-code: \"8251\"
  rehearsed: {sitter: 2026-10-10, alarm: 2026-10-01, power-cut: 2026-09-12}
  level: {mark: red tape on the left}
  looks: [{what: all open, photo: front.jpg}]
  feed: {every: 2 days, portions: bags, spare: 1}
  pure-water: {stock: 6 L, kept: white can}
tasks:
  glass: {every: 4 days, who: sitter, hands-in-water: no, what: wipe the glass}
  sock: {every: 7 days, who: sitter, hands-in-water: no, what: change the filter sock}
  prune: {every: 3 days, who: sitter, hands-in-water: yes, what: prune the weed}
  test: {every: 7 days, what: test the water}
  pump: {every: 100 days, what: clean the pump}
feeding: [{food: flake, amount: 0.2 g, every: 1 day}]
dosing:
  - {supply: nitrate-stock, amount: 10 mL, every: 1 day, by: doser}
  - {supply: lime-water, amount: 50 mL, every: 1 day, by: top-off}
";

/// Temperatures in °F, a top-off every second day of 2 L, and tasks done on known days.
fn log() -> String {
    let mut log = String::new();
    for day in 1..=17 {
        log.push_str(&format!("2026-10-{day:02} 19:00:\n  temperature: {}\n", 76.0 + f64::from(day % 4) * 0.5));
        if day % 2 == 1 {
            log.push_str("  top-off: 2 L\n");
        }
        match day {
            11 => log.push_str("  done: [sock, test]\n"),
            15 => log.push_str("  done: [glass, prune]\n  salinity: 35\n"),
            _ => {}
        }
    }
    log.push_str("2026-08-20:\n  done: [pump]\n");
    log
}

const FILES: &[(&str, &str)] = &[
    (
        "equipment/heater-one.yaml",
        "name: Heater one\nrole: heater\nin-service: 2025-01-04\nmains: yes\nwatts: 50 W\nposition: in-water\nfront: {x: 5 cm, up: 20 cm}\nsettings: {temperature: 77 °F, thermostat: 76 °F}\nforgets: {keeps-settings: yes, restarts-itself: yes, state-at-power-up: last}\n",
    ),
    (
        "equipment/heater-two.yaml",
        "name: Heater two\nrole: heater\nin-service: 2025-01-04\nmains: yes\nwatts: 50 W\nposition: in-water\nfront: {x: 50 cm, up: 20 cm}\nsettings: {temperature: 77 °F, thermostat: 79 °F}\nforgets: {keeps-settings: yes, restarts-itself: yes, state-at-power-up: last}\n",
    ),
    (
        "equipment/controller.yaml",
        "name: Controller\nrole: controller\nin-service: 2025-01-04\nmains: yes\nforgets: {keeps-settings: yes, keeps-clock: yes, restarts-itself: yes, state-at-power-up: last}\n",
    ),
    (
        "equipment/lamp.yaml",
        "name: Lamp\nrole: lamp\nin-service: 2026-10-14\nmains: yes\nsettings: {schedule: \"10:00 to 19:30\"}\nforgets: {keeps-settings: no, keeps-clock: no, follows-summer-time: no, state-at-power-up: full}\n",
    ),
    ("equipment/doser.yaml", "name: Doser\nrole: dosing-pump\nin-service: 2025-01-04\nmains: yes\n"),
    (
        "equipment/top-off.yaml",
        "name: Top-off\nrole: top-off\nin-service: 2025-01-04\nmains: yes\nreservoir: 1.5 L\nforgets: {keeps-settings: yes}\n",
    ),
    (
        "supplies/nitrate-stock.yaml",
        "name: Nitrate stock\nkind: stock\nbottle: 250 mL\nleft: {amount: 110 mL, on: 2026-10-17}\n",
    ),
    ("supplies/lime-water.yaml", "name: Lime water\nkind: stock\nsubstance: calcium hydroxide solution\n"),
    (
        "supplies/flake.yaml",
        "name: Flake\nkind: food\nleft: {amount: 1.9 g, on: 2026-10-17}\nspoon: {what: red spoon, holds: 0.1 g}\n",
    ),
    (
        "colonies/buttons.yaml",
        "name: Green buttons\ngroup: zoanthid\narrived: 2025-03-01\nplacements:\n  - {since: 2025-03-01, tank: .}\n",
    ),
    (
        "colonies/newcomer.yaml",
        "name: New goby\ngroup: fish\narrived: 2026-10-12\nplacements:\n  - {since: 2026-10-12, tank: .}\n",
    ),
];

/// A record in which everything that can go wrong for a sitter is about to.
pub fn traps() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "tank.yaml", TANK);
    put(folder.path(), "upkeep/sitter.yaml", SITTER);
    put(folder.path(), "log/2026.yaml", log());
    for (path, text) in FILES {
        put(folder.path(), path, text);
    }
    let photo = image::RgbImage::from_fn(1200, 900, |x, y| image::Rgb([(x / 5) as u8, (y / 4) as u8, 90]));
    fs::create_dir_all(folder.path().join("photos")).unwrap();
    photo.save(folder.path().join("photos/front.jpg")).unwrap();
    folder
}

pub fn request(folder: &Path) -> Request {
    support::request(folder, TODAY)
}

pub fn wanted(period: Period) -> SitterRequest {
    SitterRequest { period, tank: None, system: None, language: None, without_private: false }
}

pub fn write(folder: &Path, wanted: &SitterRequest) -> SitterOutcome {
    pipeline::sitter(&request(folder), wanted).unwrap_or_else(|failure| panic!("{failure:?}"))
}

/// What a reader sees: no tags, no pictures, one blank between words.
pub fn seen(html: &str) -> String {
    let body = &html[html.find("<body>").unwrap()..];
    let mut text = String::new();
    let mut inside = false;
    for character in body.chars() {
        match character {
            '<' => {
                inside = true;
                text.push(' ');
            }
            '>' => inside = false,
            _ if !inside => text.push(character),
            _ => {}
        }
    }
    let text = text.replace("&#39;", "'").replace("&quot;", "\"").replace("&amp;", "&").replace('\u{a0}', " ");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn sheet_text(outcome: &SitterOutcome) -> String {
    seen(&fs::read_to_string(&outcome.sheet).unwrap())
}

#[test]
fn every_trap_is_caught_and_said() {
    let folder = traps();
    let outcome = write(folder.path(), &wanted(PERIOD));
    let told = outcome.readiness.join("\n").replace('\u{a0}', " ");
    // 110 mL on 17 October less six days of 10 mL leave 50 mL: five whole days, the sixth is 28 October.
    assert!(
        told.contains("Nitrate stock: 50 mL there on the first day, 100 mL needed: runs out on day 6, Wed 28 Oct"),
        "{told}"
    );
    // 2 L every second day is 1 L a day; two days between visits need more than a jug of 1.5 L.
    assert!(told.contains("The jug holds 1.6 qt, but "), "{told}");
    // Its own dial stands below the controller: 76 against 77 °F.
    assert!(told.contains("Heater one: its own dial (76.0 °F) is not above the controller (77.0 °F)"), "{told}");
    assert!(!told.contains("Heater two: "), "{told}");
    assert!(told.contains("Lime in the top-off"), "{told}");
    assert!(told.contains("Lamp is 9 days old when you leave"), "{told}");
    assert!(told.contains("New goby is here for 11 days when you leave"), "{told}");
    assert!(told.contains("Doser: nobody has noted what it forgets"), "{told}");
    assert!(told.contains("Lamp forgets, and nobody has noted what to press"), "{told}");
    assert!(told.contains("Lime water: 500 mL needed; how much is left is not noted"), "{told}");
    // Five feeds of 0.2 g from 0.7 g: the fourth finds only 0.1 g.
    assert!(told.contains("Flake: 0.7 g left, 1.2 g needed: gone at feed 4"), "{told}");
    assert!(told.contains("Pure water: 1.6 gal are there"), "{told}");
    for settled in ["rehearsed", "phone", "photo of how", "mark for the water", "earth-leakage", "never made a visit"] {
        assert!(!told.contains(settled), "{settled}: {told}");
    }
    assert_eq!(
        outcome.blockers,
        told.lines().filter(|line| line.starts_with("  - ") && line.contains("before:")).count()
    );

    let sheet = sheet_text(&outcome);
    assert!(sheet.contains("Dry hands: unplug both heaters"), "two heaters");
    assert!(sheet.contains("runs out on day 6, Wed 28 Oct"));
    // 76 to 77.5 °F were read; the band ends at 79: one degree Celsius beyond 26.1 °C is 27.1, to half a degree 27.0.
    assert!(sheet.contains("76.0 to 77.5 °F : the tank’s last 30 days"), "{sheet}");
    assert!(sheet.contains("Too hot: above 80.6 °F") && sheet.contains("Above 86.0 °F: call at once."), "{sheet}");
    assert!(!sheet.contains("°C"), "a sitter who reads °F finds no °C");
    // The sock, done before leaving on the 22nd, is due again on the 29th: a visit.
    assert!(
        sheet.contains("change the filter sock") && sheet.contains("Change the filter sock. on Thu 29 Oct"),
        "{sheet}"
    );
    assert!(sheet.contains("prune the weed: due again Sun 25 Oct. Not given to the sitter"), "{sheet}");
    assert!(sheet.contains("test the water: due again Thu 29 Oct, 4 days late when you are back"), "{sheet}");
    assert!(!sheet.contains("clean the pump"), "not due before 28 November");
    // Page 2 says to call, so its card doesn't say that it comes back by itself; the bucket has a size.
    assert!(
        sheet.contains("clock wrong. What to press isn’t known: call.")
            && sheet.contains("What to press: not known: call"),
        "{sheet}"
    );
    assert!(sheet.contains("scoop up 1 qt of tank water ten times") && !sheet.contains("ten jugs"), "{sheet}");
    // What is said where the lamp is dark follows it.
    assert!(
        sheet.contains("Its hours: 10:00 am to 7:30 pm; from Sun 25 Oct 9:00 am to 6:30 pm. Plugged in?"),
        "{sheet}"
    );
    assert!(
        sheet.contains("From Sun 25 Oct the clocks go back and the lamp doesn’t: lit 9:00 am to 6:30 pm ."),
        "{sheet}"
    );
}

/// The traps the other way round: nothing rehearsed, a jug that dilutes the tank, a dial far too high, and clocks that go
/// forward.
#[test]
fn a_second_set_of_traps_is_caught_and_said() {
    let folder = traps();
    let mend = |path: &str, from: &str, to: &str| {
        let text = fs::read_to_string(folder.path().join(path)).unwrap();
        assert!(text.contains(from), "{path}: {from}");
        put(folder.path(), path, text.replace(from, to));
    };
    mend("upkeep/sitter.yaml", ", alarm: 2026-10-01, power-cut: 2026-09-12}", "}");
    mend("equipment/top-off.yaml", "reservoir: 1.5 L", "reservoir: 20 L");
    mend("equipment/heater-one.yaml", "thermostat: 76 °F", "thermostat: 84 °F");
    mend(
        "upkeep/sitter.yaml",
        "what: change the filter sock",
        "what: change the filter sock, how: lift it by its ring",
    );
    mend("tank.yaml", "electricity: {voltage: 230 V, ground-fault: yes}", "electricity: {voltage: 230 V}");
    let spring = Period { from: date(2027, 3, 26), to: date(2027, 4, 2) };
    let outcome = write(folder.path(), &wanted(spring));
    let told = outcome.readiness.join("\n").replace('\u{a0}', " ");
    for line in [
        "7 days before: A power cut was never rehearsed",
        "7 days before: The alarm was never rehearsed",
        "14 days before: Nobody has noted whether earth-leakage protection is there",
        "Heater one: its own dial (84.0 °F) is far above the controller (77.0 °F)",
        // 35 ppt × 75 L in 95 L is 27.6 ppt.
        "The jug holds 5.3 gal: pumped in at once it thins the water to 27.6 ppt",
        // 75 L × 2 ∕ 33 is 4.5 L, 1.2 gal.
        "anything over 1.2 gal harms. Mark a line at 1.2 gal",
        "No photo of: Controller; Doser; Heater one; Heater two; Lamp; Top-off",
        "Hand over the keys",
    ] {
        assert!(told.contains(line), "{line}: {told}");
    }
    let sheet = sheet_text(&outcome);
    // Clocks go forward on 28 March 2027; a lamp left behind is lit an hour later by the wall.
    assert!(sheet.contains("From Sun 28 Mar the clocks go forward and the lamp doesn’t: lit 11:00 am to 8:30 pm ."));
    assert!(sheet.contains("Change the filter sock. on Thu 1 Apr. Lift it by its ring."), "{sheet}");
    // 4.5 L at 1 L a day; 35 × 75 ∕ 74 − 35 is 0.47 ppt.
    assert!(sheet.contains("lasts at least 4 days"), "{sheet}");
    assert!(sheet.contains("gains about 0.5 ppt of salt a day"), "{sheet}");
}

#[test]
fn what_is_too_long_for_its_place_stands_in_full_after_the_plan() {
    let folder = traps();
    let long = |start: &str, end: &str| format!("{start}{} {end}", ", and a little further on".repeat(6));
    let mend = |from: &str, to: &str| {
        let text = fs::read_to_string(folder.path().join("upkeep/sitter.yaml")).unwrap();
        assert!(text.contains(from), "{from}");
        put(folder.path(), "upkeep/sitter.yaml", text.replace(from, to));
    };
    mend("breaker: hall cupboard", &format!("breaker: \"{}\"", long("hall cupboard", "behind the coats")));
    mend("address:", &format!("sound: \"{}\"\n  address:", long("a hum", "then a click")));
    mend("what: wipe the glass", &format!("what: \"{}\"", long("wipe the glass", "without soap")));
    for day in 1..=4 {
        let extra =
            format!("tasks:\n  extra-{day}: {{every: 2 days, who: sitter, hands-in-water: no, what: look {day}}}");
        mend("tasks:", &extra);
    }
    let outcome = write(folder.path(), &wanted(Period { from: date(2026, 10, 23), to: date(2026, 11, 23) }));
    let told = outcome.warnings.join("\n");
    assert!(told.contains("given in full after the plan: Sound; Breaker"), "{told}");
    let sheet = sheet_text(&outcome);
    let (pages, after) = sheet.split_at(sheet.find("Where things are").unwrap());
    for end in ["behind the coats", "then a click"] {
        assert!(!pages.contains(end) && after.contains(end), "{end}: {pages}");
    }
    assert!(pages.contains("hall cupboard, and a little further on") && pages.contains("… (see “In full”)"), "{pages}");
    // Five tasks at once are not spelled out in the table of days, but at the back.
    assert!(pages.contains("5 tasks: at the back") && after.contains("Look 3. on"), "{pages}");
    // 16 visits and two handovers do not fit.
    assert!(pages.contains("on: after the drawing") && after.contains("Day by day, from"), "{pages}");
    assert!(after.contains("keeper back: hand over") && !pages.contains("keeper back: hand over"));
    // Nothing of the plain record is moved.
    let plain = traps();
    let plain = write(plain.path(), &wanted(PERIOD));
    assert!(!sheet_text(&plain).contains("In full") && !plain.warnings.join("").contains("in full"));
}

#[test]
fn every_amount_has_its_working() {
    let folder = traps();
    let sheet = sheet_text(&write(folder.path(), &wanted(PERIOD)));
    let workings = &sheet[sheet.find("How the numbers were worked out").unwrap()..];
    for line in [
        // 8 top-offs of 2 L after the first, in 16 days.
        "max(1) = 1 L/d",
        "10 × 1 = 10 L",
        "2 × 1 = 2 L",
        "1.5 ∕ 1 = 1.5 d",
        // 75 L at 35: 75 ∕ 34, and 150 ∕ 33 is 4.55.
        "75 × 1 ∕ (35 − 1) = 2.206 L",
        "Largest jug that does no harm 4.5",
        "110 − 10 × 6 = 50 mL",
        "10 × 10 = 100 mL",
        "50 ∕ 10 × 1 = 5 d",
        "(5 + 1) × 0.2 = 1.2 g",
        "0.2 ∕ 0.1 = 2",
        "upkeep/sitter.yaml:21",
        "supplies/nitrate-stock.yaml:4",
    ] {
        assert!(workings.contains(line), "{line}: {workings}");
    }
    assert!(sheet.contains("2 × red spoon: Flake"));
}

#[test]
fn nothing_private_is_left_when_it_is_not_wanted() {
    let folder = traps();
    let with = write(folder.path(), &wanted(PERIOD));
    let html = fs::read_to_string(&with.sheet).unwrap();
    for private in ["Ada Example", "555 0191", "Fish vet", "555 0192", "555 0193", "hall cupboard", "12 Quiet Lane"] {
        assert!(html.contains(private), "{private}");
    }
    assert!(html.contains("<b>Private:</b>"));
    assert!(!html.contains("8251"), "the code of the alarm never shares a sheet with the address");
    let ics = fs::read_to_string(&with.calendar).unwrap();
    for private in ["Ada", "555", "Lane", "8251", "cupboard"] {
        assert!(!ics.contains(private), "{private} in the calendar");
    }
    let without = write(folder.path(), &SitterRequest { without_private: true, ..wanted(PERIOD) });
    let html = fs::read_to_string(&without.sheet).unwrap();
    for private in ["Ada", "555", "Fish vet", "hall cupboard", "kitchen sink", "Lane", "8251"] {
        assert!(!html.contains(private), "{private}");
    }
    assert!(html.contains("are left blank"));
}

#[test]
fn the_sheet_stands_alone_and_is_the_same_twice() {
    let folder = traps();
    let first = write(folder.path(), &wanted(PERIOD));
    let (html, ics) = (fs::read(&first.sheet).unwrap(), fs::read(&first.calendar).unwrap());
    write(folder.path(), &wanted(PERIOD));
    assert_eq!(fs::read(&first.sheet).unwrap(), html);
    assert_eq!(fs::read(&first.calendar).unwrap(), ics);
    let html = String::from_utf8(html).unwrap();
    assert!(html.contains("src=\"data:image/jpeg;base64,"));
    for outside in ["http://", "https://", "<script", "<link", "url(#s0", "src=\"photos"] {
        assert!(outside == "url(#s0" || !html.contains(outside), "{outside}");
    }
    assert!(html.len() < 1_500_000, "photos are shrunk: {} bytes", html.len());
}

#[test]
fn at_most_eight_cautions_none_longer_than_25_words() {
    let folder = traps();
    let html = fs::read_to_string(write(folder.path(), &wanted(PERIOD)).sheet).unwrap();
    let cares: Vec<String> = html
        .split("<span class=\"care\">")
        .skip(1)
        .map(|rest| seen(&format!("<body>{}", rest.split("</span>").next().unwrap())))
        .collect();
    assert!((1..=8).contains(&cares.len()), "{cares:?}");
    for care in &cares {
        assert!(care.split(' ').count() <= 25, "{care}");
    }
    let all = cares.join(" ");
    assert!(all.contains("poison"), "zoanthids");
    assert!(all.contains("small child"), "nobody has said that there is none");
    assert!(all.contains("weak immunity"), "for everyone");
    // The fixed block has ten lines.
    let block = &html[html.find("id=\"you\"").unwrap()..html.find("class=\"case wide\"").unwrap()];
    assert_eq!(block.matches("<li>").count(), 10);
}

#[test]
fn a_period_that_makes_no_sense_is_refused() {
    let folder = traps();
    for (from, to, why) in [
        (date(2026, 11, 1), date(2026, 10, 23), "2026-10-23 is before 2026-11-01"),
        (date(2026, 10, 1), date(2026, 10, 9), "is past"),
        (date(2024, 12, 1), date(2026, 12, 9), "first filled"),
        (date(2026, 11, 1), date(2027, 3, 9), "129 days"),
    ] {
        match pipeline::sitter(&request(folder.path()), &wanted(Period { from, to })) {
            Err(SitterFailure::Usage(told)) => assert!(told.contains(why), "{told}"),
            other => panic!("{from} to {to}: {other:?}"),
        }
    }
    assert!(!folder.path().join("out/sitter").exists());
    let run = |arguments: &[&str]| -> Output {
        Command::new(env!("CARGO_BIN_EXE_polypary"))
            .env("POLYPARY_TODAY", TODAY.to_string())
            .arg("sitter")
            .arg(folder.path())
            .args(arguments)
            .output()
            .unwrap()
    };
    assert_eq!(run(&["--from", "2026-11-01", "--to", "2026-10-23"]).status.code(), Some(2));
    assert_eq!(run(&["--from", "2026-11-01"]).status.code(), Some(2));
    assert_eq!(run(&["--from", "2026-10-23", "--to", "2026-11-01", "--language", "tlh"]).status.code(), Some(2));
    let good = run(&["--from", "2026-10-23", "--to", "2026-11-01", "--units", "metric", "--language", "es"]);
    assert_eq!(good.status.code(), Some(0), "{}", String::from_utf8_lossy(&good.stderr));
    assert!(String::from_utf8_lossy(&good.stdout).contains("se acaba el día 6, mié 28 oct"));
    // No top-off was ever logged in January.
    let january = run(&["--from", "2027-01-02", "--to", "2027-01-20"]);
    let warned = String::from_utf8_lossy(&january.stderr).into_owned();
    assert!(
        warned.contains("no top-off was ever logged in these months") && warned.contains("more than ten days"),
        "{warned}"
    );
    put(folder.path(), "equipment/broken.yaml", "name: Broken\nrole: lanp\nin-service: 2025-01-04\n");
    assert_eq!(run(&["--from", "2026-10-23", "--to", "2026-11-01"]).status.code(), Some(1));
}

#[test]
fn metric_and_us_say_the_same() {
    let folder = traps();
    let metric = SitterRequest { system: Some(System::Metric), ..wanted(PERIOD) };
    let sheet = sheet_text(&write(folder.path(), &metric));
    // 76 and 77.5 °F (NIST SP 811, B.8).
    assert!(sheet.contains("24.4 to 25.3 °C"), "{sheet}");
    assert!(!sheet.contains("°F") && !sheet.contains(" qt"));
}

#[test]
fn nothing_of_it_is_in_the_journal() {
    let folder = traps();
    let outcome = pipeline::journal(&request(folder.path())).unwrap();
    for entry in walkdir::WalkDir::new(outcome.edition).into_iter().filter_map(Result::ok) {
        if entry.path().extension().is_some_and(|extension| extension == "html" || extension == "json") {
            let text = fs::read_to_string(entry.path()).unwrap();
            for private in ["Quiet Lane", "8251", "hall cupboard", "red tape on the left", "555 0193"] {
                assert!(!text.contains(private), "{private} in {}", entry.path().display());
            }
        }
    }
}
