//! Small records on disk, and the cautions they raise: which, at what level, and what every one of them must carry.

mod equipment;
mod heat;
mod home;
mod life;

use std::path::PathBuf;

use jiff::civil::date;
use polypary::cautions::{self, Caution, Reader};
use polypary::pages::model::Danger;

/// A record in a folder of its own, removed at the end.
struct Folder {
    root: PathBuf,
}

impl Folder {
    fn new(name: &str, files: &[(&str, &str)]) -> Folder {
        let root = std::env::temp_dir().join(format!("polypary-cautions-{}-{name}", std::process::id()));
        for (path, text) in files {
            let path = root.join(path);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, text).unwrap();
        }
        Folder { root }
    }

    fn raised(&self) -> Vec<Caution> {
        let (folder, read) = polypary::read::read_folder(&self.root).unwrap();
        assert!(!read.has_errors(), "{}", read.render_all(&folder.sources));
        let (record, built) = polypary::record::build(&folder, date(2026, 6, 1));
        assert!(!built.has_errors(), "{}", built.render_all(&folder.sources));
        let findings = polypary::figures::work_out(&record);
        cautions::raise(&record, &findings, Reader::House)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        std::fs::remove_dir_all(&self.root).ok();
    }
}

/// Cautions of a record whose tank has some more lines, besides some more files.
fn raised(name: &str, tank: &str, files: &[(&str, &str)]) -> Vec<Caution> {
    let tank = format!(
        "name: Bay\nstarted: 2023-01-10\nzone: Europe/Lisbon\nsize: 90 x 45 x 40 cm\nwater: 120 L, counted at fill\n{tank}"
    );
    let mut all = vec![("tank.yaml", tank.as_str())];
    all.extend_from_slice(files);
    Folder::new(name, &all).raised()
}

fn level(raised: &[Caution], key: &str) -> Option<Danger> {
    raised.iter().find(|caution| caution.key == key).map(|caution| caution.danger)
}

fn why(raised: &[Caution], key: &str) -> String {
    let caution = raised.iter().find(|caution| caution.key == key).unwrap();
    caution.why.iter().map(|(reason, _)| reason.as_str()).collect::<Vec<_>>().join("\n")
}

const PUMP: (&str, &str) = (
    "equipment/pump.yaml",
    "name: Stream\nrole: circulation-pump\nin-service: 2023-01-10\nwatts: 12 W\nposition: in-water\nmains: yes\nlisted-mark: yes\n",
);

/// A log whose newest entry sets the day of the record.
const AS_OF: &str = "2026-05-30: {note: all quiet}\n";

fn heater(lines: &str) -> String {
    format!("name: Rod\nrole: heater\nin-service: 2023-01-10\nposition: in-water\nmains: yes\n{lines}")
}

fn colony(name: &str, group: &str, lines: &str) -> String {
    format!(
        "name: {name}\ngroup: {group}\narrived: 2024-02-01\nplacements: [{{since: 2024-02-01, tank: \".\"}}]\n{lines}"
    )
}

/// A record that raises most of them at once.
fn crowded() -> Folder {
    let rod = heater("watts: 600 W\nplugged: strip\non-extension: yes\n");
    let lamp = "name: Sun\nrole: lamp\nin-service: 2023-01-10\nmains: yes\nmade: home-made\nmetal-hardware: yes\nplugged: strip\n";
    let zoas = colony("Green mat", "zoanthid", "");
    let finger = colony("Finger", "small-polyp-stony", "source: {kind: mariculture}\n");
    let tuft = colony("Tuft", "macroalga", "");
    let files = [
        (
            "tank.yaml",
            "name: Bay\nstarted: 2023-01-10\nzone: Europe/Lisbon\nsize: 90 x 45 x 60 cm\nwater: 200 L, counted at fill\nelectricity: {voltage: 230 V, ground-fault: no, drip-loops: no}\nhousehold: {children-under-5: yes}\n",
        ),
        PUMP,
        ("equipment/rod.yaml", &rod),
        ("equipment/lamp.yaml", lamp),
        ("equipment/strip.yaml", "name: Strip\nrole: power-strip\nin-service: 2023-01-10\nposition: under-tank\n"),
        ("equipment/pack.yaml", "name: Pack\nrole: battery\nin-service: 2022-01-10\nnote: on a travel adapter\n"),
        ("equipment/dial.yaml", "name: Dial\nrole: thermometer\nin-service: 2025-01-10\ncoin-cell: yes\n"),
        ("colonies/mat.yaml", &zoas),
        ("colonies/finger.yaml", &finger),
        ("colonies/tuft.yaml", &tuft),
        ("supplies/bleach.yaml", "name: Bleach\nkind: chemical\nwhere: shelf\nlocked: no\n"),
        ("supplies/vinegar.yaml", "name: Vinegar\nkind: chemical\nwhere: shelf\n"),
        ("supplies/peroxide.yaml", "name: Hydrogen peroxide 12 %\nkind: chemical\nwhere: shelf\n"),
        ("supplies/lime.yaml", "name: Calcium hydroxide\nkind: chemical\n"),
        ("supplies/salt.yaml", "name: Calcium chloride\nkind: chemical\n"),
        (
            "upkeep/a.yaml",
            "tasks: {prune: {what: Frag and prune, every: 14 days, hands-in-water: yes}, change: {what: Change water, every: 7 days, lowers-water: yes}, fill: {what: Garden hose into the bin, every: 7 days}}\n",
        ),
        (
            "log/a.yaml",
            "2026-05-20: {harvest: {tuft: 80 g}}\n2026-05-30: {water-change: 20 L, note: Rust on the lamp bracket}\n",
        ),
    ];
    Folder::new("crowded", &files)
}

