//! Pumps, pipes and what runs back.

use polypary::cautions::{self, Reader};
use polypary::pages::model::Danger;

use super::{Read, read};

const PUMP: &str = "name: Return\nrole: return-pump\nin-service: 2026-05-31\nwatts: 30 W\nspec: pump\n";
const TWO_ENDS: (&str, &str) =
    ("specs/pump.md", "---\nname: Pump\nkind: return-pump\nflow: 2000 L/h\nhead: 2 m\n---\nA pump.\n");

fn with_pump(tank: &str, lines: &str, more: &[(&str, &str)]) -> Read {
    let pump = format!("{PUMP}{lines}");
    let mut files = vec![("equipment/return.yaml", pump.as_str()), TWO_ENDS];
    files.extend_from_slice(more);
    read(tank, &files)
}

/// A parabola through 2 m and 2000 L/h at 1 m of head: 2000 × √(1 − 1/2) = 1414.214, of which the middle of 85 to 105 %
/// is 95 %.
#[test]
fn without_pipes_only_the_height_counts() {
    let read = with_pump("", "head: 1 m\n", &[]);
    read.is("flow.operating-point.return", 0.95 * 2000.0 / 2f64.sqrt());
    read.is("flow.operating-head.return", 1.0);
    let figure = read.figure("flow.operating-point.return");
    assert!(figure.notes.iter().any(|note| note.contains("no plumbing is recorded")), "{:?}", figure.notes);
    // Put into service today: no dirt yet.
    read.is("flow.return", 0.95 * 2000.0 / 2f64.sqrt());
    read.is("flow.turnover.return", 0.95 * 2000.0 / 2f64.sqrt() / 200.0);
}

/// The same pump through 2 m of 20 mm pipe with two elbows and its mouth. By hand, with the friction factor of Swamee
/// and Jain (1976) for smooth pipe, f = 0.25/log²(5.74/Re^0.9), and Crane's 30 f_T (f_T = 0.02427 for a bore of 20 mm) for an elbow: at 1088 L/h
/// v = 0.9620 m/s, v²/2g = 0.04718 m, Re = 20 530, f = 0.02565, L/D = 100, ΣK = 2 × 0.7282 + 1 = 2.456, and the pipe
/// costs (2.565 + 2.456) × 0.04718 = 0.2369 m; the pump that moves 95 % of its curve gives
/// 2 × (1 − (1088/1900)²) = 1.344 m, so that it moves more. At 1165 L/h: v = 1.0301, v²/2g = 0.05410, Re = 21 980,
/// f = 0.02521, and 1 + (2.521 + 2.456) × 0.05410 = 1.2693 m against 2 × (1 − (1165/1900)²) = 1.2481 m: it moves less.
/// Between them, by straight lines: 1152 L/h.
#[test]
fn pipes_cost_what_the_handbook_says() {
    let pipes = "head: 1 m\nplumbing: [{bore: 20 mm, length: 2 m, fittings: {elbow-90: 2, exit: 1}}]\n";
    let read = with_pump("", pipes, &[]);
    let flow = read.figure("flow.operating-point.return").value;
    assert!((flow / 1152.0 - 1.0).abs() < 0.01, "{flow}");
    let head = read.figure("flow.operating-head.return").value;
    assert!((head - 2.0 * (1.0 - (flow / 1900.0).powi(2))).abs() < 1e-6, "{head}");
    let sources = &read.figure("flow.operating-point.return").method.sources;
    assert!(sources.contains(&"churchill_1977") && sources.contains(&"crane_2009"));
}

#[test]
fn a_pump_that_cannot_lift_so_high_moves_nothing() {
    let read = with_pump("", "head: 3 m\n", &[]);
    assert_eq!(read.figure("flow.operating-point.return").value, 0.0);
}

#[test]
fn what_a_pump_lacks_is_asked_for() {
    assert!(with_pump("", "", &[]).missing("flow.operating-point.return").unwrap().contains("head: 1.1 m"));
    let bare =
        read("", &[("equipment/return.yaml", "name: R\nrole: return-pump\nin-service: 2026-01-01\nhead: 1 m\n")]);
    assert!(bare.missing("flow.return.stated").unwrap().contains("flow-test"));
    assert!(bare.missing("flow.operating-point.return").unwrap().contains("curve"));
}

/// A bucket test stands for the pump, and dirt counts from its day: 30 of 91.3 days toward a loss of 20 %.
#[test]
fn a_test_recalibrates_and_dirt_counts_from_it() {
    let log = ("log/2026-05.yaml", "2026-05-01: {flow-test: {return: 900 L/h}}\n");
    let read = with_pump("", "head: 1 m\nsettings: [{since: 2026-01-01, level: 100 %}]\n", &[log]);
    // The pump is in service since the end of May: the test before counts no more.
    read.is("flow.return", 0.95 * 2000.0 / 2f64.sqrt());
    let older = PUMP.replace("2026-05-31", "2025-06-01");
    let files = [("equipment/return.yaml", older.as_str()), TWO_ENDS, log];
    let read = super::read("", &files);
    read.is("flow.return", 900.0 * (1.0 - 0.2 * 30.0 / (3.0 * 30.436875)));
}

