//! Whole runs on copies of records: what is written, what is not, and what never may be.

#[path = "journal/back.rs"]
mod back;
#[path = "journal/links.rs"]
mod links;
#[path = "journal/long.rs"]
mod long;
mod support;
#[path = "journal/units.rs"]
mod units;
#[path = "journal/web.rs"]
mod web;
#[path = "journal/workings.rs"]
mod workings;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::process::{Command, Output};
use std::sync::OnceLock;

use jiff::civil::{Date, date};
use polypary::pipeline::{self, Failure, Request};
use polypary::write::begin;
use support::put;

const TODAY: Date = date(2026, 11, 25);

/// An edition: its files by path.
type Edition = BTreeMap<String, Vec<u8>>;

/// The tank that the design shows as one that renders.
const TANK: &str = "\
name: Kitchen lagoon
started: 2024-09-07
zone: Europe/Lisbon
size: 60 x 40 x 40 cm
water: 75 L, counted at fill
room: 18 to 27 °C
electricity: 230 V, 0.24 EUR/kWh
usual-units: {temperature: °C, nitrate: mg/L NO3, alkalinity: dKH}
usual-kits: {nitrate: card-a, alkalinity: drops-b}
bands: {nitrate: 2 to 15, temperature: 24 to 26.5}
";

/// The entry that it shows, as written with wet hands.
const ENTRY: &str = "\
2026-10-03 21:10:
  alkalinity: 7.9
  nitrate: below 2
  top-off: 3.5 L
  dose: {nitrate-stock: 6 mL}
  harvest: {red-fan: 84 g}
  done: [glass, floss]
  note: \"Leather closed: shedding?\"
  ask: {what: \"Leather open again?\", by: 2026-10-17}
";

/// What the two of them name.
const NAMED: &[(&str, &str)] = &[
    ("supplies/card-a.yaml", "name: Card A\nkind: kit\nmeasures: nitrate\nmethod: colour card\n"),
    ("supplies/drops-b.yaml", "name: Drops B\nkind: kit\nmeasures: alkalinity\nmethod: drop count\n"),
    ("supplies/nitrate-stock.yaml", "name: Nitrate stock\nkind: stock\nstrength: {nitrate: 34.6 g/L NO3}\n"),
    (
        "colonies/red-fan.yaml",
        "name: Red fan\nidentity: pp-7k2m9q4r8t\ngroup: macroalga\narrived: 2024-10-01\nplacements:\n  - {since: 2024-10-01, tank: ., where: left rock}\n",
    ),
];

fn request(folder: &Path) -> Request {
    support::request(folder, TODAY)
}

fn kitchen_lagoon() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "tank.yaml", TANK);
    put(folder.path(), "log/2026.yaml", ENTRY);
    for (path, text) in NAMED {
        put(folder.path(), path, text);
    }
    folder
}

fn edition(record: &Path) -> Edition {
    let root = record.join("out/journal");
    walkdir::WalkDir::new(&root)
        .into_iter()
        .map(|entry| entry.unwrap())
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| {
            let path = entry.path().strip_prefix(&root).unwrap().to_str().unwrap().to_string();
            (path, fs::read(entry.path()).unwrap())
        })
        .collect()
}

/// A page as a reader sees it: no tags, every space a plain one.
fn words(html: &str) -> String {
    let mut text = String::new();
    let mut inside = false;
    for letter in html.chars() {
        match letter {
            '<' => {
                inside = true;
                text.push(' ');
            }
            '>' => inside = false,
            letter if !inside => text.push(letter),
            _ => {}
        }
    }
    text.replace("&nbsp;", " ").split_whitespace().collect::<Vec<_>>().join(" ")
}

fn example_tank() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("example-tank");
    for entry in walkdir::WalkDir::new(&from) {
        let entry = entry.unwrap();
        let relative = entry.path().strip_prefix(&from).unwrap();
        if relative.starts_with("out") || !entry.file_type().is_file() {
            continue;
        }
        let target = folder.path().join(relative);
        fs::create_dir_all(target.parent().unwrap()).unwrap();
        fs::copy(entry.path(), target).unwrap();
    }
    folder
}

fn program(arguments: &[&str], record: &Path, threads: &str) -> Output {
    Command::new(env!("CARGO_BIN_EXE_polypary"))
        .args(arguments)
        .arg(record)
        .env("POLYPARY_TODAY", "2026-11-25")
        .env("RAYON_NUM_THREADS", threads)
        .output()
        .unwrap()
}

/// The journal of the example tank, written once for all tests that read it.
fn example() -> &'static Edition {
    static EXAMPLE: OnceLock<Edition> = OnceLock::new();
    EXAMPLE.get_or_init(|| {
        let folder = example_tank();
        let output = program(&["journal"], folder.path(), "2");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        edition(folder.path())
    })
}

