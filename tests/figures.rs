//! Figures as a page and `figures.json` get them: what explains them, what is private, the same bits on every run.

use std::f64::consts::PI;
use std::sync::Arc;

use jiff::civil::date;
use polypary::diagnostic::Place;
use polypary::figures::figure::{Figures, Input};
use polypary::figures::graph::{Basis, Root, Shape};
use polypary::figures::json::to_json;

fn root(label: &str, value: f64, uncertainty: f64, shape: Shape) -> Root {
    Root {
        label: label.to_owned(),
        value,
        uncertainty,
        unit: String::new(),
        basis: Basis::Measured,
        places: Vec::new(),
        shape,
        private: false,
        note: None,
        source: None,
    }
}

/// Asserts that a number rounds to what is printed: within half of the last digit shown.
fn prints(what: &str, found: f64, printed: &str) {
    let decimals = printed.split_once('.').map_or(0, |(_, after)| after.len());
    let expected: f64 = printed.parse().unwrap();
    let half = 0.5 * 10f64.powi(-(decimals as i32));
    assert!((found - expected).abs() <= half * 1.000_001, "{what}: {found} does not print as {printed}");
}

#[test]
fn two_runs_give_the_same_bits() {
    let run = || {
        let figures = small_record();
        let text = to_json(&figures, false, &|_| None);
        let bits: Vec<[u64; 4]> = figures
            .iter()
            .map(|figure| {
                let (low, high) = figures.graph.interval95(figure.node);
                [figure.value.to_bits(), figure.uncertainty.to_bits(), low.to_bits(), high.to_bits()]
            })
            .collect();
        (text, bits)
    };
    assert_eq!(run(), run());
}

fn place(file: &str, line: u32, column: u32) -> Place {
    Place { file: Arc::from(file), line, column, length: 4 }
}

/// One tank with a public and a private root, and a figure from each and from both.
fn small_record() -> Figures {
    let mut figures = Figures::new();
    let graph = &mut figures.graph;
    let radius = graph.root(Root {
        unit: "cm".to_owned(),
        places: vec![place("tanks/lagoon.yaml", 7, 11)],
        source: Some("HANDBOOK_1999"),
        ..root("radius", 30.0, 0.2, Shape::Rectangular)
    });
    let price = graph.root(Root {
        unit: "1/kWh".to_owned(),
        basis: Basis::Stated,
        places: vec![place("house/bill.yaml", 4242, 3)],
        private: true,
        note: Some("the neighbours must not know".to_owned()),
        ..root("secret tariff", 0.317_317, 0.05, Shape::Normal)
    });
    let guessed = graph.root(Root { basis: Basis::Assumed, ..root("fill", 0.9, 0.02, Shape::Normal) });
    let area = graph.compute("area", "cm²", &[radius], |v| PI * v[0] * v[0]);
    let filled = graph.compute("filled", "cm²", &[area, guessed], |v| v[0] * v[1]);
    let hours = graph.compute("hours per coin", "kWh", &[price], |v| 1.0 / v[0]);
    let nothing = graph.compute("nothing", "", &[radius], |v| (v[0] - 40.0).sqrt());
    figures
        .define("lagoon", "size.area", "Area of the base")
        .method("A = π·r²", "A = π × 30²", &["HANDBOOK_1999"])
        .inputs(&[radius])
        .decimals(0)
        .finish(area);
    figures
        .define("lagoon", "size.filled", "Filled area")
        .inputs(&["size.area"])
        .inputs(&[guessed])
        .note("of the base only")
        .finish(filled);
    figures
        .define("lagoon", "power.hours", "Energy for one coin")
        .method("h = 1/p", "h = 1 / 0.317317", &[])
        .finish(hours);
    figures.define("", "radius", "Radius").finish(radius);
    figures.define("lagoon", "size.nothing", "Nothing").finish(nothing);
    let hidden = figures.graph.compute("hidden", "", &[price], |v| (v[0] - 40.0).sqrt());
    figures.define("lagoon", "power.hidden", "Hidden").finish(hidden);
    figures.miss("lagoon", "power.cost", "Cost of a day", "the wattage of each pump");
    figures
}

#[test]
fn figures_carry_what_explains_them() {
    let figures = small_record();
    let keys: Vec<(&str, &str)> = figures.iter().map(|figure| (figure.tank.as_str(), figure.key.as_str())).collect();
    assert_eq!(keys, [("", "radius"), ("lagoon", "power.hours"), ("lagoon", "size.area"), ("lagoon", "size.filled"),]);
    assert_eq!(figures.of_tank("lagoon").count(), 3);
    assert_eq!(figures.get("", "radius").unwrap().basis, Basis::Measured);

    let area = figures.get("lagoon", "size.area").unwrap();
    prints("area", area.value, "2827.4334");
    // 2π·30·0.2
    prints("u(area)", area.uncertainty, "37.6991");
    assert_eq!(area.basis, Basis::Computed);
    assert_eq!(area.interval, None);
    assert_eq!(area.decimals, Some(0));
    assert_eq!(area.unit, "cm²");

    let filled = figures.get("lagoon", "size.filled").unwrap();
    // Relative: √((2 · 0.2/30)² + (0.02/0.9)²)
    prints("u(filled)", filled.uncertainty / filled.value, "0.0259153");
    assert_eq!(filled.notes, ["of the base only"]);
    assert_eq!(figures.graph.assumed_roots_of(filled.node).len(), 1);
    let [Input::Figure { key, share: first, .. }, Input::Root { basis, share: second, .. }] = &filled.inputs[..] else {
        panic!("a figure and a root: {:?}", filled.inputs);
    };
    assert_eq!(key, "size.area");
    assert_eq!(*basis, Basis::Assumed);
    prints("share of the area", *first, "0.264706");
    prints("share of the fill", *second, "0.735294");

    let hours = figures.get("lagoon", "power.hours").unwrap();
    assert!(hours.interval.is_some_and(|(low, high)| low < high));

    let missing: Vec<&str> = figures.missing.iter().map(|m| m.key.as_str()).collect();
    assert_eq!(missing, ["size.nothing", "power.hidden", "power.cost"]);
    assert_eq!(figures.missing[0].what_to_record, "other values: the formula has no result for these: radius (30)");
    let private: Vec<bool> = figures.missing.iter().map(|m| m.private).collect();
    assert_eq!(private, [false, true, false]);
}