#[test]
fn every_caution_says_why_defers_and_names_its_source() {
    let all = crowded().raised();
    let mut keys: Vec<&str> = all.iter().map(|caution| caution.key).collect();
    keys.sort_unstable();
    assert_eq!(
        keys,
        [
            "battery.button-cell",
            "battery.lithium",
            "battery.ups",
            "chemical.acid",
            "chemical.bleach-mix",
            "chemical.lime",
            "chemical.order",
            "chemical.peroxide",
            "chemical.store",
            "child.bucket",
            "electricity.diy-mains",
            "electricity.drip-loop",
            "electricity.hands-in-water",
            "electricity.no-ground-fault",
            "electricity.old-outlet",
            "electricity.strip-load",
            "electricity.two-supplies",
            "glass.lift",
            "heater.no-cutoff",
            "heater.out-of-water",
            "heater.recall-age",
            "lamp.hot-or-falling",
            "law.cites",
            "law.do-not-release",
            "law.macroalgae",
            "law.provenance-missing",
            "load.floor",
            "palytoxin.aerosol",
            "palytoxin.present",
            "palytoxin.symptoms",
            "skin.infection",
            "water.backflow",
        ]
    );
    for caution in &all {
        let key = caution.key;
        assert!(!caution.why.is_empty() && caution.why.iter().all(|(reason, _)| !reason.is_empty()), "{key}: why");
        assert!(caution.defer.contains("decide"), "{key}: defer");
        assert!(!caution.sources.is_empty() && !caution.topics.is_empty(), "{key}: sources, topics");
        assert!((1..=4).contains(&caution.text.len()), "{key}: {} paragraphs", caution.text.len());
        for source in &caution.sources {
            let standing = ["seen", "quoted", "from memory", "no source", "stated by"];
            assert!(standing.iter().any(|words| source.contains(words)), "{key}: {source} has no standing");
        }
        for text in caution.text.iter().chain([&caution.title]).map(String::as_str).chain([caution.defer]) {
            for word in text.to_lowercase().split(|letter: char| !letter.is_alphabetic()) {
                assert!(!["safe", "safely", "compliant", "legal", "legally"].contains(&word), "{key} promises: {text}");
            }
        }
    }
}

#[test]
fn order_depends_on_nothing_but_the_record() {
    let folder = crowded();
    let (first, second) = (folder.raised(), folder.raised());
    assert_eq!(format!("{first:?}"), format!("{second:?}"));
    let order: Vec<Danger> = first.iter().map(|caution| caution.danger).collect();
    assert!(order.is_sorted(), "{order:?}");
    assert_eq!(order[0], Danger::People);
    // Within a level, what kills fastest comes first.
    let place = |key: &str| first.iter().position(|caution| caution.key == key);
    assert!(place("electricity.no-ground-fault") < place("palytoxin.present"));
    assert!(place("palytoxin.present") < place("chemical.store"));
}

#[test]
fn an_answered_caution_stays_with_its_answer() {
    let tank = "electricity: {voltage: 230 V, ground-fault: no}\nacknowledged: [{caution: electricity.no-ground-fault, reason: electrician comes in June, on: 2026-05-01}]\n";
    let all = raised("acknowledged", tank, &[PUMP]);
    let caution = all.iter().find(|caution| caution.key == "electricity.no-ground-fault").unwrap();
    assert_eq!(caution.danger, Danger::People);
    assert_eq!(caution.acknowledged, Some((date(2026, 5, 1), "electrician comes in June".to_string())));
    assert_eq!(caution.tanks, ["."]);
}