#[test]
fn the_tank_and_the_entry_of_the_design_render() {
    let folder = kitchen_lagoon();
    let outcome = pipeline::journal(&request(folder.path())).unwrap();
    assert_eq!((outcome.warning_count, outcome.warnings.as_str()), (0, ""));
    let edition = edition(folder.path());
    let entry = String::from_utf8(edition["log/2026-10-03-2110.html"].clone()).unwrap();
    assert!(entry.contains("Leather closed: shedding?"), "{entry}");
    assert!(entry.contains("7.9"), "{entry}");
    links::check(&edition);
}

#[test]
fn a_record_just_begun_renders() {
    let folder = tempfile::tempdir().unwrap();
    begin::begin(folder.path(), TODAY, &polypary::schema::files().unwrap()).unwrap();
    let outcome = pipeline::journal(&request(folder.path())).unwrap();
    assert_eq!((outcome.warning_count, outcome.warnings.as_str()), (0, ""));
    assert!(outcome.pages > 1);
    links::check(&edition(folder.path()));
}

#[test]
fn errors_leave_the_earlier_journal_as_it_was() {
    let folder = kitchen_lagoon();
    pipeline::journal(&request(folder.path())).unwrap();
    let before = edition(folder.path());
    assert!(before.len() > 5);
    put(folder.path(), "log/2025.yaml", "2025-03-02:\n  temperature: 255 °C\n  calcium: 420\n");
    match pipeline::journal(&request(folder.path())) {
        Err(Failure::Mistakes(text, count)) => {
            assert_eq!(count, 2, "{text}");
            assert!(text.contains("log/2025.yaml:2:16: water temperature out of range"), "{text}");
        }
        other => panic!("{other:?}"),
    }
    assert_eq!(edition(folder.path()), before);
}

#[test]
fn an_unchanged_record_is_not_written_again() {
    let folder = kitchen_lagoon();
    assert!(!pipeline::journal(&request(folder.path())).unwrap().unchanged);
    let before = edition(folder.path());
    assert!(pipeline::journal(&request(folder.path())).unwrap().unchanged);
    assert_eq!(edition(folder.path()), before);
    put(folder.path(), "log/2025.yaml", "2025-03-02:\n  note: A quiet day.\n");
    assert!(!pipeline::journal(&request(folder.path())).unwrap().unchanged);
    assert!(edition(folder.path()).contains_key("log/2025-03-02.html"));
}

/// Nothing is worked out again, and what the keeper was warned of is not forgotten.
#[test]
fn an_unchanged_record_is_warned_of_again() {
    let folder = kitchen_lagoon();
    put(folder.path(), "log/photo.yaml", "2026-10-01 20:00:\n  photos: [gone.jpg]\n");
    let first = pipeline::journal(&request(folder.path())).unwrap();
    assert_eq!((first.unchanged, first.warning_count), (false, 1));
    assert!(first.warnings.contains("photo `gone.jpg` is not there"), "{}", first.warnings);
    let second = pipeline::journal(&request(folder.path())).unwrap();
    assert!(second.unchanged);
    assert_eq!((second.warnings, second.warning_count), (first.warnings, 1));
    put(folder.path(), "log/photo.yaml", "2026-10-01 20:00:\n  note: No photo after all.\n");
    let third = pipeline::journal(&request(folder.path())).unwrap();
    assert_eq!((third.unchanged, third.warning_count), (false, 0));
}

#[test]
fn two_entries_of_one_moment_both_appear() {
    let folder = kitchen_lagoon();
    put(folder.path(), "log/again.yaml", "2026-10-03 21:10:\n  note: Written twice.\n");
    pipeline::journal(&request(folder.path())).unwrap();
    let edition = edition(folder.path());
    let shown = |words: &str| {
        edition.iter().any(|(path, bytes)| path.starts_with("log/") && String::from_utf8_lossy(bytes).contains(words))
    };
    assert!(shown("Written twice."));
    assert!(shown("Leather closed: shedding?"));
    links::check(&edition);
}

#[test]
fn a_form_named_by_the_usual_unit_goes_with_the_reading() {
    let folder = kitchen_lagoon();
    let tank = fs::read_to_string(folder.path().join("tank.yaml")).unwrap();
    put(folder.path(), "tank.yaml", tank.replace("mg/L NO3,", "mg/L NO3-N,"));
    put(folder.path(), "log/form.yaml", "2026-10-04: {nitrate: 1 mg/L}\n");
    let (_, findings, _) = pipeline::work_out(&request(folder.path()), false).unwrap();
    // 62.004 / 14.007 by the standard atomic weights of 2021 (Prohaska et al. 2022).
    let nitrate = findings.figures.get(".", "water.nitrate").unwrap().value;
    assert!((nitrate - 62.004 / 14.007).abs() < 1e-3, "{nitrate}");
}