#[test]
fn a_key_that_is_taken_overwrites_nothing() {
    let mut figures = Figures::new();
    for value in [1.0, 2.0, 3.0] {
        let node = figures.graph.root(root("x", value, 0.0, Shape::Normal));
        figures.define("lagoon", "x", "X").finish(node);
    }
    let found: Vec<(&str, f64)> = figures.iter().map(|f| (f.key.as_str(), f.value)).collect();
    assert_eq!(found, [("x", 1.0), ("x-2", 2.0), ("x-3", 3.0)]);
}

#[test]
fn private_roots_make_private_figures_all_the_way() {
    let mut figures = small_record();
    assert!(figures.get("lagoon", "power.hours").unwrap().private);
    assert!(!figures.get("lagoon", "size.filled").unwrap().private);
    let secret = figures.get("lagoon", "power.hours").unwrap().node;
    // Cancelling a private root out does not make it public.
    let gone = figures.graph.linear("gone", "", &[(secret, 1.0), (secret, -1.0)]);
    assert!(figures.graph.private(gone));
    figures.define("lagoon", "gone", "Gone").finish(gone);
    // Naming a private figure as input is enough.
    let open = figures.get("lagoon", "size.area").unwrap().node;
    figures.define("lagoon", "named", "Named").inputs(&["power.hours"]).finish(open);
    let public: Vec<&str> = figures.public().map(|figure| figure.key.as_str()).collect();
    assert_eq!(public, ["radius", "size.area", "size.filled"]);
}

#[test]
fn public_json_holds_nothing_private() {
    let cite = |key: &str| (key == "HANDBOOK_1999").then(|| "A handbook, 1999.".to_owned());
    let figures = small_record();
    let whole = to_json(&figures, false, &cite);
    let public = to_json(&figures, true, &cite);
    for secret in
        ["secret tariff", "317", "bill", "4242", "neighbours", "power.hours", "power.hidden", "coin", "monte-carlo"]
    {
        assert!(whole.contains(secret), "{secret} should be in the whole");
        assert!(!public.contains(secret), "{secret} is public");
    }
    let document: serde_json::Value = serde_json::from_str(&public).unwrap();
    let roots = document["roots"].as_array().unwrap();
    let labels: Vec<&str> = roots.iter().map(|r| r["label"].as_str().unwrap()).collect();
    assert_eq!(labels, ["radius", "fill"]);
    // Numbered without a gap where the private one was.
    assert_eq!(roots[1]["root"], 2);
    assert_eq!(roots[0]["places"], serde_json::json!([{ "column": 11, "file": "tanks/lagoon.yaml", "line": 7 }]));
    assert_eq!(document["sources"]["HANDBOOK_1999"], "A handbook, 1999.");
    let filled = &document["figures"][2];
    assert_eq!(filled["key"], "size.filled");
    assert_eq!(filled["value"], 2544.690049);
    assert_eq!(filled["inputs"][0]["figure"], "size.area");
    assert_eq!(filled["inputs"][1]["root"], 2);
    assert_eq!(filled["sensitivities"][1]["sensitivity"], 2827.433388);
    assert_eq!(filled["how-sure"]["kind"], "first-order");
}

/// What is worked out of an earlier day is a part of what would be worked out on it, number for number.
#[test]
fn figures_of_an_earlier_day_are_those_that_the_whole_would_give() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("example-tank");
    let (read, _) = polypary::read::read_folder(&folder).unwrap();
    let (mut record, _) = polypary::record::build(&read, date(2026, 11, 26));
    record.stand_at(date(2025, 7, 12));
    let (whole, part) = (
        polypary::figures::work_out(&record),
        polypary::figures::work_out_then(&record, &record.tanks.keys().cloned().collect()),
    );
    let mut compared = 0;
    for figure in part.figures.of_tank(".") {
        let same = whole.figures.get(".", &figure.key).unwrap_or_else(|| panic!("{} is of the part alone", figure.key));
        assert_eq!((figure.value, figure.uncertainty), (same.value, same.uncertainty), "{}", figure.key);
        compared += 1;
    }
    assert!(compared > 60, "{compared}");
    for key in
        ["water.net-volume", "flow.turnover", "power.cost-per-month", "water.evaporation", "water.nitrate.uptake"]
    {
        assert!(part.figures.get(".", key).is_some(), "{key}");
    }
    assert!(part.figures.get(".", "heat.loss").is_none() && whole.figures.get(".", "heat.loss").is_some());
}