/// 98 × 48 cm inside; the siphon's 2 cm are deeper than the water over the edge, 3 mm: 9.408 L, and 1 L in the box. The
/// sump of 50 × 30 × 35 cm with panes of 5 mm has 49 × 29 × (35 − 0.5 − 25) cm left: 13.4995 L.
#[test]
fn what_runs_back_by_hand() {
    let tank = "sump: {size: 50 x 30 x 35 cm, glass: 5 mm, water-depth: 25 cm}\n\
                overflow: {over-edge: 3 mm, siphon-depth: 2 cm, holds: 1 L}\n";
    let read = with_pump(tank, "head: 1 m\n", &[]);
    read.is("flow.drain-back", 98.0 * 48.0 * 2.0 / 1000.0 + 1.0);
    read.is("flow.drain-headroom", 13.4995);
    read.is("flow.drain-margin", 13.4995 - 10.408);
    assert!(read.findings.figures.get(".", "flow.over-edge").is_some());
    // What a top-off could add besides is what the keeper wrote of its jug, before what its sheet states.
    let jug = "name: Jug\nrole: top-off\nin-service: 2026-01-01\nspec: drip\nreservoir: 18 L\n";
    let drip = ("specs/drip.md", "---\nname: Drip\nvolume: 5 L\n---\nA jug.\n");
    for (jug, litres, by_keeper) in [(jug.to_string(), 18.0, true), (jug.replace("reservoir: 18 L\n", ""), 5.0, false)]
    {
        let read = with_pump(tank, "head: 1 m\n", &[("equipment/jug.yaml", &jug), drip]);
        let besides = read.findings.tanks["."].movement.drain.as_ref().unwrap().reservoir.clone().unwrap();
        assert_eq!((besides.0, besides.2), (litres, by_keeper));
        assert!(read.figure("flow.drain-margin").notes[1].contains(&format!("could add up to {litres} L")));
    }
}

/// Francis by hand: 1343.5 L/h over 12 cm: (3.7319e-4 ∕ (1.84 × 0.12))^(2/3) = 0.014186 m.
#[test]
fn water_over_the_edge_follows_from_the_flow() {
    let tank = "sump: {size: 50 x 30 x 35 cm, water-depth: 25 cm}\noverflow: {edge: 12 cm, siphon-depth: 0 cm}\n";
    let read = with_pump(tank, "head: 1 m\n", &[]);
    let cm = read.figure("flow.over-edge").value;
    assert!((cm / 1.4186 - 1.0).abs() < 1e-3, "{cm}");
    let back = read.figure("flow.drain-back");
    // The box is not recorded: between none and 2 L.
    assert!(back.uncertainty > 0.57 && back.inputs.len() >= 6);
}

#[test]
fn a_sump_that_would_flood_is_a_danger_to_people() {
    let level = |overflow: &str, depth: &str| {
        let tank = format!("sump: {{size: 50 x 30 x 35 cm, glass: 5 mm, water-depth: {depth}}}\n{overflow}");
        let read = with_pump(&tank, "head: 1 m\n", &[]);
        let raised = cautions::raise(&read.record, &read.findings, Reader::House);
        raised.iter().find(|caution| caution.key == "flood.drain-back").map(|caution| caution.danger)
    };
    let deep = "overflow: {over-edge: 1 cm, siphon-depth: 4 cm, holds: 1 L}\n";
    assert_eq!(level(deep, "25 cm"), Some(Danger::People));
    assert_eq!(level(deep, "20 cm"), Some(Danger::Check), "18.8 + 1 L into 20.6 L: too close to tell");
    assert_eq!(level("overflow: {over-edge: 1 cm, siphon-depth: 1 cm, holds: 1 L}\n", "20 cm"), None);
    // Unknown is not safe.
    assert_eq!(level("", "20 cm"), Some(Danger::Check));
}

#[test]
fn a_tank_without_a_sump_has_nothing_that_runs_back() {
    let read = with_pump("", "head: 1 m\n", &[]);
    assert!(read.findings.tanks["."].movement.drain.is_none());
    assert!(
        cautions::raise(&read.record, &read.findings, Reader::House)
            .iter()
            .all(|caution| caution.key != "flood.drain-back")
    );
}

#[test]
fn bands_are_the_keepers_or_marked_as_habit() {
    let wave = ("equipment/wave.yaml", "name: W\nrole: circulation-pump\nin-service: 2026-05-31\nspec: wave\n");
    let sheet = ("specs/wave.md", "---\nname: Wave\nflow: 4000 L/h\n---\nA pump.\n");
    let read = with_pump("turnover: {return: 4 to 6}\n", "head: 1 m\n", &[wave, sheet]);
    let groups = &read.findings.tanks["."].movement.groups;
    let of = |word: &str| groups.iter().find(|group| group.group.word() == word).unwrap();
    let (circulation, back) = (of("circulation"), of("return"));
    assert!(back.band_is_own && back.band.unwrap().high == 6.0);
    // A tank of soft corals: 10 to 25 volumes an hour are usual.
    assert!(!circulation.band_is_own && circulation.band.unwrap().low == 10.0);
    // 4000 L/h, of which 75 to 100 % are real, into 200 L.
    read.is("flow.turnover.circulation", 17.5);
    read.is("flow.turnover-stated", 30.0);
}

#[test]
fn a_test_above_the_curve_is_told() {
    let older = PUMP.replace("2026-05-31", "2025-06-01");
    let pump = format!("{older}head: 1 m\n");
    let read = |flow: &str| {
        let log = format!("2026-05-01: {{flow-test: {{return: {flow}}}}}\n");
        super::read("", &[("equipment/return.yaml", &pump), TWO_ENDS, ("log/2026-05.yaml", &log)]).told
    };
    // The curve gives 1414 L/h at 1 m; a bucket may be a fifth out.
    assert!(read("1900 L/h").contains("at most 1414 L/h by its curve"));
    assert_eq!(read("1600 L/h"), "");
}