#[test]
fn a_photo_with_a_broken_body_gets_a_placeholder() {
    let folder = kitchen_lagoon();
    let picture = image::RgbImage::from_fn(900, 600, |x, y| image::Rgb([x as u8, y as u8, (x * y) as u8]));
    let mut photo = Vec::new();
    picture.write_to(&mut std::io::Cursor::new(&mut photo), image::ImageFormat::Png).unwrap();
    // The header with its size stays; from the middle of the pixels on there is noise.
    let middle = photo.len() / 2;
    photo[middle..].fill(0xa5);
    fs::create_dir_all(folder.path().join("photos")).unwrap();
    fs::write(folder.path().join("photos/2026-10-01-fan.png"), &photo).unwrap();
    let outcome = pipeline::journal(&request(folder.path())).unwrap();
    assert_eq!((outcome.photos, outcome.warning_count), (0, 1), "{}", outcome.warnings);
    let photos: Vec<String> = edition(folder.path()).into_keys().filter(|path| path.starts_with("photos/")).collect();
    assert!(photos.contains(&"photos/2026-10-01-fan-png-800.jpg".to_string()), "{photos:?} {}", outcome.warnings);
}

/// Half of a photograph, as a card reader that was pulled out leaves it, would be published grey below its middle.
#[test]
fn a_photo_that_breaks_off_gets_a_placeholder() {
    let folder = kitchen_lagoon();
    let whole = fs::read("example-tank/photos/2024-09-21-front.jpg").unwrap();
    fs::create_dir_all(folder.path().join("photos")).unwrap();
    fs::write(folder.path().join("photos/2026-10-01-half.jpg"), &whole[..whole.len() / 2]).unwrap();
    fs::write(folder.path().join("photos/2026-10-02-but-its-end.jpg"), &whole[..whole.len() - 2]).unwrap();
    let outcome = pipeline::journal(&request(folder.path())).unwrap();
    assert_eq!((outcome.photos, outcome.warning_count), (1, 1), "{}", outcome.warnings);
    assert!(outcome.warnings.contains("2026-10-01-half.jpg"), "{}", outcome.warnings);
    assert!(outcome.warnings.contains("it breaks off"), "{}", outcome.warnings);
}

#[test]
fn one_thread_and_two_write_the_same_bytes() {
    let folder = example_tank();
    let output = program(&["journal"], folder.path(), "1");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let (one, two) = (edition(folder.path()), example());
    let names = |edition: &Edition| edition.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(&one), names(two));
    let differing: Vec<&String> = one.keys().filter(|path| one[*path] != two[*path]).collect();
    assert!(differing.is_empty(), "{differing:?}");
}

#[test]
fn nothing_private_is_published() {
    // Markers, prices and numbers of the example's private blocks, contacts and household.
    let secrets = [
        "heronsgate",
        "000-000-01",
        "insurance",
        "149 EUR",
        "410 EUR",
        "120 EUR",
        "68 EUR",
        "55 EUR",
        "45 EUR",
        "one cat, keeps off",
        "upstairs neighbour",
        // The absence that is planned, as it stands in the record and as pages write dates.
        "2026-11-06",
        "2026-11-15",
        "6 november 2026",
        "15 november 2026",
    ];
    for (path, bytes) in example() {
        let text = String::from_utf8_lossy(bytes).to_lowercase();
        for secret in secrets {
            assert!(!text.contains(&secret.to_lowercase()), "`{secret}` stands in {path}");
        }
    }
}

/// Whoever compares two journals, or a journal with the program's source, learns nothing of the household: neither by a
/// level, nor by an order, nor by what is missing.
#[test]
fn the_household_changes_nothing_that_is_published() {
    let with = |answer: &str| {
        let folder = kitchen_lagoon();
        let tank = format!(
            "{TANK}household: {{children-under-5: {answer}}}\nstand: {{built: home-built, height: 190 cm, footprint: 60 x 40 cm}}\n"
        );
        put(folder.path(), "tank.yaml", &tank);
        put(folder.path(), "log/change.yaml", "2026-09-01 10:00: {water-change: 20 L}\n");
        pipeline::journal(&request(folder.path())).unwrap();
        edition(folder.path())
    };
    let unanswered = with("unknown");
    let page = String::from_utf8_lossy(&unanswered["cautions.html"]).to_string();
    assert!(page.contains("Could a small child reach a bucket of water?"));
    for answer in ["yes", "no"] {
        let other = with(answer);
        for (path, bytes) in &unanswered {
            assert!(other[path] == *bytes, "{path} shows that the answer is {answer}");
        }
    }
}

#[test]
fn photos_carry_no_metadata() {
    let mut photos = 0;
    for (path, bytes) in example().iter().filter(|(path, _)| path.ends_with(".jpg")) {
        photos += 1;
        for marker in [&b"Exif"[..], b"http://ns.adobe.com/xap", b"Photoshop"] {
            assert!(!bytes.windows(marker.len()).any(|window| window == marker), "{path}");
        }
        // JPEG application segments 1 to 15 carry metadata (ITU-T T.81, table B.1); the header ends with SOS.
        let mut place = 2;
        while bytes[place + 1] != 0xDA {
            assert_eq!(bytes[place], 0xFF, "{path}");
            assert!(!(0xE1..=0xEF).contains(&bytes[place + 1]), "{path}: APP segment");
            place += 2 + usize::from(u16::from_be_bytes([bytes[place + 2], bytes[place + 3]]));
        }
    }
    assert!(photos > 20, "{photos}");
}

/// Counted by hand from `arrived`, `source`, `parent` and `ended` of the fifteen files of example-tank/colonies.
#[test]
fn families_and_survival_are_those_of_the_colonies() {
    let page = |path: &str| String::from_utf8(example()[path].clone()).unwrap();
    let list = words(&page("colony/index.html"));
    for row in [
        // One was lost after three months, one of 2026 was given away: it tells nothing of a first year.
        "Aquaculture 2025 7 6 0 1 6 of 7",
        "Aquaculture 2026 2 1 1 0 not known yet",
        "Source not known 2021 1 1 0 0 1 of 1",
        "All 15 13 1 1 12 of 13",
    ] {
        assert!(list.contains(row), "`{row}` is missing in {list}");
    }
    let school = page("colony/school-mushrooms.html");
    let line = words(&school);
    let generations = "Generation 1: Mushrooms of the jar , 5 June 2021 : the first of its line here ; alive in The Old \
                       Jar. Generation 2: Blue-green mushrooms , 9 March 2024 : giver’s record ; alive in Curlew Flat. \
                       Generation 3: Mushrooms for the school , 2 May 2026 : witnessed cut ; given away 29 August 2026.";
    assert!(line.contains(generations), "{line}");
    assert_eq!(school.matches("<ul class=\"lineage\">").count(), 1, "one flat list, however deep the line");
    assert!(school.contains("chart-lineage-school-mushrooms"));
    assert!(!page("colony/finger-leather.html").contains("<ul class=\"lineage\">"), "no family, no list");
}

/// Counted by hand: of the fifteen colonies one ended as lost; of the events of the log two are power cuts, one is a
/// heater's and one a pump's fault. Nothing was lost in the jar.
#[test]
fn what_broke_is_not_counted_as_lost_and_each_tank_tells_its_own() {
    let page = |path: &str| words(&String::from_utf8(example()[path].clone()).unwrap());
    let front = page("index.html");
    assert!(front.contains("One colony was lost : Pulsing tuft"), "{front}");
    assert!(front.contains("Four faults of gear, power and water stand in the log"), "{front}");
    let tuft = |path: &str| page(path).contains("Pulsing tuft: lost");
    assert!(tuft("video/first-half-year.html"));
    assert!(!tuft("jar/compare/2025-06-05-to-2026-06-05.html"));
}

#[test]
fn every_link_of_the_example_leads_somewhere() {
    links::check(example());
}

#[test]
fn as_of_a_date_holds_nothing_later() {
    let folder = example_tank();
    let asked = date(2025, 6, 14);
    let output = program(&["journal", "--as-of", "2025-06-14"], folder.path(), "2");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let edition = edition(folder.path());
    let dated: BTreeSet<Date> = edition
        .keys()
        .filter(|path| path.contains("log/") || path.contains("photos/"))
        .filter_map(|path| path.rsplit('/').next()?.get(..10)?.parse().ok())
        .collect();
    assert!(dated.len() > 20, "{dated:?}");
    let newest = dated.last().unwrap();
    assert!(*newest <= asked, "{newest}");
    assert!(edition.keys().any(|path| path.ends_with(".jpg")));
    links::check(&edition);
}

#[test]
fn exit_codes() {
    let sound = kitchen_lagoon();
    assert_eq!(program(&["audit"], sound.path(), "2").status.code(), Some(0));
    put(sound.path(), "log/2025.yaml", "2025-03-02:\n  temperature: 255 °C\n");
    let output = program(&["audit"], sound.path(), "2");
    assert_eq!(output.status.code(), Some(1));
    let told = String::from_utf8(output.stdout).unwrap();
    assert!(told.contains("log/2025.yaml:2:16: water temperature out of range"), "{told}");
    assert!(!sound.path().join("out").exists(), "audit writes nothing");
    assert_eq!(program(&["journal", "--colour"], sound.path(), "2").status.code(), Some(2));
    assert_eq!(program(&["audit"], &sound.path().join("nowhere"), "2").status.code(), Some(3));
}
